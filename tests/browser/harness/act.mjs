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

/** Fails if the page is wider than its window. */
export async function noHorizontalScroll(page) {
  const { page: width, window: room } = await page.evaluate(() => ({
    page: document.documentElement.scrollWidth,
    window: document.documentElement.clientWidth,
  }));
  assert(width <= room, `the page is ${width} px wide in a window of ${room} px`);
}
