// Chart and plan looked at more closely: two fingers, the wheel with Ctrl, buttons, keys.

import assert from "node:assert/strict";
import { test } from "../harness/test.mjs";
import { PHONE, TABLET_UPRIGHT, assertQuiet, openSaved, openServed } from "../harness/open.mjs";
import { dragBy, dragByTouch, painted, readsText } from "../harness/act.mjs";
import { fingers, middleOf, pinch } from "../harness/fingers.mjs";
import { EvenstrokePage } from "../pages/evenstroke-page.mjs";

async function start(tools, options, open = openServed) {
  const opened = await open(tools, options);
  const evenstroke = new EvenstrokePage(opened);
  await evenstroke.skipFirstSteps();
  return { opened, page: opened.page, evenstroke };
}

const zoomOf = (panel) => ({
  nearer: panel.getByRole("button", { name: "Nearer" }),
  farther: panel.getByRole("button", { name: "Farther away" }),
  whole: panel.getByRole("button", { name: "The whole picture" }),
});

/** The heights at the left and right quarter of the chart, as a touch reads them. */
async function heights(evenstroke) {
  const box = await evenstroke.chart.boundingBox();
  const at = async (part) => {
    await evenstroke.page.mouse.move(box.x + box.width * part, box.y + box.height / 2);
    await readsText(evenstroke.stroke.locator("output"), /above BDC/);
    await painted(evenstroke.page);
    return Number(/^([\d.]+) mm/.exec(await evenstroke.stroke.locator("output").textContent())[1]);
  };
  return [await at(0.3), await at(0.7)];
}

const pixels = (locator) => locator.evaluate((canvas) => canvas.toDataURL());

test("two fingers on the chart bring a part of the stroke nearer, and Whole leads back", async (tools) => {
  const { opened, page, evenstroke } = await start(tools, { viewport: TABLET_UPRIGHT, hasTouch: true });
  const zoom = zoomOf(evenstroke.stroke);
  assert(await zoom.whole.isDisabled());
  const [high, low] = await heights(evenstroke);
  await pinch(page, evenstroke.chart, 80, 320);
  await painted(page);
  assert(await zoom.whole.isEnabled());
  const [nearHigh, nearLow] = await heights(evenstroke);
  const times = (high - low) / (nearHigh - nearLow);
  assert(times > 3.5 && times < 4.5, `${times} times nearer`);
  assert.equal(await page.evaluate(() => window.visualViewport.scale), 1, "the page itself is not zoomed");
  await pinch(page, evenstroke.chart, 320, 40);
  await painted(page);
  assert(await zoom.whole.isDisabled(), "two fingers lead back as well");
  assert.deepEqual(await heights(evenstroke), [high, low]);
  await assertQuiet(opened);
});

test("the wheel scrolls the page, with Ctrl it brings what is under it nearer", async (tools) => {
  const { opened, page, evenstroke } = await start(tools, { viewport: TABLET_UPRIGHT });
  const zoom = zoomOf(evenstroke.stroke);
  const at = await middleOf(evenstroke.chart);
  await page.mouse.move(at.x, at.y);
  await page.mouse.wheel(0, 60);
  await painted(page);
  assert(await zoom.whole.isDisabled(), "the wheel alone does nothing to the chart");
  await middleOf(evenstroke.chart);
  const height = async () => Number(/^([\d.]+) mm/.exec(await evenstroke.stroke.locator("output").textContent())[1]);
  const here = await middleOf(evenstroke.chart);
  await page.mouse.move(here.x + 1, here.y);
  await painted(page);
  const before = await height();
  await page.keyboard.down("Control");
  await page.mouse.wheel(0, -100);
  await page.keyboard.up("Control");
  await readsText(evenstroke.stroke.locator("output"), /above BDC/);
  assert(await zoom.whole.isEnabled());
  await page.mouse.move(here.x + 1, here.y + 1);
  await painted(page);
  assert(Math.abs((await height()) - before) <= 0.11, "what lies under the pointer stays there");
  await assertQuiet(opened);
});

for (const [form, open] of [["served", openServed], ["saved", openSaved]]) {
  test(`buttons and keys go nearer and farther, ${form}`, async (tools) => {
    const { opened, page, evenstroke } = await start(tools, {}, open);
    for (const panel of [evenstroke.stroke, evenstroke.planPanel]) {
      const zoom = zoomOf(panel);
      const canvas = panel.locator("canvas");
      await painted(page);
      const whole = await pixels(canvas);
      await zoom.nearer.click();
      await painted(page);
      assert.notEqual(await pixels(canvas), whole);
      await zoom.farther.click();
      await painted(page);
      assert(await zoom.whole.isDisabled());
      const area = panel.getByRole("application");
      await area.press("+");
      await area.press("+");
      await area.press("-");
      assert(await zoom.whole.isEnabled());
      await painted(page);
      const near = await pixels(canvas);
      await area.press("Alt+ArrowRight");
      await area.press("Alt+ArrowRight");
      await painted(page);
      assert.notEqual(await pixels(canvas), near, "Alt with an arrow key moves what is in view");
      await area.press("0");
      assert(await zoom.whole.isDisabled());
    }
    await assertQuiet(opened);
  });
}

test("of a part in view a drag moves it, and the handle is still dragged", async (tools) => {
  const { opened, page, evenstroke } = await start(tools);
  const zoom = zoomOf(evenstroke.stroke);
  await zoom.nearer.click();
  await zoom.nearer.click();
  await zoom.nearer.click();
  const before = await evenstroke.readout.textContent();
  const box = await evenstroke.chart.boundingBox();
  // The handle: where a step of the keys and the words agree is found by its height.
  const [high] = await heights(evenstroke);
  const far = { x: box.x + box.width * 0.15, y: box.y + box.height * 0.6 };
  await page.mouse.move(far.x, far.y);
  await page.mouse.down();
  await page.mouse.move(far.x + 60, far.y + 10, { steps: 5 });
  await page.mouse.up();
  await painted(page);
  assert.equal(await evenstroke.readout.textContent(), before, "the slide stays where it was");
  const [moved] = await heights(evenstroke);
  assert(moved > high, `${moved} mm lies where ${high} mm was`);
  // The slide stands at the peak; look for its line by the heights that a mouse reads.
  const at = Number(/^At ([\d.]+) mm/.exec(before)[1]);
  let x = box.x + 60;
  const read = async () => Number(/^([\d.]+) mm/.exec(await evenstroke.stroke.locator("output").textContent())[1]);
  for (; x < box.x + box.width - 20; x += 6) {
    await page.mouse.move(x, box.y + box.height / 2);
    await painted(page);
    if ((await read()) <= at) break;
  }
  await page.mouse.down();
  await page.mouse.move(x - 40, box.y + box.height / 2, { steps: 4 });
  await page.mouse.up();
  await painted(page);
  const after = Number(/^At ([\d.]+) mm/.exec(await evenstroke.readout.textContent())[1]);
  assert(after > at, `the slide went up from ${at} mm to ${after} mm`);
  await assertQuiet(opened);
});

test("two fingers on the plan bring it nearer without moving the die, which is dragged there as before", async (tools) => {
  const { opened, page, evenstroke } = await start(tools, { viewport: TABLET_UPRIGHT, hasTouch: true });
  const zoom = zoomOf(evenstroke.planPanel);
  const way = async () => {
    await dragByTouch(page, evenstroke.plan, { x: 0, y: -40 });
    const [, mm] = /([\d.]+) mm back/.exec(await evenstroke.place.textContent());
    await evenstroke.undo.click();
    return Number(mm);
  };
  const whole = await way();
  await pinch(page, evenstroke.plan, 60, 180);
  await readsText(evenstroke.place, "Die centre at the bolster centre");
  assert(await evenstroke.undo.isDisabled(), "two fingers move nothing");
  const near = await way();
  assert(Math.abs(whole / near - 3) < 0.35, `${whole} mm, then ${near} mm for the same way of the finger`);
  await zoom.whole.click();
  assert.equal(await way(), whole);
  await assertQuiet(opened);
});

test("the part in view is kept while the die and its data change, and left with another job", async (tools) => {
  const { opened, page, evenstroke } = await start(tools);
  const zooms = [zoomOf(evenstroke.stroke), zoomOf(evenstroke.planPanel)];
  for (const zoom of zooms) await zoom.nearer.click();
  const before = await heights(evenstroke);
  await evenstroke.plan.press("Shift+ArrowRight");
  await evenstroke.openCard("5 stations");
  await evenstroke.openStation("Bend");
  await evenstroke.field("First touch at").first().fill("17");
  await evenstroke.cardHead("5 stations").click();
  await painted(page);
  const after = await heights(evenstroke);
  assert(after.every((height, index) => Math.abs(height - before[index]) <= 0.11), `${before}, then ${after}`);
  for (const zoom of zooms) assert(await zoom.whole.isEnabled());
  await evenstroke.openDemo("Ring washer, compound");
  for (const zoom of zooms) assert(await zoom.whole.isDisabled());
  await assertQuiet(opened);
});

test("one finger on the chart still scrolls the page up and down", async (tools) => {
  const { opened, page, evenstroke } = await start(tools, { viewport: PHONE, hasTouch: true });
  const at = await middleOf(evenstroke.chart);
  const before = await page.evaluate(() => window.scrollY);
  await fingers(page, [at], [{ x: at.x, y: at.y - 200 }], { steps: 12 });
  await page.waitForFunction((before) => window.scrollY > before + 50, before);
  await assertQuiet(opened);
});

test("a figure chosen anew is shown whole, and another figure is looked at closely as well", async (tools) => {
  const { opened, page, evenstroke } = await start(tools);
  await zoomOf(evenstroke.figure).nearer.click();
  await evenstroke.show("Snap-through, an estimate");
  const zoom = zoomOf(evenstroke.figure);
  assert(await zoom.whole.isDisabled());
  const canvas = evenstroke.figure.locator("canvas");
  await painted(page);
  const whole = await pixels(canvas);
  await zoom.nearer.click();
  await painted(page);
  assert.notEqual(await pixels(canvas), whole);
  await dragBy(page, evenstroke.figure.getByRole("img"), { x: 40, y: 0 });
  await zoom.whole.click();
  await evenstroke.show("What if");
  assert.equal(await zoom.nearer.isVisible(), false, "a table has no zoom");
  await assertQuiet(opened);
});
