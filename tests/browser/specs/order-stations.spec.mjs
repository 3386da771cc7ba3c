import assert from "node:assert/strict";
import { test } from "../harness/test.mjs";
import { assertQuiet, openServed } from "../harness/open.mjs";
import { readsText } from "../harness/act.mjs";
import { EvenstrokePage } from "../pages/evenstroke-page.mjs";

async function start(tools, station) {
  const opened = await openServed(tools);
  const evenstroke = new EvenstrokePage(opened);
  await evenstroke.openCard("5 stations");
  await evenstroke.openStation(station);
  const button = (name) => evenstroke.cards.getByRole("button", { name, exact: true });
  return { opened, evenstroke, button };
}

test("a station is moved up along the strip and takes the place there, in one step of undo", async (tools) => {
  const { opened, evenstroke, button } = await start(tools, "Notch");
  const before = await evenstroke.savedFile();
  await button("Move up").click();
  await readsText(evenstroke.cardHead("5 stations"), "Notch · Pierce · Idle · Bend · Cut off");
  await readsText(evenstroke.cards, "Notch is now 1 of 5, at strip position 1");
  assert.equal(await evenstroke.field("Right of die centre").inputValue(), "-240");
  assert.equal(await evenstroke.field("Position along the strip").inputValue(), "1");
  assert(await button("Move up").isDisabled(), "it is the first now");
  const head = evenstroke.stationHead("Notch");
  assert(await head.evaluate((element) => element === document.activeElement), "the focus goes with it");
  await evenstroke.undo.click();
  await readsText(evenstroke.cardHead("5 stations"), "Pierce · Notch · Idle · Bend · Cut off");
  assert.equal(await evenstroke.savedFile(), before);
  await assertQuiet(opened);
});

test("a station is moved down twice, each move a step of undo", async (tools) => {
  const { opened, evenstroke, button } = await start(tools, "Pierce");
  await button("Move down").click();
  await button("Move down").click();
  await readsText(evenstroke.cardHead("5 stations"), "Notch · Idle · Pierce · Bend · Cut off");
  await evenstroke.undo.click();
  await readsText(evenstroke.cardHead("5 stations"), "Notch · Pierce · Idle · Bend · Cut off");
  await evenstroke.undo.click();
  await readsText(evenstroke.cardHead("5 stations"), "Pierce · Notch · Idle · Bend · Cut off");
  await assertQuiet(opened);
});

test("a station is duplicated to the end of the strip under a name of its own", async (tools) => {
  const { opened, evenstroke, button } = await start(tools, "Pierce");
  await button("Duplicate this station").click();
  await readsText(evenstroke.cardHead("6 stations"), "Pierce · Notch · Idle · Bend · Cut off · Pierce 2");
  await readsText(evenstroke.cards, "A copy of Pierce stands last, as 6 of 6, at strip position 6");
  assert.equal(await evenstroke.field("Right of die centre").inputValue(), "360", "one pitch on");
  const job = JSON.parse(await evenstroke.savedFile());
  assert.deepEqual(job.stations[5].work, job.stations[0].work);
  await evenstroke.undo.click();
  await evenstroke.cardHead("5 stations").waitFor();
  await assertQuiet(opened);
});

test("work is duplicated and put in another order", async (tools) => {
  const { opened, evenstroke, button } = await start(tools, "Bend");
  const before = JSON.parse(await evenstroke.savedFile()).stations[3].work;
  await button("Move down work 1").click();
  await readsText(evenstroke.cards, "Work 1 is now work 2.");
  await button("Duplicate work 1").click();
  await readsText(evenstroke.cards, "Work 2 is a copy at the same place: move it.");
  const after = JSON.parse(await evenstroke.savedFile()).stations[3].work;
  assert.deepEqual(after, [before[1], before[1], before[0], ...before.slice(2)]);
  await evenstroke.undo.click();
  await evenstroke.undo.click();
  assert.deepEqual(JSON.parse(await evenstroke.savedFile()).stations[3].work, before);
  await assertQuiet(opened);
});

test("a V bend chosen anew brings the opening that it cannot do without", async (tools) => {
  const { opened, evenstroke } = await start(tools, "Bend");
  const work = evenstroke.group("Work 1");
  await evenstroke.field("Kind", work).first().selectOption("V");
  assert.equal(await evenstroke.field("V opening", work).inputValue(), "16");
  await readsText(evenstroke.verdict, /^(?!.*Not worked out)/s);
  await evenstroke.undo.click();
  assert.equal(await evenstroke.field("V opening", work).inputValue(), "");
  await assertQuiet(opened);
});
