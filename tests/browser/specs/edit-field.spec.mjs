import assert from "node:assert/strict";
import { test } from "../harness/test.mjs";
import { assertQuiet, openServed } from "../harness/open.mjs";
import { readsText } from "../harness/act.mjs";
import { EvenstrokePage } from "../pages/evenstroke-page.mjs";

async function start(tools) {
  const opened = await openServed(tools);
  return { opened, evenstroke: new EvenstrokePage(opened) };
}

test("the rated force of the press is changed and its limit follows", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  await evenstroke.openCard("Press 12");
  await evenstroke.field("Rated force").fill("500");
  await readsText(evenstroke.limit("Rated force"), "of 500.0 kN");
  await readsText(evenstroke.cardHead("Press 12"), "500 kN");
  await assertQuiet(opened);
});

test("the thickness of the stock is changed, with a decimal comma, and the force follows", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  const before = await evenstroke.demand("Rated force");
  await evenstroke.openCard("Stock");
  await evenstroke.field("Thickness").fill("2,5");
  await readsText(evenstroke.cardHead("Stock"), "2.5 mm");
  assert((await evenstroke.demand("Rated force")) > before, "thicker stock asks for more force");
  assert.equal(await evenstroke.field("Thickness").inputValue(), "2,5", "it stays as typed");
  assert.equal(JSON.parse(await evenstroke.savedFile()).stock.thickness_mm, 2.5);
  await assertQuiet(opened);
});

test("the width of the die is changed and the fit on the bolster follows", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  await evenstroke.openCard("Die");
  await evenstroke.field("Left to right").fill("1300");
  await readsText(evenstroke.limit("Fit on bolster"), /over.*650\.0 of 625\.0 mm/);
  await evenstroke.verdictReads("Over a limit");
  await assertQuiet(opened);
});

test("the height at which a station touches is changed and the peak moves", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  const before = await evenstroke.limit("Rated force").textContent();
  await evenstroke.openCard("5 stations");
  await evenstroke.openStation("Notch");
  await evenstroke.field("First touch at", evenstroke.group("Work 1")).fill("8");
  await evenstroke.field("First touch at", evenstroke.group("Work 2")).fill("8");
  await readsText(evenstroke.limit("Rated force"), /[\d.]+ of 630\.0 kN/);
  assert.notEqual(await evenstroke.limit("Rated force").textContent(), before);
  await assertQuiet(opened);
});

test("the title is changed as it is typed", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  await evenstroke.openCard("Title, note, method");
  await evenstroke.field("Title").fill("Gate-latch plate, revision D");
  await readsText(evenstroke.title, /^Gate-latch plate, revision D$/);
  await assertQuiet(opened);
});

for (const [nonsense, message] of [
  ["abc", "must be a number"],
  ["1e999", "must be a number"],
  ["-5", "must be above 0 and at most 1000000 kN"],
]) {
  test(`"${nonsense}" in a field is answered there and loses nothing`, async (tools) => {
    const { opened, evenstroke } = await start(tools);
    const before = await evenstroke.savedFile();
    await evenstroke.openCard("Press 12");
    const field = evenstroke.field("Rated force");
    await field.fill(nonsense);
    await readsText(evenstroke.fieldMessage("Rated force"), message);
    assert.equal(await field.getAttribute("aria-invalid"), "true");
    await evenstroke.verdictReads("Near a limit");
    await readsText(evenstroke.limit("Rated force"), "of 630.0 kN");
    assert.equal(await evenstroke.savedFile(), before);

    await field.fill("700");
    await readsText(evenstroke.limit("Rated force"), "of 700.0 kN");
    assert.equal(await evenstroke.fieldMessage("Rated force").count(), 0, "the message goes");
    await assertQuiet(opened);
  });
}

test("a part of a number where only whole ones count is answered there and loses nothing", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  const before = await evenstroke.savedFile();
  await evenstroke.openCard("5 stations");
  await opened.page.getByRole("button", { name: /^Pierce/ }).first().click();
  await evenstroke.field("Position along the strip").fill("1.7");
  await readsText(evenstroke.fieldMessage("Position along the strip"), "must be a whole number");
  assert.equal(await evenstroke.savedFile(), before);
  await assertQuiet(opened);
});

test("a field that is needed cannot be emptied", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  await evenstroke.openCard("Stock");
  await evenstroke.field("Thickness").fill("");
  await readsText(evenstroke.fieldMessage("Thickness"), "must not be empty");
  await evenstroke.verdictReads("Near a limit");
  await readsText(evenstroke.cardHead("Stock"), "2 mm");
  await evenstroke.openCard("Die");
  await evenstroke.openCard("Stock");
  assert.equal(await evenstroke.field("Thickness").inputValue(), "2", "the last value is still there");
  await assertQuiet(opened);
});

test("Ctrl+Z in a field takes the last edit back and Ctrl+Y makes it again", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  await evenstroke.openCard("Press 12");
  const field = evenstroke.field("Rated force");
  await field.fill("500");
  await readsText(evenstroke.limit("Rated force"), "of 500.0 kN");
  await field.press("Control+z");
  await readsText(evenstroke.limit("Rated force"), "of 630.0 kN");
  assert.equal(await field.inputValue(), "630");
  await field.press("Control+y");
  await readsText(evenstroke.limit("Rated force"), "of 500.0 kN");
  assert.equal(await field.inputValue(), "500");
  await assertQuiet(opened);
});

test("a missing rating leaves the job unchecked and is named with where to find it", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  await evenstroke.openCard("Press 12");
  await evenstroke.field("Moment, left–right").fill("");
  await evenstroke.verdictReads("Not checked: data missing");
  await evenstroke.verdictReads(/left–right off-centre rating not entered \(press manual\)/);
  const limit = evenstroke.limit("Off-centre, left–right");
  await readsText(limit, "not checked");
  await readsText(limit, "needed for a verdict");
  await evenstroke.undo.click();
  await evenstroke.verdictReads("Near a limit");
  await assertQuiet(opened);
});
