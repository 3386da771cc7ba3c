// Paints icons/mark.svg as the PNGs that systems ask for: `node www/make-icons.mjs`, after
// `cargo xtask setup`. The pictures are committed, so that no build needs a browser.

import { readFile, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { startBrowser } from "../tests/browser/harness/browser.mjs";

const here = join(import.meta.dirname, "icons");
const mark = (await readFile(join(here, "mark.svg"), "utf8")).replace(/<!--[^]*?-->\n?/, "");
// Systems that cut icons to a shape of their own want them filled to the corners.
const filled = mark.replace(' rx="72"', "");

const PICTURES = [
  ["icon-192.png", 192, mark],
  ["icon-512.png", 512, mark],
  ["maskable-512.png", 512, filled],
  ["apple-touch-180.png", 180, filled],
];

const browser = await startBrowser();
for (const [name, size, picture] of PICTURES) {
  const page = await browser.newPage({ viewport: { width: size, height: size } });
  await page.setContent(`<style>body { margin: 0 } svg { display: block; width: ${size}px }</style>${picture}`);
  await writeFile(join(here, name), await page.screenshot({ omitBackground: true }));
  await page.close();
}
await browser.close();
