// A newcomer describes a die from nothing, by taps and typing, and counts what that takes.

import assert from "node:assert/strict";
import { test } from "../harness/test.mjs";
import { TABLET, assertQuiet, openServed } from "../harness/open.mjs";
import { readsText } from "../harness/act.mjs";
import { EvenstrokePage } from "../pages/evenstroke-page.mjs";

/** A job that says nothing of press and die yet; the stock stands in until its own is entered. */
const NOTHING = {
  format: "evenstroke-job",
  version: 1,
  title: "New die",
  stock: { thickness_mm: 1, tensile_mpa: 300 },
  die: { kind: "single" },
  stations: [{ name: "Station 1", x_mm: 0, y_mm: 0, strip_position: 1, work: [] }],
};
// Slow hands: to find and tap something, and to find a field and type a number in it.
const TAP_S = 2.5;
const TYPE_S = 5;

test("a die described from nothing is checked within three minutes of taps and typing", async (tools) => {
  const opened = await openServed(tools, { viewport: TABLET, hasTouch: true });
  const evenstroke = new EvenstrokePage(opened);
  const { page } = opened;
  await evenstroke.openFile("nothing.json", NOTHING);
  let seconds = 0;
  const tap = async (locator) => {
    seconds += TAP_S;
    await locator.click();
  };
  const choose = async (locator, label) => {
    seconds += 2 * TAP_S;
    await locator.selectOption({ label });
  };
  const type = async (label, text, within) => {
    seconds += TYPE_S;
    await evenstroke.field(label, within).fill(text);
  };
  const way = (name) => evenstroke.firstSteps.getByRole("button", { name, exact: true });

  await tap(way("Show me"));
  await type("Rated force", "630");
  // What is still to be chosen is asked for, and not called wrong.
  await readsText(evenstroke.verdict, "Still to be entered: press, drive");
  const drive = evenstroke.field("Drive");
  await readsText(evenstroke.cards.locator(".error"), "Drive: to be chosen");
  await choose(drive, "crank or eccentric");
  await type("Stroke", "120");
  await type("Rated force at", "6");
  await type("Connecting rod", "720");
  await type("Speed of this job", "45");
  const energy = evenstroke.group("Flywheel energy");
  await type("Usable per stroke", "6", energy);
  await type("At", "60", energy);
  const moments = evenstroke.group("Off-centre ratings").or(evenstroke.cards);
  await type("Moment, left–right", "52", moments.last());
  await type("Moment, front–back", "25", moments.last());
  const bolster = evenstroke.group("Bolster");
  await type("Left to right", "1250", bolster);
  await type("Front to back", "800", bolster);
  await type("Shut height, greatest", "420");
  await type("Shut height adjustment", "100");

  await tap(way("Next"));
  assert.equal(await evenstroke.cardHead("Stock").getAttribute("aria-expanded"), "true", "the step opens its part");
  await type("Thickness", "4");

  await tap(evenstroke.cardHead("Die"));
  await type("Left to right", "300");
  await type("Front to back", "250");
  await type("Closed height", "375");

  await tap(way("Next"));
  assert.equal(await evenstroke.cardHead("1 station").getAttribute("aria-expanded"), "true");
  await tap(evenstroke.stationHead("Station 1"));
  await tap(page.getByRole("button", { name: "Add work" }));
  // A cut begins deep enough for this stock: half as much again as its 4 mm.
  assert.equal(await evenstroke.field("First touch at").inputValue(), "6");
  await type("Diameter", "30");
  await tap(way("Next"));

  await readsText(evenstroke.verdict, /Within the limits checked|Near a limit|Over a limit/);
  // Shear strength 0.8 of 300 MPa, 4 mm, π·30 mm: 90.5 kN.
  await readsText(evenstroke.limit("Rated force"), /^Rated force.*90\.5 of 630\.0 kN/s);
  assert(seconds < 180, `slow hands would take ${seconds} s`);
  await assertQuiet(opened);
});
