import assert from "node:assert/strict";
import { test } from "../harness/test.mjs";
import { PHONE, TABLET, assertQuiet, openSaved, openServed, reload } from "../harness/open.mjs";
import { axe, fitsGloves, noHorizontalScroll, readsText } from "../harness/act.mjs";
import { pdfPages } from "../harness/pdf.mjs";
import { EvenstrokePage } from "../pages/evenstroke-page.mjs";

/** Words of each language by which the page is found here. */
const WORDS = {
  de: { jobs: "Aufträge", open: "Auftrag öffnen", language: "Sprache", close: "Schließen", sheet: "Einrichteblatt", rated: "Nennkraft", undo: "Rückgängig" },
  es: { jobs: "Trabajos", open: "Abrir un trabajo", language: "Idioma", close: "Cerrar", sheet: "Hoja de montaje", rated: "Fuerza nominal", undo: "Deshacer" },
  "zh-Hans": { jobs: "作业", open: "打开作业", language: "语言", close: "关闭", sheet: "装模工艺卡", rated: "公称力", undo: "撤销" },
};

/** Chooses a language in the list of jobs, from a page in English. */
async function choose(page, tag) {
  await page.getByRole("button", { name: "Jobs", exact: true }).click();
  await page.getByRole("dialog").getByRole("combobox", { name: "Language", exact: true }).selectOption(tag);
  const { open, language, close } = WORDS[tag];
  const dialog = page.getByRole("dialog", { name: open });
  await dialog.getByRole("combobox", { name: language, exact: true }).waitFor();
  await dialog.getByRole("button", { name: close, exact: true }).click();
}

for (const tag of Object.keys(WORDS)) {
  test(`the page is read in ${tag}, also after a reload, and is accessible`, async (tools) => {
    const opened = await openServed(tools);
    const { page } = opened;
    await choose(page, tag);
    const { rated, jobs } = WORDS[tag];
    await page.getByRole("listitem").filter({ has: page.getByText(rated, { exact: true }) }).waitFor();
    assert.equal(await page.locator("html").getAttribute("lang"), tag);
    await axe(page);
    await reload(opened);
    await page.getByRole("button", { name: jobs, exact: true }).waitFor();
    assert.equal(await page.locator("html").getAttribute("lang"), tag);
    await assertQuiet(opened);
  });
}

test("another language takes nothing of the job or its history", async (tools) => {
  const opened = await openServed(tools);
  const { page } = opened;
  const evenstroke = new EvenstrokePage(opened);
  await evenstroke.skipFirstSteps();
  await evenstroke.openCard("Press 12");
  await evenstroke.field("Rated force").fill("700");
  await choose(page, "de");
  const field = page.locator("label").filter({ has: page.getByText("Nennkraft", { exact: true }) }).locator("input");
  if (!(await field.isVisible())) await page.getByRole("heading", { name: /^Press 12/ }).getByRole("button").click();
  assert.equal(await field.inputValue(), "700");
  // Once: the keys that undo are heard once, however often the page was made anew.
  await page.keyboard.press("Control+z");
  await page.waitForFunction((input) => input.value === "630", await field.elementHandle());
  await page.getByRole("button", { name: "Wiederholen" }).click();
  assert.equal(await field.inputValue(), "700");
  await assertQuiet(opened);
});

test("numbers are read and written with a decimal comma", async (tools) => {
  const opened = await openServed(tools);
  const { page } = opened;
  await choose(page, "de");
  await readsText(page.getByRole("listitem").filter({ has: page.getByText("Nennkraft", { exact: true }) }), /von 630,0 kN bei \d,\d mm/);
  await page.getByRole("heading", { name: /^Press 12/ }).getByRole("button").click();
  const frame = page.locator(".framed").filter({ has: page.locator(".label").getByText("Nennkraft", { exact: true }) });
  const input = frame.locator("input");
  await input.fill("1,250");
  await readsText(page.getByRole("listitem").filter({ has: page.getByText("Nennkraft", { exact: true }) }), /von 1,25 kN/);
  // A point before three digits is thousands to some and decimals to others.
  await input.fill("1.250");
  await readsText(frame.getByRole("alert"), "hat zwei Bedeutungen: 1,250 oder 1250 schreiben");
  await assertQuiet(opened);
});

test("the sheet is printed in another language than the page, and in two", async (tools) => {
  const opened = await openServed(tools);
  const { page } = opened;
  const evenstroke = new EvenstrokePage(opened);
  await evenstroke.sheetButton.click();
  await evenstroke.sheet.getByLabel("Language of the sheet").selectOption("es");
  await evenstroke.sheet.getByRole("heading", { name: /^Hoja de montaje: / }).waitFor();
  assert.equal(await evenstroke.sheet.getByRole("article").getAttribute("lang"), "es");
  await evenstroke.sheet.getByLabel("And once more in").selectOption("zh-Hans");
  await evenstroke.sheet.getByRole("heading", { name: /^装模工艺卡：/ }).waitFor();
  assert.equal(await page.locator("html").getAttribute("lang"), "en-US");
  await axe(page);
  await page.evaluate(() => window.dispatchEvent(new Event("beforeprint")));
  const pages = await pdfPages(await page.pdf({ format: "A4" }));
  assert(pages.length >= 2 && pages.length <= 4, `${pages.length} pages`);
  await reload(opened);
  await evenstroke.sheetButton.click();
  await evenstroke.sheet.getByRole("heading", { name: /^Hoja de montaje: / }).waitFor();
  await assertQuiet(opened);
});

for (const [name, viewport] of Object.entries({ TABLET, PHONE })) {
  test(`German, with the longest words, fits a ${name.toLowerCase()}`, async (tools) => {
    const opened = await openServed(tools, { viewport, hasTouch: true });
    const { page } = opened;
    await choose(page, "de");
    const holds = async () => {
      await noHorizontalScroll(page);
      await fitsGloves(page);
      const cut = await page.evaluate(() =>
        [...document.querySelectorAll("button, h2, .tag, .limit-name, label > span")]
          .filter((element) => element.checkVisibility() && !element.matches(".sr-only") && element.scrollWidth > element.clientWidth + 1 && getComputedStyle(element).display !== "inline")
          .map((element) => element.textContent),
      );
      assert.deepEqual(cut, [], "words cut off");
    };
    await holds();
    for (const card of [/^Press 12/, /^Werkzeug/, /^5 Stationen/]) {
      await page.getByRole("heading", { level: 2, name: card }).getByRole("button").click();
      await holds();
    }
    await page.getByRole("button", { name: "Einrichteblatt" }).click();
    await holds();
    await assertQuiet(opened);
  });
}

test("the first visit is in the language of the browser", async (tools) => {
  const opened = await openServed(tools, { locale: "de-AT" });
  await opened.page.getByRole("button", { name: "Aufträge", exact: true }).waitFor();
  await assertQuiet(opened);
});

test("a saved page is read in another language from the disk", async (tools) => {
  const opened = await openSaved(tools);
  await choose(opened.page, "zh-Hans");
  await opened.page.getByText("公称力", { exact: true }).first().waitFor();
  await assertQuiet(opened);
});
