// A copy of the built page on a server of the test's own, which the test may change, break and stop.

import { createHash } from "node:crypto";
import { once } from "node:events";
import { cp, mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { createServer } from "node:http";
import { tmpdir } from "node:os";
import { extname, join } from "node:path";

const dist = join(import.meta.dirname, "../../../dist");
const TYPES = {
  // Each page names its encoding itself.
  ".html": "text/html",
  ".js": "text/javascript; charset=utf-8",
  ".css": "text/css; charset=utf-8",
  ".wasm": "application/wasm",
  ".webmanifest": "application/manifest+json",
  ".svg": "image/svg+xml",
  ".png": "image/png",
};

/** Copies the page as it was built last and serves the copy at a port that stays the same. */
export async function startSite({ afterwards }) {
  const folder = await mkdtemp(join(tmpdir(), "evenstroke-site-"));
  afterwards(() => rm(folder, { recursive: true, force: true }));
  await cp(dist, folder, { recursive: true, filter: (path) => !path.endsWith(".gz") });
  const site = { folder, requests: [], answer: null };

  const respond = async (request, response) => {
    const name = decodeURIComponent(new URL(request.url, "http://here/").pathname).slice(1) || "index.html";
    site.requests.push(name);
    // Set by a test to break an answer: it gets the name and the response, and says whether it took it.
    if (site.answer?.(name, response)) return;
    try {
      const body = await readFile(join(folder, name));
      response.writeHead(200, { "content-type": TYPES[extname(name)] ?? "application/octet-stream", "cache-control": "no-cache" });
      response.end(body);
    } catch {
      response.writeHead(404).end();
    }
  };

  let server = null;
  let port = 0;
  site.start = async () => {
    server = createServer(respond).listen(port, "127.0.0.1");
    await once(server, "listening");
    port = server.address().port;
    site.url = `http://127.0.0.1:${port}/`;
  };
  /** Really stops: whoever asks now finds nobody. */
  site.stop = async () => {
    if (server === null) return;
    const closing = new Promise((done) => server.close(done));
    server.closeAllConnections();
    server = null;
    await closing;
  };
  afterwards(() => site.stop());

  /** Puts a newer build in place: `change` gets the text of a file of the page and gives the new one. */
  site.rebuild = async (name, change) => {
    const path = join(folder, name);
    await writeFile(path, change(await readFile(path, "utf8")));
    const hash = createHash("sha256").update(await readFile(path)).digest("base64");
    const worker = join(folder, "service-worker.js");
    const key = name === "index.html" ? "./" : name;
    const script = (await readFile(worker, "utf8"))
      .replace(new RegExp(`("${key.replaceAll(".", "\\.")}": "sha256-)[^"]+`), `$1${hash}`)
      .replace(/const BUILD = "[^"]*"/, `const BUILD = "${hash.replace(/\W/g, "").slice(0, 12)}"`);
    await writeFile(worker, script);
  };

  await site.start();
  return site;
}
