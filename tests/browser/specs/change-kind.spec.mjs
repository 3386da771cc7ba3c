import assert from "node:assert/strict";
import { test } from "../harness/test.mjs";
import { assertQuiet, openServed } from "../harness/open.mjs";
import { readsText } from "../harness/act.mjs";
import { EvenstrokePage } from "../pages/evenstroke-page.mjs";

async function start(tools) {
  const opened = await openServed(tools);
  return { opened, evenstroke: new EvenstrokePage(opened) };
}

/** Opens the list of stations and one of them. */
async function openStation(evenstroke, name) {
  await evenstroke.openCard("5 stations");
  await evenstroke.openStation(name);
}

test("a hydraulic drive gives its force at any height, a crank does not", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  await evenstroke.handle.press("Home");
  await readsText(evenstroke.readout, /^At 20\.0 mm \(\d+° before BDC\).*press allows 37\d\.\d kN/);
  await evenstroke.openCard("Press 12");
  const drive = evenstroke.field("Drive", evenstroke.group("Drive"));
  await drive.selectOption("hydraulic");
  await readsText(evenstroke.readout, /^At 20\.0 mm: .*press allows 630\.0 kN/);
  await readsText(evenstroke.cardHead("Press 12"), "hydraulic, stroke 120 mm");
  await evenstroke.undo.click();
  await readsText(evenstroke.readout, /^At 20\.0 mm \(\d+° before BDC\).*press allows 37\d\.\d kN/);
  await readsText(evenstroke.cardHead("Press 12"), "at 6 mm · crank, stroke 120 mm");
  await assertQuiet(opened);
});

// A kind that was left takes its own fields with it; only undo brings them back.
test("a crank drive chosen anew asks for its rating height again", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  await evenstroke.openCard("Press 12");
  const drive = evenstroke.field("Drive", evenstroke.group("Drive"));
  await drive.selectOption("hydraulic");
  await readsText(evenstroke.cardHead("Press 12"), "hydraulic, stroke 120 mm");
  await drive.selectOption("crank or eccentric");
  await readsText(evenstroke.cardHead("Press 12"), "630 kN · crank, stroke 120 mm");
  await readsText(evenstroke.limit("Force at height"), "not checked");
  await evenstroke.verdictReads("Not checked: data missing");
  await assertQuiet(opened);
});

test("work is changed from a cut to a bend", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  const before = await evenstroke.limit("Rated force").textContent();
  await openStation(evenstroke, "Pierce");
  const work = evenstroke.group("Work 1");
  await evenstroke.field("Operation", work).selectOption("bend");
  await evenstroke.field("Punch radius", work).waitFor();
  assert.equal(await evenstroke.field("First touch at", work).inputValue(), "4.5", "what both have is kept");
  await readsText(evenstroke.stationHead("Pierce"), "bend, pierce, pierce");
  assert.notEqual(await evenstroke.limit("Rated force").textContent(), before);
  await assertQuiet(opened);
});

test("an outline is changed from a circle to a path of points", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  const before = await evenstroke.limit("Working energy").textContent();
  await openStation(evenstroke, "Pierce");
  const work = evenstroke.group("Work 1");
  await evenstroke.field("Kind", evenstroke.group("Outline", work)).first().selectOption("path");
  const points = evenstroke.field("Points", work);
  await points.fill("-100 0\n100 0");
  assert.equal(await evenstroke.fieldMessage("Points", work).count(), 0);
  assert.notEqual(await evenstroke.limit("Working energy").textContent(), before);
  await points.fill("-100 0\n100");
  await readsText(evenstroke.fieldMessage("Points", work), "line 2 must hold 2 numbers");
  assert.deepEqual(JSON.parse(await evenstroke.savedFile()).stations[0].work[0].outline.path.points, [
    [-100, 0],
    [100, 0],
  ]);
  await assertQuiet(opened);
});

test("a station is added after the last and taken away again", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  const before = await evenstroke.limit("Rated force").textContent();
  await evenstroke.openCard("5 stations");
  await evenstroke.cards.getByRole("button", { name: "Add a station" }).click();
  await evenstroke.cardHead("6 stations").waitFor();
  assert.equal(await evenstroke.field("Right of die centre").inputValue(), "360", "one pitch on");
  assert.notEqual(await evenstroke.limit("Rated force").textContent(), before);
  await evenstroke.cards.getByRole("button", { name: "Remove this station" }).click();
  await evenstroke.cardHead("5 stations").waitFor();
  assert.equal(await evenstroke.limit("Rated force").textContent(), before);
  await assertQuiet(opened);
});

test("a station in the middle is taken away and the others stay", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  await openStation(evenstroke, "Notch");
  await evenstroke.cards.getByRole("button", { name: "Remove this station" }).click();
  await readsText(evenstroke.cardHead("4 stations"), "Pierce · Idle · Bend · Cut off");
  await evenstroke.undo.click();
  await readsText(evenstroke.cardHead("5 stations"), "Pierce · Notch · Idle · Bend · Cut off");
  await assertQuiet(opened);
});

test("work is added to an idle station and taken away again", async (tools) => {
  const { opened, evenstroke } = await start(tools);
  const before = await evenstroke.limit("Rated force").textContent();
  await openStation(evenstroke, "Idle");
  await evenstroke.cards.getByRole("button", { name: "Add work" }).click();
  await evenstroke.group("Work 1").waitFor();
  await readsText(evenstroke.stationHead("Idle"), "pierce");
  assert.notEqual(await evenstroke.limit("Rated force").textContent(), before);
  await evenstroke.cards.getByRole("button", { name: "Remove this work" }).click();
  await evenstroke.group("Work 1").waitFor({ state: "detached" });
  assert.equal(await evenstroke.limit("Rated force").textContent(), before);
  await assertQuiet(opened);
});
