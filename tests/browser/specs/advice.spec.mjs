// What to change: proposals worked out beside the page, with before and after, made in one tap.

import assert from "node:assert/strict";
import { test } from "../harness/test.mjs";
import { PHONE, TABLET_UPRIGHT, assertQuiet, openSaved, openServed, withScript } from "../harness/open.mjs";
import { axe, fitsGloves, neverStandsStill, noHorizontalScroll, readsText } from "../harness/act.mjs";
import { demoJob } from "../harness/jobs.mjs";
import { EvenstrokePage } from "../pages/evenstroke-page.mjs";

const PATIENCE = { timeout: 30_000 };

async function start(tools, { open = openServed, job, ...options } = {}) {
  const opened = await open(tools, options);
  const evenstroke = new EvenstrokePage(opened);
  if (job) {
    await evenstroke.openFile("job.json", job);
    await evenstroke.jobs.waitFor({ state: "hidden" });
    await readsText(evenstroke.title, job.title);
  }
  return { opened, page: opened.page, evenstroke };
}

/** From the limits to the proposals, in one tap. */
async function ask(evenstroke) {
  await evenstroke.limits.getByRole("button", { name: "What to change" }).click();
  await readsText(evenstroke.figure.getByRole("heading", { level: 2 }), "What to change");
}

async function found(evenstroke) {
  await evenstroke.figure.getByRole("heading", { name: "Speed", exact: true }).waitFor(PATIENCE);
}

const offer = (evenstroke, words) => evenstroke.figure.getByRole("article", { name: words });
const cells = async (offer, row) =>
  offer
    .getByRole("row")
    .filter({ has: offer.page().getByRole("rowheader", { name: row, exact: true }) })
    .getByRole("cell")
    .allInnerTexts();
const number = (text) => Number(/[\d.]+/.exec(text.replaceAll("\u202f", ""))[0]);

/** A die of many holes, so that the work takes long enough to be watched. */
async function manyHoles(count) {
  const job = await demoJob("progressive");
  job.title = "Invented sieve";
  delete job.die.bolts;
  job.stations = Array.from({ length: count }, (_, index) => ({
    name: `Hole ${index + 1}`,
    x_mm: -300 + (600 * index) / count,
    y_mm: index % 3,
    strip_position: 1,
    work: [
      {
        op: "cut",
        kind: "pierce",
        outline: { circle: { diameter_mm: 6 + (index % 7) } },
        entry_mm: 5,
        clearance_percent: 8,
      },
    ],
  }));
  return job;
}

for (const open of [openServed, openSaved]) {
  const form = open === openSaved ? "saved" : "served";

  test(`in the ${form} page the limits lead to proposals with before and after, and one is made and taken back`, async (tools) => {
    const { opened, page, evenstroke } = await start(tools, { open });
    await ask(evenstroke);
    await found(evenstroke);
    for (const topic of ["Placement", "Punch steps", "Steps and placement together", "Tool shear", "Speed"]) {
      assert(await evenstroke.figure.getByRole("heading", { name: topic, exact: true }).isVisible(), topic);
    }
    const shift = offer(evenstroke, /^Move the die [\d.]+ mm (right|left)/).first();
    const [before, after] = await cells(shift, "Off-centre, left–right");
    assert(number(after) < number(before), `${after} is no less than ${before}`);
    assert((await cells(shift, "Largest force, upper line")).every((cell) => cell.endsWith("kN")));
    assert.match(await shift.innerText(), /Taken for granted:\n+The turn of the die stays/);
    await readsText(evenstroke.limit("Off-centre, left–right"), before.trim());
    const placed = await evenstroke.place.innerText();
    await shift.getByRole("button", { name: /^Apply: Move the die/ }).click();
    await readsText(evenstroke.figure.getByRole("status").first(), /^Done: Move the die .* Undo takes it back\.$/);
    await readsText(evenstroke.limit("Off-centre, left–right"), after.trim());
    assert.notEqual(await evenstroke.place.innerText(), placed);
    // What is said has the focus, since the button is gone.
    assert.match(await page.evaluate(() => document.activeElement.textContent), /^Done/);
    await found(evenstroke);
    await evenstroke.undo.click();
    await readsText(evenstroke.limit("Off-centre, left–right"), before.trim());
    assert.equal(await evenstroke.place.innerText(), placed);
    assert(await evenstroke.undo.isDisabled(), "it was one step");
    await assertQuiet(opened);
  });

  test(`the ${form} page stands still for no more than 50 ms while proposals are worked out`, async (tools) => {
    const { opened, page, evenstroke } = await start(tools, { open, job: await manyHoles(24) });
    await page.waitForTimeout(500);
    await neverStandsStill(page, async () => {
      await evenstroke.show("Tilt of the slide");
      await evenstroke.show("What to change");
      await evenstroke.figure.getByRole("progressbar").waitFor(PATIENCE);
      await found(evenstroke);
    });
    await assertQuiet(opened);
  });
}

test("the work says how far it has come, is cancelled, and begun again", async (tools) => {
  const { opened, evenstroke } = await start(tools, { job: await manyHoles(60) });
  await evenstroke.show("What to change");
  await evenstroke.figure.getByRole("progressbar").waitFor(PATIENCE);
  await readsText(evenstroke.figure, /(Places of the die|Steps of the punches|Tool shear).*…/, PATIENCE);
  await evenstroke.figure.getByRole("button", { name: "Cancel" }).click();
  await readsText(evenstroke.figure, "Cancelled. Nothing was changed.");
  assert.equal(await evenstroke.figure.getByRole("article").count(), 0);
  await evenstroke.figure.getByRole("button", { name: "Work it out" }).click();
  await evenstroke.figure.getByRole("progressbar").waitFor();
  // Looking at something else ends it.
  await evenstroke.show("Force through the stroke");
  await assertQuiet(opened);
});

test("an edit makes the proposals be worked out anew", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  await ask(evenstroke);
  await found(evenstroke);
  const peak = async () =>
    number((await cells(evenstroke.figure.getByRole("article").first(), "Largest force, upper line"))[0]);
  const before = await peak();
  await evenstroke.openCard("Stock");
  await evenstroke.field("Thickness").first().fill("3");
  await readsText(evenstroke.figure, /Waiting|Beginning|…/);
  await found(evenstroke);
  assert((await peak()) > before);
  await assertQuiet(opened);
});

test("of punch steps there are several choices, each with force, reverse load and balance", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  await ask(evenstroke);
  await found(evenstroke);
  const choices = offer(evenstroke, /^\d groups/);
  assert((await choices.count()) > 1, "one number is no choice");
  assert.equal(await choices.filter({ hasText: "(named first)" }).count(), 1);
  for (const choice of await choices.all()) {
    for (const row of ["Largest force, upper line", "Reverse load, upper line, an estimate", "Worst limit"]) {
      assert.equal((await cells(choice, row)).length, 2, row);
    }
    assert.match(await choice.innerText(), /Group 1: /);
  }
  await assertQuiet(opened);
});

test("a balanced die has nothing to gain by another place, in words", async (tools) => {
  const job = await demoJob("progressive");
  job.title = "Invented pair of holes";
  delete job.die.bolts;
  delete job.press.bolster.openings;
  const hole = job.stations[0].work[0];
  job.die.placement = { x_mm: 0, y_mm: 0, turn_deg: 0 };
  job.die.kind = "single";
  job.stations = [-100, 100].map((x_mm) => ({
    name: `Hole at ${x_mm}`,
    x_mm,
    y_mm: 0,
    work: [{ op: "cut", kind: "pierce", outline: { circle: { diameter_mm: 30 } }, entry_mm: hole.entry_mm, clearance_percent: 8 }],
  }));
  const { opened, evenstroke } = await start(tools, { job });
  await ask(evenstroke);
  await found(evenstroke);
  await readsText(evenstroke.figure, /Nothing to gain: no place in the room lowers the worst share/);
  await assertQuiet(opened);
});

test("a band with no room and locked stations are told with the nearest that can be had", async (tools) => {
  const job = await demoJob("progressive");
  job.title = "Invented band";
  job.die.band = { x_from_mm: 3000, x_to_mm: 3100 };
  job.stations = job.stations.map((station) => ({ ...station, locked: true }));
  const { opened, evenstroke } = await start(tools, { job });
  await ask(evenstroke);
  await found(evenstroke);
  await readsText(evenstroke.figure, /The band in which the die may stand cannot be kept.*the nearest place is [\d.\s\u202f]+ mm off/s);
  await readsText(evenstroke.figure, /Nothing to gain: no cutting punch may be changed: 5 of 5 stations are locked/);
  await assertQuiet(opened);
});

test("a job that cannot be worked out is said to be, with the place in it", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  await evenstroke.openCard("Die");
  for (const more of await evenstroke.cards.locator("details:not([open]) > summary").all()) await more.click();
  // Less than its upper half.
  await evenstroke.field("Whole die mass").fill("100");
  await evenstroke.verdictReads("Not worked out");
  await evenstroke.show("What to change");
  await readsText(evenstroke.figure, /could not be worked out: die\.upper_mass_kg/, PATIENCE);
  await assertQuiet(opened);
});

test("where no worker starts the page works proposals out itself", async (tools) => {
  const { opened, evenstroke } = await start(withScript(tools, () => delete window.Worker));
  await ask(evenstroke);
  await found(evenstroke);
  assert((await evenstroke.figure.getByRole("article").count()) > 0);
  await assertQuiet(opened);
});

test("proposals are made by key, accessible and large enough for gloves, on every size", async (tools) => {
  for (const viewport of [PHONE, TABLET_UPRIGHT]) {
    const { opened, page, evenstroke } = await start(tools, { viewport });
    await evenstroke.limits.getByRole("button", { name: "What to change" }).press("Enter");
    await found(evenstroke);
    await axe(page);
    await fitsGloves(page);
    await noHorizontalScroll(page);
    const apply = offer(evenstroke, /^Move the die/).first().getByRole("button", { name: /^Apply/ });
    await apply.press("Enter");
    await readsText(evenstroke.figure.getByRole("status").first(), /^Done/);
    await assertQuiet(opened);
  }
});
