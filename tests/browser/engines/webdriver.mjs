// A client of the WebDriver protocol (W3C Recommendation), as much of it as the core path needs.

import { spawn } from "node:child_process";
import { createServer } from "node:net";
import { once } from "node:events";

const ELEMENT = "element-6066-11e4-a52e-4f735466cecf";
/** Keys as the protocol writes them. */
export const KEY = { arrowRight: "\uE014" };

/** A port that was free a moment ago. */
export async function freePort() {
  const server = createServer().listen(0, "127.0.0.1");
  await once(server, "listening");
  const { port } = server.address();
  server.close();
  await once(server, "close");
  return port;
}

/** Starts a program in a group of its own; `stop` ends it and what it has started. */
export function startProgram(program, words, environment = {}) {
  const child = spawn(program, words, {
    env: { ...process.env, ...environment },
    // What it says on its first channel may be asked for; all else is not wanted.
    stdio: ["ignore", "pipe", "ignore"],
    detached: true,
  });
  const ended = new Promise((done) => {
    child.once("exit", done);
    child.once("error", done);
  });
  const firstLine = new Promise((done, fail) => {
    let said = "";
    child.stdout?.setEncoding("utf8").on("data", (text) => {
      said += text;
      if (said.includes("\n")) done(said.split("\n")[0]);
    });
    ended.then(() => fail(new Error(`${program} ended without a word`)));
  });
  firstLine.catch(() => {});
  return {
    child,
    firstLine,
    async stop() {
      if (child.pid !== undefined && child.exitCode === null && child.signalCode === null) {
        process.kill(-child.pid);
      }
      await ended;
    },
  };
}

/** One browser under control. */
export class Session {
  constructor(base, id) {
    this.base = base;
    this.id = id;
  }

  /** Opens a browser by a driver that listens at `base`. */
  static async open(base, capabilities) {
    const { sessionId } = await call("POST", `${base}/session`, {
      capabilities: { alwaysMatch: capabilities },
    });
    return new Session(base, sessionId);
  }

  ask(method, path, body) {
    return call(method, `${this.base}/session/${this.id}${path}`, body);
  }

  close() {
    return this.ask("DELETE", "");
  }

  go(url) {
    return this.ask("POST", "/url", { url });
  }

  /**
   * Loads the page again as its user does. The protocol's own command goes past everything that is
   * kept in one of the engines.
   */
  async reload() {
    await this.run(() => {
      window.isGoing = true;
      location.reload();
    });
    await this.until("the page is loaded again", () => !window.isGoing && document.readyState === "complete");
  }

  resize(width, height) {
    return this.ask("POST", "/window/rect", { width, height });
  }

  /** Runs a function in the page; elements go in and come out as such. */
  run(body, ...values) {
    return this.ask("POST", "/execute/sync", { script: `return (${body})(...arguments)`, args: values });
  }

  click(element) {
    return this.ask("POST", `/element/${element[ELEMENT]}/click`, {});
  }

  async type(element, text) {
    await this.ask("POST", `/element/${element[ELEMENT]}/clear`, {});
    await this.press(element, text);
  }

  press(element, text) {
    return this.ask("POST", `/element/${element[ELEMENT]}/value`, { text });
  }

  /** Runs a function in the page until what it gives holds; fails with `what` if it never does. */
  async until(what, body, ...values) {
    const end = Date.now() + 10_000;
    let last;
    while (Date.now() < end) {
      try {
        last = await this.run(body, ...values);
        if (last) return last;
      } catch (error) {
        // A page that is on its way runs nothing.
        last = error.message;
      }
      await new Promise((done) => setTimeout(done, 50));
    }
    throw new Error(`never held within 10 s: ${what} (last: ${JSON.stringify(last)})`);
  }
}

async function call(method, url, body) {
  const answer = await fetch(url, {
    method,
    headers: { "content-type": "application/json" },
    body: body === undefined ? undefined : JSON.stringify(body),
    signal: AbortSignal.timeout(60_000),
  });
  const { value } = await answer.json();
  if (!answer.ok) throw new Error(`${method} ${new URL(url).pathname}: ${value?.error}: ${value?.message}`);
  return value;
}

/** Waits until a driver answers at `base`. */
export async function ready(base) {
  for (let tries = 0; tries < 200; tries += 1) {
    try {
      await call("GET", `${base}/status`);
      return;
    } catch {
      await new Promise((done) => setTimeout(done, 50));
    }
  }
  throw new Error(`the driver does not answer at ${base}`);
}
