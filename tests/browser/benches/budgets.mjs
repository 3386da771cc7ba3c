// What the page takes of a slow machine, against its budgets:
// `node tests/browser/benches/budgets.mjs`, after `cargo xtask page`. Prints; asserts nothing.
//
// - from opening the saved page from the disk to its being usable, the processor slowed four times;
// - the work of a frame while the die is dragged, slowed four times: script, style, layout, paint;
// - the memory after 1 000 edits and once more after the next 1 000.

import { startBrowser } from "../harness/browser.mjs";
import { openSaved } from "../harness/open.mjs";
import { EvenstrokePage } from "../pages/evenstroke-page.mjs";

const ROUNDS = 7;
const SLOWED = 4;
const EDITS = 1_000;

const median = (values) => values.toSorted((a, b) => a - b)[Math.floor(values.length / 2)];
const share = (values, part) => values.toSorted((a, b) => a - b)[Math.ceil(values.length * part) - 1];
const line = (what, measured, budget) => console.log(`${what}: ${measured}; budget ${budget}`);

const browser = await startBrowser();
const clean = [];
const tools = { browser, afterwards: (action) => clean.unshift(action) };

async function timeToUsable() {
  const { context, page: first } = await openSaved(tools);
  const address = first.url();
  const times = [];
  for (let round = 0; round < ROUNDS; round += 1) {
    const page = await context.newPage();
    const session = await context.newCDPSession(page);
    await session.send("Emulation.setCPUThrottlingRate", { rate: SLOWED });
    await page.addInitScript(() => {
      // Usable: the program has taken over and its first picture is painted.
      new MutationObserver(() => {
        if (document.documentElement.dataset.evenstroke !== "running" || window.usable) return;
        window.usable = true;
        requestAnimationFrame(() => setTimeout(() => { window.usableAfter = performance.now(); }));
      }).observe(document, { attributes: true, subtree: true, attributeFilter: ["data-evenstroke"] });
    });
    await page.goto(address);
    times.push(await page.waitForFunction(() => window.usableAfter).then((handle) => handle.jsonValue()));
    await page.close();
  }
  line(`usable from disk, ${SLOWED} times slowed`, `${median(times).toFixed(0)} ms (${Math.min(...times).toFixed(0)} to ${Math.max(...times).toFixed(0)})`, "1000 ms");
}

/** The work on the page's main thread for each frame of a drag, by the browser's own trace. */
async function workOfDragging() {
  const { context, page } = await openSaved(tools);
  const evenstroke = new EvenstrokePage({ page });
  const session = await context.newCDPSession(page);
  await evenstroke.plan.scrollIntoViewIfNeeded();
  const box = await evenstroke.plan.boundingBox();
  await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
  await page.mouse.down();
  await session.send("Emulation.setCPUThrottlingRate", { rate: SLOWED });
  const events = [];
  session.on("Tracing.dataCollected", ({ value }) => events.push(...value));
  await session.send("Tracing.start", { traceConfig: { includedCategories: ["toplevel", "devtools.timeline", "disabled-by-default-devtools.timeline"] } });
  for (let step = 1; step <= 60; step += 1) {
    await page.mouse.move(box.x + box.width / 2 + (step % 30), box.y + box.height / 2 + (step % 7));
    await page.evaluate(() => new Promise((done) => requestAnimationFrame(() => done())));
  }
  const ended = new Promise((done) => session.once("Tracing.tracingComplete", done));
  await session.send("Tracing.end");
  await ended;
  await page.mouse.up();
  const isMove = ({ name, args }) => name === "EventDispatch" && /move/.test(args?.data?.type ?? "");
  const thread = events.find(isMove);
  const own = events.filter((event) => event.ph === "X" && event.pid === thread.pid && event.tid === thread.tid);
  const tasks = own.filter(({ name }) => name === "RunTask" || name === "ThreadControllerImpl::RunTask");
  const moves = own.filter(isMove).filter(({ args }) => args.data.type === "pointermove");
  const frames = own.filter(({ name }) => name === "Commit" || name === "BeginMainThreadFrame");
  const inTasks = (from, to) => tasks.filter(({ ts }) => ts >= from && ts < to).reduce((sum, { dur }) => sum + dur, 0) / 1_000;
  const starts = moves.map(({ ts }) => tasks.findLast((task) => task.ts <= ts && ts <= task.ts + task.dur)?.ts ?? ts).sort((a, b) => a - b);
  const work = starts.slice(0, -1).map((start, index) => inTasks(start, starts[index + 1]));
  line(`work of a frame while dragging, ${SLOWED} times slowed`, `median ${median(work).toFixed(1)} ms, 95 % below ${share(work, 0.95).toFixed(1)} ms (${work.length} moves, ${frames.length} frame events)`, "16 ms");
}

async function memoryOfEdits() {
  const { context, page } = await openSaved(tools);
  const evenstroke = new EvenstrokePage({ page });
  await evenstroke.openCard("Press 12");
  const field = await evenstroke.field("Rated force").elementHandle();
  const session = await context.newCDPSession(page);
  const used = async () => {
    await session.send("HeapProfiler.collectGarbage");
    const { usedSize } = await session.send("Runtime.getHeapUsage");
    // Of the program's own memory the page knows the size, which never shrinks.
    const { jsHeapTotalSize, nodes } = { jsHeapTotalSize: 0, ...(await session.send("Memory.getDOMCounters")) };
    return { heap: usedSize / 1e6, nodes };
  };
  const edit = async () => {
    for (let done = 0; done < EDITS; done += 50) {
      await field.evaluate(async (field, from) => {
        for (let index = from; index < from + 50; index += 1) {
          field.value = String(500 + (index % 300));
          field.dispatchEvent(new Event("input", { bubbles: true }));
          await new Promise((next) => requestAnimationFrame(next));
        }
      }, done);
    }
    await evenstroke.keptReads(/kept in this browser/);
    await page.waitForTimeout(500);
  };
  const readings = [await used()];
  for (let times = 0; times < 3; times += 1) {
    await edit();
    readings.push(await used());
  }
  line(
    `heap after 0, 1, 2 and 3 times ${EDITS} edits`,
    readings.map(({ heap, nodes }) => `${heap.toFixed(2)} MB and ${nodes} nodes`).join(", "),
    "flat",
  );
}

await timeToUsable();
await workOfDragging();
await memoryOfEdits();
for (const action of clean) await action();
await browser.close();
