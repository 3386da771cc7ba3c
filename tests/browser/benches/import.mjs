// How long the page takes to read a DXF of 5 MB, and for how long at most it stands still meanwhile:
// `node tests/browser/benches/import.mjs [served|saved]`, after `cargo xtask page`, with
// EVENSTROKE_XTASK naming the built xtask. Prints; asserts nothing.

import { startBrowser } from "../harness/browser.mjs";
import { openSaved, openServed } from "../harness/open.mjs";
import { EvenstrokePage } from "../pages/evenstroke-page.mjs";

const SIZE = 5_000_000;
const ROUNDS = 3;

/** Plates of loose lines with holes, each line on its own, as an exchange file has them. */
function dxf() {
  const parts = ["0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n"];
  let size = 0;
  for (let index = 0; size < SIZE; index += 1) {
    const [x, y] = [(index % 100) * 40.25, Math.floor(index / 100) * 30.5];
    const line = (a, b, c, d) =>
      `0\nLINE\n5\n${index.toString(16)}\n100\nAcDbEntity\n8\nCUT\n100\nAcDbLine\n10\n${x + a}\n20\n${y + b}\n30\n0.0\n11\n${x + c}\n21\n${y + d}\n31\n0.0\n`;
    const plate =
      line(0, 0, 30, 0) + line(30, 20, 0, 20) + line(30, 0, 30, 20) + line(0, 20, 0, 0) +
      `0\nCIRCLE\n8\nHOLES\n10\n${x + 15}\n20\n${y + 10}\n40\n2.5\n`;
    parts.push(plate);
    size += plate.length;
  }
  parts.push("0\nENDSEC\n0\nEOF\n");
  return Buffer.from(parts.join(""));
}

const form = process.argv[2] ?? "served";
const browser = await startBrowser();
const clean = [];
const tools = { browser, afterwards: (action) => clean.unshift(action) };
const { page } = await (form === "saved" ? openSaved(tools) : openServed(tools));
const evenstroke = new EvenstrokePage({ page });
await evenstroke.openCard("5 stations");
await evenstroke.cards.getByRole("button", { name: "Outlines from a drawing" }).click();
const file = { name: "plates.dxf", mimeType: "image/vnd.dxf", buffer: dxf() };
await page.evaluate(() => {
  window.longest = 0;
  new PerformanceObserver((list) => {
    for (const task of list.getEntries()) {
      // Before that the test tool hands the file over.
      if (task.startTime >= window.began) window.longest = Math.max(window.longest, task.duration);
    }
  }).observe({ type: "longtask" });
  document.addEventListener("change", () => { window.began = performance.now(); }, true);
});
for (let round = 0; round < ROUNDS; round += 1) {
  await page.evaluate(() => { window.longest = 0; });
  await page.getByLabel("Open a DXF or SVG file").setInputFiles(file);
  const found = () => /\d+ closed/.test(document.querySelector("dialog[open] [role=status]").textContent) && performance.now() - window.began;
  const took = await page.waitForFunction(found, null, { timeout: 20_000 }).then((handle) => handle.jsonValue());
  // Until all of it is painted.
  await page.waitForTimeout(2_000);
  const longest = await page.evaluate(() => window.longest);
  console.log(`${form} page, DXF of ${(file.buffer.length / 1e6).toFixed(1)} MB: read in ${took.toFixed(0)} ms, longest standstill ${longest.toFixed(0)} ms (0: none above 50)`);
}
for (const action of clean) await action();
await browser.close();
