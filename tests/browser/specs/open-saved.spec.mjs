import assert from "node:assert/strict";
import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { test } from "../harness/test.mjs";
import { assertQuiet, openSaved, openServed } from "../harness/open.mjs";
import { axe } from "../harness/act.mjs";
import { EvenstrokePage } from "../pages/evenstroke-page.mjs";

test("the saved page starts from the disk with the network cut", async (tools) => {
  const opened = await openSaved(tools);
  const evenstroke = new EvenstrokePage(opened);
  await evenstroke.verdict.waitFor();
  assert.equal(await evenstroke.form(), "saved");
  assert(await evenstroke.staticSheet.isHidden(), "the static sheet gives way to the tool");
  assert(await evenstroke.startMessage.isHidden(), "a good start needs no message");
  assert(await evenstroke.readOnlyNote.isHidden(), "scripts run");
  await axe(opened.page);
  await assertQuiet(opened);
});

test("the saved page shows the set-up sheet where scripts do not run", async (tools) => {
  const { page, watch } = await openSaved(tools, { javaScriptEnabled: false });
  await page.locator("#static-sheet").getByRole("heading").first().waitFor();
  assert(await page.getByText("Scripts have not run here").isVisible());
  assert.deepEqual(watch.errors, []);
});

test("the saved page says why it cannot start", async (tools) => {
  const { browser } = tools;
  const context = await browser.newContext({ offline: true });
  tools.afterwards(() => context.close());
  await context.addInitScript(() => delete window.DecompressionStream);
  const opened = await openSaved({ ...tools, browser: { newContext: async () => context } });
  const evenstroke = new EvenstrokePage(opened);
  assert.match(await evenstroke.startMessage.innerText(), /no DecompressionStream/);
  assert(await evenstroke.staticSheet.isVisible(), "the sheet stays readable");
});

test("a page written out from either form's template starts again", async (tools) => {
  const folder = await mkdtemp(join(tmpdir(), "evenstroke-"));
  tools.afterwards(() => rm(folder, { recursive: true }));
  for (const [name, open] of [["served", openServed], ["saved", openSaved]]) {
    const { page } = await open(tools);
    const file = join(folder, `${name}.html`);
    await writeFile(file, await page.evaluate(() => window.evenstroke.template()));
    const again = await openSaved(tools, {}, file);
    await new EvenstrokePage(again).verdict.waitFor();
    await assertQuiet(again);
  }
});
