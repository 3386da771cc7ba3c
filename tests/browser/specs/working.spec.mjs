import assert from "node:assert/strict";
import { test } from "../harness/test.mjs";
import { PHONE, assertQuiet, openServed } from "../harness/open.mjs";
import { axe, fitsGloves, noHorizontalScroll, readsText } from "../harness/act.mjs";
import { demoJob } from "../harness/jobs.mjs";
import { EvenstrokePage } from "../pages/evenstroke-page.mjs";

async function start(tools, options) {
  const opened = await openServed(tools, options);
  const { page } = opened;
  const dialog = page.getByRole("dialog", { name: "The working" });
  const opener = (name) => page.getByRole("button", { name: `Show the working of ${name}`, exact: true });
  return { opened, page, evenstroke: new EvenstrokePage(opened), dialog, opener };
}

test("the badge of a limit shows the working of its share, back to the stations and the crank", async (tools) => {
  const { opened, page, evenstroke, dialog, opener } = await start(tools);
  const share = /(\d\.\d\d)/.exec(await evenstroke.limit("Force at height").innerText())[1];
  await opener("Force at height").click();
  await dialog.getByRole("heading", { name: "Force at height" }).waitFor();
  await readsText(dialog, "asked");
  const first = dialog.locator("section.law").first();
  const result = Number(await first.locator("math").nth(1).locator("mn").last().innerText());
  assert.equal(result.toFixed(2), share, "the first step ends in the share of the badge");
  await dialog.getByRole("heading", { name: "Parts added up" }).waitFor();
  await readsText(dialog, /upper line, strip/);
  const drawn = await dialog.locator(".formula math").first().boundingBox();
  assert(drawn.width > 40 && drawn.height > 12, "the formula is typeset");
  await first.getByText("Taken for granted, range, source").click();
  await readsText(first, "The Fabricator");
  await axe(page);
  await assertQuiet(opened);
});

test("the working is opened by key and gives the focus back when it is closed", async (tools) => {
  const { opened, page, dialog, opener } = await start(tools);
  await opener("Rated force").focus();
  await page.keyboard.press("Enter");
  await dialog.waitFor();
  await page.keyboard.press("Escape");
  await dialog.waitFor({ state: "hidden" });
  assert(await opener("Rated force").evaluate((button) => button === document.activeElement));
  await assertQuiet(opened);
});

test("an operation shows the law of its force with its numbers in the units on screen", async (tools) => {
  const { opened, evenstroke, dialog, opener } = await start(tools);
  await evenstroke.units.selectOption("US ton-force · inch");
  await evenstroke.openCard("5 stations");
  await evenstroke.cards.locator(".station-head").first().click();
  await opener("work 1").click();
  await dialog.getByRole("heading", { name: "Whole cut edge at once" }).waitFor();
  await readsText(dialog, /shear strength\s*[\d.]+\s*ksi/);
  await readsText(dialog, /force with the whole edge in shear\s*[\d.]+\s*US ton-f/);
  await assertQuiet(opened);
});

test("the numbers beside the slide have their working", async (tools) => {
  const { opened, evenstroke, dialog, opener } = await start(tools);
  const nominal = /: ([\d.]+) kN nominal/.exec(await evenstroke.readout.innerText())[1];
  await opener("these numbers").click();
  const first = dialog.locator("section.law").first();
  await readsText(first, "nominal line");
  const result = Number(await first.locator("math").nth(1).locator("mn").last().innerText());
  assert.equal(result.toFixed(1), Number(nominal).toFixed(1));
  await dialog.getByRole("heading", { name: "Slide speed" }).waitFor();
  await assertQuiet(opened);
});

test("on a phone a long formula scrolls by itself, and every target takes a glove", async (tools) => {
  const { opened, page, dialog, opener } = await start(tools, { viewport: PHONE, hasTouch: true });
  await fitsGloves(page);
  await opener("Suspension point").click();
  await dialog.waitFor();
  await noHorizontalScroll(page);
  const wide = await dialog.evaluate((element) => element.scrollWidth - element.clientWidth);
  assert(wide <= 0, `the window over the page is ${wide} px too wide`);
  await fitsGloves(page);
  await axe(page);
  await assertQuiet(opened);
});

test("a limit that is not checked says what is missing, and what any press would have to give", async (tools) => {
  const { opened, evenstroke, dialog, opener } = await start(tools);
  const job = await demoJob("progressive");
  delete job.press;
  await evenstroke.openFile("no-press.json", job);
  await readsText(evenstroke.limit("Rated force"), "not checked");
  await opener("Rated force").click();
  await readsText(dialog, "rated force of the press not entered");
  await dialog.getByRole("heading", { name: "Parts added up" }).waitFor();
  await assertQuiet(opened);
});

test("a name in the job cannot become part of the page", async (tools) => {
  const { opened, evenstroke, dialog, opener } = await start(tools);
  const job = await demoJob("progressive");
  for (const station of job.stations) station.name = "<b>&amp; <img src=x>";
  await evenstroke.openFile("names.json", job);
  await readsText(evenstroke.cardHead("5 stations"), "<img src=x>");
  await opener("Rated force").click();
  await readsText(dialog, "<b>&amp; <img src=x>");
  assert.equal(await dialog.locator("img").count(), 0);
  await assertQuiet(opened);
});
