import assert from "node:assert/strict";
import { test } from "../harness/test.mjs";
import { assertQuiet, openServed, openTab, reload, withScript } from "../harness/open.mjs";
import { axe, readsText } from "../harness/act.mjs";
import { demoJob } from "../harness/jobs.mjs";
import { fullStorage, putRecord, records } from "../harness/storage.mjs";
import { DEMO, EvenstrokePage } from "../pages/evenstroke-page.mjs";

async function start(tools) {
  const opened = await openServed(tools);
  const evenstroke = new EvenstrokePage(opened);
  await evenstroke.openCard("Press 12");
  return { opened, page: opened.page, evenstroke };
}

const readsForce = (evenstroke, value) =>
  readsText(evenstroke.limit("Rated force"), `of ${value.toFixed(1)} kN`);

test("a job that nobody has changed is not kept, and the page says so", async (tools) => {
  const { opened, page, evenstroke } = await start(tools);
  await evenstroke.keptReads(/as opened/);
  assert.deepEqual(await records(page, "jobs"), []);
  await assertQuiet(opened);
});

test("an edit reads as edited, then as kept, and is written within 300 ms", async (tools) => {
  const { opened, page, evenstroke } = await start(tools);
  await page.evaluate(() => {
    window.seen = [];
    const note = (what) => window.seen.push([what, performance.now()]);
    const add = IDBObjectStore.prototype.add;
    IDBObjectStore.prototype.add = function (...values) {
      note("written");
      return add.apply(this, values);
    };
    const state = document.querySelector("header [aria-live]:not([role])");
    new MutationObserver(() => note(state.textContent)).observe(state, { subtree: true, childList: true, characterData: true });
  });
  await evenstroke.changeRatedForce(500);
  await evenstroke.keptReads(/kept in this browser/);
  const seen = await page.evaluate(() => window.seen);
  const at = (pattern) => seen.find(([what]) => pattern.test(what))[1];
  assert(at(/edited/) <= at(/written/) && at(/written/) < at(/kept/), JSON.stringify(seen));
  assert(at(/written/) - at(/edited/) < 300, `written after ${at(/written/) - at(/edited/)} ms`);
  const [revision] = await records(page, "revisions");
  assert.equal(JSON.parse(revision.text).press.rated_force_kn, 500);
  await axe(page);
  await assertQuiet(opened);
});

test("an edit is still there when the page is loaded again", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  await evenstroke.changeRatedForce(500);
  await evenstroke.keptReads(/kept in this browser/);
  await reload(opened);
  await readsForce(evenstroke, 500);
  await evenstroke.keptReads(/kept in this browser/);
  await assertQuiet(opened);
});

test("an edit is still there when the page is loaded again at once", async (tools) => {
  const { opened, page, evenstroke } = await start(tools);
  // The page goes in the very task in which the edit is made, before any transaction can begin.
  const left = await evenstroke.field("Rated force").evaluate((field) => {
    field.value = "505";
    field.dispatchEvent(new Event("input", { bubbles: true }));
    window.dispatchEvent(new Event("pagehide"));
    return JSON.stringify({ ...localStorage });
  });
  assert.match(left, /rated_force_kn[^,]*505/, "it is left where writing takes no waiting");
  await reload(opened);
  await readsForce(evenstroke, 505);
  await evenstroke.keptReads(/kept in this browser/);
  assert.equal((await records(page, "jobs")).length, 1, "it is kept once");
  assert.equal(await page.evaluate(() => localStorage.length), 0, "and nothing is left behind");
  await assertQuiet(opened);
});

test("what a closed tab could not write any more is taken in by the next page", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  await evenstroke.changeRatedForce(500);
  await evenstroke.keptReads(/kept in this browser/);
  // From now on the database takes nothing, as where the browser ends at once.
  await opened.page.evaluate(fullStorage);
  await evenstroke.changeRatedForce(510);
  await evenstroke.keptReads(/not kept: save a file/);
  // Leaving the page, which closing the tab would do as well.
  await opened.page.goto("about:blank");
  const next = await openTab(opened, opened.server.url);
  const again = new EvenstrokePage(next);
  await readsForce(again, 510);
  await again.keptReads(/kept in this browser/);
  await assertQuiet(next);
});

test("another job that was opened last comes back when the page is loaded again", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  await evenstroke.openDemo(DEMO.compound);
  await evenstroke.keptReads(/kept in this browser/);
  await reload(opened);
  await readsText(evenstroke.title, "Ring washer");
  await assertQuiet(opened);
});

test("undo after another job was opened goes on in the first one", async (tools) => {
  const { opened, page, evenstroke } = await start(tools);
  await evenstroke.changeRatedForce(500);
  await evenstroke.keptReads(/kept in this browser/);
  await evenstroke.openDemo(DEMO.compound);
  await evenstroke.keptReads(/kept in this browser/);
  await evenstroke.undo.click();
  await readsText(evenstroke.title, "Gate-latch plate");
  await evenstroke.changeRatedForce(520);
  await evenstroke.keptReads(/kept in this browser/);
  const titles = (await records(page, "jobs")).map(({ title, revision }) => `${title}: ${revision}`).sort();
  assert.deepEqual(titles, ["Gate-latch plate, 5-station progressive: 2", "Ring washer 50 / 24, compound: 1"]);
  await assertQuiet(opened);
});

test("a saved file reads as handed, and a change after it as kept", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  await evenstroke.changeRatedForce(500);
  await evenstroke.keptReads(/kept in this browser/);
  await evenstroke.savedFile();
  await evenstroke.keptReads(/handed to a file/);
  await reload(opened);
  await evenstroke.keptReads(/handed to a file/);
  await evenstroke.openCard("Press 12");
  await evenstroke.changeRatedForce(501);
  await evenstroke.keptReads(/kept in this browser/);
  await evenstroke.undo.click();
  await evenstroke.keptReads(/handed to a file/);
  await assertQuiet(opened);
});

test("opening a file of which this browser keeps a newer revision says so and offers it", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  await evenstroke.changeRatedForce(500);
  const file = await evenstroke.savedFile();
  await evenstroke.keptReads(/handed to a file/);
  await evenstroke.changeRatedForce(501);
  await evenstroke.keptReads(/kept in this browser/);
  await evenstroke.openFile("gate-latch-plate.json", file);
  await readsForce(evenstroke, 500);
  await readsText(evenstroke.notice, /This browser keeps a newer revision of this job/);
  await evenstroke.notice.getByRole("button", { name: "Open that one" }).click();
  await readsForce(evenstroke, 501);
  assert.equal(await evenstroke.notice.count(), 0, "what was answered is not shown any more");
  await assertQuiet(opened);
});

test("the browser is asked to keep the storage after the first edit, and may refuse", async (tools) => {
  const asking = withScript(tools, () => {
    window.asked = 0;
    navigator.storage.persist = () => {
      window.asked += 1;
      return Promise.reject(new Error("refused"));
    };
  });
  const { opened, page, evenstroke } = await start(asking);
  assert.equal(await page.evaluate(() => window.asked), 0, "not before there is something to keep");
  await evenstroke.changeRatedForce(500);
  await evenstroke.keptReads(/kept in this browser/);
  await evenstroke.changeRatedForce(501);
  await evenstroke.keptReads(/kept in this browser/);
  assert.equal(await page.evaluate(() => window.asked), 1);
  await assertQuiet(opened);
});

test("where the storage is full the page says so and hands out the job", async (tools) => {
  const { opened, page, evenstroke } = await start(withScript(tools, fullStorage));
  await evenstroke.changeRatedForce(500);
  await evenstroke.keptReads(/not kept: save a file/);
  await readsText(evenstroke.notice, /Not kept in this browser: the browser’s storage is full/);
  await axe(page);
  const [download] = await Promise.all([
    page.waitForEvent("download"),
    evenstroke.notice.getByRole("button", { name: "Save the job now" }).click(),
  ]);
  assert.equal(download.suggestedFilename(), "gate-latch-plate-5-station-progressive.json");
  await evenstroke.keptReads(/handed to a file/);
  await assertQuiet(opened);
});

test("what the storage gives back otherwise than it was given does not count as kept", async (tools) => {
  const forgetful = withScript(tools, () => {
    const add = IDBObjectStore.prototype.add;
    IDBObjectStore.prototype.add = function (record) {
      return add.call(this, { ...record, text: record.text.slice(0, -2) });
    };
  });
  const { opened, evenstroke } = await start(forgetful);
  await evenstroke.changeRatedForce(500);
  await evenstroke.keptReads(/not kept: save a file/);
  await readsText(evenstroke.notice, /gave back something else than it was given/);
  await assertQuiet(opened);
});

test("a storage that has become full still gives back what it holds", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  await evenstroke.changeRatedForce(500);
  await evenstroke.keptReads(/kept in this browser/);
  await opened.context.addInitScript(fullStorage);
  await reload(opened);
  await readsForce(evenstroke, 500);
  await evenstroke.openCard("Press 12");
  await evenstroke.changeRatedForce(510);
  await evenstroke.keptReads(/not kept: save a file/);
  // The small store beside it, which takes no waiting, carries the edit over to the next load.
  await reload(opened);
  await readsForce(evenstroke, 510);
  await evenstroke.keptReads(/not kept: save a file/);
  await assertQuiet(opened);
});

for (const [what, script] of [
  ["does not exist", () => Object.defineProperty(window, "indexedDB", { value: undefined })],
  [
    "is refused",
    () => {
      IDBFactory.prototype.open = () => {
        throw new DOMException("refused", "SecurityError");
      };
    },
  ],
  ["never answers", () => (IDBFactory.prototype.open = () => ({}))],
]) {
  test(`where the storage ${what} the page works and says that nothing is kept`, async (tools) => {
    const { opened, evenstroke } = await start(withScript(tools, script));
    await evenstroke.keptReads(/not kept: save a file/);
    await evenstroke.notice.getByRole("button", { name: "Close" }).click();
    await evenstroke.notice.waitFor({ state: "detached" });
    await evenstroke.changeRatedForce(500);
    await evenstroke.keptReads(/not kept: save a file/);
    assert.equal(JSON.parse(await evenstroke.savedFile()).press.rated_force_kn, 500);
    await evenstroke.keptReads(/handed to a file/);
    await assertQuiet(opened);
  });
}

test("two tabs that change the same job keep both, the second as a copy", async (tools) => {
  const { opened, page, evenstroke } = await start(tools);
  await evenstroke.changeRatedForce(500);
  await evenstroke.keptReads(/kept in this browser/);
  const other = await openTab(opened);
  const second = new EvenstrokePage(other);
  await readsForce(second, 500);
  await second.openCard("Press 12");

  await evenstroke.changeRatedForce(510);
  await evenstroke.keptReads(/kept in this browser/);
  await readsText(second.notice, /This job was changed in another tab/);
  await second.changeRatedForce(520);
  await readsText(second.title, "Gate-latch plate, 5-station progressive (second tab)");
  await readsText(second.notice, /Both are kept: the other as it is, this one as “Gate-latch plate/);
  await second.keptReads(/kept in this browser/);
  await readsForce(evenstroke, 510);

  const forces = async () => {
    const revisions = await records(page, "revisions");
    return (await records(page, "jobs"))
      .map(({ id, title, revision }) => {
        const { text } = revisions.find((one) => one.id === id && one.revision === revision);
        return `${title}: ${JSON.parse(text).press.rated_force_kn}`;
      })
      .sort();
  };
  assert.deepEqual(await forces(), [
    "Gate-latch plate, 5-station progressive (second tab): 520",
    "Gate-latch plate, 5-station progressive: 510",
  ]);
  // From here on each tab goes on with its own.
  await evenstroke.changeRatedForce(511);
  await evenstroke.keptReads(/kept in this browser/);
  await second.changeRatedForce(521);
  await second.keptReads(/kept in this browser/);
  assert.deepEqual(await forces(), [
    "Gate-latch plate, 5-station progressive (second tab): 521",
    "Gate-latch plate, 5-station progressive: 511",
  ]);
  await assertQuiet(opened);
  await assertQuiet(other);
});

test("a tab that was told of a change elsewhere opens it, as one step of undo", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  await evenstroke.changeRatedForce(500);
  await evenstroke.keptReads(/kept in this browser/);
  const other = await openTab(opened);
  const second = new EvenstrokePage(other);
  await evenstroke.changeRatedForce(510);
  await second.notice.getByRole("button", { name: "Open that one" }).click();
  await readsForce(second, 510);
  await second.keptReads(/kept in this browser/);
  await second.undo.click();
  await readsForce(second, 500);
  await assertQuiet(other);
});

test("a damaged revision is set aside and named, and the one before it opens", async (tools) => {
  const { opened, page, evenstroke } = await start(tools);
  await evenstroke.changeRatedForce(500);
  await evenstroke.keptReads(/kept in this browser/);
  await evenstroke.changeRatedForce(501);
  await evenstroke.keptReads(/kept in this browser/);
  const last = (await records(page, "revisions")).at(-1);
  await putRecord(page, "revisions", { ...last, text: last.text.slice(0, 40) });
  await reload(opened);
  await readsForce(evenstroke, 500);
  await readsText(evenstroke.notice, /set aside: Untitled job, revision 2/);
  await axe(page);
  assert.equal((await records(page, "aside")).length, 1, "what was damaged is still there");
  await assertQuiet(opened);
});

test("a damaged entry of a job is set aside and made anew from its revisions", async (tools) => {
  const { opened, page, evenstroke } = await start(tools);
  await evenstroke.changeRatedForce(500);
  await evenstroke.keptReads(/kept in this browser/);
  const [job] = await records(page, "jobs");
  await putRecord(page, "jobs", { id: job.id, title: ["<b>"], revision: "many" });
  await putRecord(page, "jobs", { id: 7, title: "Of another page" });
  await putRecord(page, "revisions", { id: "stray", revision: 3, text: 12 });
  await reload(opened);
  await readsForce(evenstroke, 500);
  await readsText(evenstroke.notice, /set aside: .*Of another page \(7\)/);
  assert.equal((await records(page, "aside")).length, 3);
  await evenstroke.openCard("Press 12");
  await evenstroke.changeRatedForce(501);
  await evenstroke.keptReads(/kept in this browser/);
  await assertQuiet(opened);
});

test("a kept job of a later version is refused and stays as it is", async (tools) => {
  const { opened, page, evenstroke } = await start(tools);
  await evenstroke.changeRatedForce(500);
  await evenstroke.keptReads(/kept in this browser/);
  const [revision] = await records(page, "revisions");
  const later = { ...revision, text: JSON.stringify({ ...(await demoJob("compound")), version: 2, stations: "other" }) };
  await putRecord(page, "revisions", later);
  await reload(opened);
  await readsText(evenstroke.refused, "The job that was to be opened was not opened");
  await readsText(evenstroke.refused, /version: must be 1/);
  await evenstroke.refused.getByRole("button", { name: "Close" }).click();
  await evenstroke.openCard("Press 12");
  await evenstroke.changeRatedForce(640);
  await evenstroke.keptReads(/kept in this browser/);
  const kept = (await records(page, "revisions")).filter(({ id }) => id === revision.id);
  assert.deepEqual(kept, [later], "nothing was written over it");
  await assertQuiet(opened);
});
