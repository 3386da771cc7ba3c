import assert from "node:assert/strict";
import { test } from "../harness/test.mjs";
import { assertQuiet, openServed } from "../harness/open.mjs";
import { readsText } from "../harness/act.mjs";
import { demoJob } from "../harness/jobs.mjs";
import { pdfPages } from "../harness/pdf.mjs";
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

async function printed(opened, format) {
  await opened.page.evaluate(() => window.dispatchEvent(new Event("beforeprint")));
  return pdfPages(await opened.page.pdf({ format }));
}

for (const format of ["A4", "Letter"]) {
  test(`the set-up sheet prints on one or two pages of ${format}`, async (tools) => {
    const opened = await openServed(tools);
    const evenstroke = new EvenstrokePage(opened);
    const pages = {};
    for (const [key, name] of Object.entries(DEMO)) {
      await evenstroke.openDemo(name);
      pages[key] = await printed(opened, format);
    }
    const { press: _, ...withoutPress } = { ...(await demoJob("progressive")), title: "No press" };
    await evenstroke.openFile("no-press.json", withoutPress);
    await readsText(evenstroke.title, "No press");
    pages.withoutPress = await printed(opened, format);
    for (const [key, { length }] of Object.entries(pages)) {
      assert(length === 1 || length === 2, `${key}: ${length} pages`);
    }
    await assertQuiet(opened);
  });
}

test("the printed sheet says where to clamp, with dimensions, and which job it is of", async (tools) => {
  const opened = await openServed(tools);
  const evenstroke = new EvenstrokePage(opened);
  const job = await demoJob("progressive");
  job.die.placement = { x_mm: 85.5, y_mm: -40, turn_deg: 0 };
  await evenstroke.openFile("shifted.json", job);
  await readsText(evenstroke.place, "85.5 mm right");
  const text = (await printed(opened, "A4")).join(" ");
  assert.match(text, /Die centre 85\.5 mm right, 40\.0 mm front of the bolster centre/);
  // Bolster 1250 x 800, die 900 x 450: half of one less half of the other, more or less the shift.
  for (const gap of ["260.5 mm", "89.5 mm", "135.0 mm", "215.0 mm", "900.0 mm", "450.0 mm"]) {
    assert(text.includes(gap), `${gap} in: ${text}`);
  }
  const [, checksum] = /Job ([0-9A-F]{4}-[0-9A-F]{4})/.exec(text);
  for (const words of ["Force needed (upper)", "Upper die 350.0 kg", "Whole die 820.0 kg", "Closed height of the die 375.0 mm", "lock out, block the slide", "Checked by, date and time"]) {
    assert(text.includes(words), words);
  }
  await evenstroke.openCard("Press 12");
  await evenstroke.changeRatedForce(640);
  assert(!(await printed(opened, "A4")).join(" ").includes(checksum), "another job has another checksum");
  await evenstroke.undo.click();
  await readsText(evenstroke.limit("Rated force"), "of 630.0 kN");
  assert((await printed(opened, "A4")).join(" ").includes(checksum), "the same job has the same");
  await assertQuiet(opened);
});

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
