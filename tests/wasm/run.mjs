// The check as a WebAssembly module gives what the native command gives, to 1e-9, for every demo and
// for jobs varied at random, and throws refusals as a list. `cargo xtask test` builds both and says
// by EVENSTROKE and EVENSTROKE_WORKER where they are.

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { join } from "node:path";

const TOLERANCE = 1e-9;
const VARIED = 60;
const root = join(import.meta.dirname, "../..");
const { check_job: checkJob } = createRequire(import.meta.url)(process.env.EVENSTROKE_WORKER);
const folder = mkdtempSync(join(tmpdir(), "evenstroke-"));

const read = (path) => JSON.parse(readFileSync(join(root, path), "utf8"));
const jobs = new Map();
for (const name of readdirSync(join(root, "crates/job/demos"))) {
  const demo = read(join("crates/job/demos", name));
  if (demo.format === "evenstroke-job") jobs.set(name, demo);
}
jobs.set("example.json", read("tests/contract/example.json"));

/** Numbers between 0 and 1, the same ones in every run: Park and Miller's generator. */
const random = (() => {
  let state = 20_240_117;
  return () => (state = (state * 48_271) % 2_147_483_647) / 2_147_483_647;
})();

/** The job with every load-bearing number of its works, its stock and its place changed a little. */
function varied(job) {
  const other = structuredClone(job);
  const walk = (value) => {
    for (const [key, inner] of Object.entries(value)) {
      if (typeof inner === "object" && inner !== null) walk(inner);
      else if (/^(entry_mm|thickness_mm|force_kn|length_mm|x_mm|y_mm)$/.test(key)) {
        value[key] = Number((inner * (0.9 + 0.2 * random())).toFixed(4));
      }
    }
  };
  walk(other.stations);
  walk(other.stock);
  other.die.placement = { ...other.die.placement, x_mm: Math.round(60 * random() - 30) };
  return other;
}

/** What the command prints; null if it refuses the job. */
function natively(job) {
  const file = join(folder, "job.json");
  writeFileSync(file, JSON.stringify(job));
  try {
    return JSON.parse(execFileSync(process.env.EVENSTROKE, ["check", file, "--json"], { stdio: ["ignore", "pipe", "ignore"] }));
  } catch (error) {
    // Over and not checked are answers, too.
    return [1, 2].includes(error.status) ? JSON.parse(error.stdout) : null;
  }
}

function assertSame(native, wasm, path) {
  if (typeof native === "number" && typeof wasm === "number") {
    const scale = Math.max(Math.abs(native), Math.abs(wasm), 1);
    assert(Math.abs(native - wasm) <= TOLERANCE * scale, `${path}: ${native} natively, ${wasm} in WebAssembly`);
  } else if (typeof native === "object" && native !== null) {
    assert.deepEqual(Object.keys(wasm ?? {}), Object.keys(native), `keys of ${path}`);
    for (const key of Object.keys(native)) assertSame(native[key], wasm[key], `${path}.${key}`);
  } else {
    assert.equal(wasm, native, path);
  }
}

let passed = 0;
let failed = 0;
function test(name, body) {
  try {
    body();
    passed += 1;
    console.log(`ok      ${name}`);
  } catch (error) {
    failed += 1;
    console.log(`FAILED  ${name}\n${error.stack}`);
  }
}

for (const [name, job] of jobs) {
  test(`${name} gives the same report natively and in WebAssembly`, () => {
    assertSame(natively(job), checkJob(job), "report");
  });
}

test(`${VARIED} jobs varied at random give the same report natively and in WebAssembly`, () => {
  const all = [...jobs.values()];
  let compared = 0;
  for (let turn = 0; turn < VARIED; turn += 1) {
    const job = varied(all[turn % all.length]);
    const native = natively(job);
    if (native === null) {
      assert.throws(() => checkJob(job), undefined, `job ${turn} is refused by the command`);
      continue;
    }
    assertSame(native, checkJob(job), `report of job ${turn}`);
    compared += 1;
  }
  assert(compared >= VARIED / 2, `only ${compared} of ${VARIED} jobs could be compared`);
});

test("a job may be given as text", () => {
  const [job] = jobs.values();
  assertSame(checkJob(job), checkJob(JSON.stringify(job)), "report");
});

test("refusals are thrown as a list of path, allowed and given", () => {
  const job = structuredClone(jobs.get("example.json"));
  job.press.drive.stroke_mm = -200;
  let thrown;
  try {
    checkJob(job);
  } catch (error) {
    thrown = error;
  }
  assert.deepEqual(thrown.map(({ path, given }) => [path, given]), [["press.drive.stroke_mm", "-200"]]);
  const circle = {};
  circle.circle = circle;
  for (const none of [undefined, null, 3, "{", circle]) assert.throws(() => checkJob(none));
});

rmSync(folder, { recursive: true });
console.log(`wasm tests: ${passed} passed; ${failed} failed`);
process.exitCode = failed > 0 ? 1 : 0;
