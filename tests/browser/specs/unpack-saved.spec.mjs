// The decoder of the saved page, run by itself.

import assert from "node:assert/strict";
import { readFile, readdir } from "node:fs/promises";
import { dirname, join } from "node:path";
import vm from "node:vm";
import { test } from "../harness/test.mjs";
import { savedFile } from "../harness/open.mjs";

const decoder = join(import.meta.dirname, "../../../www/unpack.js");
const unpack = vm.runInThisContext(`${await readFile(decoder, "utf8")}; unpackProgram`);

async function packed() {
  const file = await readFile(savedFile);
  const start = file.indexOf('id="w">') + 'id="w">'.length;
  return file.subarray(start, file.indexOf("<", start));
}

test("what the saved page unpacks is the served program, byte for byte", async () => {
  const { script, module } = unpack(await packed());
  const dist = dirname(savedFile);
  const names = await readdir(dist);
  const built = (ending) => {
    const name = names.find((one) => one.startsWith("evenstroke-app") && one.endsWith(ending));
    return readFile(join(dist, name));
  };
  const glue = (await built(".js")).toString("utf8");
  assert(script.startsWith(`${glue}\n`), "the glue is not the served one");
  assert.match(script.slice(glue.length), /indexedDB/, "the store comes after it");
  assert(Buffer.from(module).equals(await built("_bg.wasm")), "the modules differ");
});

test("whatever is damaged in the packed program is found", async () => {
  const letters = await packed();
  const damaged = { message: /^this file is damaged\. Copy it again/ };
  const part = (from, to) => letters.subarray(from, to);
  for (const broken of [part(0, 0), part(0, 1), part(0, 20), part(0, -16), part(2), Buffer.concat([Buffer.from("="), letters])]) {
    assert.throws(() => unpack(broken), damaged);
  }
  // From the first letter after the header, in which the size of a dictionary is not used.
  const step = Math.floor(letters.length / 40);
  // The very last letters hold what the decoder has no more use for.
  for (let at = 32; at < letters.length - 16; at += step) {
    assert.throws(() => unpack(part(0, at)), damaged, `cut at ${at}`);
    const other = Buffer.from(letters);
    other[at] = other[at] === 33 ? 35 : 33;
    assert.throws(() => unpack(other), damaged, `changed at ${at}`);
  }
});
