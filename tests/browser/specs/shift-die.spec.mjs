import assert from "node:assert/strict";
import { test } from "../harness/test.mjs";
import { SMALL_PHONE, TABLET_UPRIGHT, assertQuiet, openServed } from "../harness/open.mjs";
import { dragBy, dragByTouch, painted, readsText } from "../harness/act.mjs";
import { EvenstrokePage } from "../pages/evenstroke-page.mjs";

const AT_CENTRE = "Die centre at the bolster centre";
// On its way it may pass a place where the slots hold it.
const TO_THE_RIGHT = /^Die centre \d+\.\d mm right of the bolster centre(; the slots hold it)?$/;

async function start(tools, options) {
  const opened = await openServed(tools, options);
  const evenstroke = new EvenstrokePage(opened);
  await readsText(evenstroke.place, AT_CENTRE);
  const offCentre = evenstroke.limit("Off-centre, left–right");
  return { opened, evenstroke, offCentre };
}

test("a die dragged by mouse takes its limits along and comes back with one undo", async (tools) => {
  const { opened, evenstroke, offCentre } = await start(tools);
  const before = await offCentre.textContent();
  await dragBy(opened.page, evenstroke.plan, { x: 30, y: 0 });
  await readsText(evenstroke.place, TO_THE_RIGHT);
  const placed = await evenstroke.place.textContent();
  const moved = await offCentre.textContent();
  assert.notEqual(moved, before, "the off-centre load follows the die");

  await evenstroke.undo.click();
  await readsText(evenstroke.place, AT_CENTRE);
  assert.equal(await offCentre.textContent(), before);
  assert(await evenstroke.undo.isDisabled(), "the whole drag is one step");

  await evenstroke.redo.click();
  await readsText(evenstroke.place, placed);
  assert.equal(await offCentre.textContent(), moved);
  await assertQuiet(opened);
});

test("a die is dragged by finger without scrolling the page", async (tools) => {
  const { opened, evenstroke, offCentre } = await start(tools, { viewport: TABLET_UPRIGHT, hasTouch: true });
  const before = await offCentre.textContent();
  const scrolled = () => opened.page.evaluate(() => window.scrollY);
  await evenstroke.plan.scrollIntoViewIfNeeded();
  const from = await scrolled();
  await dragByTouch(opened.page, evenstroke.plan, { x: 30, y: -40 });
  await readsText(evenstroke.place, /mm right, \d+\.\d mm back of/);
  assert.notEqual(await offCentre.textContent(), before);
  assert.equal(await scrolled(), from, "the page stays where it is");
  await assertQuiet(opened);
});

// The words over the plan grow and shrink with the verdict; the die must not jump with them.
test("a die dragged straight to the right on a phone goes straight to the right", async (tools) => {
  const { opened, evenstroke } = await start(tools, { viewport: SMALL_PHONE, hasTouch: true });
  await evenstroke.units.selectOption("US ton-force · inch");
  await dragByTouch(opened.page, evenstroke.plan, { x: 90, y: 0 });
  await evenstroke.verdictReads("Over a limit");
  await readsText(evenstroke.place, /^Die centre [\d.]+ in right of the bolster centre$/);
  await assertQuiet(opened);
});

test("the numbers follow while the die is still held", async (tools) => {
  const { opened, evenstroke, offCentre } = await start(tools);
  const before = await offCentre.textContent();
  const box = await evenstroke.plan.boundingBox();
  const { mouse } = opened.page;
  await mouse.move(box.x + box.width / 2, box.y + box.height / 2);
  await mouse.down();
  await mouse.move(box.x + box.width / 2 - 25, box.y + box.height / 2, { steps: 5 });
  await readsText(evenstroke.place, /mm left of/);
  assert.notEqual(await offCentre.textContent(), before);
  assert(await evenstroke.undo.isDisabled(), "nothing is written before the die is let go");
  await mouse.up();
  await readsText(evenstroke.place, /mm left of/);
  assert(await evenstroke.undo.isEnabled());
  await assertQuiet(opened);
});

test("Escape lets go of a dragged die where it stood", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  const box = await evenstroke.plan.boundingBox();
  const { mouse, keyboard } = opened.page;
  await mouse.move(box.x + box.width / 2, box.y + box.height / 2);
  await mouse.down();
  await mouse.move(box.x + box.width / 2 + 40, box.y + box.height / 2, { steps: 5 });
  await readsText(evenstroke.place, TO_THE_RIGHT);
  await keyboard.press("Escape");
  await readsText(evenstroke.place, AT_CENTRE);
  await mouse.up();
  await painted(opened.page);
  await readsText(evenstroke.place, AT_CENTRE);
  assert(await evenstroke.undo.isDisabled());
  await assertQuiet(opened);
});

test("arrow keys shift the die by 1 mm, with Shift by 10 mm", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  await evenstroke.plan.press("ArrowRight");
  await readsText(evenstroke.place, "Die centre 1.0 mm right of the bolster centre");
  await evenstroke.plan.press("Shift+ArrowDown");
  await readsText(evenstroke.place, "Die centre 1.0 mm right, 10.0 mm front of the bolster centre");
  await assertQuiet(opened);
});

test("the die is centred with one button", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  await evenstroke.plan.press("Shift+ArrowLeft");
  await readsText(evenstroke.place, "10.0 mm left");
  await opened.page.getByRole("button", { name: "Centre the die" }).click();
  await readsText(evenstroke.place, AT_CENTRE);
  await assertQuiet(opened);
});
