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
  const [, text] = /id="w">([^<]*)</.exec(await readFile(savedFile, "utf8"));
  return text;
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
  const text = await packed();
  const damaged = { message: /^this file is damaged\. Copy it again/ };
  for (const broken of ["", "!", "!!", text.slice(0, 20), text.slice(0, -16), text.slice(2), `é${text.slice(1)}`]) {
    assert.throws(() => unpack(broken), damaged);
  }
  // From the first letter after the header, in which the size of a dictionary is not used.
  const step = Math.floor(text.length / 40);
  // The very last letters hold what the decoder has no more use for.
  for (let at = 32; at < text.length - 16; at += step) {
    assert.throws(() => unpack(text.slice(0, at)), damaged, `cut at ${at}`);
    const other = text[at] === "!" ? "#" : "!";
    assert.throws(() => unpack(text.slice(0, at) + other + text.slice(at + 1)), damaged, `changed at ${at}`);
  }
});
