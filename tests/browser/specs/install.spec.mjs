// The served page is kept in the browser: it starts without a network, takes a newer build only when
// its user says so, and loses nothing over it.

import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { join } from "node:path";
import { test } from "../harness/test.mjs";
import { TABLET, TABLET_UPRIGHT, assertQuiet, openServed, openTab, reload, withScript } from "../harness/open.mjs";
import { axe, fitsGloves, readsText } from "../harness/act.mjs";
import { startSite } from "../harness/site.mjs";
import { fullStorage, records } from "../harness/storage.mjs";
import { EvenstrokePage } from "../pages/evenstroke-page.mjs";

const offline = (page, state = "ready") =>
  page.waitForFunction((state) => document.documentElement.dataset.offline === state, state, { timeout: 20_000 });

/** The page at a site of the test's own, kept for starting offline. */
async function startKept(tools, options = {}) {
  const site = await startSite(tools);
  const context = await tools.browser.newContext({ viewport: TABLET, ...options });
  tools.afterwards(() => context.close());
  const opened = { ...(await openTab({ context }, site.url)), context };
  await offline(opened.page);
  return { site, opened, page: opened.page, evenstroke: new EvenstrokePage(opened) };
}

const notice = (page) => page.getByRole("status", { name: "Newer version" });
const caches = (page) => page.evaluate(() => window.caches.keys());
const title = (page) => page.title();
/** Has the browser look for a newer build, as it does by itself when the page opens. */
const lookForNewer = (page) =>
  page.evaluate(async () => {
    const registration = await navigator.serviceWorker.getRegistration();
    await registration.update().catch(() => {});
  });

test("the page starts whole when its server is gone", async (tools) => {
  const { site, opened, page, evenstroke } = await startKept(tools);
  await site.stop();
  opened.watch.errors.length = 0;
  await reload(opened);
  await evenstroke.verdictReads("Near a limit");
  assert((await page.evaluate(() => window.evenstroke.template())).length > 100_000, "the saved page is there to be written");
  assert.deepEqual(await page.evaluate(() => window.policyViolations), []);
  await page.goto(`${site.url}index.html?from=home`);
  await evenstroke.verdictReads("Near a limit");
  await page.goto(`${site.url}evenstroke.html`);
  await evenstroke.verdictReads("Near a limit");
});

test("work done without a server is there when the page is loaded again", async (tools) => {
  const { site, opened, evenstroke } = await startKept(tools);
  await site.stop();
  await reload(opened);
  await evenstroke.openCard("Press 12");
  await evenstroke.changeRatedForce(500);
  await evenstroke.keptReads(/kept in this browser/);
  await reload(opened);
  await readsText(evenstroke.limit("Rated force"), "of 500.0 kN");
});

test("the list of jobs says that the page starts without a network, and which build it is", async (tools) => {
  const opened = await openServed(tools, { viewport: TABLET_UPRIGHT });
  await offline(opened.page);
  const evenstroke = new EvenstrokePage(opened);
  await evenstroke.jobsButton.click();
  await readsText(evenstroke.jobs, /kept whole in this browser and starts without a network; build [0-9a-f]{12}/);
  await axe(opened.page);
  await assertQuiet(opened);
});

test("the browser can install the page, and its offer is taken from the list of jobs", async (tools) => {
  const { opened, page, evenstroke } = await startKept(tools);
  const session = await opened.context.newCDPSession(page);
  const { errors, data } = await session.send("Page.getAppManifest");
  assert.deepEqual(errors, []);
  const manifest = JSON.parse(data);
  for (const icon of manifest.icons.filter(({ type }) => type === "image/png")) {
    const [width, height] = await page.evaluate(async (src) => {
      const picture = new Image();
      picture.src = src;
      await picture.decode();
      return [picture.naturalWidth, picture.naturalHeight];
    }, icon.src);
    assert.equal(`${width}x${height}`, icon.sizes, icon.src);
  }
  assert(manifest.icons.some(({ purpose }) => purpose === "maskable"));
  const { installabilityErrors } = await session.send("Page.getInstallabilityErrors");
  // A window of the test tool counts as a private one, from which nothing is installed.
  assert.deepEqual(installabilityErrors.map(({ errorId }) => errorId).filter((id) => id !== "in-incognito"), []);

  await page.evaluate(() => {
    const offer = new Event("beforeinstallprompt", { cancelable: true });
    offer.prompt = () => { window.prompted = (window.prompted ?? 0) + 1; };
    window.dispatchEvent(offer);
    window.held = offer.defaultPrevented;
  });
  assert(await page.evaluate(() => window.held), "the browser shows nothing of its own over the page");
  await evenstroke.jobsButton.click();
  const install = evenstroke.jobs.getByRole("button", { name: "Install on this device" });
  await fitsGloves(page);
  await install.click();
  assert.equal(await page.evaluate(() => window.prompted), 1);
  await install.waitFor({ state: "detached" });
});

test("a newer build is told of and taken only when the user says so, with the last edit", async (tools) => {
  const { site, opened, page, evenstroke } = await startKept(tools);
  await evenstroke.openCard("Press 12");
  await site.rebuild("index.html", (text) => text.replace("<title>Evenstroke", "<title>Newer Evenstroke"));
  await lookForNewer(page);
  await readsText(notice(page), /A newer version is ready: reload/);
  assert.equal(await title(page), "Evenstroke", "it does not reload by itself");
  await axe(page);
  await fitsGloves(page);

  // Typed and asked for at once, before the pause after which an edit is kept.
  await evenstroke.field("Rated force").fill("505");
  await notice(page).getByRole("button", { name: "Reload" }).click();
  await page.waitForFunction(() => document.title === "Newer Evenstroke");
  await readsText(evenstroke.limit("Rated force"), "of 505.0 kN");
  assert.equal((await records(page, "jobs")).length, 1);
  await offline(page);
  assert.equal((await caches(page)).length, 1, "the older build is gone");
  await site.stop();
  await reload(opened);
  assert.equal(await title(page), "Newer Evenstroke");
  assert.equal(await notice(page).count(), 0);
});

test("a newer build that is not wanted now waits, and loading again keeps the older one", async (tools) => {
  const { site, opened, page, evenstroke } = await startKept(tools);
  await site.rebuild("index.html", (text) => text.replace("<title>Evenstroke", "<title>Newer Evenstroke"));
  await lookForNewer(page);
  await notice(page).getByRole("button", { name: "Later" }).click();
  await notice(page).waitFor({ state: "detached" });
  await reload(opened);
  assert.equal(await title(page), "Evenstroke");
  await evenstroke.verdictReads("Near a limit");
  await readsText(notice(page), /A newer version is ready/);
});

test("two tabs with work in them: one takes the newer build, the other keeps running as it is", async (tools) => {
  const { site, opened, page } = await startKept(tools);
  const other = await openTab(opened);
  const second = new EvenstrokePage(other);
  await second.openCard("Press 12");
  await site.rebuild("index.html", (text) => text.replace("<title>Evenstroke", "<title>Newer Evenstroke"));
  await lookForNewer(page);
  await notice(other.page).waitFor();
  await notice(page).getByRole("button", { name: "Reload" }).click();
  await page.waitForFunction(() => document.title === "Newer Evenstroke");
  assert.equal(await title(other.page), "Evenstroke");
  await second.changeRatedForce(515);
  await notice(other.page).getByRole("button", { name: "Reload" }).click();
  await other.page.waitForFunction(() => document.title === "Newer Evenstroke");
  await readsText(second.limit("Rated force"), "of 515.0 kN");
});

const BROKEN = [
  ["breaks off half way", (name, response) => {
    if (!name.endsWith(".wasm")) return false;
    response.writeHead(200, { "content-type": "application/wasm", "content-length": "1000000" });
    response.write("half");
    setTimeout(() => response.destroy(), 50);
    return true;
  }],
  ["misses a file", (name, response) => {
    if (name !== "store.js") return false;
    response.writeHead(404).end();
    return true;
  }],
  ["is mixed with another build", (name, response) => {
    if (name !== "store.js") return false;
    response.writeHead(200, { "content-type": "text/javascript" }).end("// of another build\n");
    return true;
  }],
];
for (const [what, answer] of BROKEN) {
  test(`a newer build that ${what} leaves the older one working`, async (tools) => {
    const { site, opened, page, evenstroke } = await startKept(tools);
    const before = await caches(page);
    await site.rebuild("index.html", (text) => text.replace("<title>Evenstroke", "<title>Newer Evenstroke"));
    site.answer = answer;
    await lookForNewer(page);
    await page.waitForFunction(() => document.documentElement.dataset.newer === "failed");
    assert.equal(await notice(page).count(), 0, "nothing is offered that is not whole");
    assert.deepEqual(await caches(page), before, "and nothing is left of it");
    await evenstroke.jobsButton.click();
    await readsText(evenstroke.jobs, /newer version could not be kept.*not all of it arrived whole/);
    await site.stop();
    await reload(opened);
    assert.equal(await title(page), "Evenstroke");
    await evenstroke.verdictReads("Near a limit");

    // Once the server is whole again the newer build comes after all.
    site.answer = null;
    await site.start();
    await reload(opened);
    await readsText(notice(page), /A newer version is ready/);
  });
}

test("where the storage has no room for the page it works and says that it needs the network", async (tools) => {
  const site = await startSite(tools);
  const context = await tools.browser.newContext({ viewport: TABLET });
  tools.afterwards(() => context.close());
  const page = await context.newPage();
  const session = await context.newCDPSession(page);
  await session.send("Storage.overrideQuotaForOrigin", { origin: new URL(site.url).origin, quotaSize: 400_000 });
  await page.goto(site.url);
  await offline(page, "failed");
  const evenstroke = new EvenstrokePage({ page });
  await evenstroke.verdictReads("Near a limit");
  await evenstroke.jobsButton.click();
  await readsText(evenstroke.jobs, /needs the network: it could not be kept in this browser, for the browser’s storage is full/);
  assert.deepEqual(await caches(page), [], "half a page takes no room");
});

test("where the storage has no room for a newer build the older one goes on", async (tools) => {
  const { site, opened, page, evenstroke } = await startKept(tools);
  const session = await opened.context.newCDPSession(page);
  await session.send("Storage.overrideQuotaForOrigin", { origin: new URL(site.url).origin, quotaSize: 400_000 });
  await site.rebuild("index.html", (text) => text.replace("<title>Evenstroke", "<title>Newer Evenstroke"));
  await lookForNewer(page);
  await page.waitForFunction(() => document.documentElement.dataset.newer === "failed");
  await site.stop();
  await reload(opened);
  assert.equal(await title(page), "Evenstroke");
  await evenstroke.verdictReads("Near a limit");
});

test("where an edit cannot be kept the newer build is not taken before the user has been told", async (tools) => {
  const { site, page, evenstroke } = await startKept(tools);
  await evenstroke.openCard("Press 12");
  await page.evaluate(fullStorage);
  await evenstroke.changeRatedForce(500);
  await evenstroke.keptReads(/not kept: save a file/);
  await site.rebuild("index.html", (text) => text.replace("<title>Evenstroke", "<title>Newer Evenstroke"));
  await lookForNewer(page);
  await notice(page).getByRole("button", { name: "Reload" }).click();
  await readsText(notice(page), /could not be kept in this browser. Save the job as a file/);
  assert.equal(await title(page), "Evenstroke");
  assert.equal(JSON.parse(await evenstroke.savedFile()).press.rated_force_kn, 500);
  await notice(page).getByRole("button", { name: "Reload all the same" }).click();
  await page.waitForFunction(() => document.title === "Newer Evenstroke");
});

test("a browser that keeps no pages says that the start needs the network", async (tools) => {
  const without = withScript(tools, () => {
    delete Navigator.prototype.serviceWorker;
  });
  const opened = await openServed(without);
  const evenstroke = new EvenstrokePage(opened);
  await evenstroke.jobsButton.click();
  await readsText(evenstroke.jobs, /Starting this page needs the network/);
  await assertQuiet(opened);
});

test("a saved page speaks neither of installing nor of a network", async (tools) => {
  const text = await readFile(join(import.meta.dirname, "../../../dist/evenstroke.html"), "utf8");
  assert.doesNotMatch(text, /rel="manifest"|apple-touch-icon|serviceWorker/);
});
