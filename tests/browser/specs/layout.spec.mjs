import assert from "node:assert/strict";
import { test } from "../harness/test.mjs";
import { PHONE, SMALL_PHONE, TABLET, TABLET_UPRIGHT, assertQuiet, openServed } from "../harness/open.mjs";
import { fitsGloves, noHorizontalScroll, readsText } from "../harness/act.mjs";
import { demoJob } from "../harness/jobs.mjs";
import { EvenstrokePage } from "../pages/evenstroke-page.mjs";

/** Long names, twelve stations and every kind of card content that may grow. */
async function crowdedJob() {
  const job = await demoJob("progressive");
  job.title = "Housing cover for the left-hand rear gate latch of the larger trailer series, revision C, 12 stations";
  job.press.name = "Press 12 in the second hall beside the coil line";
  job.stock.material = "Unbrokenmaterialdesignation".repeat(5);
  job.stations = Array.from({ length: 12 }, (_, index) => ({
    ...structuredClone(job.stations[index % 5]),
    name: `Station ${index + 1} with a rather long name`,
    x_mm: -440 + 80 * index,
    strip_position: index + 1,
  }));
  return job;
}

for (const [name, viewport] of Object.entries({ TABLET, TABLET_UPRIGHT, PHONE, SMALL_PHONE })) {
  const { width, height } = viewport;
  test(`at ${width} × ${height} nothing is wider than the window or too small for gloves`, async (tools) => {
    const opened = await openServed(tools, { viewport, hasTouch: true });
    const evenstroke = new EvenstrokePage(opened);
    const { page } = opened;
    const holds = async () => {
      await noHorizontalScroll(page);
      await fitsGloves(page);
    };
    await evenstroke.openFile("crowded.json", await crowdedJob());
    await readsText(evenstroke.title, "Housing cover");
    await holds();
    for (const card of ["Press 12", "Stock", "Die", "Title, note, method", "12 stations"]) {
      await evenstroke.openCard(card);
      await holds();
    }
    await evenstroke.openStation("Station 4 with a rather long name");
    await holds();
    await evenstroke.jobsButton.click();
    await holds();
    await evenstroke.jobs.getByRole("button", { name: "Close" }).click();
    await evenstroke.sheetButton.click();
    await holds();
    await evenstroke.sheet.getByRole("button", { name: "Close" }).click();
    await evenstroke.units.selectOption("US ton-force · inch");
    await evenstroke.openFile("bad.json", "{}");
    await evenstroke.refused.waitFor();
    await holds();
    await assertQuiet(opened);
  });
}

test("at 1280 × 800 all four parts are in view and only they scroll", async (tools) => {
  const opened = await openServed(tools, { viewport: TABLET });
  const evenstroke = new EvenstrokePage(opened);
  const { page } = opened;
  const inView = async (when) => {
    for (const part of [evenstroke.limits, evenstroke.stroke, evenstroke.planPanel, evenstroke.cards]) {
      const box = await part.boundingBox();
      assert(
        box.y >= 0 && box.x >= 0 && box.x + box.width <= TABLET.width && box.y + box.height <= TABLET.height,
        `${when}: ${await part.getAttribute("aria-label")} lies at ${JSON.stringify(box)}`,
      );
    }
    // What a part holds stays inside it.
    for (const [part, last] of [
      [evenstroke.stroke, evenstroke.readout],
      [evenstroke.planPanel, page.getByRole("button", { name: "Centre the die" })],
    ]) {
      const [outer, inner] = [await part.boundingBox(), await last.boundingBox()];
      assert(inner.y + inner.height <= outer.y + outer.height + 1, `${when}: ${await last.textContent()} is cut off`);
    }
    const { page: pageHeight, window: room } = await page.evaluate(() => ({
      page: document.documentElement.scrollHeight,
      window: document.documentElement.clientHeight,
    }));
    assert(pageHeight <= room, `${when}: the page is ${pageHeight} px high in a window of ${room} px`);
  };
  await inView("at the start");
  await evenstroke.openCard("5 stations");
  await evenstroke.openStation("Pierce");
  await inView("with a station open");
  await evenstroke.openFile("bad.json", "{}");
  await evenstroke.refused.waitFor();
  await inView("with a refused file");
  await evenstroke.openFile("crowded.json", await crowdedJob());
  await readsText(evenstroke.title, "Housing cover");
  await inView("with twelve stations");
  await assertQuiet(opened);
});

for (const [width, height] of [[1280, 800], [1024, 768], [800, 1280], [390, 844], [360, 740]]) {
  test(`at ${width} × ${height} the units box shows its choice in full`, async (tools) => {
    const opened = await openServed(tools, { viewport: { width, height } });
    const evenstroke = new EvenstrokePage(opened);
    await evenstroke.units.selectOption("US ton-force · inch");
    const [box, text] = await evenstroke.units.evaluate((select) => {
      const canvas = document.createElement("canvas").getContext("2d");
      canvas.font = getComputedStyle(select).font;
      const style = getComputedStyle(select);
      const inside = select.clientWidth - parseFloat(style.paddingLeft) - parseFloat(style.paddingRight);
      return [inside, canvas.measureText(select.selectedOptions[0].text).width];
    });
    assert(box >= text, `the box has ${box} px for ${text} px of text`);
    await noHorizontalScroll(opened.page);
    await assertQuiet(opened);
  });
}

test("at 800 × 1280 nothing lies over the last card", async (tools) => {
  const opened = await openServed(tools, { viewport: TABLET_UPRIGHT });
  const evenstroke = new EvenstrokePage(opened);
  const last = await evenstroke.cardHead("Title, note, method").boundingBox();
  const caution = await opened.page.getByRole("complementary", { name: "Before the first stroke" }).boundingBox();
  assert(caution.y >= last.y + last.height, "the caution stands below it");
  await assertQuiet(opened);
});
