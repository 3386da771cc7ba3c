// The outline of a cut is edited on the plan: points, tool shear, mirror, turn, copies.

import assert from "node:assert/strict";
import { test } from "../harness/test.mjs";
import { PHONE, assertQuiet, openServed } from "../harness/open.mjs";
import { painted, readsText } from "../harness/act.mjs";
import { EvenstrokePage } from "../pages/evenstroke-page.mjs";

const PIERCE = "1. Pierce, work 1";

async function start(tools, options) {
  const opened = await openServed(tools, options);
  const evenstroke = new EvenstrokePage(opened);
  await evenstroke.planPanel.getByRole("button", { name: "Edit outlines" }).click();
  await painted(opened.page);
  const tool = evenstroke.planPanel.getByRole("group", { name: "Outline" });
  const cut = async (station = 0, work = 0) => JSON.parse(await evenstroke.savedFile()).stations[station].work[work];
  return { opened, evenstroke, tool, cut };
}

async function drag(opened, from, to) {
  const { mouse } = opened.page;
  await mouse.move(from.x, from.y);
  await mouse.down();
  await mouse.move(to.x, to.y, { steps: 6 });
  await mouse.up();
  await painted(opened.page);
}

test("a point is moved by arrow keys and the circle becomes a path", async (tools) => {
  const { opened, evenstroke, tool, cut } = await start(tools);
  await readsText(evenstroke.place, "Tap a point, the arrow of the tool shear, or another cut; tool shear 1.5 mm towards 0°");
  await tool.getByRole("button", { name: "Next point" }).click();
  await readsText(evenstroke.place, "Point 1 of 4 at 15.0 mm, 0.0 mm");
  await evenstroke.plan.press("Shift+ArrowRight");
  await evenstroke.plan.press("ArrowUp");
  await readsText(evenstroke.place, "Point 1 of 4 at 16.0 mm, 0.1 mm");
  const { path } = (await cut()).outline;
  assert.deepEqual(path.points[0], [16, 0.1]);
  assert.equal(path.closed, true);
  assert.equal(path.bulges.length, 4);
  await evenstroke.undo.click();
  assert.deepEqual((await cut()).outline, { circle: { diameter_mm: 30 } });
  await assertQuiet(opened);
});

test("a point is dragged, and the load follows", async (tools) => {
  const { opened, evenstroke, tool, cut } = await start(tools);
  await tool.getByLabel("Cut whose outline is edited").selectOption(PIERCE);
  const box = await evenstroke.plan.boundingBox();
  const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
  // Find the left point of the circle: the plan is the same both ways, so that its height decides.
  for (let away = 20; away < box.width / 2; away += 10) {
    await opened.page.mouse.click(x - away, y);
    if (/Point 3 of 4/.test(await evenstroke.place.textContent())) {
      await drag(opened, { x: x - away, y }, { x: x - away - 40, y: y + 10 });
      break;
    }
  }
  const { path } = (await cut()).outline;
  assert(path, "the circle has become a path");
  assert(path.points[2][0] < -16 && path.points[2][1] < 0, `${path.points[2]}`);
  await evenstroke.undo.click();
  assert.deepEqual((await cut()).outline, { circle: { diameter_mm: 30 } });
  await assertQuiet(opened);
});

test("the arrow of the tool shear is pulled to another depth and direction", async (tools) => {
  const { opened, evenstroke, cut } = await start(tools);
  const before = (await cut()).tool_shear;
  const box = await evenstroke.plan.boundingBox();
  const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
  // The arrow lies on the line from the middle to the right. Where it is first within a finger's
  // reach, its middle is 24 pixels farther out.
  const turn = async (away) => {
    await drag(opened, { x: x + away, y }, { x, y: y - away });
    return (await cut()).tool_shear.direction_deg !== before.direction_deg;
  };
  let away = 12;
  while (!(await turn(away)) && away < box.width / 2) {
    await evenstroke.plan.press("Escape");
    await evenstroke.planPanel.getByRole("button", { name: "Edit outlines" }).click();
    await painted(opened.page);
    away += 4;
  }
  await evenstroke.undo.click();
  await painted(opened.page);
  assert(await turn(away + 22), "the arrow is held");
  const after = (await cut()).tool_shear;
  assert.equal(after.kind, before.kind);
  // In steps of five degrees, and the handle is not met to the pixel.
  assert(Math.abs(after.direction_deg - 90) <= 5, `${after.direction_deg}`);
  assert.equal(after.direction_deg % 5, 0);
  assert(after.depth_mm > 0, `${after.depth_mm}`);
  await readsText(evenstroke.place, `tool shear ${after.depth_mm.toFixed(1)} mm towards ${after.direction_deg}°`);
  await assertQuiet(opened);
});

test("points are added and taken out", async (tools) => {
  const { opened, tool, cut } = await start(tools);
  await tool.getByRole("button", { name: "Next point" }).click();
  await tool.getByRole("button", { name: "Add a point" }).click();
  assert.equal((await cut()).outline.path.points.length, 5);
  await tool.getByRole("button", { name: "Take point out" }).click();
  assert.equal((await cut()).outline.path.points.length, 4);
  await assertQuiet(opened);
});

test("a cut is turned, mirrored and repeated, on a phone", async (tools) => {
  const { opened, evenstroke, tool, cut } = await start(tools, { viewport: PHONE });
  await tool.getByRole("button", { name: "Quarter turn" }).click();
  assert.equal((await cut()).turn_deg, 90);
  await tool.getByRole("button", { name: "Mirror left–right" }).click();
  assert.equal((await cut()).turn_deg, -90);
  assert.equal((await cut()).tool_shear.direction_deg, 180);
  await tool.getByText("Turn, repeat", { exact: true }).click();
  await tool.getByLabel("Turn by, °").fill("30");
  await tool.getByRole("button", { name: "Turn, counter-clockwise" }).click();
  assert.equal((await cut()).turn_deg, -60);
  await evenstroke.undo.click();
  for (const [typed, answer] of [
    ["three", /^How many in all: .*number.*, given “three”$/],
    ["2.5", "How many in all: must be a whole number, given 2.5"],
    ["201", "How many in all: must be from 2 to 200, given 201"],
  ]) {
    await tool.getByLabel("How many in all").fill(typed);
    await readsText(tool.getByRole("alert"), answer);
    assert(await tool.getByRole("button", { name: "In a row" }).isDisabled());
  }
  await tool.getByLabel("How many in all").fill("3");
  await tool.getByLabel("Step to the back, mm").fill("12,5");
  await tool.getByLabel("Step to the right, mm").fill("2 x 10");
  await tool.getByRole("button", { name: "In a row" }).click();
  const third = await cut(0, 2);
  assert.deepEqual([third.x_mm, third.y_mm, third.turn_deg], [40, 25, -90]);
  await evenstroke.undo.click();
  assert.notEqual((await cut(0, 2))?.y_mm, 25);
  await assertQuiet(opened);
});

test("another cut is chosen from the list, and done gives the die back to the hand", async (tools) => {
  const { opened, evenstroke, tool } = await start(tools);
  await tool.getByLabel("Cut whose outline is edited").selectOption("5. Cut off");
  await tool.getByRole("button", { name: "Next point" }).click();
  await readsText(evenstroke.place, /Point 1 of 2/);
  await evenstroke.planPanel.getByRole("button", { name: "Done with outlines" }).click();
  await evenstroke.plan.press("ArrowRight");
  await readsText(evenstroke.place, "Die centre 1.0 mm right of the bolster centre");
  await assertQuiet(opened);
});
