import assert from "node:assert/strict";
import { test } from "../harness/test.mjs";
import { assertQuiet, openServed } from "../harness/open.mjs";
import { readsText } from "../harness/act.mjs";
import { EvenstrokePage } from "../pages/evenstroke-page.mjs";

async function start(tools) {
  const opened = await openServed(tools);
  const evenstroke = new EvenstrokePage(opened);
  await evenstroke.openCard("Die");
  return { opened, evenstroke, saved: async () => JSON.parse(await evenstroke.savedFile()) };
}

// An inch is 25.4 mm (yard and pound agreement of 1959; value from memory).
for (const [typed, understood, millimetres] of [
  ["36 1/2 in", "= 927.1 mm", 927.1],
  ['3/8"', "= 9.525 mm", 9.525],
  ["900 + 12,5", "= 912.5 mm", 912.5],
  ["2 x 450", "= 900 mm", 900],
  ["90 cm", "= 900 mm", 900],
]) {
  test(`${typed} in a field of millimetres is understood, told and kept in millimetres`, async (tools) => {
    const { opened, evenstroke, saved } = await start(tools);
    const field = evenstroke.field("Left to right");
    await field.pressSequentially(" ");
    await field.fill(typed);
    await readsText(evenstroke.understood("Left to right"), understood);
    assert.equal(await field.inputValue(), typed, "it stays as typed");
    assert(Math.abs((await saved()).die.width_mm - millimetres) < 1e-9);
    await assertQuiet(opened);
  });
}

test("the cursor stays where it is while a number is changed in the middle", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  const field = evenstroke.field("Left to right");
  await field.fill("36 1/2 in");
  await field.evaluate((input) => input.setSelectionRange(2, 2));
  await opened.page.keyboard.type(".0");
  const [value, at, focused] = await field.evaluate((input) => [
    input.value,
    input.selectionStart,
    input === document.activeElement,
  ]);
  assert.deepEqual([value, at, focused], ["36.0 1/2 in", 4, true]);
  await assertQuiet(opened);
});

test("a unit that was typed wins over the one on screen, before and after the screen changes", async (tools) => {
  const { opened, evenstroke, saved } = await start(tools);
  await evenstroke.units.selectOption("US ton-force · inch");
  await evenstroke.field("Left to right").fill("800 mm");
  await readsText(evenstroke.understood("Left to right"), "= 31.49606 in");
  assert.equal((await saved()).die.width_mm, 800);
  await evenstroke.units.selectOption("kN · mm");
  assert.equal((await saved()).die.width_mm, 800);
  assert.equal(await evenstroke.field("Left to right").inputValue(), "800 mm");
  await readsText(evenstroke.understood("Left to right"), "= 800 mm");
  await assertQuiet(opened);
});

for (const [label, typed, message] of [
  ["Thickness", "14 ga", "Thickness: must be in mm or in: gauge numbers differ from table to table, given “14 ga”"],
  ["Thickness", "1,250", "Thickness: has two meanings: write 1.250 or 1250, given “1,250”"],
  ["Thickness", "2 kN", "so “kN” is not understood"],
]) {
  test(`${typed} as a thickness is refused with the reason and loses nothing`, async (tools) => {
    const { opened, evenstroke, saved } = await start(tools);
    const before = await saved();
    await evenstroke.openCard("Stock");
    await evenstroke.field(label).fill(typed);
    await readsText(evenstroke.fieldMessage(label), message);
    assert.deepEqual(await saved(), before);
    await assertQuiet(opened);
  });
}

test("a bare ton is asked for by name, and the named ones are taken", async (tools) => {
  const { opened, evenstroke, saved } = await start(tools);
  await evenstroke.openCard("Press 12");
  await evenstroke.field("Rated force").fill("70 ton");
  await readsText(evenstroke.fieldMessage("Rated force"), "Rated force: must say which ton: US ton (2000 lb) or tonne-f (1000 kg)");
  assert.equal((await saved()).press.rated_force_kn, 630);
  await evenstroke.field("Rated force").fill("70 US ton");
  await readsText(evenstroke.understood("Rated force"), "= 622.751 kN");
  await evenstroke.field("Rated force").fill("70 tonne-f");
  await readsText(evenstroke.understood("Rated force"), "= 686.4655 kN");
  await assertQuiet(opened);
});
