// Outlines from a drawing, chosen by tap, by list and by layer, become cuts of a station.

import assert from "node:assert/strict";
import { join } from "node:path";
import { test } from "../harness/test.mjs";
import { assertQuiet, openSaved, openServed, withScript } from "../harness/open.mjs";
import { readsText } from "../harness/act.mjs";
import { EvenstrokePage } from "../pages/evenstroke-page.mjs";

const drawings = join(import.meta.dirname, "../../drawings");

async function start(tools, file) {
  const opened = await openServed(tools);
  const evenstroke = new EvenstrokePage(opened);
  await evenstroke.openCard("5 stations");
  await evenstroke.cards.getByRole("button", { name: "Outlines from a drawing" }).click();
  const dialog = opened.page.getByRole("dialog", { name: "Outlines from a drawing" });
  await dialog.getByLabel("Open a DXF or SVG file").setInputFiles(file);
  return { opened, evenstroke, dialog };
}

/** A square of 40 mm on layer CUT, 100 mm right of the drawing's origin, and a hole on layer HOLE. */
const DXF = (() => {
  const line = (x0, y0, x1, y1) =>
    `0\nLINE\n8\nCUT\n10\n${x0}\n20\n${y0}\n11\n${x1}\n21\n${y1}\n`;
  return (
    "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n" +
    line(80, -20, 120, -20) + line(120, 20, 80, 20) + line(120, -20, 120, 20) + line(80, 20, 80, -20) +
    "0\nCIRCLE\n8\nHOLE\n10\n-240\n20\n0\n40\n10\n0\nENDSEC\n0\nEOF\n"
  );
})();

const dxf = { name: "plate.dxf", mimeType: "image/vnd.dxf", buffer: Buffer.from(DXF) };

test("an outline of a drawing becomes a cut where the drawing has it", async (tools) => {
  const { opened, evenstroke, dialog } = await start(tools, dxf);
  await readsText(dialog.getByRole("status"), /plate\.dxf: 2 closed and 0 open outlines, read in mm/);
  await dialog.getByLabel(/^closed, 160\.0 mm long, about 100\.0, 0\.0 mm/).check();
  await dialog.getByLabel("Cut at").selectOption("4. Bend");
  await dialog.getByLabel("Kind of cut").selectOption("notch");
  await dialog.getByRole("button", { name: "Add one cut" }).click();
  await readsText(dialog.getByRole("status"), /One cut added/);
  await dialog.getByRole("button", { name: "Close" }).click();
  const job = JSON.parse(await evenstroke.savedFile());
  const cut = job.stations[3].work.at(-1);
  // Station 4 stands 120 mm right of the die's centre, the square's centroid at 100 mm.
  assert.equal(cut.kind, "notch");
  assert.equal(cut.x_mm, -20);
  assert.equal(cut.y_mm, 0);
  assert.equal(cut.outline.path.closed, true);
  assert.equal(cut.outline.path.points.length, 4);
  await evenstroke.undo.click();
  const before = JSON.parse(await evenstroke.savedFile());
  assert.equal(before.stations[3].work.length, job.stations[3].work.length - 1);
  await assertQuiet(opened);
});

test("a layer is chosen as a whole, and a circle stays a circle", async (tools) => {
  const { opened, evenstroke, dialog } = await start(tools, dxf);
  await dialog.getByLabel("Layer HOLE, one outline").check();
  await dialog.getByRole("button", { name: "Add one cut" }).click();
  await dialog.getByRole("button", { name: "Close" }).click();
  const job = JSON.parse(await evenstroke.savedFile());
  assert.deepEqual(job.stations[0].work.at(-1).outline, { circle: { diameter_mm: 20 } });
  assert.equal(job.stations[0].work.at(-1).x_mm, 0);
  await assertQuiet(opened);
});

test("an outline is chosen by tapping on it", async (tools) => {
  const { opened, dialog } = await start(tools, dxf);
  const picture = dialog.getByRole("img");
  await picture.scrollIntoViewIfNeeded();
  const { x, y, width, height } = await picture.boundingBox();
  // The drawing is 370 mm wide, from the hole at the far left to the square at the far right, and
  // fills the picture's width but for a margin of 3 % of its height and 4 pixels.
  const scale = (width - 2 * (0.03 * Math.min(width, height) + 4)) / 370;
  // Beside the left edge of the square, as far as a gloved finger misses it.
  await opened.page.mouse.click(x + width / 2 + scale * (80 - -65) + 8, y + height / 2 + 8);
  await dialog.getByRole("button", { name: "Add one cut" }).waitFor();
  await assertQuiet(opened);
});

test("a drawing without a unit asks for it", async (tools) => {
  const { opened, dialog } = await start(tools, {
    ...dxf,
    buffer: Buffer.from(DXF.replace("9\n$INSUNITS\n70\n4\n", "")),
  });
  await readsText(dialog, /does not say its unit; millimetres are taken/);
  await dialog.getByLabel("Unit of the drawing").selectOption("in");
  await dialog.getByLabel(/^closed, 4.?064 mm long/).waitFor();
  await assertQuiet(opened);
});

test("a drawing that is none is refused and the job stays", async (tools) => {
  const { opened, evenstroke, dialog } = await start(tools, {
    name: "letter.dxf",
    mimeType: "text/plain",
    buffer: Buffer.from("Dear press room,"),
  });
  await readsText(dialog.getByRole("status"), /letter\.dxf was not opened: .*must be a DXF file/);
  await dialog.getByRole("button", { name: "Close" }).click();
  await evenstroke.verdictReads(/Near a limit/i);
  await assertQuiet(opened);
});

test("files written by other programs are read: blocks, splines, SVG", async (tools) => {
  for (const name of ["blocks.dxf", "splines.dxf"]) {
    const { opened, dialog } = await start(tools, join(drawings, name));
    await readsText(dialog.getByRole("status"), /[1-9]\d* closed and \d+ open outlines/);
    await assertQuiet(opened);
  }
});

test("a smaller drawing after a larger one is shown in its place", async (tools) => {
  const { opened, dialog } = await start(tools, join(drawings, "blocks.dxf"));
  await readsText(dialog.getByRole("status"), /28 closed and 52 open/);
  await dialog.getByLabel("Layer PUNCH, 54 outlines").check();
  await dialog.getByLabel("Open a DXF or SVG file").setInputFiles(dxf);
  await readsText(dialog.getByRole("status"), /plate\.dxf: 2 closed/);
  await dialog.getByRole("button", { name: "Choose outlines first" }).waitFor();
  await dialog.getByLabel("Layer CUT, one outline").check();
  await dialog.getByRole("button", { name: "Add one cut" }).waitFor();
  await assertQuiet(opened);
});

test("a first touch that is none is refused with what is allowed and given", async (tools) => {
  const { opened, dialog } = await start(tools, dxf);
  await dialog.getByLabel("Layer CUT, one outline").check();
  for (const [typed, answer] of [
    ["-1", "First touch above BDC: must be from 0 to 120 mm, given -1 mm"],
    ["5 in", "First touch above BDC: must be from 0 to 120 mm, given 127 mm"],
    ["x", /^First touch above BDC: .*number.*, given “x”$/],
    ["", "First touch above BDC: must not be empty"],
  ]) {
    await dialog.getByLabel("First touch above BDC, mm").fill(typed);
    await readsText(dialog.getByRole("alert"), answer);
    assert(await dialog.getByRole("button", { name: "Add one cut" }).isDisabled());
  }
  await dialog.getByLabel("First touch above BDC, mm").fill("3,5");
  await dialog.getByRole("alert").waitFor({ state: "detached" });
  assert(await dialog.getByRole("button", { name: "Add one cut" }).isEnabled());
  await assertQuiet(opened);
});

test("a drawing is read beside the page, in a worker, in the served and in the saved page", async (tools) => {
  for (const open of [openServed, openSaved]) {
    const opened = await open(tools);
    const evenstroke = new EvenstrokePage(opened);
    await evenstroke.openCard("5 stations");
    await evenstroke.cards.getByRole("button", { name: "Outlines from a drawing" }).click();
    const worker = opened.page.waitForEvent("worker");
    await opened.page.getByLabel("Open a DXF or SVG file").setInputFiles(dxf);
    const gone = (await worker).waitForEvent("close");
    await readsText(opened.page.getByRole("dialog").getByRole("status"), /2 closed and 0 open/);
    // It does not stay for nothing.
    await gone;
    await assertQuiet(opened);
  }
});

test("a page without workers reads a drawing itself", async (tools) => {
  const without = withScript(tools, () => delete window.Worker);
  const { opened, dialog } = await start(without, dxf);
  await readsText(dialog.getByRole("status"), /2 closed and 0 open/);
  await assertQuiet(opened);
});

test("open ends that nearly meet are told and ringed in the picture", async (tools) => {
  const { dialog, opened } = await start(tools, {
    ...dxf,
    // The square's upper side ends half a millimetre short.
    buffer: Buffer.from(DXF.replace("\n10\n120\n20\n20\n11\n80\n", "\n10\n120\n20\n20\n11\n80.5\n")),
  });
  await readsText(dialog, /Open ends near each other that are not joined: 1 \(rings in the picture\), the first at .* 0\.500 mm apart/);
  // Nothing is chosen, so that the upper canvas holds the rings alone.
  const painted = () =>
    dialog.locator("canvas.chosen").evaluate((canvas) => {
      const { data } = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height);
      return data.some((value, index) => index % 4 === 3 && value > 0);
    });
  for (let tries = 0; !(await painted()); tries += 1) {
    assert(tries < 50, "no ring is painted");
    await opened.page.waitForTimeout(100);
  }
  await assertQuiet(opened);
});
