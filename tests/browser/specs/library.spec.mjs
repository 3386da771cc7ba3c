import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { test } from "../harness/test.mjs";
import { PHONE, assertQuiet, openServed, reload } from "../harness/open.mjs";
import { axe, fitsGloves, readsText } from "../harness/act.mjs";
import { records } from "../harness/storage.mjs";
import { DEMO, EvenstrokePage } from "../pages/evenstroke-page.mjs";

const LATCH = "Gate-latch plate, 5-station progressive";
const WASHER = "Ring washer 50 / 24, compound";

/** A page that keeps two jobs: the washer, and the latch, which was changed last and is open. */
async function start(tools, options) {
  const opened = await openServed(tools, options);
  const evenstroke = new EvenstrokePage(opened);
  await evenstroke.openDemo(DEMO.compound);
  await evenstroke.keptReads(/kept in this browser/);
  await evenstroke.openDemo(DEMO.progressive);
  await readsText(evenstroke.title, LATCH);
  await evenstroke.openCard("Press 12");
  await evenstroke.changeRatedForce(500);
  await evenstroke.keptReads(/kept in this browser/);
  return { opened, page: opened.page, evenstroke };
}

const entries = (evenstroke) => evenstroke.keptJobs.getByRole("listitem");
const opens = (entry) => entry.getByRole("button").first();
const way = (entry, name) => entry.getByRole("button", { name: new RegExp(`^${name}`) });

/** The file that `click` makes the page hand out. */
async function handedOut(page, click) {
  const [download] = await Promise.all([page.waitForEvent("download"), click()]);
  return { name: download.suggestedFilename(), text: await readFile(await download.path(), "utf8") };
}

async function importText(evenstroke, text, name = "library.json") {
  await evenstroke.jobs
    .getByLabel("Import a library")
    .setInputFiles({ name, mimeType: "application/json", buffer: Buffer.from(text) });
}

test("kept jobs are listed with title, press and time, the last changed first", async (tools) => {
  const { opened, page, evenstroke } = await start(tools);
  await evenstroke.keptJob(LATCH);
  await readsText(entries(evenstroke), WASHER);
  const [first, second] = await entries(evenstroke).allInnerTexts();
  assert.match(first, /^Gate-latch plate.*\n?.*Press 12 · .*20\d\d/);
  assert.match(second, /^Ring washer/);
  await axe(page);
  await assertQuiet(opened);
});

test("on a phone the kept jobs fit the window and gloved fingers", async (tools) => {
  const { opened, page, evenstroke } = await start(tools, { viewport: PHONE, hasTouch: true });
  await way(await evenstroke.keptJob(LATCH), "Earlier revisions").click();
  await evenstroke.jobs.getByRole("list", { name: "Revisions, newest first" }).waitFor();
  const { width, room } = await evenstroke.jobs.evaluate((dialog) => ({ width: dialog.scrollWidth, room: dialog.clientWidth }));
  assert(width <= room + 1 && room <= PHONE.width, `the list is ${width} px wide in a dialog of ${room} px`);
  await fitsGloves(page);
  await axe(page);
  await assertQuiet(opened);
});

test("kept jobs are searched by title and by press", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  await evenstroke.keptJob(LATCH);
  await readsText(entries(evenstroke), WASHER);
  const search = evenstroke.jobs.getByRole("searchbox", { name: "Search title or press" });
  for (const [typed, found] of [["WASHER", [WASHER]], ["press 12", [LATCH]], ["nothing of it", []]]) {
    await search.fill(typed);
    await entries(evenstroke).nth(found.length).waitFor({ state: "detached" });
    const texts = await entries(evenstroke).allInnerTexts();
    assert.equal(texts.length, found.length, typed);
    found.forEach((title, index) => assert(texts[index].startsWith(title)));
  }
  await assertQuiet(opened);
});

test("a kept job is opened, and undo brings the one before back", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  await opens(await evenstroke.keptJob(WASHER)).click();
  await readsText(evenstroke.title, WASHER);
  await evenstroke.keptReads(/kept in this browser/);
  await evenstroke.undo.click();
  await readsText(evenstroke.title, LATCH);
  await readsText(evenstroke.limit("Rated force"), "of 500.0 kN");
  await assertQuiet(opened);
});

test("a kept job that was opened and not changed comes back when the page is loaded again", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  await opens(await evenstroke.keptJob(WASHER)).click();
  await readsText(evenstroke.title, WASHER);
  await reload(opened);
  await readsText(evenstroke.title, WASHER);
  await assertQuiet(opened);
});

test("a kept job is duplicated under a title of its own", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  await way(await evenstroke.keptJob(LATCH), "Duplicate").click();
  const copy = await evenstroke.keptJob(`${LATCH} (copy)`);
  await opens(copy).click();
  await readsText(evenstroke.title, `${LATCH} (copy)`);
  await readsText(evenstroke.limit("Rated force"), "of 500.0 kN");
  await evenstroke.keptReads(/kept in this browser/);
  await (await evenstroke.keptJob(LATCH)).waitFor();
  await assertQuiet(opened);
});

test("a kept job is deleted, brought back, deleted, and gone when the page is loaded again", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  await way(await evenstroke.keptJob(WASHER), "Delete").click();
  await readsText(entries(evenstroke), `“${WASHER}” was deleted.`);
  await evenstroke.jobs.getByRole("button", { name: `Bring back ${WASHER}` }).click();
  const back = await evenstroke.keptJob(WASHER);
  await back.waitFor();
  await way(back, "Delete").click();
  await readsText(entries(evenstroke), "was deleted");
  await reload(opened);
  await (await evenstroke.keptJob(LATCH)).waitFor();
  assert.equal(await entries(evenstroke).count(), 1);
  await assertQuiet(opened);
});

test("deleting the open job is told, and a change to it brings it back", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  await way(await evenstroke.keptJob(LATCH), "Delete").click();
  await readsText(entries(evenstroke), `“${LATCH}” was deleted.`);
  await evenstroke.jobs.getByRole("button", { name: "Close" }).click();
  await readsText(evenstroke.notice, /The job that is open was deleted from the list/);
  await evenstroke.changeRatedForce(502);
  await evenstroke.keptReads(/kept in this browser/);
  await opens(await evenstroke.keptJob(LATCH)).waitFor();
  await assertQuiet(opened);
});

test("the last ten revisions are kept, and an earlier one opens as one step of undo", async (tools) => {
  const { opened, page, evenstroke } = await start(tools);
  for (let force = 501; force <= 512; force += 1) {
    await evenstroke.changeRatedForce(force);
    await evenstroke.keptReads(/kept in this browser/);
  }
  await reload(opened);
  await way(await evenstroke.keptJob(LATCH), "Earlier revisions").click();
  const list = evenstroke.jobs.getByRole("list", { name: "Revisions, newest first" });
  await list.waitFor();
  const forces = (await records(page, "revisions"))
    .filter(({ text }) => JSON.parse(text).title === LATCH)
    .map(({ text }) => JSON.parse(text).press.rated_force_kn);
  assert.deepEqual(forces.slice(-10), [503, 504, 505, 506, 507, 508, 509, 510, 511, 512]);
  assert.equal(await list.getByRole("listitem").count(), forces.length);

  await list.getByRole("button").nth(9).click();
  await readsText(evenstroke.limit("Rated force"), "of 503.0 kN");
  await evenstroke.keptReads(/kept in this browser/);
  await evenstroke.undo.click();
  await readsText(evenstroke.limit("Rated force"), "of 512.0 kN");
  await assertQuiet(opened);
});

test("of very many revisions the newest ten stay, and the list does not grow for ever", async (tools) => {
  const { opened, page, evenstroke } = await start(tools);
  for (let force = 501; force <= 545; force += 1) {
    await evenstroke.changeRatedForce(force);
    await page.evaluate(() => window.evenstroke.flush());
  }
  const forces = (await records(page, "revisions"))
    .filter(({ text }) => JSON.parse(text).title === LATCH)
    .map(({ text }) => JSON.parse(text).press.rated_force_kn);
  assert.deepEqual(forces.slice(-10), [536, 537, 538, 539, 540, 541, 542, 543, 544, 545]);
  assert(forces.length >= 20 && forces.length <= 41, `${forces.length} revisions`);
  await assertQuiet(opened);
});

test("all kept jobs go out to one file and come back in another browser", async (tools) => {
  const { opened, page, evenstroke } = await start(tools);
  await evenstroke.changeRatedForce(501);
  await evenstroke.keptReads(/kept in this browser/);
  await evenstroke.keptJob(LATCH);
  const file = await handedOut(page, () => evenstroke.jobs.getByRole("button", { name: "Export all kept jobs" }).click());
  assert.equal(file.name, "evenstroke-library.json");
  const library = JSON.parse(file.text);
  assert.equal(library.format, "evenstroke-library");
  assert.equal(library.version, 1);
  assert.deepEqual(library.jobs.map(({ job }) => job.title).sort(), [LATCH, WASHER]);

  const other = await openServed(tools);
  const elsewhere = new EvenstrokePage(other);
  await elsewhere.jobsButton.click();
  await importText(elsewhere, file.text);
  await readsText(elsewhere.jobs.getByRole("status"), "2 of 2 jobs were added.");
  await importText(elsewhere, file.text);
  await readsText(elsewhere.jobs.getByRole("status"), "0 of 2 jobs were added; 2 were kept here already.");
  await way(await elsewhere.keptJob(LATCH), "Earlier revisions").click();
  const list = elsewhere.jobs.getByRole("list", { name: "Revisions, newest first" });
  await list.getByRole("button").nth(1).click();
  await readsText(elsewhere.limit("Rated force"), "of 500.0 kN");
  await elsewhere.undo.click();
  await opens(await elsewhere.keptJob(LATCH)).click();
  await elsewhere.keptReads(/kept in this browser/);
  await assertQuiet(opened);
  await assertQuiet(other);
});

test("a job that was changed on both sides is kept twice by an import", async (tools) => {
  const { opened, page, evenstroke } = await start(tools);
  await evenstroke.keptJob(LATCH);
  const file = await handedOut(page, () => evenstroke.jobs.getByRole("button", { name: "Export all kept jobs" }).click());
  const library = JSON.parse(file.text);
  library.jobs.find(({ job }) => job.title === LATCH).job.press.rated_force_kn = 777;
  await importText(evenstroke, JSON.stringify(library));
  await readsText(evenstroke.jobs.getByRole("status"), "1 of 2 jobs were added; 1 were kept here already.");
  assert.equal((await records(page, "jobs")).length, 3);
  await assertQuiet(opened);
});

const good = { format: "evenstroke-library", version: 1, jobs: [] };
for (const [what, content, message] of [
  ["of a later version", { ...good, version: 2, jobs: "in another form" }, /version: must be 1.*a later program, given 2/],
  ["of another kind", { ...good, format: "evenstroke-job" }, /format: must be "evenstroke-library", given "evenstroke-job"/],
  ["that is no JSON", "press: 12", /\$: a library must be JSON, given/],
  ["with a job that is none", { ...good, jobs: [{ id: "a", changed: 1, origins: [], handed: [], older: [], job: 12 }] }, /jobs\[0\]\.job: must be a job, given 12/],
  ["with a time that is none", { ...good, jobs: [{ id: "a", changed: "<b>", origins: [], handed: [], older: [], job: { format: "evenstroke-job" } }] }, /jobs\[0\]\.changed: must be a time in milliseconds, given "<b>"/],
]) {
  test(`a library ${what} is refused and nothing is lost`, async (tools) => {
    const { opened, page, evenstroke } = await start(tools);
    const before = [await records(page, "jobs"), await records(page, "revisions")];
    await evenstroke.keptJob(LATCH);
    await importText(evenstroke, typeof content === "string" ? content : JSON.stringify(content), "of-a-colleague.json");
    await readsText(evenstroke.jobs.getByRole("status"), /of-a-colleague\.json was not imported\./);
    await readsText(evenstroke.jobs.getByRole("status"), message);
    assert.deepEqual([await records(page, "jobs"), await records(page, "revisions")], before);
    await assertQuiet(opened);
  });
}
