import assert from "node:assert/strict";
import { test } from "../harness/test.mjs";
import { assertQuiet, openServed } from "../harness/open.mjs";
import { dragBy, readsText } from "../harness/act.mjs";
import { EvenstrokePage } from "../pages/evenstroke-page.mjs";

async function start(tools) {
  const opened = await openServed(tools);
  const evenstroke = new EvenstrokePage(opened);
  await readsText(evenstroke.readout, /^At \d+\.\d mm .* nominal, .* upper; press allows .* kN/);
  return { opened, evenstroke, atPeak: await evenstroke.readout.textContent() };
}

/** From now on the page's time goes on only as far as a test lets it, however slow the machine is. */
async function stopClock(page) {
  await page.clock.install();
  await page.clock.pauseAt(await page.evaluate(() => Date.now() + 1_000));
}

/** Height above BDC and the press's force as the readout tells them. */
async function readout(evenstroke) {
  const text = await evenstroke.readout.textContent();
  const [, height, allowed] = /^At ([\d.]+) mm.*press allows ([\d.]+) kN/.exec(text);
  return { height: Number(height), allowed: Number(allowed) };
}

test("the slide follows a drag on the chart", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  const box = await evenstroke.chart.boundingBox();
  await dragBy(opened.page, evenstroke.chart, { x: -box.width / 4, y: 0 });
  const high = await readout(evenstroke);
  await dragBy(opened.page, evenstroke.chart, { x: box.width / 4, y: 0 });
  const low = await readout(evenstroke);
  assert(high.height > low.height + 5, `left is higher: ${high.height} mm, then ${low.height} mm`);
  assert(high.allowed < low.allowed, "a crank press gives less force higher up");
  await assertQuiet(opened);
});

test("the slide follows the keys, left to right into BDC", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  await evenstroke.handle.press("End");
  await readsText(evenstroke.readout, /^At 0\.0 mm/);
  assert.equal(await evenstroke.handle.getAttribute("aria-valuetext"), "0.0 mm above BDC");
  await evenstroke.handle.press("Home");
  await readsText(evenstroke.readout, /^At 20\.0 mm/);
  await evenstroke.handle.press("PageUp");
  const { height } = await readout(evenstroke);
  assert(height < 20, `towards BDC, read ${height} mm`);
  await assertQuiet(opened);
});

test("the slide goes back to the peak", async (tools) => {
  const { opened, evenstroke, atPeak } = await start(tools);
  await evenstroke.handle.press("Home");
  await readsText(evenstroke.readout, /^At 20\.0 mm/);
  await opened.page.getByRole("button", { name: "To the peak" }).click();
  await readsText(evenstroke.readout, atPeak);
  await assertQuiet(opened);
});

test("a limit takes the slide to where it is used most", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  const limit = evenstroke.limit("Off-centre, front–back");
  const [, height] = /at ([\d.]+ mm)/.exec(await limit.textContent());
  await limit.locator("button.limit-row").click();
  await readsText(evenstroke.readout, new RegExp(`^At ${height}`));
  await assertQuiet(opened);
});

test("another strip state carries other loads", async (tools) => {
  const { opened, evenstroke, atPeak } = await start(tools);
  await evenstroke.handle.press("End");
  const full = await evenstroke.readout.textContent();
  assert.notEqual(full, atPeak);
  await opened.page.getByRole("combobox", { name: "Strip state" }).selectOption("strip filling, hit 1");
  await readsText(evenstroke.readout, /^At 0\.0 mm/);
  assert.notEqual(await evenstroke.readout.textContent(), full);
  await assertQuiet(opened);
});

test("a run stroke ends where it began", async (tools) => {
  const { opened, evenstroke, atPeak } = await start(tools);
  const { page } = opened;
  await stopClock(page);
  await page.getByRole("button", { name: "Run a stroke" }).click();
  await page.getByRole("button", { name: "Stop" }).waitFor();
  await page.clock.runFor(1_500);
  const way = await readout(evenstroke);
  assert.notEqual(await evenstroke.readout.textContent(), atPeak);
  await page.clock.runFor(1_000);
  const further = await readout(evenstroke);
  assert(further.height < way.height, `the slide goes down: ${way.height} mm, then ${further.height} mm`);
  await page.clock.runFor(5_000);
  await page.getByRole("button", { name: "Run a stroke" }).waitFor();
  await readsText(evenstroke.readout, atPeak);
  await assertQuiet(opened);
});

test("a running stroke stops where it is", async (tools) => {
  const { opened, evenstroke, atPeak } = await start(tools);
  const { page } = opened;
  await stopClock(page);
  await page.getByRole("button", { name: "Run a stroke" }).click();
  await page.clock.runFor(1_000);
  await page.getByRole("button", { name: "Stop" }).click();
  await page.getByRole("button", { name: "Run a stroke" }).waitFor();
  const stopped = await evenstroke.readout.textContent();
  assert.notEqual(stopped, atPeak);
  await page.clock.runFor(3_000);
  assert.equal(await evenstroke.readout.textContent(), stopped);
  await assertQuiet(opened);
});
