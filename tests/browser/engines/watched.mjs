// Pages that report on themselves: the built ones with one script ahead of all others, which notes
// whatever goes wrong. WebDriver has no way of its own to read a console.

import { createHash } from "node:crypto";
import { mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { savedFile } from "../harness/open.mjs";
import { startSite } from "../harness/site.mjs";

const SCRIPT = `window.complaints = [];
for (const kind of ["error", "warn"]) {
  const own = console[kind];
  console[kind] = (...words) => { complaints.push(kind + ": " + words.join(" ")); own.apply(console, words); };
}
addEventListener("error", (event) => complaints.push("error: " + (event.message ?? event.target?.src ?? event.target?.href)), true);
addEventListener("unhandledrejection", (event) => complaints.push("rejected: " + event.reason));
addEventListener("securitypolicyviolation", (event) => complaints.push("policy: " + event.violatedDirective + " " + event.blockedURI), true);
`;

/** The served page on a server of its own, whose requests are noted. */
export async function servedPage(afterwards) {
  const site = await startSite({ afterwards });
  await writeFile(join(site.folder, "watch.js"), SCRIPT);
  await site.rebuild("index.html", (page) => page.replace("<title>", '<script src="watch.js"></script><title>'));
  // A file more than the build lists is simply not kept, and this one has to be.
  await site.rebuild("service-worker.js", (text) => text);
  const worker = join(site.folder, "service-worker.js");
  const hash = createHash("sha256").update(SCRIPT).digest("base64");
  await writeFile(worker, (await readFile(worker, "utf8")).replace("const FILES = {", `const FILES = {\n  "watch.js": "sha256-${hash}",`));
  return site;
}

/** The saved page on the disk; its policy admits the script by its hash, like those of its own. */
export async function savedPage(afterwards) {
  const folder = await mkdtemp(join(tmpdir(), "evenstroke-saved-"));
  afterwards(() => rm(folder, { recursive: true, force: true }));
  const hash = createHash("sha256").update(SCRIPT).digest("base64");
  const page = (await readFile(savedFile, "latin1"))
    .replace("script-src ", () => `script-src 'sha256-${hash}' `)
    .replace("<title>", () => `<script>${SCRIPT}</script><title>`);
  const path = join(folder, "evenstroke.html");
  await writeFile(path, page, "latin1");
  return pathToFileURL(path).href;
}
