// Runs every spec below specs/, or those whose file name contains a word given on the command
// line. One Chromium serves them all; each test opens contexts of its own, so that two can run side
// by side.

import { readdir } from "node:fs/promises";
import { pathToFileURL } from "node:url";
import { join } from "node:path";
import { startBrowser } from "./harness/browser.mjs";
import { runOne } from "./harness/one.mjs";
import { collected } from "./harness/test.mjs";

const LONGEST_TEST_MS = 60_000;
const AT_ONCE = 2;
const specs = join(import.meta.dirname, "specs");
const words = process.argv.slice(2);

const files = (await readdir(specs)).filter((name) => name.endsWith(".spec.mjs")).sort();
const chosen = files.filter((name) => words.every((word) => name.includes(word)));
for (const name of chosen) {
  await import(pathToFileURL(join(specs, name)));
}

const browser = await startBrowser();
let passed = 0;
let failed = 0;

const run = async ({ name, body }) => {
  if (await runOne(name, LONGEST_TEST_MS, (afterwards) => body({ browser, afterwards }))) passed += 1;
  else failed += 1;
};

const waiting = [...collected];
const lane = async () => {
  for (let next = waiting.shift(); next !== undefined; next = waiting.shift()) await run(next);
};
await Promise.all(Array.from({ length: AT_ONCE }, lane));
await browser.close();

console.log(`browser specs: ${passed} passed; ${failed} failed`);
process.exitCode = failed > 0 || passed === 0 ? 1 : 0;
