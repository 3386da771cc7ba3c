import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { join } from "node:path";
import { test } from "../harness/test.mjs";
import { assertQuiet, openServed } from "../harness/open.mjs";
import { readsText } from "../harness/act.mjs";
import { demoJob } from "../harness/jobs.mjs";
import { EvenstrokePage } from "../pages/evenstroke-page.mjs";

const compound = await demoJob("compound");

/** A good job with one thing changed. */
const spoilt = (change) => {
  const job = structuredClone(compound);
  change(job);
  return job;
};

// What is wrong, the file, and where, what is allowed, what was given.
const BAD_FILES = [
  ["is no JSON", "press: 12", [/^\$: a job file must be JSON/, /given .*line 1/]],
  ["is empty", "", [/^\$: a job file must hold a JSON object/, /given an empty file/]],
  [
    "holds a value out of range",
    spoilt((job) => (job.press.rated_force_kn = -5)),
    [/^press\.rated_force_kn: must be a number above 0 and at most 1000000 kN/, /given -5/],
  ],
  [
    "holds an unknown field",
    spoilt((job) => (job.press.colour = "green")),
    [/^press\.colour: is no field here; allowed are name, frame, rated_force_kn/, /given "green"/],
  ],
  [
    "lacks a field",
    spoilt((job) => delete job.stations[0].work[1].entry_mm),
    [/^stations\[0\]\.work\[1\]\.entry_mm: /, /given nothing/],
  ],
  ["is of a future version", spoilt((job) => (job.version = 2)), [/^version: must be .*1/, /given 2/]],
];

for (const [what, content, patterns] of BAD_FILES) {
  test(`a file that ${what} is refused with its place, what is allowed and what was given`, async (tools) => {
    const opened = await openServed(tools);
    const evenstroke = new EvenstrokePage(opened);
    const before = await evenstroke.savedFile();
    await evenstroke.openFile("from-the-die-maker.json", content);

    await readsText(evenstroke.refused.getByRole("heading"), "from-the-die-maker.json was not opened");
    const [line] = await evenstroke.refused.getByRole("listitem").allTextContents();
    for (const pattern of patterns) assert.match(line, pattern);
    await evenstroke.verdictReads("Near a limit");
    assert.equal(await evenstroke.savedFile(), before, "the open job is unchanged");
    await assertQuiet(opened);
  });
}

test("a good file opens and takes the message about a bad one away", async (tools) => {
  const opened = await openServed(tools);
  const evenstroke = new EvenstrokePage(opened);
  await evenstroke.openFile("bad.json", "{}");
  await evenstroke.refused.waitFor();
  await evenstroke.openFile("good.json", compound);
  await evenstroke.refused.waitFor({ state: "detached" });
  await readsText(evenstroke.title, compound.title);
  await evenstroke.verdictReads("Within the limits checked");
  await assertQuiet(opened);
});

test("a saved file holds the job that was opened", async (tools) => {
  const opened = await openServed(tools);
  const evenstroke = new EvenstrokePage(opened);
  await evenstroke.openFile("good.json", compound);
  await readsText(evenstroke.title, compound.title);
  assert.deepEqual(JSON.parse(await evenstroke.savedFile()), compound);
  await assertQuiet(opened);
});

test("script and markup in a job are shown as text and run nothing", async (tools) => {
  const opened = await openServed(tools);
  const evenstroke = new EvenstrokePage(opened);
  const { page } = opened;
  const markup = `<img src=x onerror="window.ran=1"><script>window.ran=1</script><b>bold</b>`;
  const job = await demoJob("progressive");
  job.title = `Title ${markup}`;
  job.note = `Note ${markup}`;
  job.press.name = `Press ${markup}`;
  job.stock.material = `Material ${markup}`;
  job.stations[0].name = `Station ${markup}`;
  await evenstroke.openFile(`${markup}.json`, job);

  await readsText(evenstroke.title, job.title);
  await readsText(evenstroke.cards, `Press ${markup}`);
  await readsText(evenstroke.cards, `Station ${markup}`);
  await evenstroke.sheetButton.click();
  await readsText(evenstroke.sheet, job.title);
  await readsText(evenstroke.sheet, `Material ${markup}`);
  await page.emulateMedia({ media: "print" });
  await page.evaluate(() => window.dispatchEvent(new Event("beforeprint")));
  await readsText(evenstroke.staticSheet, job.title);

  assert.equal(await page.locator("body img, body b").count(), 0, "no element was made of it");
  assert.equal(await page.evaluate(() => window.ran), undefined);
  await assertQuiet(opened);
});

test("markup in the name of a refused file and in its fields is shown as text", async (tools) => {
  const opened = await openServed(tools);
  const evenstroke = new EvenstrokePage(opened);
  const markup = `<img src=x onerror="window.ran=1">`;
  await evenstroke.openFile(`${markup}.json`, spoilt((job) => (job[markup] = markup)));
  await readsText(evenstroke.refused, `${markup}.json was not opened`);
  await readsText(evenstroke.refused.getByRole("listitem"), "<img src=x onerror=");
  assert.equal(await opened.page.locator("body img").count(), 0);
  assert.equal(await opened.page.evaluate(() => window.ran), undefined);
  await assertQuiet(opened);
});

test("a tandem line shows its weakest and slowest press and opens each job", async (tools) => {
  const opened = await openServed(tools);
  const evenstroke = new EvenstrokePage(opened);
  const demo = await readFile(join(import.meta.dirname, "../../../crates/job/demos/tandem_line.json"), "utf8");
  await evenstroke.openFile("line.json", demo);
  const line = opened.page.getByRole("region", { name: "Hatch-lid pan, three presses" });
  await readsText(line, /Weakest: 1\. Op 10, draw, in Line C, press 1: working energy 0\.7/);
  await readsText(line, /Slowest: 1\. Op 10, draw, in Line C, press 1: 14\.0 strokes per minute/);
  await line.getByRole("button", { name: /^3\. Op 30, flange/ }).click();
  await readsText(evenstroke.title, /Op 30, flange/);
  await line.getByRole("button", { name: "Close the line" }).click();
  await line.waitFor({ state: "hidden" });
  await assertQuiet(opened);
});

test("a job without a press is opened, nothing of it passes, and the page keeps its layout", async (tools) => {
  const opened = await openServed(tools);
  const evenstroke = new EvenstrokePage(opened);
  const pressless = structuredClone(compound);
  delete pressless.press;
  await evenstroke.openFile("no-press.json", JSON.stringify(pressless));
  await evenstroke.verdictReads(/Not checked: data missing/i);
  await readsText(evenstroke.verdict, /Missing: rated force of the press not entered .* more, see the limits\. 1 of 18 limits checked/);
  const bar = await opened.page.getByRole("banner").boundingBox();
  assert(bar.height < 130, `the bar is ${bar.height} px high`);
  await assertQuiet(opened);
});
