import assert from "node:assert/strict";
import { copyFile, mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { test } from "../harness/test.mjs";
import { assertQuiet, openSaved, openTab, reload } from "../harness/open.mjs";
import { readsText } from "../harness/act.mjs";
import { EvenstrokePage } from "../pages/evenstroke-page.mjs";

const built = join(import.meta.dirname, "../../../dist/evenstroke.html");

async function start(tools) {
  const opened = await openSaved(tools);
  const evenstroke = new EvenstrokePage(opened);
  await evenstroke.openCard("Press 12");
  await evenstroke.changeRatedForce(500);
  return { opened, page: opened.page, evenstroke };
}

test("the saved page keeps its job over a reload from the disk", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  await evenstroke.keptReads(/kept in this browser/);
  await reload(opened);
  await readsText(evenstroke.limit("Rated force"), "of 500.0 kN");
  await evenstroke.keptReads(/kept in this browser/);
  await assertQuiet(opened);
});

test("the saved page keeps an edit over a reload at once", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  await reload(opened);
  await readsText(evenstroke.limit("Rated force"), "of 500.0 kN");
  await assertQuiet(opened);
});

test("a saved page that is opened anew shows its own job and offers the newer revision", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  await evenstroke.keptReads(/kept in this browser/);
  const next = await openTab(opened);
  const again = new EvenstrokePage(next);
  await readsText(again.limit("Rated force"), "of 630.0 kN");
  await again.keptReads(/as opened/);
  await readsText(again.notice, /This browser keeps a newer revision of this job/);
  await again.notice.getByRole("button", { name: "Open that one" }).click();
  await readsText(again.limit("Rated force"), "of 500.0 kN");
  await again.keptReads(/kept in this browser/);
  await again.undo.click();
  await readsText(again.limit("Rated force"), "of 630.0 kN");
  await assertQuiet(next);
});

test("a saved page with another job is not taken for the one that was open before", async (tools) => {
  const folder = await mkdtemp(join(tmpdir(), "evenstroke-"));
  tools.afterwards(() => rm(folder, { recursive: true }));
  const [one, other] = [join(folder, "one.html"), join(folder, "other.html")];
  await copyFile(built, one);
  await writeFile(other, (await readFile(built, "latin1")).replace('"title": "Gate-latch plate', '"title": "Hatch plate'), "latin1");
  const opened = await openSaved(tools, {}, one);
  const evenstroke = new EvenstrokePage(opened);
  await evenstroke.openCard("Press 12");
  await evenstroke.changeRatedForce(500);
  await evenstroke.keptReads(/kept in this browser/);
  opened.watch.loaded = false;
  await opened.page.goto(pathToFileURL(other).href);
  await readsText(evenstroke.title, "Hatch plate, 5-station progressive");
  await readsText(evenstroke.limit("Rated force"), "of 630.0 kN");
  assert.equal(await evenstroke.notice.count(), 0, "nothing newer is kept of this one");
});
