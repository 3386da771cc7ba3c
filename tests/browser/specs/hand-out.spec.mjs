// Pictures and curve are handed out as files.

import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { test } from "../harness/test.mjs";
import { assertQuiet, openServed } from "../harness/open.mjs";
import { EvenstrokePage } from "../pages/evenstroke-page.mjs";

async function handedOut(tools, label, figure = "Force through the stroke") {
  const opened = await openServed(tools);
  const evenstroke = new EvenstrokePage(opened);
  await evenstroke.show(figure);
  await evenstroke.jobsButton.click();
  const [download] = await Promise.all([
    opened.page.waitForEvent("download"),
    evenstroke.jobs.getByRole("button", { name: label }).click(),
  ]);
  const bytes = await readFile(await download.path());
  await assertQuiet(opened);
  return { name: download.suggestedFilename(), bytes };
}

for (const [label, name, words] of [
  ["Stroke chart, SVG", "gate-latch-plate-5-station-progressive-stroke.svg", /press allows/],
  ["Bolster plan, SVG", "gate-latch-plate-5-station-progressive-plan.svg", /mm left/],
]) {
  test(`${label} is a picture that stands alone`, async (tools) => {
    const { name: given, bytes } = await handedOut(tools, label);
    assert.equal(given, name);
    const text = bytes.toString("utf8");
    assert.match(text, /^<svg xmlns="http:\/\/www\.w3\.org\/2000\/svg"/);
    assert.match(text, words);
    assert.doesNotMatch(text, /<script|href=/);
  });
}

for (const label of ["Stroke chart, PNG", "Bolster plan, PNG"]) {
  test(`${label} is a picture, whatever the page shows`, async (tools) => {
    const { bytes } = await handedOut(tools, label, "What if");
    assert.deepEqual([...bytes.subarray(0, 8)], [0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]);
    assert(bytes.readUInt32BE(16) >= 980, "it is sharp enough to print");
    assert(bytes.length > 10_000, "something is drawn");
  });
}

test("the force curve is a table with a heading and numbers", async (tools) => {
  const { bytes } = await handedOut(tools, "Force curve, CSV");
  const [head, ...rows] = bytes.toString("utf8").trim().split("\n");
  assert.equal(head, "height_mm,force_kn,upper_kn,available_kn,x_mm,y_mm");
  assert(rows.length > 50);
  const heights = rows.map((row) => Number(row.split(",")[0]));
  for (let i = 1; i < heights.length; i += 1) assert(heights[i] <= heights[i - 1]);
});
