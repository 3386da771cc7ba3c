import assert from "node:assert/strict";
import { test } from "../harness/test.mjs";
import { assertQuiet, openServed } from "../harness/open.mjs";
import { axe } from "../harness/act.mjs";
import { DEMO, EvenstrokePage } from "../pages/evenstroke-page.mjs";

async function start(tools, options) {
  const opened = await openServed(tools, options);
  return { opened, page: opened.page, evenstroke: new EvenstrokePage(opened) };
}

for (const card of ["Press 12", "Stock", "Die", "Title, note, method"]) {
  test(`the open card "${card}" is accessible`, async (tools) => {
    const { opened, evenstroke } = await start(tools);
    await evenstroke.openCard(card);
    for (const more of await evenstroke.cards.locator("details:not([open]) > summary").all()) await more.click();
    await axe(opened.page);
    await assertQuiet(opened);
  });
}

test("an open station with its work is accessible", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  await evenstroke.openCard("5 stations");
  await evenstroke.openStation("Pierce");
  await axe(opened.page);
  await assertQuiet(opened);
});

test("the list of jobs is accessible", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  await evenstroke.jobsButton.click();
  await axe(opened.page);
  await assertQuiet(opened);
});

test("the set-up sheet is accessible", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  await evenstroke.sheetButton.click();
  await axe(opened.page);
  await assertQuiet(opened);
});

test("messages about a file and a field are accessible", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  await evenstroke.openCard("Press 12");
  await evenstroke.field("Rated force").fill("abc");
  await evenstroke.fieldMessage("Rated force").waitFor();
  await evenstroke.openFile("bad.json", "{}");
  await evenstroke.refused.waitFor();
  await axe(opened.page);
  await assertQuiet(opened);
});

for (const [name, options] of [
  ["in dark colours", { colorScheme: "dark" }],
  ["with more contrast", { contrast: "more" }],
  ["with more contrast asked for in the dark", { contrast: "more", colorScheme: "dark" }],
]) {
  test(`the page is accessible ${name}`, async (tools) => {
    const { opened, page, evenstroke } = await start(tools, options);
    for (const demo of Object.values(DEMO)) {
      await evenstroke.openDemo(demo);
      await axe(page);
    }
    await evenstroke.openDemo(DEMO.progressive);
    await evenstroke.openCard("Press 12");
    await evenstroke.field("Moment, left–right").fill("");
    await evenstroke.verdictReads("Not checked");
    await evenstroke.field("Rated force").fill("abc");
    await evenstroke.fieldMessage("Rated force").waitFor();
    await axe(page);
    await assertQuiet(opened);
  });
}

/** Names of what Tab stops at, from the first button until the focus leaves the page. */
async function tabStops(page) {
  const stops = ["Jobs"];
  await page.getByRole("button", { name: "Jobs", exact: true }).focus();
  for (let presses = 0; presses < 200; presses += 1) {
    await page.keyboard.press("Tab");
    const stop = await page.evaluate(() => {
      const element = document.activeElement;
      if (element === document.body || element === null) return null;
      const label = element.closest("label")?.querySelector(".label, .sr-only")?.textContent;
      return element.getAttribute("aria-label") ?? label ?? element.textContent.trim();
    });
    if (stop === null) return stops;
    stops.push(stop);
  }
  throw new Error(`Tab never leaves the page: ${stops.slice(-3).join(", ")}`);
}

test("Tab reaches everything, in the order it is read", async (tools) => {
  const { opened, page, evenstroke } = await start(tools);
  await evenstroke.openCard("Stock");
  const stops = await tabStops(page);
  const expected = [
    "Jobs",
    "Units",
    "Save file",
    "Set-up sheet",
    "Off-centre, left–right",
    "Run a stroke",
    "Slide height above BDC",
    "To the peak",
    "Strip state",
    "Seen from above",
    "Centre the die",
    "Press 12",
    "Stock",
    "Material",
    "Thickness",
    "Die",
    "5 stations",
    "Title, note, method",
  ];
  let from = 0;
  for (const name of expected) {
    const found = stops.findIndex((stop, index) => index >= from && stop.startsWith(name));
    assert(found >= 0, `Tab does not reach "${name}" in its turn; stops: ${stops.join(" | ")}`);
    from = found + 1;
  }
  await assertQuiet(opened);
});

test("opening a card by key keeps the focus on its heading", async (tools) => {
  const { opened, page, evenstroke } = await start(tools);
  await evenstroke.cardHead("Die").press("Enter");
  const head = evenstroke.cardHead("Die");
  assert.equal(await head.getAttribute("aria-expanded"), "true");
  assert(await head.evaluate((element) => element === document.activeElement), "the focus is lost");
  await page.keyboard.press("Tab");
  const inside = await page.evaluate(() => document.activeElement.closest(".card-body") !== null);
  assert(inside, "the next stop is the first field");
  await head.press("Enter");
  assert.equal(await head.getAttribute("aria-expanded"), "false");
  await assertQuiet(opened);
});

for (const which of ["jobs", "sheet"]) {
  test(`the ${which} dialog takes the focus, keeps it, and gives it back on Escape`, async (tools) => {
    const { opened, page, evenstroke } = await start(tools);
    const [button, dialog] = [evenstroke[`${which}Button`], evenstroke[which]];
    const holdsFocus = () => dialog.evaluate((element) => element.contains(document.activeElement));
    // Past its last stop the focus may leave the page for the browser's own buttons.
    const liesBehind = () =>
      dialog.evaluate((element) => ![...element.querySelectorAll("*"), element, document.body].includes(document.activeElement));
    await button.press("Enter");
    await dialog.waitFor();
    assert(await holdsFocus(), "the focus is in the dialog");
    for (let presses = 1; presses <= 12; presses += 1) {
      await page.keyboard.press("Tab");
      assert(!(await liesBehind()), `the focus is behind the dialog after ${presses} presses of Tab`);
    }
    await page.keyboard.press("Escape");
    await dialog.waitFor({ state: "hidden" });
    assert(await button.evaluate((element) => element === document.activeElement), "the focus is back");
    await assertQuiet(opened);
  });
}
