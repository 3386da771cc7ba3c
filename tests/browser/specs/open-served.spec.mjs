import assert from "node:assert/strict";
import { test } from "../harness/test.mjs";
import { PHONE, assertQuiet, openServed } from "../harness/open.mjs";
import { axe, noHorizontalScroll } from "../harness/act.mjs";
import { EvenstrokePage } from "../pages/evenstroke-page.mjs";

test("the served page starts and asks the network for nothing more", async (tools) => {
  const opened = await openServed(tools);
  const evenstroke = new EvenstrokePage(opened);
  await evenstroke.verdict.waitFor();
  assert.equal(await evenstroke.form(), "served");
  assert(await evenstroke.staticSheet.isHidden(), "the static sheet gives way to the tool");
  assert(await evenstroke.startMessage.isHidden(), "a good start needs no message");
  await axe(opened.page);
  await assertQuiet(opened);
});

test("the served page fits a phone", async (tools) => {
  const opened = await openServed(tools, { viewport: PHONE });
  await new EvenstrokePage(opened).verdict.waitFor();
  await noHorizontalScroll(opened.page);
  await assertQuiet(opened);
});
