import assert from "node:assert/strict";
import { test } from "../harness/test.mjs";
import { assertQuiet, openServed } from "../harness/open.mjs";
import { readsText } from "../harness/act.mjs";
import { EvenstrokePage } from "../pages/evenstroke-page.mjs";

test("US units are read everywhere", async (tools) => {
  const opened = await openServed(tools);
  const evenstroke = new EvenstrokePage(opened);
  await evenstroke.units.selectOption("US ton-force · inch");
  // 630 kN over 8.896443 kN a US ton-force; 900 mm and 450 mm over 25.4 mm an inch.
  await readsText(evenstroke.limit("Rated force"), /of 70\.8 US ton-f at 0\.1\d+ in/);
  await readsText(evenstroke.cardHead("Press 12"), "70.8 US ton-f");
  await readsText(evenstroke.cardHead("Die"), "35.43 × 17.72 in");
  await readsText(evenstroke.readout, /^At [\d.]+ in .* US ton-f nominal/);
  await evenstroke.plan.press("ArrowRight");
  await readsText(evenstroke.place, /^Die centre 0\.0394? in right/);
  await evenstroke.openCard("Press 12");
  assert.equal(await evenstroke.field("Rated force").inputValue(), "70.81482");
  await assertQuiet(opened);
});

test("tonnes-force are read everywhere", async (tools) => {
  const opened = await openServed(tools);
  const evenstroke = new EvenstrokePage(opened);
  await evenstroke.units.selectOption("tonne-force · mm");
  // 630 kN over 9.80665 kN a tonne-force.
  await readsText(evenstroke.limit("Rated force"), /of 64\.2 tonne-f at \d\.\d mm/);
  await readsText(evenstroke.readout, /tonne-f nominal/);
  await assertQuiet(opened);
});

test("changing the units on screen leaves the job file as it is, byte for byte", async (tools) => {
  const opened = await openServed(tools);
  const evenstroke = new EvenstrokePage(opened);
  await evenstroke.openCard("Press 12");
  const before = await evenstroke.savedFile();
  for (const label of ["US ton-force · inch", "tonne-force · mm", "kN · mm"]) {
    await evenstroke.units.selectOption(label);
    assert.equal(await evenstroke.savedFile(), before, label);
  }
  assert(await evenstroke.undo.isDisabled(), "units are no edit");
  await assertQuiet(opened);
});
