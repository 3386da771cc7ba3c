// Job files that the specs start from: the demos that ship with the program.

import { readFile } from "node:fs/promises";
import { join } from "node:path";

const demos = join(import.meta.dirname, "../../../crates/job/demos");

/** A demo as a value of its own, free to be changed; `name` is that of its file. */
export async function demoJob(name) {
  return JSON.parse(await readFile(join(demos, `${name}.json`), "utf8"));
}
