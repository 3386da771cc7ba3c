// Times the kernel in WebAssembly: `node crates/worker/benches/kernel.mjs [profile]`.
//
// The profile is `wasm`, which the page is built with, or `release`. wasm-bindgen is taken from
// PATH, else from the folder into which `cargo xtask setup` puts it.

import { execFileSync } from "node:child_process";
import { existsSync, readdirSync } from "node:fs";
import { createRequire } from "node:module";
import { homedir } from "node:os";
import { join } from "node:path";

const profile = process.argv[2] ?? "wasm";
const root = new URL("../../../", import.meta.url).pathname;
const target = process.env.CARGO_TARGET_DIR ?? join(root, "target");
const cache = join(homedir(), ".cache", "evenstroke");
const installed = existsSync(cache)
  ? readdirSync(cache).filter((name) => name.startsWith("wasm-bindgen-"))
  : [];
const tool = installed.length > 0 ? join(cache, installed[0], "bin", "wasm-bindgen") : "wasm-bindgen";

const run = (program, words) => execFileSync(program, words, { cwd: root, stdio: ["ignore", "inherit", "inherit"] });
run("cargo", [
  "build", "--quiet", "--package", "evenstroke-worker", "--example", "kernel",
  "--profile", profile, "--target", "wasm32-unknown-unknown",
]);
const out = join(target, "kernel-bench", profile);
const built = join(target, "wasm32-unknown-unknown", profile, "examples", "kernel.wasm");
run(tool, ["--target", "nodejs", "--out-dir", out, built]);
const { Die } = createRequire(import.meta.url)(join(out, "kernel.js"));

// Other programs only ever make a run slower: the fastest one counts.
const fastest = (runs, call) => {
  let best = Infinity;
  for (let i = 0; i < runs; i++) {
    const start = performance.now();
    call();
    best = Math.min(best, performance.now() - start);
  }
  return best;
};

console.log(`profile ${profile}`);
for (const [stations, segments, heights] of [[200, 64, 1000], [200, 16, 1000], [200, 256, 1000], [200, 64, 4000]]) {
  const die = new Die(stations, segments, heights);
  const sums = die.sum();
  const direct = die.sum_directly();
  const pairs = stations * segments * heights;
  const report = (name, ms) =>
    console.log(`${stations} × ${segments} × ${heights}, ${name}: ${ms.toFixed(2)} ms, ${((ms * 1e6) / pairs).toFixed(3)} ns per segment and height`);
  report("product", fastest(25, () => die.sum()));
  report("direct", fastest(10, () => die.sum_directly()));
  const apart = Math.max(...sums.map((sum, i) => Math.abs(sum - direct[i]) / Math.abs(sum)));
  console.log(`  sums ${Array.from(sums).join(" ")}; direct form differs by ${apart.toExponential(1)}`);
}
