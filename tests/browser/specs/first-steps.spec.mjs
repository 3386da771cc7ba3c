import assert from "node:assert/strict";
import { test } from "../harness/test.mjs";
import { PHONE, TABLET, assertQuiet, openServed, reload } from "../harness/open.mjs";
import { axe, fitsGloves, noHorizontalScroll, readsText } from "../harness/act.mjs";
import { EvenstrokePage } from "../pages/evenstroke-page.mjs";

async function start(tools, options) {
  const opened = await openServed(tools, options);
  const evenstroke = new EvenstrokePage(opened);
  const way = (name) => evenstroke.firstSteps.getByRole("button", { name, exact: true });
  return { opened, page: opened.page, evenstroke, way };
}

test("four first steps lead from the press to the answer and open the parts they are about", async (tools) => {
  const { opened, page, evenstroke, way } = await start(tools);
  await readsText(evenstroke.firstSteps, "1 of 4: The press.");
  await way("Show me").click();
  assert.equal(await evenstroke.cardHead("Press 12").getAttribute("aria-expanded"), "true");
  await way("Next").click();
  await readsText(evenstroke.firstSteps, "2 of 4: The stock.");
  await way("Show me").click();
  assert.equal(await evenstroke.cardHead("Stock").getAttribute("aria-expanded"), "true");
  await way("Next").click();
  await readsText(evenstroke.firstSteps, "3 of 4: Die and stations.");
  await way("Show me").click();
  assert.equal(await evenstroke.cardHead("5 stations").getAttribute("aria-expanded"), "true");
  await way("Next").click();
  await readsText(evenstroke.firstSteps, "4 of 4: The answer.");
  await way("Show me").click();
  assert(await evenstroke.limits.evaluate((element) => element === document.activeElement));
  await axe(page);
  await way("Back").click();
  await readsText(evenstroke.firstSteps, "3 of 4");
  await way("Next").click();
  await way("Done").click();
  await evenstroke.firstSteps.waitFor({ state: "detached" });
  await assertQuiet(opened);
});

test("the first steps that were left do not come back by themselves, but from the header", async (tools) => {
  const { opened, evenstroke, way } = await start(tools);
  await way("Skip the steps").click();
  await reload(opened);
  assert.equal(await evenstroke.firstSteps.count(), 0);
  await evenstroke.firstStepsButton.click();
  await readsText(evenstroke.firstSteps, "1 of 4");
  await assertQuiet(opened);
});

for (const [name, viewport] of Object.entries({ TABLET, PHONE })) {
  test(`the first steps cover nothing at the size of a ${name.toLowerCase()}`, async (tools) => {
    const { opened, page, evenstroke } = await start(tools, { viewport, hasTouch: true });
    const strip = await evenstroke.firstSteps.boundingBox();
    const header = await page.getByRole("banner").boundingBox();
    const board = await page.getByRole("main").boundingBox();
    assert(strip.y >= header.y + header.height - 1 && strip.y + strip.height <= board.y + 1);
    await noHorizontalScroll(page);
    await fitsGloves(page);
    await assertQuiet(opened);
  });
}
