import assert from "node:assert/strict";
import { test } from "../harness/test.mjs";
import { assertQuiet, openSaved, openServed, PHONE, reload, SMALL_PHONE, withScript } from "../harness/open.mjs";
import { axe, fitsGloves, noHorizontalScroll, readsText } from "../harness/act.mjs";
import { demoJob } from "../harness/jobs.mjs";
import { EvenstrokePage } from "../pages/evenstroke-page.mjs";
import { SetUp } from "../pages/set-up.mjs";

/** Opens a page with the set-up shown. */
async function openSetUp(tools, options, how = openServed) {
  const opened = await how(tools, options);
  const evenstroke = new EvenstrokePage(opened);
  await evenstroke.skipFirstSteps();
  const setUp = new SetUp(evenstroke);
  await setUp.open();
  return { opened, evenstroke, setUp };
}

test("the set-up is walked step by step with the keyboard alone, and Escape leaves it", async (tools) => {
  const { opened, setUp } = await openSetUp(tools);
  const { page } = opened;
  const titles = await setUp.steps();
  assert.equal(titles[0], "Last good set-up");
  for (const title of titles.slice(1)) {
    await setUp.button("Next step").focus();
    await page.keyboard.press("Enter");
    await readsText(setUp.head, title);
    await page.waitForFunction(() => document.activeElement?.id === "set-up~step");
  }
  assert(await setUp.button("Next step").isDisabled(), "the last step");
  await page.keyboard.press("Escape");
  await setUp.dialog.waitFor({ state: "hidden" });
  await assertQuiet(opened);
});

test("a die without a press says what it needs of any", async (tools) => {
  const opened = await openServed(tools);
  const evenstroke = new EvenstrokePage(opened);
  const job = await demoJob("progressive");
  delete job.press;
  await evenstroke.openFile("die.json", job);
  const setUp = new SetUp(evenstroke);
  await setUp.open();
  await setUp.step("What the die needs");
  await readsText(setUp.row("Force"), /kN at [\d.]+ mm above BDC/);
  await readsText(setUp.row("Stroke"), /mm or more/);
  await readsText(setUp.row("Upper die"), "350.0 kg");
  await readsText(setUp.row("Reverse load"), "not known");
  await setUp.field("Upper die mass").fill("360");
  await readsText(setUp.row("Upper die"), "360.0 kg");
  // What belongs to a press is not asked without one.
  await setUp.step("Shut height");
  await readsText(setUp.dialog, "No press is chosen");
  assert.equal(await setUp.field("Stiffness").count(), 0);
  await assertQuiet(opened);
});

// 800 kN/mm are 80 kN for a tenth; 375 mm on parallels of 30 mm stand 405 mm high.
test("what a step needs is entered beside its card, counts at once and is taken back", async (tools) => {
  const { opened, setUp } = await openSetUp(tools);
  await setUp.step("Shut height");
  await readsText(setUp.row("0.1 mm too deep costs"), "80.0 kN");
  await readsText(setUp.row("Press opens at BDC"), "not entered");
  await setUp.field("Press opens now").fill("390");
  await readsText(setUp.row("Press opens at BDC"), "390.00 mm now: lower the slide");
  await setUp.field("Parallels").fill("30");
  await readsText(setUp.dialog, /opens less than the closed die stands high/);
  await setUp.button("Undo").click();
  await setUp.dialog.getByText("opens less than").waitFor({ state: "detached" });
  await setUp.button("Undo").click();
  await readsText(setUp.row("Press opens at BDC"), "not entered");
  assert.equal(await setUp.field("Press opens now").inputValue(), "");
  await assertQuiet(opened);
});

test("heights, weights and grinds that cannot be are refused at their field, and nothing is lost", async (tools) => {
  const { opened, evenstroke, setUp } = await openSetUp(tools);
  await setUp.step("Shut height");
  const grind = "May still be ground";
  await setUp.field(grind).fill("-2");
  await readsText(setUp.message(grind), /must be .*given -2/);
  await setUp.field(grind).fill("400");
  await readsText(setUp.message(grind), /less than the closed height, 375 mm .*given 400 mm/);
  await readsText(setUp.outdated, /die\.grind_allowance_mm.*The figures are those of before/);
  await setUp.field(grind).fill("4");
  await setUp.outdated.waitFor({ state: "detached" });
  await setUp.step("Safety blocks and lifting");
  await setUp.field("Upper die mass").fill("900");
  await readsText(setUp.message("Upper die mass"), /at most 820 kg.*given 900 kg/);
  await setUp.button("Undo").click();
  await setUp.outdated.waitFor({ state: "detached" });
  await setUp.close();
  await evenstroke.verdictReads(/./);
  await assertQuiet(opened);
});

// 2 mm slugs fill a drop of 300 mm in 150 strokes; at 45 a minute that is 3 min 20 s.
test("a blocked column of slugs reaches the die in the minutes that its drop leaves", async (tools) => {
  const { opened, setUp } = await openSetUp(tools);
  await setUp.step("Slugs");
  const pierce = setUp.dialog.getByRole("group", { name: "Pierce", exact: true });
  await pierce.getByRole("textbox").fill("300");
  await readsText(setUp.dialog.getByRole("row", { name: /^Pierce/ }), "3 min 20 s, 150 strokes");
  await assertQuiet(opened);
});

test("the first strokes are told hit by hit, with both sides and where to look", async (tools) => {
  const { opened, setUp } = await openSetUp(tools);
  await setUp.step("First strokes");
  const table = setUp.dialog.getByRole("table").last();
  const first = table.getByRole("row").nth(1);
  await readsText(first, /Pierce/);
  await readsText(first, /\d+ % left, \d+ % right/);
  await readsText(table.getByRole("row").last(), /strip full.*first part/);
  await readsText(setUp.dialog, "Inch through empty");
  await assertQuiet(opened);
});

test("what is missing is listed with where to look, and entered right there", async (tools) => {
  const opened = await openServed(tools);
  const evenstroke = new EvenstrokePage(opened);
  const job = await demoJob("progressive");
  delete job.press.rated_force_kn;
  delete job.press.stiffness_kn_per_mm;
  await evenstroke.openFile("gaps.json", job);
  const setUp = new SetUp(evenstroke);
  await setUp.open();
  await setUp.step("What is missing");
  const gap = setUp.dialog.getByRole("row", { name: /^rated force of the press not entered/ });
  await readsText(gap, "press plate");
  await evenstroke.helpButton("Rated force", setUp.dialog).click();
  assert(await setUp.dialog.getByRole("img").first().isVisible(), "the sketch of the field");
  await setUp.field("Rated force").fill("630");
  await gap.waitFor({ state: "detached" });
  assert.equal(await setUp.field("Rated force").inputValue(), "630", "the field stays under the hand");
  await assertQuiet(opened);
});

test("after a trip the height or the angle is asked, and the state is told without a procedure", async (tools) => {
  const opened = await openServed(tools);
  const evenstroke = new EvenstrokePage(opened);
  await evenstroke.jobsButton.click();
  await evenstroke.jobs.getByRole("button", { name: /^It tripped/ }).click();
  const setUp = new SetUp(evenstroke);
  await readsText(setUp.head, "After a trip");
  await readsText(setUp.dialog, "no procedure");
  await setUp.field("or at height").fill("2");
  await readsText(setUp.row("Slide stands at"), "2.0 mm above BDC");
  await readsText(setUp.row("Stations in work there"), /Cut off/);
  await readsText(setUp.row("On each point"), /left .*kN, .*right .*kN/);
  assert((await setUp.dialog.getByRole("table").last().getByRole("row").count()) > 2, "what may have been");
  await readsText(setUp.dialog, "It is no procedure");
  await setUp.field("Stands at crank angle").fill("10");
  await readsText(setUp.message("Stands at crank angle"), "read in one way");
  await assertQuiet(opened);
});

test("a new die begins without a press and says what stands in; undo brings the job back", async (tools) => {
  const opened = await openServed(tools);
  const evenstroke = new EvenstrokePage(opened);
  const before = await evenstroke.title.innerText();
  await evenstroke.jobsButton.click();
  await evenstroke.jobs.getByRole("button", { name: /^New die/ }).click();
  await readsText(evenstroke.title, "New die");
  await evenstroke.field("Thickness").fill("1.5");
  await evenstroke.openCard("Title, note");
  assert.match(await evenstroke.field("Note").inputValue(), /stand in until those of this stock are entered/);
  const setUp = new SetUp(evenstroke);
  await setUp.open();
  await setUp.step("What the die needs");
  await readsText(setUp.row("Force"), "no station does any work yet");
  await setUp.close();
  await evenstroke.undo.click();
  await evenstroke.undo.click();
  await readsText(evenstroke.title, before);
  await assertQuiet(opened);
});

test("a field of a card behind the set-up is there once", async (tools) => {
  const opened = await openServed(tools);
  const evenstroke = new EvenstrokePage(opened);
  await evenstroke.openCard("Die");
  const setUp = new SetUp(evenstroke);
  await setUp.open();
  await setUp.step("Shut height");
  await axe(opened.page);
  const ids = await opened.page.evaluate(() => [...document.querySelectorAll("[id]")].map((element) => element.id));
  assert.equal(new Set(ids).size, ids.length, "no id stands twice");
  await setUp.field("Parallels").fill("12");
  await setUp.close();
  assert.equal(await evenstroke.field("Parallels").inputValue(), "12");
  await assertQuiet(opened);
});

for (const [name, viewport] of Object.entries({ tablet: undefined, phone: PHONE, "small phone": SMALL_PHONE })) {
  test(`every step of the set-up fits a ${name}, gloves and a screen reader`, async (tools) => {
    const { opened, setUp } = await openSetUp(tools, viewport ? { viewport } : {});
    for (const title of await setUp.steps()) {
      await setUp.step(title);
      await noHorizontalScroll(opened.page);
      const [width, room] = await setUp.dialog.evaluate((dialog) => [dialog.scrollWidth, dialog.clientWidth]);
      assert(width <= room, `${title}: ${width} px in a window of ${room} px`);
      await fitsGloves(opened.page);
      await axe(opened.page);
    }
    await assertQuiet(opened);
  });
}

/** How many pages a PDF of Chromium's has, and how large they are in points. */
const pagesOf = (pdf) => {
  const text = pdf.toString("latin1");
  const boxes = [...text.matchAll(/\/MediaBox\s*\[\s*0 0 ([\d.]+) ([\d.]+)\s*\]/g)];
  return {
    count: text.match(/\/Type\s*\/Page\b(?!s)/g)?.length ?? 0,
    sizes: boxes.map(([, width, height]) => [Math.round(width), Math.round(height)]),
  };
};

/** Prints by a button of the set-up and gives the PDF; what the browser would ask is left out. */
async function printed({ opened, setUp }, button, options) {
  await setUp.button(button).click();
  return pagesOf(await opened.page.pdf(options));
}
const silently = (tools) => withScript(tools, () => (window.print = () => {}));

for (const format of ["A4", "Letter"]) {
  test(`the card of a die prints on one page of ${format}`, async (tools) => {
    const shown = await openSetUp(silently(tools));
    const paper = await printed(shown, "Print the die's card", { format });
    assert.equal(paper.count, 1);
    const sheet = await shown.evenstroke.staticSheet.textContent();
    assert.match(sheet, /What this die needs of any press: Gate-latch plate/);
    for (const words of ["Work per stroke", "Closed height", "Whole die", "820.0 kg", "local codes"]) assert(sheet.includes(words), words);
    await assertQuiet(shown.opened);
  });
}

test("the tag of a die is one page of 100 × 70 mm, also where hardly anything is known", async (tools) => {
  const shown = await openSetUp(silently(tools));
  // A point is 1/72 in.
  const size = [100, 70].map((mm) => Math.round((mm / 25.4) * 72));
  const sizes = async () => printed(shown, "Print a tag, 100 × 70 mm", { preferCSSPageSize: true });
  const full = await sizes();
  assert.equal(full.count, 1);
  assert.deepEqual(full.sizes, [size]);
  await shown.setUp.close();
  const job = await demoJob("progressive");
  job.title = "A die with a name as long as a clerk in a hurry would ever care to type in one go";
  job.die = { kind: "progressive" };
  delete job.press;
  await shown.evenstroke.openFile("bare.json", job);
  await readsText(shown.evenstroke.title, "clerk");
  await shown.setUp.open();
  const bare = await sizes();
  assert.equal(bare.count, 1);
  assert.deepEqual(bare.sizes, [size]);
  await assertQuiet(shown.opened);
});

test("the set-up card prints first strokes, shut height, slugs, boxes to tick and lines to sign", async (tools) => {
  const shown = await openSetUp(silently(tools));
  const paper = await printed(shown, "Print the set-up card", { format: "A4" });
  assert(paper.count >= 1 && paper.count <= 3, `${paper.count} pages`);
  const { page } = shown.opened;
  await page.emulateMedia({ media: "print" });
  const text = await page.locator("body").innerText();
  for (const words of ["The first strokes", "Shut height", "Slugs", "Cautions, each seen to", "Set by", "Checked by", "Date and time", "Guards tested by, at", "local codes"]) {
    assert(text.includes(words), words);
  }
  // After it the set-up sheet is what is printed again.
  await page.evaluate(() => window.dispatchEvent(new Event("afterprint")));
  await page.evaluate(() => window.dispatchEvent(new Event("beforeprint")));
  await readsText(shown.evenstroke.staticSheet, /Set-up sheet: Gate-latch plate/);
  await assertQuiet(shown.opened);
});

test("the saved page sets a die up too, from the disk", async (tools) => {
  const { opened, setUp } = await openSetUp(tools, {}, openSaved);
  await setUp.step("Slugs");
  await setUp.dialog.getByRole("group", { name: "Pierce", exact: true }).getByRole("textbox").fill("300");
  await readsText(setUp.dialog.getByRole("row", { name: /^Pierce/ }), "3 min 20 s");
  await assertQuiet(opened);
});

test("a new setter walks through a whole set-up, reloads in the middle and signs", async (tools) => {
  const opened = await openServed(tools);
  const evenstroke = new EvenstrokePage(opened);
  await evenstroke.jobsButton.click();
  await evenstroke.jobs.getByRole("button", { name: /^Set this die/ }).click();
  const setUp = new SetUp(evenstroke);
  await readsText(setUp.dialog, "Nothing is recorded of this die yet");
  await setUp.step("Shut height");
  await setUp.field("Measured on").fill("2026-03-02");
  await setUp.field("Measured by").fill("M. Rook");
  await setUp.field("Press opens now").fill("40 cm");
  await readsText(setUp.row("Closed height of the die"), "measured 2026-03-02 by M. Rook");
  await evenstroke.keptReads(/kept/i);
  await reload(opened);
  await setUp.open();
  await setUp.step("Shut height");
  await readsText(setUp.row("Press opens at BDC"), "400.00 mm now");
  await setUp.step("Safety blocks");
  await setUp.field("Lifts at most").fill("500");
  await readsText(setUp.row("Lifting"), /820.0 kg of 500.0 kg.*over/);
  await setUp.field("Lifts at most").fill("1000");
  await setUp.field("Lifted with").fill("crane 2");
  await readsText(setUp.row("Lifting"), /820\.0 kg of 1.000 kg, crane 2/);
  await setUp.step("Sign and record");
  await setUp.button("Record this set-up").click();
  const entry = setUp.entry("Set-up 1");
  await setUp.field("Set by", entry).fill("M. Rook");
  await setUp.field("Checked by", entry).fill("A. Lark");
  await setUp.field("Guards tested by", entry).fill("A. Lark");
  await setUp.field("Guards tested at", entry).fill("06:50");
  await setUp.field("First part", entry).selectOption("accepted");
  await setUp.field("Good", entry).selectOption("yes");
  await readsText(setUp.row("Set by"), "M. Rook");
  await readsText(setUp.row("Guards tested by, at"), "A. Lark, 06:50");
  await setUp.step("Last good set-up");
  await readsText(setUp.row("Still holds"), "has changed");
  await assertQuiet(opened);
});
