import assert from "node:assert/strict";
import { test } from "../harness/test.mjs";
import { PHONE, assertQuiet, openServed } from "../harness/open.mjs";
import { axe, fitsGloves, noHorizontalScroll, readsText } from "../harness/act.mjs";
import { EvenstrokePage } from "../pages/evenstroke-page.mjs";

async function start(tools, options) {
  const opened = await openServed(tools, options);
  const evenstroke = new EvenstrokePage(opened);
  await evenstroke.openCard("Press 12");
  return { opened, page: opened.page, evenstroke };
}

test("the help of a field says what it is, where to find it and what it takes, with a sketch", async (tools) => {
  const { opened, page, evenstroke } = await start(tools);
  await evenstroke.helpButton("Rated force at").click();
  const help = evenstroke.help("Rated force at");
  await readsText(help, "Height above BDC up to which the press gives its rated force. On the plate or in the manual.");
  await readsText(help, "Takes numbers above 0 and at most 100000 mm.");
  await help.getByRole("img", { name: /crank moves the slide/ }).waitFor();
  const [field, panel] = [await evenstroke.field("Rated force at").boundingBox(), await help.boundingBox()];
  assert(panel.y >= field.y + field.height, "it stands below the field and covers nothing");
  await axe(page);
  await assertQuiet(opened);
});

test("the help is opened by key and closed by Escape, with the focus on its button", async (tools) => {
  const { opened, page, evenstroke } = await start(tools);
  const button = evenstroke.helpButton("Rated force");
  await evenstroke.field("Rated force").focus();
  await page.keyboard.press("Tab");
  assert(await button.evaluate((element) => element === document.activeElement), "the next stop is the help");
  await page.keyboard.press("Enter");
  await evenstroke.help("Rated force").waitFor();
  assert.equal(await button.getAttribute("aria-expanded"), "true");
  await page.keyboard.press("Tab");
  await page.keyboard.press("Escape");
  await evenstroke.help("Rated force").waitFor({ state: "detached" });
  assert(await button.evaluate((element) => element === document.activeElement), "the focus is back");
  assert.equal(await button.getAttribute("aria-expanded"), "false");
  await assertQuiet(opened);
});

test("one help is open at a time", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  await evenstroke.helpButton("Rated force").click();
  await evenstroke.helpButton("Frame").click();
  await evenstroke.help("Frame").waitFor();
  assert.equal(await evenstroke.help("Rated force").count(), 0);
  await evenstroke.help("Frame").getByRole("button", { name: "Close help" }).click();
  await evenstroke.help("Frame").waitFor({ state: "detached" });
  await assertQuiet(opened);
});

test("a field says what it takes, what stands in for it and where its value came from", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  await readsText(evenstroke.frame("Rated force"), "above 0 and at most 1000000 kN");
  await evenstroke.units.selectOption("US ton-force · inch");
  await readsText(evenstroke.frame("Stroke"), "above 0 and at most 3937.008 in");
  await evenstroke.units.selectOption("kN · mm");
  await readsText(evenstroke.frame("Damping"), "Taken as 30 % if empty");
  await evenstroke.openCard("Stock");
  await evenstroke.field("Take from the list").selectOption("EN 10130 DC04");
  await readsText(evenstroke.frame("Tensile strength"), "as listed for EN 10130 DC04");
  await evenstroke.field("Tensile strength").fill("333");
  await readsText(evenstroke.frame("Tensile strength"), /^(?!.*as listed).*above 0/s);
  await evenstroke.openCard("5 stations");
  await evenstroke.openStation("Idle");
  await evenstroke.cards.getByRole("button", { name: "Add work" }).click();
  const entry = evenstroke.frame("First touch at", evenstroke.group("Work 1"));
  await readsText(entry, "same as our starting value");
  await evenstroke.field("First touch at", evenstroke.group("Work 1")).fill("4.2");
  await readsText(entry, /^(?!.*starting value)/s);
  await assertQuiet(opened);
});

test("on a phone the press card is folded to a few lines, and stays as it was left", async (tools) => {
  const { opened, page, evenstroke } = await start(tools, { viewport: PHONE, hasTouch: true });
  await evenstroke.skipFirstSteps();
  const room = evenstroke.group("Room for the die");
  const line = room.locator("summary").first();
  await readsText(line, "Left to right 1250 mm");
  assert.equal(await evenstroke.field("Shut height, greatest").isVisible(), false);
  const { height } = await evenstroke.cards.boundingBox();
  assert(height < 2.5 * PHONE.height, `the cards are ${height} px high`);
  await line.click();
  await evenstroke.field("Shut height, greatest").fill("450");
  await evenstroke.group("Force and drive").locator("summary").first().click();
  await evenstroke.openCard("Die");
  await evenstroke.openCard("Press 12");
  assert.equal(await evenstroke.field("Shut height, greatest").inputValue(), "450");
  assert(await evenstroke.field("Shut height, greatest").isVisible(), "it is still unfolded");
  assert.equal(await evenstroke.field("Rated force").isVisible(), false, "and the other still folded");
  await noHorizontalScroll(page);
  await fitsGloves(page);
  await assertQuiet(opened);
});

test("on a phone the parts of the page are one tap away", async (tools) => {
  const { opened, page, evenstroke } = await start(tools, { viewport: PHONE, hasTouch: true });
  const jump = page.getByRole("navigation", { name: "Parts of the page" });
  for (const [word, part] of [
    ["Plan", evenstroke.planPanel],
    ["Limits", evenstroke.limits],
    ["Data", evenstroke.cards],
    ["Chart", evenstroke.stroke],
  ]) {
    await jump.getByRole("button", { name: word }).click();
    const { y } = await part.boundingBox();
    assert(y >= 40 && y < 120, `${word} begins at ${y} px, below the buttons`);
  }
  await assertQuiet(opened);
});
