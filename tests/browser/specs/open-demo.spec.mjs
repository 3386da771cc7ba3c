import assert from "node:assert/strict";
import { test } from "../harness/test.mjs";
import { assertQuiet, openServed } from "../harness/open.mjs";
import { readsText } from "../harness/act.mjs";
import { DEMO, EvenstrokePage } from "../pages/evenstroke-page.mjs";

const DEMOS = [
  ["progressive", "Near a limit", "Off-centre, left–right", /^near 0\.\d\d$/],
  ["compound", "Within the limits checked", null, /^within 0\.\d\d$/],
  ["combination", "Over a limit", "Force at height", /^over 1\.\d\d$/],
];

for (const [key, verdict, worst, tag] of DEMOS) {
  test(`the ${key} demo opens and reads "${verdict}"`, async (tools) => {
    const opened = await openServed(tools);
    const evenstroke = new EvenstrokePage(opened);
    // The page starts with the first demo; another one before it makes opening it a change.
    if (key === "progressive") await evenstroke.openDemo(DEMO.compound);
    await evenstroke.openDemo(DEMO[key]);

    await evenstroke.verdictReads(verdict);
    const first = evenstroke.limits.getByRole("listitem").first();
    const [name, state, , demand] = await first.getByRole("button").locator("> span").allTextContents();
    assert.match(state, tag);
    if (worst !== null) assert.equal(name, worst);
    const share = state.split(" ").at(-1);
    await evenstroke.verdictReads(`${name} ${share}: ${demand}.`);
    await assertQuiet(opened);
  });
}

test("a demo that was opened goes away with one undo", async (tools) => {
  const opened = await openServed(tools);
  const evenstroke = new EvenstrokePage(opened);
  await evenstroke.openDemo(DEMO.combination);
  await readsText(evenstroke.title, "Lantern cap");
  await evenstroke.undo.click();
  await readsText(evenstroke.title, "Gate-latch plate");
  assert(await evenstroke.undo.isDisabled(), "opening a job is one step");
  await assertQuiet(opened);
});
