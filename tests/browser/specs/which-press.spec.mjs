// The presses of the shop, and which of them takes this die.

import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { test } from "../harness/test.mjs";
import { PHONE, assertQuiet, openSaved, openServed, reload } from "../harness/open.mjs";
import { axe, fitsGloves, neverStandsStill, noHorizontalScroll, readsText } from "../harness/act.mjs";
import { demoJob } from "../harness/jobs.mjs";
import { DEMO, EvenstrokePage } from "../pages/evenstroke-page.mjs";

const PATIENCE = { timeout: 30_000 };

async function start(tools, { open = openServed, ...options } = {}) {
  const opened = await open(tools, options);
  const evenstroke = new EvenstrokePage(opened);
  const dialog = opened.page.getByRole("dialog", { name: "Which press" });
  return { opened, page: opened.page, evenstroke, dialog };
}

/** Two taps from the job. */
async function ask({ evenstroke, dialog }) {
  await evenstroke.jobsButton.click();
  await evenstroke.jobs.getByRole("button", { name: "Press is down: where can this die go?" }).click();
  await dialog.waitFor();
}

const kept = (dialog) => dialog.getByRole("list", { name: "Presses kept in this browser" }).getByRole("listitem");
const ranked = (dialog) => dialog.locator("ol").getByRole("listitem").filter({ has: dialog.page().locator(".tag") });
const file = (name, value) => ({
  name,
  mimeType: "application/json",
  buffer: Buffer.from(typeof value === "string" ? value : JSON.stringify(value)),
});

/** The press of the first demo, and some made from it. */
async function presses() {
  const { press } = await demoJob("progressive");
  return {
    own: press,
    large: { ...press, name: "Press 40", rated_force_kn: 1000 },
    weak: { ...press, name: "Press 3", rated_force_kn: 60 },
    short: { ...press, name: "Press 5", drive: { ...press.drive, stroke_mm: 4, rating_height_mm: 1 } },
  };
}

async function addFiles(dialog, files) {
  await dialog.getByLabel("Add files").setInputFiles(files);
}

for (const open of [openServed, openSaved]) {
  const form = open === openSaved ? "saved" : "served";

  test(`in the ${form} page an empty library says what to do, and the die is ranked on what is added`, async (tools) => {
    const tried = await start(tools, { open });
    const { opened, evenstroke, dialog } = tried;
    const { large, weak, short } = await presses();
    await ask(tried);
    await readsText(dialog, /No press is kept in this browser yet\. Take the one of this job, or add files/);
    await dialog.getByRole("button", { name: "Take the press of this job" }).click();
    await readsText(dialog, /1 of 1 presses were added/, PATIENCE);
    await addFiles(dialog, [file("a.json", [large, weak]), file("b.json", short), file("c.json", "{")]);
    await readsText(dialog, /3 of 3 presses were added\. c: .*must be/s, PATIENCE);
    await ranked(dialog).nth(3).waitFor(PATIENCE);
    const rows = await ranked(dialog).allInnerTexts();
    assert.equal(rows.length, 4);
    assert.match(rows[0], /^Press (12|40)\s/);
    assert.match(rows[2], /^Press 3\s+Over.*stripping load \d+\.\d+.*best place/is);
    assert.match(rows[3], /^Press 5\s+Cannot be put in it/s);
    assert.equal(await ranked(dialog).nth(3).getByRole("button").count(), 0);
    await dialog.getByRole("button", { name: "Put the job on Press 40" }).click();
    await dialog.waitFor({ state: "hidden" });
    await evenstroke.cardHead("Press 40").waitFor();
    await evenstroke.undo.click();
    await evenstroke.cardHead("Press 12").waitFor();
    assert(await evenstroke.undo.isDisabled(), "it was one step");
    await assertQuiet(opened);
  });
}

test("what was set at the old press does not travel", async (tools) => {
  const tried = await start(tools);
  const { opened, page, evenstroke, dialog } = tried;
  const job = await demoJob("progressive");
  job.title = "Invented latch on parallels";
  job.trip = { height_mm: 100 };
  job.setup = { press_opening_mm: 360 };
  await evenstroke.openFile("job.json", job);
  await readsText(evenstroke.title, job.title);
  await ask(tried);
  await addFiles(dialog, [file("a.json", (await presses()).large)]);
  await dialog.getByRole("button", { name: "Put the job on Press 40" }).click(PATIENCE);
  await dialog.waitFor({ state: "hidden" });
  const moved = JSON.parse(await evenstroke.savedFile());
  assert.equal(moved.press.name, "Press 40");
  assert.equal(moved.trip, undefined);
  assert.equal(moved.setup.press_opening_mm, undefined);
  await assertQuiet({ ...opened, page });
});

test("presses stay, are named, deleted and brought back", async (tools) => {
  const tried = await start(tools);
  const { opened, dialog } = tried;
  const { large, weak } = await presses();
  await ask(tried);
  await addFiles(dialog, [file("a.json", [large, weak])]);
  await kept(dialog).nth(1).waitFor(PATIENCE);
  await kept(dialog).filter({ has: dialog.page().getByRole("button", { name: "Delete Press 3" }) }).getByLabel("Name").fill("Line B, press 3");
  await dialog.getByRole("heading", { name: "Which press" }).click();
  await dialog.getByRole("button", { name: "Delete Line B, press 3" }).waitFor(PATIENCE);
  await reload(opened);
  await ask(tried);
  await readsText(ranked(dialog).last(), /Line B, press 3/, PATIENCE);
  await dialog.getByRole("button", { name: "Delete Line B, press 3" }).click();
  await readsText(dialog, "“Line B, press 3” was deleted.");
  await ranked(dialog).filter({ hasText: "Line B" }).waitFor({ state: "detached", ...PATIENCE });
  await dialog.getByRole("button", { name: "Bring back Line B, press 3" }).click();
  await ranked(dialog).filter({ hasText: "Line B" }).waitFor(PATIENCE);
  await assertQuiet(opened);
});

test("presses go out to the library's file and come back, also without the jobs", async (tools) => {
  const tried = await start(tools);
  const { opened, page, evenstroke, dialog } = tried;
  const { large, weak } = await presses();
  await evenstroke.openDemo(DEMO.compound);
  await evenstroke.keptReads(/kept in this browser/);
  await ask(tried);
  await addFiles(dialog, [file("a.json", [large, weak])]);
  await kept(dialog).nth(1).waitFor(PATIENCE);
  const [download] = await Promise.all([
    page.waitForEvent("download"),
    dialog.getByRole("button", { name: "Export presses and jobs" }).click(),
  ]);
  const text = await readFile(await download.path(), "utf8");
  const library = JSON.parse(text);
  assert.deepEqual(library.presses.map((press) => press.name).sort(), ["Press 3", "Press 40"]);
  assert.equal(library.jobs.length, 1);

  const other = await start(tools);
  await other.evenstroke.jobsButton.click();
  await other.evenstroke.jobs.getByLabel("Import a library").setInputFiles(file("library.json", text));
  await readsText(other.evenstroke.jobs, "1 of 1 jobs were added. 2 of 2 presses were added.");
  const third = await start(tools);
  await ask(third);
  await addFiles(third.dialog, [file("library.json", text)]);
  await readsText(third.dialog, "2 of 2 presses were added.", PATIENCE);
  await assertQuiet(opened);
});

test("all kept jobs are ranked in all presses, with progress, and cancelled", async (tools) => {
  const tried = await start(tools);
  const { opened, page, evenstroke, dialog } = tried;
  const { own } = await presses();
  for (const demo of [DEMO.compound, DEMO.combination, DEMO.progressive]) {
    await evenstroke.openDemo(demo);
    await evenstroke.keptReads(/kept in this browser/);
  }
  await ask(tried);
  const shop = Array.from({ length: 24 }, (_, index) => ({ ...own, name: `Press ${index + 1}`, rated_force_kn: 60 + 40 * index }));
  await addFiles(dialog, [file("shop.json", shop)]);
  await kept(dialog).nth(23).waitFor(PATIENCE);
  const all = dialog.getByRole("button", { name: "Rank all kept jobs" });
  await all.click();
  await dialog.getByRole("progressbar").last().waitFor(PATIENCE);
  await dialog.getByRole("button", { name: "Cancel" }).last().click();
  await readsText(dialog, "Cancelled. Nothing was changed.");
  const table = dialog.getByRole("region", { name: "All kept jobs in all presses" });
  const rank = async () => {
    await all.click();
    await table.waitFor({ state: "detached" });
    await table.getByRole("row").nth(3).waitFor(PATIENCE);
  };
  await neverStandsStill(page, rank);
  assert.equal(await table.getByRole("columnheader").count(), 24);
  const washer = table.getByRole("row").filter({ hasText: "Ring washer" }).getByRole("cell");
  assert.match(await washer.first().innerText(), /^over \d+\.\d\d/i);
  await axe(page);
  await assertQuiet(opened);
});

test("a folder of files is taken as a whole", async (tools) => {
  const tried = await start(tools);
  const { opened, dialog } = tried;
  await ask(tried);
  const demos = new URL("../../../crates/job/demos", import.meta.url).pathname;
  await dialog.getByLabel("Add a folder").setInputFiles(demos);
  await readsText(dialog, /\d+ of \d+ presses were added/, PATIENCE);
  assert((await kept(dialog).count()) >= 4);
  await assertQuiet(opened);
});

test("the dialog is worked by key, accessible and large enough for gloves", async (tools) => {
  const tried = await start(tools, { viewport: PHONE });
  const { opened, page, evenstroke, dialog } = tried;
  await evenstroke.jobsButton.press("Enter");
  await evenstroke.jobs.getByRole("button", { name: "Press is down: where can this die go?" }).press("Enter");
  await axe(page);
  await dialog.getByRole("button", { name: "Take the press of this job" }).press("Enter");
  await ranked(dialog).first().waitFor(PATIENCE);
  await axe(page);
  await fitsGloves(page);
  await noHorizontalScroll(page);
  await page.keyboard.press("Escape");
  await dialog.waitFor({ state: "hidden" });
  await assertQuiet(opened);
});
