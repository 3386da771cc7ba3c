// The values of a curve at a place, by touch, mouse and keys.

import assert from "node:assert/strict";
import { test } from "../harness/test.mjs";
import { PHONE, TABLET_UPRIGHT, assertQuiet, openSaved, openServed } from "../harness/open.mjs";
import { axe, painted, readsText } from "../harness/act.mjs";
import { fingers, middleOf } from "../harness/fingers.mjs";
import { EvenstrokePage } from "../pages/evenstroke-page.mjs";

async function start(tools, options, open = openServed) {
  const opened = await open(tools, options);
  const evenstroke = new EvenstrokePage(opened);
  await evenstroke.skipFirstSteps();
  return { opened, page: opened.page, evenstroke, label: evenstroke.figure.locator("output") };
}

const number = (text, pattern) => Number(pattern.exec(text)[1]);

for (const [form, open] of [["served", openServed], ["saved", openSaved]]) {
  test(`a finger on the chart reads the values there, beside the finger, ${form}`, async (tools) => {
    const { opened, page, evenstroke, label } = await start(tools, { viewport: TABLET_UPRIGHT, hasTouch: true }, open);
    const { box } = await middleOf(evenstroke.chart);
    for (const part of [0.3, 0.88]) {
      const at = { x: box.x + box.width * part, y: box.y + box.height * 0.5 };
      const lift = await fingers(page, [{ x: at.x - 20, y: at.y }], [at], { lift: false });
      await readsText(label, /^[\d.]+ mm above BDC\nnominal [\d.]+ kN\nupper [\d.]+ kN\npress allows [\d.]+ kN/);
      const under = await label.boundingBox();
      assert(at.x < under.x - 20 || at.x > under.x + under.width + 20, "the finger does not hide it");
      assert(under.x >= box.x && under.x + under.width <= box.x + box.width + 1, "it lies in the picture");
      const text = await label.textContent();
      const height = number(text, /^([\d.]+) mm/);
      await readsText(evenstroke.readout, `At ${height.toFixed(1)} mm`);
      // On a steep flank two heights that read alike have other forces: both are read once at rest.
      const both = async () => [
        number(await label.textContent(), /nominal ([\d.]+)/),
        number(await evenstroke.readout.textContent(), /: ([\d.]+) kN nominal/),
      ];
      let [read, said] = await both();
      for (let tries = 0; read !== said && tries < 20; tries += 1) {
        await page.waitForTimeout(100);
        [read, said] = await both();
      }
      assert.equal(read, said, "the label says what the page says");
      await lift();
    }
    await assertQuiet(opened);
  });
}

// At 3.2 mm Pierce, Notch and Cut off may all be at work; the parts add up to the nominal line.
test("the parts of the stations add up to the nominal force", async (tools) => {
  const { opened, page, evenstroke, label } = await start(tools);
  const box = await evenstroke.chart.boundingBox();
  let seen = 0;
  for (let part = 0.75; part < 0.92; part += 0.02) {
    await page.mouse.move(box.x + box.width * part, box.y + 60);
    await painted(page);
    const text = await label.textContent();
    const parts = [...text.matchAll(/^\d+\. .* ([\d.]+) kN$/gm)].map((found) => Number(found[1]));
    if (parts.length < 2) continue;
    seen += 1;
    const sum = parts.reduce((sum, one) => sum + one, 0);
    assert(Math.abs(sum - number(text, /nominal ([\d.]+)/)) <= 0.05 * (parts.length + 1), text);
  }
  assert(seen > 0, "somewhere two stations work together");
  await assertQuiet(opened);
});

test("a mouse that passes over the chart reads it without moving the slide, and takes the label along when it leaves", async (tools) => {
  const { opened, page, evenstroke, label } = await start(tools);
  const before = await evenstroke.readout.textContent();
  const box = await evenstroke.chart.boundingBox();
  await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
  await readsText(label, /above BDC/);
  assert.equal(await evenstroke.readout.textContent(), before);
  await page.mouse.move(box.x + box.width / 2, box.y - 200);
  await page.waitForFunction(() => document.querySelector(".stroke output").textContent === "");
  await assertQuiet(opened);
});

test("keys move the slide on the chart and the values are said", async (tools) => {
  const { opened, evenstroke, label } = await start(tools);
  const chart = evenstroke.stroke.getByRole("application");
  await chart.press("Home");
  await readsText(label, /^20\.0 mm above BDC/);
  assert.equal(await label.getAttribute("aria-live"), "polite");
  await chart.press("Shift+ArrowRight");
  await readsText(label, /^19\.0 mm above BDC/);
  await chart.press("ArrowRight");
  await readsText(label, /^18\.9 mm above BDC/);
  await readsText(evenstroke.readout, /^At 18\.9 mm/);
  await axe(opened.page);
  await chart.press("Escape");
  assert.equal(await label.textContent(), "");
  await assertQuiet(opened);
});

for (const [figure, pattern] of [
  ["Speed, energy and stretch", /^strokes per minute: [\d.]+\nthe flywheel gives: [\d.]+ kJ\none stroke takes [\d.]+ kJ/],
  ["Snap-through, an estimate", /^time from first touch, ms: [\d.]+\nnominal: -?[\d.]+ kN\nupper, worn: -?[\d.]+ kN\nstop at 63\.0 kN of pull/],
  ["Tilt of the slide", /^height of the drive above BDC, mm: [\d.]+\nleft–right, right side up: -?[\d.]+ mm\/m\nfront–back, back up: -?[\d.]+ mm\/m/],
]) {
  test(`“${figure}” is read by mouse, finger and keys`, async (tools) => {
    const { opened, page, evenstroke, label } = await start(tools, { viewport: PHONE, hasTouch: true });
    await evenstroke.show(figure);
    const picture = evenstroke.figure.getByRole("img");
    const { x, y, box } = await middleOf(picture);
    await page.mouse.move(x, y);
    await readsText(label, pattern);
    const lift = await fingers(page, [{ x: x - 60, y }], [{ x: x - 100, y }], { lift: false });
    await readsText(label, pattern);
    const under = await label.boundingBox();
    assert(under.x > x - 100 && under.x + under.width <= box.x + box.width + 1, "the finger does not hide it");
    await lift();
    const first = await label.textContent();
    await evenstroke.figure.getByRole("application").press("Shift+ArrowRight");
    await readsText(label, pattern);
    assert.notEqual(await label.textContent(), first);
    await assertQuiet(opened);
  });
}
