// Opens the page in its two forms and watches everything it must not do.

import { existsSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import assert from "node:assert/strict";
import { startServer } from "./server.mjs";

/** The sizes the page is judged at. */
export const TABLET = { width: 1280, height: 800 };
export const TABLET_UPRIGHT = { width: 800, height: 1280 };
export const PHONE = { width: 390, height: 844 };
export const SMALL_PHONE = { width: 360, height: 740 };
export const DESKTOP = { width: 1920, height: 1080 };

/** The saved page as it was built last. */
export const savedFile = join(import.meta.dirname, "../../../dist/evenstroke.html");

/**
 * Opens the served page. `options` are those of a browser context, such as `viewport`,
 * `deviceScaleFactor`, `hasTouch` or `javaScriptEnabled`.
 */
export async function openServed({ browser, afterwards }, options = {}) {
  const server = await startServer();
  afterwards(() => server.stop());
  const context = await newContext({ browser, afterwards }, options);
  return { ...(await open(context, server.url, options)), context, server };
}

/** Opens a saved page from the disk with the network cut; `file` is a path. */
export async function openSaved({ browser, afterwards }, options = {}, file = savedFile) {
  assert(existsSync(file), `there is no saved page ${file}; run \`cargo xtask page\` first`);
  const context = await newContext({ browser, afterwards }, options);
  await context.setOffline(true);
  return { ...(await open(context, pathToFileURL(file).href, options)), context };
}

/** The same tools, but whatever they open runs `script` first, with `argument`. */
export function withScript(tools, script, argument) {
  const newContext = async (options) => {
    const context = await tools.browser.newContext(options);
    await context.addInitScript(script, argument);
    return context;
  };
  return { ...tools, browser: { newContext } };
}

/** Loads the page again, as its user does. */
export async function reload({ page, watch }) {
  watch.loaded = false;
  await page.reload();
  await started(page);
  watch.loaded = true;
}

/** Opens one more tab beside an open one, with the same storage; at another address if one is given. */
export async function openTab({ page, context }, address = page.url()) {
  return { ...(await open(context, address, {})), context };
}

async function newContext({ browser, afterwards }, options) {
  const context = await browser.newContext({ viewport: TABLET, ...options });
  afterwards(() => context.close());
  return context;
}

async function open(context, address, { javaScriptEnabled = true }) {
  const page = await context.newPage();
  // Nothing on a page of this size takes longer, even on a slow machine.
  page.setDefaultTimeout(10_000);
  const watch = watchPage(page);
  if (javaScriptEnabled) {
    await page.addInitScript(() => {
      window.policyViolations = [];
      document.addEventListener("securitypolicyviolation", (event) => {
        window.policyViolations.push(`${event.effectiveDirective} blocked ${event.blockedURI || event.sample}`);
      });
    });
  }
  await page.goto(address);
  if (javaScriptEnabled) await started(page);
  watch.loaded = true;
  return { page, watch };
}

async function started(page) {
  await page.waitForFunction(() => document.documentElement.dataset.evenstroke !== undefined);
  // The served page fetches the saved page's template once; from then on it needs no network.
  await page.evaluate(() => window.evenstroke.template().then(() => null));
}

/** Collects console errors and warnings, uncaught errors, and requests after load. */
function watchPage(page) {
  const watch = { loaded: false, errors: [], requestsAfterLoad: [] };
  page.on("console", (message) => {
    if (["error", "warning"].includes(message.type())) watch.errors.push(message.text());
  });
  page.on("pageerror", (error) => watch.errors.push(String(error)));
  const note = (url) => {
    if (watch.loaded && !/^(data|blob):/.test(url)) watch.requestsAfterLoad.push(url);
  };
  page.on("request", (request) => note(request.url()));
  page.on("websocket", (socket) => note(socket.url()));
  return watch;
}

/** Fails if the page has complained, broken its policy or asked the network for anything. */
export async function assertQuiet({ page, watch }) {
  assert.deepEqual(watch.errors, [], "console errors and warnings");
  assert.deepEqual(watch.requestsAfterLoad, [], "network requests after load");
  assert.deepEqual(await page.evaluate(() => window.policyViolations), [], "policy violations");
}
