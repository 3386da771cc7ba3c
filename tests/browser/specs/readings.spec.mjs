// What the press says beside what was predicted: typed off the display, and a recording.

import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { join } from "node:path";
import { test } from "../harness/test.mjs";
import { PHONE, assertQuiet, openSaved, openServed } from "../harness/open.mjs";
import { axe, fitsGloves, noHorizontalScroll, readsText } from "../harness/act.mjs";
import { EvenstrokePage } from "../pages/evenstroke-page.mjs";

const PATIENCE = { timeout: 30_000 };
const root = join(import.meta.dirname, "../../..");
const contract = async () => JSON.parse(await readFile(join(root, "tests/contract/example.json"), "utf8"));
// Made with the notch at 1.3 times what is predicted and BDC at 172°; see crates/readings/examples.
const signature = () => readFile(join(root, "tests/readings/signature.csv"));

async function start(tools, { open = openServed, ...options } = {}) {
  const opened = await open(tools, options);
  const evenstroke = new EvenstrokePage(opened);
  const job = await contract();
  await evenstroke.openFile("job.json", job);
  await evenstroke.jobs.waitFor({ state: "hidden" });
  await readsText(evenstroke.title, job.title);
  await evenstroke.show("Readings");
  return { opened, page: opened.page, evenstroke, figure: evenstroke.figure };
}

const choose = (figure, buffer, name = "press.csv") =>
  figure.getByLabel("Choose a recording").setInputFiles({ name, mimeType: "text/csv", buffer });
const row = (figure, name) =>
  figure.getByRole("row").filter({ has: figure.page().getByRole("rowheader", { name, exact: true }) });

for (const open of [openServed, openSaved]) {
  const form = open === openSaved ? "saved" : "served";

  test(`in the ${form} page peaks off the display are compared at once, kept in the record, and taken back`, async (tools) => {
    const { opened, evenstroke, figure } = await start(tools, { open });
    await figure.getByLabel("Peak left, kN").fill("43.7");
    await figure.getByLabel("Peak right, kN").fill("25,3");
    await row(figure, "Left").waitFor(PATIENCE);
    assert.match(await row(figure, "Left").innerText(), /43\.7 kN.*43\.7 kN.*× 1\.00/s);
    assert.match(await figure.innerText(), /Stop when the reverse load passes 160\.0 kN/);
    const cases = figure.getByRole("table").filter({ has: figure.page().getByText("Case", { exact: true }) });
    await readsText(cases.getByRole("rowheader").first(), "As predicted");
    await figure.getByRole("button", { name: "Keep in the record" }).click();
    await readsText(figure.getByRole("status").first(), /kept in the record\. Undo takes it back/);
    const job = JSON.parse(await evenstroke.savedFile());
    assert.deepEqual(job.record.readings[0].points_kn, [43.7, 25.3]);
    await evenstroke.undo.click();
    assert.equal(JSON.parse(await evenstroke.savedFile()).record, undefined);
    await assertQuiet(opened);
  });

  test(`in the ${form} page a recording is laid over the prediction and its station that is off is named`, async (tools) => {
    const { opened, figure } = await start(tools, { open });
    await choose(figure, await signature());
    await row(figure, "Notch").waitFor(PATIENCE);
    assert.match(await row(figure, "Notch").innerText(), /× 1\.3.*likely off/s);
    assert.match(await figure.innerText(), /7200 samples, 3 strokes compared/);
    const found = await figure.getByLabel(/^BDC at/).inputValue();
    assert(Math.abs(Number(found) - 172) < 0.5, found);
    await figure.getByRole("img", { name: /Force over slide height, predicted and read/ }).waitFor();
    await assertQuiet(opened);
  });
}

test("a correction is applied in one step and leaves a remark", async (tools) => {
  const { evenstroke, figure } = await start(tools);
  // Both sides a fifth above the prediction: stock, not a station.
  await figure.getByLabel("Peak left, kN").fill("52.4");
  await figure.getByLabel("Peak right, kN").fill("30.4");
  await figure.getByRole("button", { name: /^Apply: shear strength × 1\.2/ }).click(PATIENCE);
  await readsText(figure.getByRole("status").first(), /^Done: shear strength/);
  const job = JSON.parse(await evenstroke.savedFile());
  assert(Math.abs(job.stock.shear_ratio / 0.8 - 1.2) < 0.03, job.stock.shear_ratio);
  assert.match(job.record.remarks[0].text, /Corrected by a reading: shear strength/);
  await evenstroke.undo.click();
  assert.equal(JSON.parse(await evenstroke.savedFile()).stock.shear_ratio, 0.8);
});

test("a file that is no recording is refused with its line, and the job stays", async (tools) => {
  const { evenstroke, figure } = await start(tools);
  const lines = (await signature()).toString().split("\n");
  lines[899] = "172.0;err;1.0";
  await choose(figure, Buffer.from(lines.join("\n")));
  await readsText(
    figure.getByRole("alert").filter({ hasText: "could not be compared" }),
    /line 900: column 2 must be a number, but is “err”/,
  );
  await choose(figure, Buffer.from("PK\u0003\u0004"), "press.xlsx");
  await readsText(figure.getByRole("status").filter({ hasText: "spreadsheet" }), /save its sheet as CSV/);
  assert.deepEqual(JSON.parse(await evenstroke.savedFile()), await contract());
});

test("how a file is read can be changed, and is remembered after a reload", async (tools) => {
  const { page, evenstroke, figure } = await start(tools);
  const ton = (await signature()).toString().replaceAll("[kN]", "[ton]");
  await choose(figure, Buffer.from(ton));
  await readsText(
    figure.getByRole("alert").filter({ hasText: "could not be compared" }),
    /must say which ton/,
  );
  const unit = figure.getByLabel("Force in unit");
  await figure.getByText("How the file is read").click();
  await unit.selectOption("kN");
  await row(figure, "Notch").waitFor(PATIENCE);
  // It stays open, and who chose by keyboard is still there.
  assert(await unit.isVisible());
  assert.equal(await page.evaluate(() => document.activeElement.id), "read-force_unit");
  await page.reload();
  await evenstroke.show("Readings");
  await choose(figure, Buffer.from(ton));
  await row(figure, "Notch").waitFor(PATIENCE);
  await figure.getByText("How the file is read").click();
  assert.equal(await unit.inputValue(), "kN");
});

test("nonsense in a field is told beside it and what is typed stays while something else is looked at", async (tools) => {
  const { evenstroke, figure } = await start(tools);
  await figure.getByLabel("Peak left, kN").fill("12 ton");
  await readsText(figure.getByRole("alert").first(), /must say which ton/);
  await figure.getByLabel("Peak left, kN").fill("44");
  await evenstroke.show("What if");
  await evenstroke.show("Readings");
  assert.equal(await figure.getByLabel("Peak left, kN").inputValue(), "44");
});

test("on a phone everything fits, and axe finds nothing", async (tools) => {
  const { page, figure } = await start(tools, { viewport: PHONE });
  await figure.getByLabel("Peak left, kN").fill("43.7");
  await figure.getByLabel("Peak right, kN").fill("25.3");
  await choose(figure, await signature());
  await row(figure, "Notch").waitFor(PATIENCE);
  await noHorizontalScroll(page);
  await fitsGloves(page);
  await axe(page);
});
