import assert from "node:assert/strict";
import { test } from "../harness/test.mjs";
import { assertQuiet, openSaved } from "../harness/open.mjs";
import { dragBy, dragByTouch, readsText } from "../harness/act.mjs";
import { demoJob } from "../harness/jobs.mjs";
import { DEMO, EvenstrokePage } from "../pages/evenstroke-page.mjs";

async function start(tools, options) {
  const opened = await openSaved(tools, options);
  const evenstroke = new EvenstrokePage(opened);
  await evenstroke.verdictReads("Near a limit");
  return { opened, page: opened.page, evenstroke };
}

test("on the saved page the die is dragged by mouse", async (tools) => {
  const { opened, page, evenstroke } = await start(tools);
  const before = await evenstroke.limit("Off-centre, left–right").innerText();
  await dragBy(page, evenstroke.plan, { x: 30, y: 0 });
  await readsText(evenstroke.place, /^Die centre \d+\.\d mm right of/);
  assert.notEqual(await evenstroke.limit("Off-centre, left–right").innerText(), before);
  await assertQuiet(opened);
});

test("on the saved page the die is dragged by finger", async (tools) => {
  const { opened, page, evenstroke } = await start(tools, { hasTouch: true });
  await dragByTouch(page, evenstroke.plan, { x: -30, y: 0 });
  await readsText(evenstroke.place, /^Die centre \d+\.\d mm left of/);
  await assertQuiet(opened);
});

test("on the saved page a job is opened, edited and handed out as a file", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  const job = await demoJob("compound");
  await evenstroke.openFile("washer.json", job);
  await readsText(evenstroke.title, job.title);
  await evenstroke.openCard("Press 4");
  await evenstroke.field("Rated force").fill("800");
  await readsText(evenstroke.limit("Rated force"), "of 800.0 kN");
  job.press.rated_force_kn = 800;
  assert.deepEqual(JSON.parse(await evenstroke.savedFile()), job);
  await assertQuiet(opened);
});

test("on the saved page a demo, the sheet and the stroke work without network", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  await evenstroke.openDemo(DEMO.combination);
  await evenstroke.verdictReads(/Over a limit.*Force at height/);
  await evenstroke.handle.press("End");
  await readsText(evenstroke.readout, /^At 0\.0 mm/);
  await evenstroke.sheetButton.click();
  await readsText(evenstroke.sheet, "Lantern cap");
  await assertQuiet(opened);
});

test("without scripts the saved page shows verdict, limits, charts and signature lines", async (tools) => {
  const { page, watch } = await openSaved(tools, { javaScriptEnabled: false });
  const sheet = page.locator("#static-sheet");
  await sheet.getByRole("heading", { name: /^Set-up sheet: Gate-latch plate/ }).waitFor();
  await readsText(sheet, /Near a limit/);
  await readsText(sheet, /Off-centre, left–right/);
  await readsText(sheet, /Set by/);
  assert.equal(await sheet.locator("svg").count(), 2, "plan and stroke chart");
  assert.deepEqual(watch.errors, []);
});
