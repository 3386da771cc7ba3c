// The large panel shows more than the force: speed, snap-through, tilt, what if, what moves the limits.

import assert from "node:assert/strict";
import { test } from "../harness/test.mjs";
import { assertQuiet, openServed } from "../harness/open.mjs";
import { readsText } from "../harness/act.mjs";
import { EvenstrokePage } from "../pages/evenstroke-page.mjs";

async function start(tools, figure) {
  const opened = await openServed(tools);
  const evenstroke = new EvenstrokePage(opened);
  await evenstroke.show(figure);
  return { opened, evenstroke };
}

test("the speeds between which the die runs are told", async (tools) => {
  const { opened, evenstroke } = await start(tools, "Speed, energy and stretch");
  // The demo's press runs from 30 to 60 strokes a minute, and nothing of the die narrows that.
  await readsText(evenstroke.figure, /The die runs from 30 to 60 strokes\/min/);
  await evenstroke.openCard("Press");
  await evenstroke.field("Slowest speed").fill("");
  await evenstroke.field("Slowest speed").press("Tab");
  // One stroke takes a part of the 6 kJ that the flywheel holds at 60 strokes a minute; energy goes
  // with the square of speed.
  const [, work, lowest] = /takes up to ([\d.]+) kJ.*runs from (\d+) to 60/s.exec(
    await evenstroke.figure.innerText(),
  );
  assert.equal(Number(lowest), Math.ceil(60 * Math.sqrt(Number(work) / 6)));
  await assertQuiet(opened);
});

test("the snap-through is drawn with the pull at which to stop", async (tools) => {
  const { opened, evenstroke } = await start(tools, "Snap-through, an estimate");
  // 10 % of 630 kN.
  await readsText(evenstroke.figure, /Stop when the reverse reading passes 63\.0 kN/);
  const words = await evenstroke.figure.getByRole("img").getAttribute("aria-label");
  assert.match(words, /an estimate/);
  await assertQuiet(opened);
});

test("the tilt names the order in which stations let go", async (tools) => {
  const { opened, evenstroke } = await start(tools, "Tilt of the slide");
  await readsText(evenstroke.figure, /The slide tips by up to [\d.]+ mm per metre/);
  await readsText(evenstroke.figure, /Stations let go in this order: .*Notch/);
  await assertQuiet(opened);
});

test("what if says what breaks and whether the alarm notices", async (tools) => {
  const { opened, evenstroke } = await start(tools, "What if");
  await readsText(evenstroke.figure, /Alarm band taken: \+15 % and −20 %/);
  const row = evenstroke.figure.getByRole("row").filter({ hasText: "Double metal at Pierce" });
  assert.match(await row.innerText(), /over: Off-centre, left–right/);
  assert.match(await row.innerText(), /the load alarm trips: high/);
  const missing = evenstroke.figure.getByRole("row").filter({ hasText: "Punch missing at Pierce, cut 1 of 3" });
  assert.match(await missing.innerText(), /the load alarm stays silent/);
  await assertQuiet(opened);
});

test("what moves a limit comes sorted, and another limit can be chosen", async (tools) => {
  const { opened, evenstroke } = await start(tools, "What moves the limits");
  const shares = async () => {
    await readsText(evenstroke.figure, /…/);
    await evenstroke.figure.getByRole("listitem").first().waitFor();
    const rows = await evenstroke.figure.getByRole("listitem").allInnerTexts();
    return rows.map((row) => {
      const [, low, high] = /([\d.]+) … ([\d.]+)\n(?:[^\n]*)$/.exec(row);
      return Math.abs(Number(high) - Number(low));
    });
  };
  const moved = await shares();
  assert(moved.length > 3, `${moved.length} inputs move it`);
  for (let i = 1; i < moved.length; i += 1) assert(moved[i] <= moved[i - 1] + 0.011, `${moved}`);
  await evenstroke.figure.getByRole("combobox", { name: "Limit" }).selectOption("Working energy");
  await readsText(evenstroke.figure, /Penetration|Separation|Thickness/);
  await assertQuiet(opened);
});

test("strip states are stepped through and the worst is one tap away", async (tools) => {
  const { opened, evenstroke } = await start(tools, "Force through the stroke");
  const state = evenstroke.stroke.getByRole("combobox", { name: "Strip state" });
  assert.equal(await state.inputValue(), "full");
  await opened.page.getByRole("button", { name: "Strip one step back" }).click();
  assert.equal(await state.inputValue(), "filling_4");
  await opened.page.getByRole("button", { name: "Strip one step on" }).click();
  assert.equal(await state.inputValue(), "full");
  await opened.page.getByRole("button", { name: "Worst" }).click();
  // The limit that is used most is the left–right moment at the second hit.
  assert.equal(await state.inputValue(), "filling_2");
  await readsText(evenstroke.readout, /^At 2\.7 mm/);
  await assertQuiet(opened);
});

test("a limit that is near says what to do", async (tools) => {
  const { opened, evenstroke } = await start(tools, "Force through the stroke");
  await readsText(evenstroke.limit("Off-centre, left–right"), /Shift the die left or right/);
  assert.doesNotMatch(await evenstroke.limit("Rated force").innerText(), /Take force out/);
  await assertQuiet(opened);
});

test("a limit that cannot be checked says what it would take", async (tools) => {
  const { opened, evenstroke } = await start(tools, "Force through the stroke");
  await evenstroke.openCard("Press");
  const energy = evenstroke.group("Flywheel energy");
  await evenstroke.field("Usable per stroke", energy).fill("");
  await evenstroke.field("Usable per stroke", energy).press("Tab");
  await readsText(evenstroke.limit("Working energy"), /runs if the press gives 0\.\d+ kJ per stroke/);
  await evenstroke.verdictReads(/Not checked: data missing/i);
  await assertQuiet(opened);
});

test("this coil is worked out beside the range of the job", async (tools) => {
  const { opened, evenstroke } = await start(tools, "Force through the stroke");
  await evenstroke.openCard("Stock");
  const coil = evenstroke.group("This coil");
  await evenstroke.field("Coil tensile strength", coil).fill("300");
  await evenstroke.field("Coil tensile strength", coil).press("Tab");
  await readsText(evenstroke.cards.getByRole("status"), /this coil peak [\d.]+ kN, work per stroke/);
  await evenstroke.field("Coil tensile strength", coil).fill("500");
  await evenstroke.field("Coil tensile strength", coil).press("Tab");
  await readsText(evenstroke.limits, /This coil is outside the job's range: tensile strength 500/);
  await assertQuiet(opened);
});
