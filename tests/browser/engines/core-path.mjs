// What a setter does in one visit, in whatever browser the tablet has.

import assert from "node:assert/strict";
import { readFile, readdir } from "node:fs/promises";
import { join } from "node:path";
import { KEY } from "./webdriver.mjs";

/** The page in one engine, by what its user reads on it. */
class Page {
  constructor({ session, downloads }) {
    this.session = session;
    this.downloads = downloads;
  }

  async started() {
    try {
      await this.session.until("the page has started", () => document.documentElement.dataset.evenstroke === "running");
    } catch (error) {
      const said = await this.session.run(() => `${location.href}: ${document.readyState}, ${document.documentElement.dataset.evenstroke}, “${document.getElementById("start-message")?.textContent}”`);
      throw new Error(`${error.message}; ${said}`);
    }
    await this.session.until("the page is at rest", () => window.evenstroke.glue !== undefined);
  }

  /** Waits until an element that fits the selector reads like this. */
  reads(selector, pattern) {
    return this.session.until(
      `${selector} reads ${pattern}`,
      (selector, source) => {
        const pattern = new RegExp(source, "s");
        return [...document.querySelectorAll(selector)].some((one) => pattern.test(one.textContent));
      },
      selector,
      pattern.source,
    );
  }

  /** A shown element that fits the selector and reads exactly this, or bears it as its name. */
  find(selector, name) {
    return this.session.until(
      `there is ${selector} “${name}”`,
      (selector, name) =>
        [...document.querySelectorAll(selector)].find(
          (one) =>
            one.getClientRects().length > 0 &&
            (one.textContent.trim().startsWith(name) || one.getAttribute("aria-label") === name),
        ) ?? null,
      selector,
      name,
    );
  }

  async click(selector, name) {
    await this.session.click(await this.find(selector, name));
  }

  /** What the sheet in the page's static part says: all of it, the verdict, the worst limit with its share. */
  verdictOfSheet() {
    return this.session.until("the sheet names verdict and worst limit", () =>
      /(Within the limits checked|Near a limit|Over a limit) ([^:]+ \d\.\d\d):/.exec(
        document.querySelector("#static-sheet .sheet-verdict").textContent,
      ),
    );
  }

  /** A field of an open card by the words over it. */
  field(label) {
    return this.session.until(
      `there is a field “${label}”`,
      (label) =>
        [...document.querySelectorAll(".cards label")]
          .find((one) => [...one.querySelectorAll("*")].some((part) => part.textContent.trim() === label))
          ?.querySelector("input") ?? null,
      label,
    );
  }

  /** The newest file that the page has handed out, once it is whole. */
  async handedOut() {
    for (let tries = 0; tries < 200; tries += 1) {
      const names = (await readdir(this.downloads)).filter((name) => name.endsWith(".json"));
      if (names.length > 0) {
        const text = await readFile(join(this.downloads, names[0]), "utf8");
        if (text.trimEnd().endsWith("}")) return JSON.parse(text);
      }
      await new Promise((done) => setTimeout(done, 50));
    }
    throw new Error(`no file arrived; there are ${JSON.stringify(await readdir(this.downloads))}`);
  }

  complaints() {
    return this.session.run(() => window.complaints);
  }
}

const LIMITS = ".limits li";

/** The core path at an address; `requests` counts what the page has asked of its server so far. */
export async function corePath(engine, address, requests = () => 0) {
  const { session } = engine;
  const page = new Page(engine);
  await session.resize(1280, 900);
  await session.go(address);
  await page.started();
  // The native command has worked out the sheet that lies in the page; the program says the same.
  const [, verdict, worst] = await page.verdictOfSheet();
  assert.equal(verdict, "Near a limit");
  await page.reads("header [role=status]", new RegExp(`^${verdict}.*${worst.replaceAll(".", "\\.")}`));
  // What is kept for starting offline is part of the load.
  if (address.startsWith("http")) {
    await session.until("the page is kept for starting offline", () => document.documentElement.dataset.offline);
  }
  const asked = requests();

  await page.click("h2 button", "Press 12");
  const force = await page.field("Rated force");
  await session.type(force, "500");
  await page.reads(LIMITS, /Rated force.*of 500\.0 kN/);
  await page.click("header button", "Undo");
  await page.reads(LIMITS, /Rated force.*of 630\.0 kN/);

  const plan = await session.run(() => document.querySelector(".plan [role=application]"));
  await session.press(plan, KEY.arrowRight.repeat(3));
  await page.reads(".plan [role=status]", /mm right of the bolster centre/);
  const place = await session.run(() => document.querySelector(".plan [role=status]").textContent);
  await page.reads("header p", /kept in this browser/);

  await page.click("header button", "Set-up sheet");
  await page.reads("dialog[open]", /Set-up sheet: Gate-latch plate.*Where to clamp.*Set by/);
  await page.click("dialog[open] button", "Close");

  await page.click("header button", "Save file");
  const saved = await page.handedOut();
  assert.equal(saved.press.rated_force_kn, 630);
  assert(saved.die.placement.x_mm > 0, "the file holds the die where it was put");
  await page.reads("header p", /handed to a file/);
  assert.equal(requests(), asked, "requests after load");
  assert.deepEqual(await page.complaints(), []);

  await session.reload();
  await page.started();
  await page.reads(".plan [role=status]", new RegExp(place.trim()));
  assert.deepEqual(await page.complaints(), []);
}

/** The served page starts again when its server is gone. */
export async function offlinePath(engine, site) {
  const { session } = engine;
  const page = new Page(engine);
  await session.go(site.url);
  await page.started();
  await session.until(
    "the page is kept for starting offline",
    () => document.documentElement.dataset.offline === "ready",
  );
  await site.stop();
  await session.reload();
  await page.started();
  await page.reads("header [role=status]", /^Near a limit/);
  const kept = await session.run(() => window.evenstroke.template().then((text) => text.length));
  assert(kept > 100_000, "the saved page can still be written");
}
