// What the page takes of a slow machine, against its budgets:
// `node tests/browser/benches/budgets.mjs`, after `cargo xtask page`. Prints; asserts nothing.
//
// - from opening the saved page from the disk to its being usable, the processor slowed four times,
//   and apart from that the processor time of the page's own thread until then, times four;
// - the work of a frame while the die is dragged, while the chart is read and while a part of it is
//   moved, as the processor time of the page's own thread
//   (script, style, layout, paint) times four, which other work on the machine does not lengthen;
// - the memory before and after 1 000, 2 000 and 3 000 edits. Undo keeps 500 steps, so that the
//   program's memory grows until those are there.

import { startBrowser } from "../harness/browser.mjs";
import { openSaved, withScript } from "../harness/open.mjs";
import { readsText } from "../harness/act.mjs";
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

/** Usable: the program has taken over and its first picture is painted. Runs before the page. */
function markUsable() {
  new MutationObserver(() => {
    if (document.documentElement.dataset.evenstroke !== "running" || window.usable) return;
    window.usable = true;
    requestAnimationFrame(() => setTimeout(() => { window.usableAfter = performance.mark("usable").startTime; }));
  }).observe(document, { attributes: true, subtree: true, attributeFilter: ["data-evenstroke"] });
}

async function timeToUsable() {
  const { context, page: first } = await openSaved(tools);
  const address = first.url();
  const times = [];
  for (let round = 0; round < ROUNDS; round += 1) {
    const page = await context.newPage();
    const session = await context.newCDPSession(page);
    await session.send("Emulation.setCPUThrottlingRate", { rate: SLOWED });
    await page.addInitScript(markUsable);
    await page.goto(address);
    times.push(await page.waitForFunction(() => window.usableAfter).then((handle) => handle.jsonValue()));
    await page.close();
  }
  line(`usable from disk, ${SLOWED} times slowed`, `${median(times).toFixed(0)} ms (${Math.min(...times).toFixed(0)} to ${Math.max(...times).toFixed(0)})`, "1000 ms");
}

/** The processor time of the page's own thread until it is usable, which other work does not lengthen. */
async function workOfStart() {
  const { context, page: first } = await openSaved(tools);
  const address = first.url();
  const works = [];
  for (let round = 0; round < ROUNDS; round += 1) {
    const page = await context.newPage();
    await page.addInitScript(markUsable);
    const events = await traced(await context.newCDPSession(page), async () => {
      await page.goto(address);
      await page.waitForFunction(() => window.usableAfter);
    });
    const usable = events.find(({ name }) => name === "usable");
    works.push(SLOWED * total(tasksOf(events, usable).filter(({ ts }) => ts < usable.ts)));
    await page.close();
  }
  line(`work until usable from disk, processor time times ${SLOWED}`, `${median(works).toFixed(0)} ms (${Math.min(...works).toFixed(0)} to ${Math.max(...works).toFixed(0)})`, "1000 ms");
}

/** What the browser's own trace holds of an action. */
async function traced(session, action) {
  const events = [];
  session.on("Tracing.dataCollected", ({ value }) => events.push(...value));
  await session.send("Tracing.start", {
    traceConfig: { includedCategories: ["toplevel", "blink.user_timing", "devtools.timeline", "disabled-by-default-devtools.timeline"] },
  });
  await action();
  const ended = new Promise((done) => session.once("Tracing.tracingComplete", done));
  await session.send("Tracing.end");
  await ended;
  return events;
}

/** The tasks of the thread that an event is of; two names stand for the same task, and one is taken. */
const tasksOf = (events, { pid, tid }) =>
  events.filter((event) => event.ph === "X" && event.pid === pid && event.tid === tid && event.name === "ThreadControllerImpl::RunTask");
const total = (tasks) => tasks.reduce((sum, { tdur }) => sum + (tdur ?? 0), 0) / 1_000;

/**
 * The work on the page's main thread for each move of the mouse over a part of the page, by the
 * browser's own trace. `begin` prepares the page.
 */
async function workOf(what, partOf, begin) {
  const { context, page } = await openSaved(tools);
  const evenstroke = new EvenstrokePage({ page });
  const session = await context.newCDPSession(page);
  const part = partOf(evenstroke);
  await part.scrollIntoViewIfNeeded();
  const box = await part.boundingBox();
  await begin(page, evenstroke, { x: box.x + box.width / 2, y: box.y + box.height / 2 });
  const events = await traced(session, async () => {
    for (let step = 1; step <= 60; step += 1) {
      await page.mouse.move(box.x + box.width / 2 + (step % 30), box.y + box.height / 2 + (step % 7));
      await page.evaluate(() => new Promise((done) => requestAnimationFrame(() => done())));
    }
  });
  await page.mouse.up();
  const isMove = ({ name, args }) => name === "EventDispatch" && /move/.test(args?.data?.type ?? "");
  const thread = events.find(isMove);
  const own = events.filter((event) => event.ph === "X" && event.pid === thread.pid && event.tid === thread.tid);
  const tasks = tasksOf(events, thread);
  const moves = own.filter(isMove).filter(({ args }) => args.data.type === "pointermove");
  const inTasks = (from, to) => total(tasks.filter(({ ts }) => ts >= from && ts < to));
  const starts = moves.map(({ ts }) => tasks.findLast((task) => task.ts <= ts && ts <= task.ts + task.dur)?.ts ?? ts).sort((a, b) => a - b);
  const work = starts.slice(0, -1).map((start, index) => SLOWED * inTasks(start, starts[index + 1]));
  line(`work of a frame while ${what}, processor time times ${SLOWED}`, `median ${median(work).toFixed(1)} ms, 95 % below ${share(work, 0.95).toFixed(1)} ms (${work.length} moves)`, "16 ms");
}

async function memoryOfEdits() {
  const watching = withScript(tools, () => {
    const instantiate = WebAssembly.instantiate;
    WebAssembly.instantiate = async (...values) => {
      const made = await instantiate(...values);
      window.programMemory = (made.instance ?? made).exports.memory;
      return made;
    };
  });
  const { context, page } = await openSaved(watching);
  const evenstroke = new EvenstrokePage({ page });
  await evenstroke.openCard("Press 12");
  // Two fields in turn, so that each edit is a step of undo of its own.
  const fields = [await evenstroke.field("Rated force").elementHandle(), await evenstroke.field("Speed of this job").elementHandle()];
  const session = await context.newCDPSession(page);
  const used = async () => {
    await session.send("HeapProfiler.collectGarbage");
    const { usedSize } = await session.send("Runtime.getHeapUsage");
    const { nodes } = await session.send("Memory.getDOMCounters");
    const program = await page.evaluate(() => window.programMemory.buffer.byteLength);
    return { heap: usedSize / 1e6, program: program / 1e6, nodes };
  };
  const edit = async () => {
    await page.evaluate(
      async ([fields, edits]) => {
        for (let index = 0; index < edits; index += 1) {
          const field = fields[index % fields.length];
          field.value = String(index % 2 === 0 ? 500 + (index % 300) : 20 + (index % 30));
          field.dispatchEvent(new Event("input", { bubbles: true }));
          await new Promise((next) => requestAnimationFrame(next));
        }
      },
      [fields, EDITS],
    );
    await readsText(evenstroke.kept, /kept in this browser/, { timeout: 60_000 });
    await page.waitForTimeout(500);
  };
  const readings = [await used()];
  for (let times = 0; times < 3; times += 1) {
    await edit();
    readings.push(await used());
  }
  for (const [times, { heap, program, nodes }] of readings.entries()) {
    line(`memory after ${times * EDITS} edits`, `page ${heap.toFixed(2)} MB, program ${program.toFixed(2)} MB, ${nodes} nodes`, "flat once the 500 steps of undo are there");
  }
}

const take = async (page, _, { x, y }) => {
  await page.mouse.move(x, y);
  await page.mouse.down();
};
const ofMoves = async () => {
  await workOf("the die is dragged", (evenstroke) => evenstroke.plan, take);
  await workOf("the chart is read", (evenstroke) => evenstroke.chart, async () => {});
  await workOf("the slide is dragged and read", (evenstroke) => evenstroke.chart, take);
  await workOf("a part of the chart is moved", (evenstroke) => evenstroke.chart, async (page, evenstroke, at) => {
    for (let times = 0; times < 4; times += 1) await evenstroke.stroke.getByRole("button", { name: "Nearer" }).click();
    await take(page, evenstroke, { ...at, x: at.x - 120 });
  });
};

// Words on the command line choose: usable, start, drag, memory.
const parts = { usable: timeToUsable, start: workOfStart, drag: ofMoves, memory: memoryOfEdits };
const chosen = process.argv.slice(2);
for (const [name, measure] of Object.entries(parts)) {
  if (chosen.length === 0 || chosen.includes(name)) await measure();
}
for (const action of clean) await action();
await browser.close();
