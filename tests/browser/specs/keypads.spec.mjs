// What a phone's keys have room for, and tables that take what fields do.

import assert from "node:assert/strict";
import { test } from "../harness/test.mjs";
import { PHONE, assertQuiet, openServed } from "../harness/open.mjs";
import { fitsGloves, readsText } from "../harness/act.mjs";
import { EvenstrokePage } from "../pages/evenstroke-page.mjs";

test("the unit beside a number asks for all letters and back, and keeps the field in hand", async (tools) => {
  const opened = await openServed(tools, { viewport: PHONE, hasTouch: true });
  const evenstroke = new EvenstrokePage(opened);
  await evenstroke.openCard("Die");
  const field = evenstroke.field("Left to right");
  const unit = evenstroke.frame("Left to right").getByRole("button", { name: "mm", exact: true });
  assert.equal(await field.getAttribute("inputmode"), "decimal", "digits are typed most");
  await field.fill("36 1/2");
  await unit.tap();
  assert.equal(await field.getAttribute("inputmode"), "text");
  assert(await field.evaluate((input) => input === document.activeElement), "the keys come up for the field");
  assert.equal(await field.inputValue(), "36 1/2", "nothing typed is lost");
  await field.fill("36 1/2 in");
  await readsText(evenstroke.understood("Left to right"), "= 927.1 mm");
  await unit.tap();
  assert.equal(await field.getAttribute("inputmode"), "decimal");
  await evenstroke.units.selectOption("US ton-force · inch");
  const other = evenstroke.field("Front to back");
  assert.equal(await other.getAttribute("inputmode"), "text", "where inches are read fractions are common");
  await fitsGloves(opened.page);
  await assertQuiet(opened);
});

test("a table takes units, fractions and arithmetic, and says which cell it does not understand", async (tools) => {
  const opened = await openServed(tools);
  const evenstroke = new EvenstrokePage(opened);
  await evenstroke.openCard("Die");
  const bolts = evenstroke.group("Bolts", evenstroke.cards).or(evenstroke.cards.locator("details").filter({ hasText: /olt/ })).first();
  if (!(await bolts.evaluate((element) => element.open))) await bolts.locator("summary").first().click();
  const table = bolts.locator("textarea").first();
  const saved = async () => JSON.parse(await evenstroke.savedFile()).die.bolts.lower;
  await table.fill('-14 3/4 in  -205\n14 3/4"; 2 x 100 + 5\n-375 205\n375 mm 20,5 cm');
  // An inch is 25.4 mm (yard and pound agreement of 1959; value from memory).
  assert.deepEqual((await saved()).map((row) => row.map((mm) => Math.round(mm * 1e6) / 1e6)), [
    [-374.65, -205],
    [374.65, 205],
    [-375, 205],
    [375, 205],
  ]);
  await table.fill("-375 -205\n375 20 kN");
  await readsText(bolts.getByRole("alert"), /line 2, back: takes mm, .*“kN” is not understood, given “20 kN”|line 2 must hold 2 numbers/);
  await table.fill("1 1/2 1/2");
  await readsText(bolts.getByRole("alert"), "line 1 can be read in two ways: put “;” between its 2 numbers");
  assert.equal((await saved()).length, 4, "the job keeps its last table");
  await assertQuiet(opened);
});
