// From a tablet's home screen files leave through the share sheet.

import assert from "node:assert/strict";
import { test } from "../harness/test.mjs";
import { assertQuiet, openServed, withScript } from "../harness/open.mjs";
import { readsText } from "../harness/act.mjs";
import { EvenstrokePage } from "../pages/evenstroke-page.mjs";

/**
 * A browser with a share sheet that does `outcome`: "takes" what it gets, or fails with an error of
 * that name. `where` is "home screen" or "browser"; `kinds` the media types it takes.
 */
function sharing({ outcome, where = "home screen", kinds }) {
  window.shared = [];
  if (where === "home screen") navigator.standalone = true;
  navigator.canShare = ({ files }) => files.every((file) => kinds === undefined || kinds.includes(file.type));
  navigator.share = async ({ files }) => {
    const active = navigator.userActivation.isActive;
    for (const file of files) {
      window.shared.push({ name: file.name, type: file.type, active, size: file.size, text: await file.text() });
    }
    if (outcome !== "takes") throw new DOMException("", outcome);
  };
}

async function start(tools, options) {
  const opened = await openServed(withScript(tools, sharing, options));
  const evenstroke = new EvenstrokePage(opened);
  await evenstroke.openCard("Press 12");
  await evenstroke.changeRatedForce(500);
  await evenstroke.keptReads(/kept in this browser/);
  const save = () => opened.page.getByRole("button", { name: "Save file" }).click();
  const shared = () => opened.page.evaluate(() => window.shared);
  let downloads = 0;
  opened.page.on("download", () => (downloads += 1));
  return { opened, page: opened.page, evenstroke, save, shared, downloads: () => downloads };
}

test("on a home screen the job goes to the share sheet, from the tap itself", async (tools) => {
  const { opened, evenstroke, save, shared, downloads } = await start(tools, { outcome: "takes" });
  await save();
  await evenstroke.keptReads(/handed to a file/);
  const [file] = await shared();
  assert.equal(file.name, "gate-latch-plate-5-station-progressive.json");
  assert.equal(file.type, "application/json");
  assert(file.active, "the browser still sees the tap");
  assert.equal(JSON.parse(file.text).press.rated_force_kn, 500);
  assert.equal(downloads(), 0);
  await assertQuiet(opened);
});

test("a share sheet that is closed leaves the job as kept, not as handed out, and can be opened again", async (tools) => {
  const { opened, evenstroke, page, save, shared, downloads } = await start(tools, { outcome: "AbortError" });
  await save();
  await page.waitForFunction(() => window.shared.length === 1);
  await evenstroke.keptReads(/kept in this browser/);
  assert.equal(await evenstroke.notice.count(), 0, "it was the user's own wish");
  await save();
  await page.waitForFunction(() => window.shared.length === 2);
  await evenstroke.keptReads(/kept in this browser/);
  assert.equal((await shared()).length, 2);
  assert.equal(downloads(), 0);
  await assertQuiet(opened);
});

test("a share sheet that does not open is told of, and the next try downloads", async (tools) => {
  const { opened, evenstroke, save, shared } = await start(tools, { outcome: "NotAllowedError" });
  await save();
  await readsText(evenstroke.notice, /gate-latch.*json was not saved: the share sheet did not open/);
  await evenstroke.keptReads(/kept in this browser/);
  assert.equal(JSON.parse(await evenstroke.savedFile()).press.rated_force_kn, 500);
  await evenstroke.keptReads(/handed to a file/);
  assert.equal((await shared()).length, 1);
  await assertQuiet(opened);
});

test("a share sheet that takes no such file is passed over for a download", async (tools) => {
  const { opened, evenstroke, shared } = await start(tools, { outcome: "takes", kinds: ["image/png"] });
  await evenstroke.savedFile();
  await evenstroke.keptReads(/handed to a file/);
  assert.deepEqual(await shared(), []);
  await assertQuiet(opened);
});

test("in a browser's own window files are downloaded, whatever it could share", async (tools) => {
  const { opened, evenstroke, shared } = await start(tools, { outcome: "takes", where: "browser" });
  await evenstroke.savedFile();
  assert.deepEqual(await shared(), []);
  await assertQuiet(opened);
});

test("pictures and the kept jobs go to the share sheet as well", async (tools) => {
  const { opened, page, evenstroke, shared } = await start(tools, { outcome: "takes" });
  await evenstroke.jobsButton.click();
  for (const label of ["Stroke chart, PNG", "Bolster plan, SVG", "Force curve, CSV", "Export all kept jobs"]) {
    const before = (await shared()).length;
    await evenstroke.jobs.getByRole("button", { name: label }).click();
    await page.waitForFunction((before) => window.shared.length > before, before);
  }
  const files = await shared();
  assert.deepEqual(
    files.map(({ name, type }) => `${name.replace("gate-latch-plate-5-station-progressive", "job")} ${type}`),
    ["job-stroke.png image/png", "job-plan.svg image/svg+xml", "job-curve.csv text/csv", "evenstroke-library.json application/json"],
  );
  assert(files.every(({ size, active }) => size > 1_000 && active));
  await readsText(evenstroke.jobs, "All kept jobs and presses were handed to a file.");
  await assertQuiet(opened);
});

test("kept jobs that the user does not share after all are not said to be handed out", async (tools) => {
  const { opened, evenstroke } = await start(tools, { outcome: "AbortError" });
  await evenstroke.jobsButton.click();
  await evenstroke.jobs.getByRole("button", { name: "Export all kept jobs" }).click();
  await readsText(evenstroke.jobs, "The kept jobs and presses were not handed out.");
  await assertQuiet(opened);
});
