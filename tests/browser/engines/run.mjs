// Does the core path in three engines, with the served page and the saved one from the disk. Words
// on the command line choose tests by their names.

import { runOne } from "../harness/one.mjs";
import { engines, startEngine } from "./engines.mjs";
import { corePath, offlinePath } from "./core-path.mjs";
import { savedPage, servedPage } from "./watched.mjs";

const LONGEST_TEST_MS = 120_000;

const tests = engines.flatMap((engine) => [
  {
    name: `${engine.name}: the served page is worked in and reloaded`,
    engine,
    body: async (browser, afterwards) => {
      const site = await servedPage(afterwards);
      await corePath(browser, site.url, () => site.requests.length);
    },
  },
  {
    name: `${engine.name}: the served page starts without its server`,
    engine,
    body: async (browser, afterwards) => offlinePath(browser, await servedPage(afterwards)),
  },
  {
    name: `${engine.name}: the saved page is worked in from the disk and reloaded`,
    engine,
    body: async (browser, afterwards) => corePath(browser, await savedPage(afterwards)),
  },
]);

const words = process.argv.slice(2);
let [passed, failed, notRun] = [0, 0, 0];
for (const { name, engine, body } of tests) {
  if (!words.every((word) => name.includes(word))) continue;
  if (engine.driver === undefined) {
    notRun += 1;
    console.log(`not run: ${name}: ${engine.missing ?? "no driver was named"}`);
    continue;
  }
  const whole = (afterwards) => startEngine(engine, afterwards).then((browser) => body(browser, afterwards));
  if (await runOne(name, LONGEST_TEST_MS, whole)) passed += 1;
  else failed += 1;
}

console.log(`engine tests: ${passed} passed; ${failed} failed; ${notRun} not run`);
process.exitCode = failed > 0 || passed + notRun === 0 ? 1 : 0;
