// Text twice as large, by the browser's setting or by its zoom of text alone: nothing overlaps, nothing
// is cut off, everything can be reached.

import assert from "node:assert/strict";
import { test } from "../harness/test.mjs";
import { PHONE, TABLET, TABLET_UPRIGHT, assertQuiet, openServed } from "../harness/open.mjs";
import { noHorizontalScroll, painted } from "../harness/act.mjs";
import { EvenstrokePage } from "../pages/evenstroke-page.mjs";

/** The root's font twice as large, as a browser told to set text larger has it. */
const byRoot = () => {
  document.documentElement.style.fontSize = "200%";
};

/** Every font twice as large and no length with it, as a zoom of text alone does. Again for what is new. */
const byFonts = () => {
  const all = [...document.querySelectorAll("body *:not([data-doubled])")];
  const sizes = all.map((element) => parseFloat(getComputedStyle(element).fontSize));
  // What is new inside what was doubled already may have inherited that.
  all.forEach((element, index) => {
    const doubled = element.parentElement.closest("[data-doubled]");
    const own = parseFloat(element.dataset.own ?? "0") || sizes[index];
    const inherited = doubled && getComputedStyle(doubled).fontSize === getComputedStyle(element).fontSize;
    element.style.fontSize = `${inherited ? own : own * 2}px`;
  });
  all.forEach((element) => {
    element.dataset.doubled = "";
  });
};

/** Every piece of text or control that overlaps another or is cut off by a part that does not scroll. */
function faults(page) {
  return page.evaluate(() => {
    const found = [];
    const isShown = (element) =>
      element.checkVisibility({ visibilityProperty: true, opacityProperty: true }) && element.closest(".sr-only, [hidden], .chart") === null;
    const name = (element) =>
      `${element.tagName.toLowerCase()}.${element.className} “${(element.getAttribute("aria-label") ?? element.textContent).trim().slice(0, 30)}”`;
    // Leaves: controls, and elements with text of their own.
    const hasText = (element) => [...element.childNodes].some((node) => node.nodeType === 3 && node.textContent.trim() !== "");
    const isControl = (element) => element.matches("button, input, select, textarea, summary");
    const root = document.querySelector("dialog[open]") ?? document.querySelector("#app");
    const leaves = [...root.querySelectorAll("*")].filter(
      (element) => isShown(element) && (isControl(element) || (hasText(element) && element.closest("button, select, svg, option") === null)),
    );
    // What is visible of a box inside everything that clips it, and whether the clipping part scrolls.
    const seen = (element) => {
      let { left, top, right, bottom } = element.getBoundingClientRect();
      let cut = null;
      for (let around = element.parentElement; around && around !== document.body; around = around.parentElement) {
        const style = getComputedStyle(around);
        if (style.overflowX === "visible" && style.overflowY === "visible") continue;
        const box = around.getBoundingClientRect();
        const scrolls = (way) => ["auto", "scroll"].includes(way);
        const clamped = style.webkitLineClamp !== "none";
        if (!clamped && !scrolls(style.overflowX) && (right > box.right + 2 || left < box.left - 2)) cut = around;
        if (!clamped && !scrolls(style.overflowY) && (bottom > box.bottom + 2 || top < box.top - 2)) cut = around;
        [left, top] = [Math.max(left, box.left), Math.max(top, box.top)];
        [right, bottom] = [Math.min(right, box.right), Math.min(bottom, box.bottom)];
      }
      return { left, top, right, bottom, cut };
    };
    const boxes = leaves.map((element) => ({ element, ...seen(element) }));
    for (const { element, cut, left, right } of boxes) {
      if (cut) found.push(`${name(element)} is cut off by ${name(cut)}`);
      if (right - left > 0 && right > document.documentElement.clientWidth + 1) found.push(`${name(element)} leaves the window`);
      const ownClip = getComputedStyle(element);
      if (isControl(element) && !element.matches("select, input, textarea") && ownClip.overflow === "visible") {
        if (element.scrollWidth > element.clientWidth + 3) found.push(`the words of ${name(element)} leave it`);
        if (element.scrollHeight > element.clientHeight + 3) found.push(`the words of ${name(element)} leave it upwards or downwards`);
      }
    }
    const sticky = (element) => element.closest(".jump, .first-stroke, thead") !== null;
    for (const [index, a] of boxes.entries()) {
      for (const b of boxes.slice(index + 1)) {
        if (a.element.contains(b.element) || b.element.contains(a.element)) continue;
        if (sticky(a.element) !== sticky(b.element)) continue;
        // The button to the working lies over the badge of its own limit, on the row that is a button too.
        const limit = a.element.closest(".limit");
        if (limit !== null && limit === b.element.closest(".limit")) continue;
        const across = Math.min(a.right, b.right) - Math.max(a.left, b.left);
        const down = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
        if (across > 3 && down > 4) found.push(`${name(a.element)} and ${name(b.element)} overlap by ${across.toFixed(0)} × ${down.toFixed(0)}`);
      }
    }
    return found.slice(0, 20);
  });
}

for (const [how, larger] of [["by the browser’s setting", byRoot], ["by a zoom of text alone", byFonts]]) {
  for (const [name, viewport] of Object.entries({ TABLET, TABLET_UPRIGHT, PHONE })) {
    const { width, height } = viewport;
    test(`text twice as large ${how} overlaps nothing and is cut off nowhere at ${width} × ${height}`, async (tools) => {
      const opened = await openServed(tools, { viewport });
      const evenstroke = new EvenstrokePage(opened);
      const { page } = opened;
      const holds = async (when) => {
        await page.evaluate(larger);
        await painted(page);
        await painted(page);
        assert.deepEqual(await faults(page), [], `${name.toLowerCase()}, ${when}`);
        await noHorizontalScroll(page);
      };
      await holds("with the first steps");
      await evenstroke.skipFirstSteps();
      await holds("at the start");
      for (const card of ["Press 12", "Stock", "Die", "5 stations"]) {
        await evenstroke.openCard(card);
        await holds(`with ${card} open`);
      }
      await evenstroke.openStation("Pierce");
      await holds("with a station open");
      await evenstroke.cardHead("5 stations").click();
      await evenstroke.planPanel.getByRole("button", { name: "Move stations" }).click();
      await holds("moving stations");
      await evenstroke.planPanel.getByRole("button", { name: "Done with stations" }).click();
      await evenstroke.planPanel.getByRole("button", { name: "Edit outlines" }).click();
      await holds("editing outlines");
      await evenstroke.planPanel.getByRole("button", { name: "Done with outlines" }).click();
      for (const figure of ["Tilt of the slide", "What if", "What moves the limits"]) {
        await evenstroke.show(figure);
        await holds(figure);
      }
      await evenstroke.jobsButton.click();
      await holds("the list of jobs");
      await assertQuiet(opened);
    });
  }
}

test("pictures set their words larger, too", async (tools) => {
  const opened = await openServed(tools, { viewport: TABLET_UPRIGHT });
  const evenstroke = new EvenstrokePage(opened);
  const { page } = opened;
  await page.evaluate(byRoot);
  await painted(page);
  await painted(page);
  const large = await evenstroke.stroke.locator("canvas").evaluate((canvas) => canvas.getContext("2d").font);
  const pixels = (font) => parseFloat(/([\d.]+)px/.exec(font)[1]);
  await page.evaluate(() => {
    document.documentElement.style.fontSize = "";
  });
  await painted(page);
  await painted(page);
  const usual = await evenstroke.stroke.locator("canvas").evaluate((canvas) => canvas.getContext("2d").font);
  assert(pixels(large) > 1.5 * pixels(usual), `${large} beside ${usual}`);
  await assertQuiet(opened);
});
