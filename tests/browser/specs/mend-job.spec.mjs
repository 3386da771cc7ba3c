// A job that is refused is mended on the page: field by field, or as text.

import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { test } from "../harness/test.mjs";
import { PHONE, assertQuiet, openSaved, openServed, reload } from "../harness/open.mjs";
import { axe, fitsGloves, noHorizontalScroll, readsText } from "../harness/act.mjs";
import { demoJob } from "../harness/jobs.mjs";
import { putRecord, records } from "../harness/storage.mjs";
import { EvenstrokePage } from "../pages/evenstroke-page.mjs";

async function start(tools, options, open = openServed) {
  const opened = await open(tools, options);
  const evenstroke = new EvenstrokePage(opened);
  const { page } = opened;
  const mend = page.getByRole("dialog", { name: "Mend a job" });
  const way = (name) => mend.getByRole("button", { name, exact: true });
  const text = mend.getByLabel("Text of the job");
  const begin = async () => {
    await evenstroke.refused.getByRole("button", { name: "Mend it here" }).click();
    await mend.waitFor();
  };
  return { opened, page, evenstroke, mend, way, text, begin };
}

for (const [form, open] of [["served", openServed], ["saved", openSaved]]) {
  test(`a wrong value is put right in its field and the job opens, ${form}`, async (tools) => {
    const { opened, evenstroke, mend, way, text, begin } = await start(tools, {}, open);
    const job = await demoJob("compound");
    job.press.rated_force_kn = -5;
    job.stations[0].work[0].entry_mm = "four";
    await evenstroke.openFile("damaged.json", JSON.stringify(job, null, 2));
    await begin();
    await readsText(mend.getByRole("status"), "2 things are wrong.");
    await readsText(mend.getByRole("listitem").first(), /^press\.rated_force_kn: must be a number above 0.*, given -5/);
    assert(await way("Open it").isDisabled());
    await mend.getByLabel("Put there (press.rated_force_kn)").fill("500");
    await mend.getByLabel("Put there (press.rated_force_kn)").press("Tab");
    await readsText(mend.getByRole("status"), "One thing is wrong.");
    await mend.getByLabel("Put there (stations[0].work[0].entry_mm)").fill("4");
    await mend.getByLabel("Put there (stations[0].work[0].entry_mm)").press("Tab");
    await readsText(mend.getByRole("status"), "It can be read now.");
    assert.match(await text.inputValue(), /"rated_force_kn": 500/);
    await way("Open it").click();
    await readsText(evenstroke.title, job.title);
    assert.equal(await evenstroke.refused.count(), 0);
    job.press.rated_force_kn = 500;
    job.stations[0].work[0].entry_mm = 4;
    assert.deepEqual(JSON.parse(await evenstroke.savedFile()), job, "nothing else has changed");
    await assertQuiet(opened);
  });
}

test("what is no field here is taken out, and what is missing is put in", async (tools) => {
  const { opened, evenstroke, mend, way, begin } = await start(tools);
  const job = await demoJob("compound");
  const good = structuredClone(job);
  job.press.colour = "green";
  delete job.stations[0].work[1].entry_mm;
  await evenstroke.openFile("damaged.json", job);
  await begin();
  await mend.getByRole("listitem").filter({ hasText: "press.colour" }).getByRole("button", { name: "Take it out" }).click();
  const missing = mend.getByLabel("Put there (stations[0].work[1].entry_mm)");
  await missing.fill(String(good.stations[0].work[1].entry_mm));
  await missing.press("Tab");
  await way("Open it").click();
  await readsText(evenstroke.title, job.title);
  assert.deepEqual(JSON.parse(await evenstroke.savedFile()), good);
  await assertQuiet(opened);
});

test("a broken text is marked where reading stopped, mended by hand and handed out as it is", async (tools) => {
  const { opened, page, evenstroke, mend, way, text, begin } = await start(tools);
  const good = JSON.stringify(await demoJob("compound"), null, 2);
  const broken = good.replace('"rated_force_kn":', '"rated_force_kn"');
  await evenstroke.openFile("typed.json", broken);
  await begin();
  await readsText(mend.getByRole("listitem"), /^\$: a job file must be JSON.*given .* line \d+ column \d+/);
  await way("Show in the text").click();
  const marked = () => text.evaluate((area) => [area.selectionStart, area.selectionEnd, document.activeElement === area]);
  const [from, to, focused] = await marked();
  assert(focused);
  const at = broken.indexOf('"rated_force_kn"') + '"rated_force_kn"'.length;
  assert(from >= at && from <= at + 2 && to === from + 1, `${from} to ${to}, expected near ${at}`);
  const [download] = await Promise.all([page.waitForEvent("download"), way("Save this text as a file").click()]);
  assert.equal(await readFile(await download.path(), "utf8"), broken, "nothing is lost");
  await text.evaluate((area, at) => area.setSelectionRange(at, at), at);
  await text.focus();
  await page.keyboard.type(":");
  await readsText(mend.getByRole("status"), "It can be read now.");
  await way("Open it").click();
  await readsText(evenstroke.title, JSON.parse(good).title);
  await assertQuiet(opened);
});

test("a kept job that was damaged is mended as the same job, and the damaged form stays as its earlier revision", async (tools) => {
  const { opened, page, evenstroke, mend, way, begin } = await start(tools);
  await evenstroke.skipFirstSteps();
  await evenstroke.openCard("Press 12");
  await evenstroke.changeRatedForce(611);
  await evenstroke.keptReads(/kept in this browser/);
  const [revision] = (await records(page, "revisions")).slice(-1);
  const [kept] = await records(page, "jobs");
  const damaged = revision.text.replace(/"rated_force_kn": 611(\.0)?/, '"rated_force_kn": "much"');
  assert.notEqual(damaged, revision.text);
  await putRecord(page, "revisions", { ...revision, text: damaged });
  await reload(opened);
  await readsText(evenstroke.refused, "The job that was to be opened was not opened");
  await begin();
  const field = mend.getByLabel("Put there (press.rated_force_kn)");
  assert.equal(await field.inputValue(), '"much"');
  await field.fill("612");
  await field.press("Tab");
  await way("Open it").click();
  await readsText(evenstroke.limit("Rated force"), /of 612\.0 kN/);
  await evenstroke.keptReads(/kept in this browser/);
  const jobs = await records(page, "jobs");
  assert.deepEqual(jobs.map(({ id }) => id), [kept.id], "it is still the one job");
  const texts = (await records(page, "revisions")).map(({ text }) => text);
  assert(texts.includes(damaged), "what was damaged is still there");
  assert(texts.at(-1).includes('"rated_force_kn": 612'));
  await assertQuiet(opened);
});

test("a job of a later version is not mended here", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  await evenstroke.openFile("later.json", { ...(await demoJob("compound")), version: 2 });
  await evenstroke.refused.waitFor();
  assert.equal(await evenstroke.refused.getByRole("button", { name: "Mend it here" }).count(), 0);
  await assertQuiet(opened);
});

test("mending can be reached and read on a phone, and what was typed is still there when it is opened again", async (tools) => {
  const { opened, page, evenstroke, mend, way, text, begin } = await start(tools, { viewport: PHONE, hasTouch: true });
  await evenstroke.openFile("bad.json", '{"title": "<b>x</b>", "press": 1}');
  await begin();
  await axe(page);
  await fitsGloves(page);
  await noHorizontalScroll(page);
  await text.fill('{"title": "so far"}');
  await way("Close").click();
  await mend.waitFor({ state: "hidden" });
  await begin();
  assert.equal(await text.inputValue(), '{"title": "so far"}');
  await assertQuiet(opened);
});
