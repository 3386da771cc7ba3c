// Dies and stations moved on the plan by hand and by keys, and caught where they belong.

import assert from "node:assert/strict";
import { test } from "../harness/test.mjs";
import { PHONE, TABLET, TABLET_UPRIGHT, assertQuiet, openSaved, openServed } from "../harness/open.mjs";
import { axe, fitsGloves, noHorizontalScroll, painted, readsText } from "../harness/act.mjs";
import { fingers, middleOf } from "../harness/fingers.mjs";
import { demoJob } from "../harness/jobs.mjs";
import { EvenstrokePage } from "../pages/evenstroke-page.mjs";

const AT_CENTRE = "Die centre at the bolster centre";

async function start(tools, options, open = openServed) {
  const opened = await open(tools, options);
  const evenstroke = new EvenstrokePage(opened);
  await evenstroke.skipFirstSteps();
  await readsText(evenstroke.place, AT_CENTRE);
  const job = async () => JSON.parse(await evenstroke.savedFile());
  return { opened, page: opened.page, evenstroke, job };
}

/** Pixels to a millimetre: the whole bolster of the demo, 1250 mm wide and 800 mm deep, is in view. */
async function scale(evenstroke) {
  const box = await evenstroke.plan.boundingBox();
  const words = async (x) => {
    await evenstroke.page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
    await evenstroke.page.mouse.down();
    await evenstroke.page.keyboard.down("Alt");
    await evenstroke.page.mouse.move(box.x + box.width / 2 + x, box.y + box.height / 2, { steps: 4 });
    await painted(evenstroke.page);
    const text = await evenstroke.place.textContent();
    await evenstroke.page.keyboard.press("Escape");
    await evenstroke.page.mouse.up();
    await evenstroke.page.keyboard.up("Alt");
    return Number(/([\d.]+) mm right/.exec(text)[1]);
  };
  return 60 / (await words(60));
}

async function drag(page, from, by, { steps = 6 } = {}) {
  await page.mouse.move(from.x, from.y);
  await page.mouse.down();
  await page.mouse.move(from.x + by.x, from.y + by.y, { steps });
  await page.mouse.up();
}

// The demo's slots run from front to back 150 mm apart; its bolts stand on slots when it is centred.
test("near a place where its bolts meet the slots the die is caught, farther away it is free", async (tools) => {
  const { opened, page, evenstroke } = await start(tools);
  const perMm = await scale(evenstroke);
  const at = await middleOf(evenstroke.plan);
  await drag(page, at, { x: 145 * perMm, y: 0 });
  await readsText(evenstroke.place, /^Die centre 150\.0 mm right of the bolster centre$/);
  await evenstroke.undo.click();
  await drag(page, at, { x: 100 * perMm, y: 0 });
  await readsText(evenstroke.place, /^Die centre (9[6-9]|10[0-4])\.0 mm right of/);
  await evenstroke.undo.click();
  await readsText(evenstroke.place, AT_CENTRE);
  await assertQuiet(opened);
});

test("the words say that the slots hold the die while it is still in the hand", async (tools) => {
  const { opened, page, evenstroke } = await start(tools);
  const at = await middleOf(evenstroke.plan);
  await page.mouse.move(at.x, at.y);
  await page.mouse.down();
  await page.mouse.move(at.x + 4, at.y + 30, { steps: 4 });
  await readsText(evenstroke.place, /^Die centre [\d.]+ mm front of the bolster centre; the slots hold it$/);
  await page.mouse.up();
  await readsText(evenstroke.place, /^Die centre [\d.]+ mm front of the bolster centre$/);
  await assertQuiet(opened);
});

for (const [form, open] of [["served", openServed], ["saved", openSaved]]) {
  test(`with a button, and with Alt held, a die goes where it is put, ${form}`, async (tools) => {
    const { opened, page, evenstroke } = await start(tools, {}, open);
    const at = await middleOf(evenstroke.plan);
    const free = page.getByRole("button", { name: "Place freely" });
    assert.equal(await free.getAttribute("aria-pressed"), "false");
    await drag(page, at, { x: 5, y: 0 });
    await readsText(evenstroke.place, AT_CENTRE);
    await page.keyboard.down("Alt");
    await drag(page, at, { x: 5, y: 0 });
    await page.keyboard.up("Alt");
    await readsText(evenstroke.place, /^Die centre [1-9][\d.]* mm right/);
    await evenstroke.undo.click();
    await free.click();
    assert.equal(await free.getAttribute("aria-pressed"), "true");
    await drag(page, at, { x: 5, y: 0 });
    await readsText(evenstroke.place, /^Die centre [1-9][\d.]* mm right/);
    await assertQuiet(opened);
  });
}

test("with Ctrl the arrow keys go from slot to slot, and along the slots by 10 mm", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  await evenstroke.plan.press("ArrowRight");
  await evenstroke.plan.press("Control+ArrowRight");
  await readsText(evenstroke.place, "Die centre 150.0 mm right of the bolster centre");
  await evenstroke.plan.press("Control+ArrowLeft");
  await evenstroke.plan.press("Control+ArrowUp");
  await readsText(evenstroke.place, "Die centre 10.0 mm back of the bolster centre");
  assert.match(await evenstroke.plan.getAttribute("aria-roledescription"), /with Ctrl from slot to slot/);
  await assertQuiet(opened);
});

// A pixel is about 3 mm of the bolster on these screens.
/** Begins to move stations, and tells where on the window a station of the demo stands. */
async function moving(parts) {
  const { page, evenstroke } = parts;
  const perMm = await scale(evenstroke);
  await evenstroke.planPanel.getByRole("button", { name: "Move stations" }).click();
  await readsText(evenstroke.place, /^1\. Pierce 240\.0 mm left of the die centre; it keeps strip position 1/);
  await painted(page);
  const { x, y } = await middleOf(evenstroke.plan);
  const at = (mm) => ({ x: x + mm * perMm, y });
  return { perMm, at };
}

// Pitch 120 mm, fed to the right.
test("a station dragged by one pitch takes its work to the next strip position, in one step of undo", async (tools) => {
  const parts = await start(tools);
  const { opened, page, evenstroke, job } = parts;
  const { perMm, at } = await moving(parts);
  const from = at(120);
  await page.mouse.move(from.x, from.y);
  await page.mouse.down();
  await page.mouse.move(from.x - 60 * perMm, from.y, { steps: 4 });
  await readsText(evenstroke.place, /^4\. Bend (5[7-9]|6[0-3])\.0 mm right of the die centre; /);
  // However long it is held, it is one step.
  await page.waitForTimeout(1_700);
  await page.mouse.move(from.x - 117 * perMm, from.y + 2, { steps: 4 });
  await readsText(evenstroke.place, /^4\. Bend at the die centre; its work goes to strip position 3, from 4$/);
  await page.mouse.up();
  const moved = (await job()).stations[3];
  assert.deepEqual([moved.x_mm, moved.y_mm, moved.strip_position], [0, 0, 3]);
  await evenstroke.undo.click();
  const back = (await job()).stations[3];
  assert.deepEqual([back.x_mm, back.y_mm, back.strip_position], [120, 0, 4]);
  assert(await evenstroke.undo.isDisabled(), "the whole drag is one step");
  await assertQuiet(opened);
});

test("a station dragged by finger goes along and across, and Escape brings it back", async (tools) => {
  const parts = await start(tools, { viewport: TABLET_UPRIGHT, hasTouch: true });
  const { opened, page, evenstroke, job } = parts;
  const { perMm, at } = await moving(parts);
  const from = at(-120);
  const lift = await fingers(page, [from], [{ x: from.x + 40 * perMm, y: from.y - 50 * perMm }], { lift: false });
  await readsText(evenstroke.place, /^2\. Notch (7[7-9]|8[0-3])\.0 mm left, (4[7-9]|5[0-3])\.0 mm back of the die centre; it keeps strip position 2/);
  await page.keyboard.press("Escape");
  await readsText(evenstroke.place, /^2\. Notch 120\.0 mm left of the die centre/);
  await lift();
  assert(await evenstroke.undo.isDisabled());
  await fingers(page, [from], [{ x: from.x + 40 * perMm, y: from.y - 50 * perMm }]);
  const { x_mm, y_mm } = (await job()).stations[1];
  assert(Math.abs(x_mm + 80) <= 3 && Math.abs(y_mm - 50) <= 3, `${x_mm}, ${y_mm}`);
  await assertQuiet(opened);
});

test("keys choose a station and move it by 1 mm, 10 mm and the pitch", async (tools) => {
  const parts = await start(tools);
  const { opened, evenstroke } = parts;
  await moving(parts);
  await evenstroke.plan.press("PageDown");
  await readsText(evenstroke.place, /^2\. Notch 120\.0 mm left/);
  await evenstroke.plan.press("ArrowUp");
  await evenstroke.plan.press("Shift+ArrowRight");
  await readsText(evenstroke.place, /^2\. Notch 110\.0 mm left, 1\.0 mm back of the die centre; it keeps strip position 2$/);
  await evenstroke.plan.press("Control+ArrowRight");
  await readsText(evenstroke.place, /^2\. Notch 10\.0 mm right, 1\.0 mm back of the die centre; its work goes to strip position 3, from 2/);
  await evenstroke.plan.press("Escape");
  await readsText(evenstroke.place, AT_CENTRE);
  await assertQuiet(opened);
});

test("a locked station stays and says why; without a strip nothing else moves", async (tools) => {
  const parts = await start(tools);
  const { opened, page, evenstroke, job } = parts;
  const own = await demoJob("progressive");
  own.stations[3].locked = true;
  await evenstroke.openFile("locked.json", own);
  const { perMm, at } = await moving(parts);
  await drag(page, at(120), { x: 50 * perMm, y: 0 });
  await readsText(evenstroke.place, /^4\. Bend 120\.0 mm right of the die centre; locked, so it stays/);
  assert.equal((await job()).stations[3].x_mm, 120);
  own.die.kind = "single";
  delete own.die.strip;
  await evenstroke.openFile("single.json", own);
  await drag(page, at(-120), { x: 40 * perMm, y: 40 * perMm });
  await readsText(evenstroke.place, /^2\. Notch .* of the die centre; nothing else moves$/);
  await assertQuiet(opened);
});

for (const [name, viewport] of Object.entries({ TABLET, PHONE })) {
  test(`moving stations can be reached and read at the size of a ${name.toLowerCase()}`, async (tools) => {
    const parts = await start(tools, { viewport, hasTouch: true });
    const { opened, page, evenstroke } = parts;
    await evenstroke.planPanel.getByRole("button", { name: "Move stations" }).click();
    await evenstroke.planPanel.getByLabel("Station that is moved").selectOption("4. Bend");
    await readsText(evenstroke.place, /^4\. Bend/);
    await noHorizontalScroll(page);
    await fitsGloves(page);
    await axe(page);
    await assertQuiet(opened);
  });
}
