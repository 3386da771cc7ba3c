import assert from "node:assert/strict";
import { test } from "../harness/test.mjs";
import { assertQuiet, openServed } from "../harness/open.mjs";
import { readsText } from "../harness/act.mjs";
import { demoJob } from "../harness/jobs.mjs";
import { DEMO, EvenstrokePage } from "../pages/evenstroke-page.mjs";

test("the set-up sheet holds verdict, limits, cautions and signature lines", async (tools) => {
  const opened = await openServed(tools);
  const evenstroke = new EvenstrokePage(opened);
  await evenstroke.openDemo(DEMO.combination);
  await evenstroke.sheetButton.click();
  const { sheet } = evenstroke;
  await sheet.getByRole("heading", { name: "Set-up sheet: Lantern cap" }).waitFor();
  await readsText(sheet, /Over a limit.*Force at height 1\.\d\d: .* limits checked/);
  const force = sheet.getByRole("row").filter({ has: opened.page.getByText("Force at height", { exact: true }) });
  assert.match(await force.innerText(), /over/);
  for (const heading of ["Where to clamp", "Force through the stroke", "Die data for setting", "Before the first stroke", "Cautions"]) {
    assert(await sheet.getByRole("heading", { name: heading }).isVisible(), heading);
  }
  await readsText(sheet, /Set by/);
  await readsText(sheet, /lock out, block the slide/);
  await sheet.getByRole("button", { name: "Close" }).click();
  await sheet.waitFor({ state: "hidden" });
  await assertQuiet(opened);
});

test("the set-up sheet scrolls down to its last line, and its buttons stay", async (tools) => {
  const opened = await openServed(tools);
  const evenstroke = new EvenstrokePage(opened);
  await evenstroke.sheetButton.click();
  const { sheet } = evenstroke;
  const box = await sheet.boundingBox();
  await opened.page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
  await opened.page.mouse.wheel(0, 10_000);
  const line = await sheet.getByText("Void if the die was ground").elementHandle();
  await opened.page.waitForFunction(
    (line) => line.getBoundingClientRect().bottom <= line.closest("dialog").getBoundingClientRect().bottom,
    line,
  );
  const close = await sheet.getByRole("button", { name: "Close" }).boundingBox();
  assert(close.y >= box.y, "the button to close it is still in view");
  await assertQuiet(opened);
});

/** How many pages a PDF of Chromium's has. */
const pagesOf = (pdf) => pdf.toString("latin1").match(/\/Type\s*\/Page\b(?!s)/g)?.length ?? 0;

for (const format of ["A4", "Letter"]) {
  test(`the set-up sheet prints on one or two pages of ${format}`, async (tools) => {
    const opened = await openServed(tools);
    const evenstroke = new EvenstrokePage(opened);
    const pages = {};
    for (const [key, name] of Object.entries(DEMO)) {
      await evenstroke.openDemo(name);
      await opened.page.evaluate(() => window.dispatchEvent(new Event("beforeprint")));
      pages[key] = pagesOf(await opened.page.pdf({ format }));
    }
    for (const [key, count] of Object.entries(pages)) assert(count === 1 || count === 2, `${key}: ${count} pages`);
    await assertQuiet(opened);
  });
}

test("what is printed is the sheet of the job as it stands, and nothing of the tool", async (tools) => {
  const opened = await openServed(tools);
  const evenstroke = new EvenstrokePage(opened);
  const { page } = opened;
  const job = await demoJob("compound");
  job.title = "Ring washer, third setting";
  await evenstroke.openFile("washer.json", job);
  await readsText(evenstroke.title, job.title);
  await evenstroke.plan.press("Shift+ArrowRight");
  await readsText(evenstroke.place, "10.0 mm right");
  await page.evaluate(() => window.dispatchEvent(new Event("beforeprint")));
  await page.emulateMedia({ media: "print", colorScheme: "dark" });

  const text = await page.locator("body").innerText();
  assert.match(text, /Set-up sheet: Ring washer, third setting/);
  assert.match(text, /10\.0 mm right/);
  assert.match(text, /Within the limits checked/);
  assert(await evenstroke.staticSheet.isVisible());
  assert(await evenstroke.jobsButton.isHidden(), "no button is printed");
  const [paper, ink] = await evenstroke.staticSheet.evaluate((sheet) => {
    const style = getComputedStyle(sheet.querySelector(".sheet"));
    return [style.backgroundColor, style.color];
  });
  assert.equal(paper, "rgb(255, 255, 255)", "white paper, in the dark too");
  assert.notEqual(ink, paper);
  await assertQuiet(opened);
});
