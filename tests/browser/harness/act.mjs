// What several specs do to a page or ask of it.

import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { createRequire } from "node:module";

const axeSource = await readFile(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const AXE_TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"];

/** Drags an element by its centre, in CSS pixels, in small steps as a hand does. */
export async function dragBy(page, locator, { x, y }, { steps = 10 } = {}) {
  await locator.scrollIntoViewIfNeeded();
  const box = await locator.boundingBox();
  assert(box, "the element to drag is not shown");
  const from = { x: box.x + box.width / 2, y: box.y + box.height / 2 };
  await page.mouse.move(from.x, from.y);
  await page.mouse.down();
  await page.mouse.move(from.x + x, from.y + y, { steps });
  await page.mouse.up();
}

/** Waits until an element reads like this, and says what it read instead if it never does. */
export async function readsText(locator, pattern, { timeout = 4_000 } = {}) {
  try {
    await locator.filter({ hasText: pattern }).first().waitFor({ timeout });
  } catch {
    const found = await locator.allTextContents();
    throw new assert.AssertionError({
      message: `should read ${pattern}, reads ${JSON.stringify(found)}`,
      actual: found.join("; "),
      expected: String(pattern),
      operator: "readsText",
    });
  }
}

/** Waits until the page has painted what it knows by now. */
export function painted(page) {
  return page.evaluate(
    () => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => done()))),
  );
}

/** Drags from an element's centre with one finger. */
export async function dragByTouch(page, locator, { x, y }, { steps = 8 } = {}) {
  await locator.scrollIntoViewIfNeeded();
  const box = await locator.boundingBox();
  assert(box, "the element to drag is not shown");
  const from = { x: box.x + box.width / 2, y: box.y + box.height / 2 };
  const session = await page.context().newCDPSession(page);
  const touch = (type, touchPoints) => session.send("Input.dispatchTouchEvent", { type, touchPoints });
  await touch("touchStart", [from]);
  for (let step = 1; step <= steps; step += 1) {
    await touch("touchMove", [{ x: from.x + (x * step) / steps, y: from.y + (y * step) / steps }]);
  }
  await touch("touchEnd", []);
  await session.detach();
}

/** Fails on anything that axe finds against WCAG 2.2 AA in the page's present state. */
export async function axe(page) {
  // Through the debugger, past the page's policy, which admits no foreign script element.
  const session = await page.context().newCDPSession(page);
  const evaluate = async (expression) => {
    const { result, exceptionDetails } = await session.send("Runtime.evaluate", {
      expression,
      awaitPromise: true,
      returnByValue: true,
    });
    if (exceptionDetails) throw new Error(exceptionDetails.exception?.description ?? exceptionDetails.text);
    return result.value;
  };
  await evaluate(`${axeSource}; null`);
  const violations = await evaluate(
    `axe.run(document, { runOnly: { type: "tag", values: ${JSON.stringify(AXE_TAGS)} } })
      .then((found) => found.violations.map((one) =>
        one.id + ": " + one.help + " (" + one.nodes.map((node) => node.target.join(" ")).join(", ") + ")"))`,
  );
  await session.detach();
  assert.deepEqual(violations, [], "accessibility violations");
}

/** Fails if anything that takes a finger is smaller than a gloved one needs. */
export async function fitsGloves(page) {
  const small = await page.evaluate(() => {
    const LEAST = 44;
    const takesFingers = "button, select, textarea, input, summary, a[href]";
    return [...document.querySelectorAll(`#app :is(${takesFingers})`)]
      .filter((element) => element.getClientRects().length > 0)
      .map((element) => {
        const { width, height } = element.getBoundingClientRect();
        const name = element.getAttribute("aria-label") ?? element.textContent.trim().slice(0, 40);
        return { width, height, name: `${element.tagName.toLowerCase()} "${name}"` };
      })
      .filter(({ width, height }) => width < LEAST - 0.5 || height < LEAST - 0.5)
      .map(({ width, height, name }) => `${name}: ${width.toFixed(0)} × ${height.toFixed(0)}`);
  });
  assert.deepEqual(small, [], "smaller than 44 px");
}

/** Fails if the page is wider than its window. */
export async function noHorizontalScroll(page) {
  const { page: width, window: room } = await page.evaluate(() => ({
    page: document.documentElement.scrollWidth,
    window: document.documentElement.clientWidth,
  }));
  assert(width <= room, `the page is ${width} px wide in a window of ${room} px`);
}

/**
 * Fails if the page stands still for more than 50 ms while `does` runs. Other work on the machine makes
 * what is short look long, but never the other way round: the best of three runs counts.
 */
export async function neverStandsStill(page, does) {
  await page.evaluate(() => {
    window.longest = 0;
    // The browser tells of tasks of more than 50 ms.
    new PerformanceObserver((list) => {
      for (const task of list.getEntries()) window.longest = Math.max(window.longest, task.duration);
    }).observe({ type: "longtask" });
  });
  const found = [];
  while (found.length < 3 && !found.includes(0)) {
    await page.evaluate(() => {
      window.longest = 0;
    });
    await does();
    // Until all of it is painted.
    await page.waitForTimeout(300);
    found.push(await page.evaluate(() => window.longest));
  }
  assert(found.includes(0), `the page stood still for ${found.map(Math.round).join(", ")} ms`);
}
