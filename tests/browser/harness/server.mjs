// The page's own server, started for a test and really stopped when the test says so.

import { spawn } from "node:child_process";
import { once } from "node:events";
import { createInterface } from "node:readline";
import { join } from "node:path";

const checkout = join(import.meta.dirname, "../../..");

/** Serves the page as it was built last; `port` 0 takes any free one. */
export async function startServer(port = 0) {
  const own = process.env.EVENSTROKE_XTASK;
  const [program, ...words] = own ? [own] : ["cargo", "xtask"];
  const child = spawn(program, [...words, "serve", "--built", "--port", String(port)], {
    cwd: checkout,
    stdio: ["ignore", "pipe", "inherit"],
    // A group of its own, so that `cargo` does not leave the server behind when it is ended.
    detached: true,
  });
  const ended = once(child, "exit");
  const lines = createInterface({ input: child.stdout });
  const url = await Promise.race([
    (async () => {
      for await (const line of lines) {
        const found = /http:\/\/127\.0\.0\.1:\d+\//.exec(line);
        if (found) return found[0];
      }
      throw new Error("the server ended without telling its address");
    })(),
    once(child, "error").then(([error]) => {
      throw error;
    }),
  ]);
  return {
    url,
    async stop() {
      if (child.exitCode === null && child.signalCode === null) process.kill(-child.pid);
      await ended;
    },
  };
}
