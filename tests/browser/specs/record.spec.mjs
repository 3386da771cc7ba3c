import assert from "node:assert/strict";
import { test } from "../harness/test.mjs";
import { assertQuiet, openServed, PHONE, reload } from "../harness/open.mjs";
import { axe, fitsGloves, noHorizontalScroll, readsText } from "../harness/act.mjs";
import { demoJob } from "../harness/jobs.mjs";
import { EvenstrokePage } from "../pages/evenstroke-page.mjs";
import { SetUp } from "../pages/set-up.mjs";

/** A set-up of the first demo as it stands; its people are invented. */
const GOOD = {
  date: "2026-03-02", time: "06:45", set_by: "M. Rook", checked_by: "A. Lark", good: true,
  press: "Press 12", material: "EN 10130 DC01", thickness_mm: 2, speed_spm: 45, shut_height_mm: 375,
  x_mm: 0, y_mm: 0, turn_deg: 0, total_kn: 180, points_kn: [100, 80], reverse_kn: 12,
};

/** Opens the set-up of the first demo with a record. */
async function openRecord(tools, record, options) {
  const opened = await openServed(tools, options);
  const evenstroke = new EvenstrokePage(opened);
  const job = await demoJob("progressive");
  if (record) job.record = record;
  job.title = "Kept die";
  await evenstroke.openFile("die.json", job);
  await readsText(evenstroke.title, "Kept die");
  const setUp = new SetUp(evenstroke);
  await setUp.open();
  return { opened, evenstroke, setUp };
}

test("the last good set-up comes first, with what makes it void", async (tools) => {
  const bad = { date: "2026-03-09", set_by: "A. Lark", good: false };
  const { opened, evenstroke, setUp } = await openRecord(tools, { setups: [GOOD, bad] });
  await readsText(setUp.head, "Last good set-up");
  await readsText(setUp.row("Set"), "2026-03-02 06:45, by M. Rook");
  await readsText(setUp.row("Read then"), "peak 180.0 kN; points 100.0 kN, 80.0 kN; reverse 12.0 kN");
  await readsText(setUp.row("Still holds"), "nothing that was compared has changed");
  await setUp.close();
  await evenstroke.openCard("Press 12");
  await evenstroke.field("Speed of this job").fill("50");
  await evenstroke.openCard("Press 12");
  await setUp.open();
  await readsText(setUp.row("Still holds"), "void");
  await readsText(setUp.dialog, "Void: another speed. Then 45 strokes/min, now 50 strokes/min.");
  await assertQuiet(opened);
});

test("a set-up is recorded with what the job knows, and signed by two", async (tools) => {
  const { opened, setUp } = await openRecord(tools);
  await setUp.step("Sign and record");
  await readsText(setUp.row("Set by"), "to be filled in");
  await setUp.button("Record this set-up").click();
  const entry = setUp.entry("Set-up 1");
  assert.match(await setUp.field("Date", entry).inputValue(), /^\d{4}-\d\d-\d\d$/);
  assert.match(await setUp.field("Time", entry).inputValue(), /^\d\d:\d\d$/);
  assert.equal(await setUp.field("Press then", entry).inputValue(), "Press 12");
  assert.equal(await setUp.field("Closed height then", entry).inputValue(), "375");
  assert.equal(await setUp.field("Thickness then", entry).inputValue(), "", "nobody measured it");
  await setUp.field("Set by", entry).fill("M. Rook");
  await setUp.field("Checked by", entry).fill("m. rook");
  await readsText(setUp.dialog, "Set and checked by the same person");
  await setUp.field("Checked by", entry).fill("A. Lark");
  await setUp.field("First part", entry).selectOption("accepted");
  await setUp.field("First part checked by", entry).fill("A. Lark");
  await readsText(setUp.row("First part"), "accepted by A. Lark");
  await setUp.field("Peaks of the points", entry).fill("100\n80");
  await setUp.field("Remark", entry).fill("Runs best with the feed at 118.");
  await readsText(setUp.dialog, "Void if the die is ground or repaired");
  await assertQuiet(opened);
});

test("safety blocks are counted in and out", async (tools) => {
  const { opened, setUp } = await openRecord(tools, { setups: [GOOD] });
  await setUp.step("Sign and record");
  const entry = setUp.entry("Set-up 1");
  await setUp.field("Safety blocks in", entry).fill("2");
  await readsText(setUp.dialog, "no stroke before all are out");
  await setUp.field("Safety blocks out", entry).fill("3");
  await readsText(setUp.evenstroke.fieldMessage("Safety blocks out", entry), "at most 2, the blocks put in, given 3");
  await setUp.field("Safety blocks out", entry).fill("1");
  await readsText(setUp.dialog, "1 safety block is still in the press: no stroke before it is out.");
  await setUp.field("Safety blocks out", entry).fill("2");
  await setUp.dialog.getByText("still in the press").waitFor({ state: "detached" });
  await readsText(setUp.row("Safety blocks in and out"), "2 in, 2 out");
  await assertQuiet(opened);
});

test("a grind makes the last good set-up void, also before its amount is known", async (tools) => {
  const { opened, setUp } = await openRecord(tools, { setups: [GOOD] });
  await setUp.button("Add a grind").click();
  await readsText(setUp.dialog, /Void: the die was ground\..*how much is not recorded/);
  const grind = setUp.entry("Grind 1");
  await setUp.field("Taken off", grind).fill("-0.1");
  await readsText(setUp.evenstroke.fieldMessage("Taken off", grind), "given -0.1 mm");
  await setUp.field("Taken off", grind).fill("0.25");
  await readsText(setUp.dialog, "0.25 mm taken off");
  await setUp.field("Date", grind).fill("2026-03-01");
  await readsText(setUp.row("Still holds"), "nothing that was compared");
  await assertQuiet(opened);
});

test("readings, heights, repairs and remarks are added, changed, removed and brought back", async (tools) => {
  const { opened, evenstroke, setUp } = await openRecord(tools);
  await readsText(setUp.dialog, "Nothing is recorded");
  await setUp.button("Add a reading").click();
  const reading = setUp.entry("Reading 1");
  await setUp.field("Peak", reading).fill("181");
  await setUp.field("Peaks of the points", reading).fill("101\n80");
  await readsText(setUp.dialog.getByRole("row").last(), "peak 181.0 kN; points 101.0 kN, 80.0 kN");
  await setUp.button("Add a closed height").click();
  await setUp.field("Closed height", setUp.entry("Closed height 1")).fill("374.8");
  await readsText(setUp.dialog, "374.80 mm");
  await setUp.button("Add a repair").click();
  await setUp.field("What", setUp.entry("Repair 1")).fill("Pilot of station 2");
  await setUp.button("Add a remark").click();
  await setUp.field("Remark", setUp.entry("Remark 1")).fill("Oil the strip <b>well</b>");
  await setUp.field("By", setUp.entry("Remark 1")).fill("M. Rook");
  await readsText(setUp.dialog, "Oil the strip <b>well</b> (M. Rook)");
  // The newest stands first.
  await setUp.button("Add a remark").click();
  const groups = setUp.dialog.getByRole("group", { name: /^Remark \d/ });
  assert.deepEqual(await groups.evaluateAll((all) => all.map((one) => one.getAttribute("aria-label"))), ["Remark 2", "Remark 1"]);
  await setUp.button("Remove remark 2").click();
  await setUp.entry("Remark 2").waitFor({ state: "detached" });
  await setUp.button("Remove reading 1").click();
  await setUp.dialog.getByText("peak 181.0 kN").waitFor({ state: "detached" });
  await setUp.button("Undo").click();
  await readsText(setUp.dialog, "peak 181.0 kN");
  await setUp.close();
  await evenstroke.keptReads(/kept/i);
  await reload(opened);
  await setUp.open();
  await readsText(setUp.dialog, "Pilot of station 2");
  const file = JSON.parse(await evenstroke.savedFile().catch(() => setUp.close().then(() => evenstroke.savedFile())));
  assert.equal(file.record.readings[0].points_kn[1], 80);
  assert.equal(file.record.remarks.length, 1);
  await assertQuiet(opened);
});

test("a date that is half typed or nonsense changes nothing", async (tools) => {
  const { opened, setUp } = await openRecord(tools, { grinds: [{ date: "2026-03-01", amount_mm: 0.1 }] });
  await setUp.dialog.getByText("Grind 1").click();
  const date = setUp.field("Date", setUp.entry("Grind 1"));
  await date.fill("");
  await setUp.field("By", setUp.entry("Grind 1")).focus();
  assert.equal(await date.inputValue(), "2026-03-01", "a day is always there");
  await date.fill("0002-03-01");
  await setUp.field("By", setUp.entry("Grind 1")).focus();
  assert.equal(await date.inputValue(), "2026-03-01");
  await readsText(setUp.dialog, "2026-03-01");
  assert.equal(await setUp.outdated.count(), 0);
  await assertQuiet(opened);
});

test("the record with entries fits a phone, gloves and a screen reader", async (tools) => {
  const grinds = [{ date: "2026-03-01", amount_mm: 0.1 }];
  const { opened, setUp } = await openRecord(tools, { setups: [GOOD], grinds }, { viewport: PHONE });
  for (const step of ["Last good set-up", "Sign and record"]) {
    await setUp.step(step);
    await noHorizontalScroll(opened.page);
    const [width, room] = await setUp.dialog.evaluate((dialog) => [dialog.scrollWidth, dialog.clientWidth]);
    assert(width <= room, `${width} px in a window of ${room} px`);
    await fitsGloves(opened.page);
    await axe(opened.page);
  }
  await assertQuiet(opened);
});
