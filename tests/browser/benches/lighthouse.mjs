// What Lighthouse says of the served page at its setting for a phone: `cargo xtask lighthouse`.
// Prints the median of five; asserts nothing. The figures that were measured so are kept in
// docs/page-figures.md.

import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { launchOptions } from "../harness/browser.mjs";
import { startServer } from "../harness/server.mjs";

const ROUNDS = 5;
const AIMS = { performance: 95, accessibility: 100, "best-practices": 100, seo: null };
const TIMES = ["first-contentful-paint", "largest-contentful-paint", "total-blocking-time", "cumulative-layout-shift", "speed-index", "interactive"];

const folder = process.env.EVENSTROKE_LIGHTHOUSE;
if (folder === undefined) throw new Error("run it by `cargo xtask lighthouse`, which installs what it needs");
const module = (path) => import(pathToFileURL(join(folder, "node_modules", path)));
const { default: lighthouse } = await module("lighthouse/core/index.js");
const { launch } = await module("chrome-launcher/dist/index.js");

const median = (values) => values.toSorted((a, b) => a - b)[Math.floor(values.length / 2)];
const { executablePath, args } = launchOptions();
const server = await startServer();
const rounds = [];
try {
  for (let round = 0; round < ROUNDS; round += 1) {
    const chrome = await launch({ chromePath: executablePath, chromeFlags: ["--headless=new", ...args], logLevel: "silent" });
    const { lhr } = await lighthouse(server.url, { port: chrome.port, logLevel: "error" });
    await chrome.kill();
    if (lhr.runtimeError) throw new Error(lhr.runtimeError.message);
    rounds.push(lhr);
  }
} finally {
  await server.stop();
}

const of = (take) => median(rounds.map(take));
const spread = (take) => {
  const values = rounds.map(take);
  return `${Math.min(...values)} to ${Math.max(...values)}`;
};
console.log(`Lighthouse ${rounds[0].lighthouseVersion}, ${rounds[0].configSettings.formFactor}, median of ${ROUNDS}, processor benchmark index ${of((lhr) => lhr.environment.benchmarkIndex)}`);
for (const [category, aim] of Object.entries(AIMS)) {
  const score = (lhr) => Math.round(lhr.categories[category].score * 100);
  console.log(`${category}: ${of(score)} (${spread(score)})${aim === null ? "" : `, aim ${aim}`}`);
}
for (const id of TIMES) {
  console.log(`  ${id}: ${of((lhr) => lhr.audits[id].numericValue).toFixed(id === "cumulative-layout-shift" ? 3 : 0)}`);
}
// What costs points, by the last round.
const last = rounds.at(-1);
for (const [category] of Object.entries(AIMS)) {
  for (const { id, weight } of last.categories[category].auditRefs) {
    const audit = last.audits[id];
    if (weight > 0 && audit.score !== null && audit.score < 0.9) {
      console.log(`  ${category}: ${id} ${audit.score}: ${audit.title}${audit.displayValue ? ` (${audit.displayValue})` : ""}`);
      for (const item of audit.details?.items?.slice(0, 4) ?? []) {
        console.log(`    ${(item.node?.snippet ?? item.url ?? item.description ?? JSON.stringify(item)).slice(0, 200)}`);
      }
    }
  }
}
