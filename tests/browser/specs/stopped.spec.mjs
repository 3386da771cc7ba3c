import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { test } from "../harness/test.mjs";
import { openSaved, openServed, reload } from "../harness/open.mjs";
import { axe, readsText } from "../harness/act.mjs";
import { EvenstrokePage } from "../pages/evenstroke-page.mjs";

/** Makes the program panic: the browser gives it no elements any more, on which it relies. */
const breakTheBrowser = () => {
  const refuse = () => {
    throw new Error("no more elements");
  };
  Document.prototype.createElement = refuse;
  Document.prototype.createElementNS = refuse;
  Node.prototype.cloneNode = refuse;
};

for (const [form, open] of [["served", openServed], ["saved", openSaved]]) {
  test(`when the program stops, the ${form} page still hands out the job and the report`, async (tools) => {
    const opened = await open(tools);
    const { page } = opened;
    const evenstroke = new EvenstrokePage(opened);
    await evenstroke.openCard("Press 12");
    await evenstroke.changeRatedForce(500);
    await page.evaluate(breakTheBrowser);
    await evenstroke.cardHead("Stock").click();

    await readsText(evenstroke.stopped, "Evenstroke has stopped");
    const report = evenstroke.stopped.getByRole("textbox", { name: "Report of the fault" });
    assert.match(await report.inputValue(), /panicked at .*no more elements/s);
    const [download] = await Promise.all([
      page.waitForEvent("download"),
      evenstroke.stopped.getByRole("link", { name: "Save the job as a file" }).click(),
    ]);
    const job = JSON.parse(await readFile(await download.path(), "utf8"));
    assert.equal(job.press.rated_force_kn, 500);
    assert.deepEqual(await page.evaluate(() => window.policyViolations), []);

    await evenstroke.stopped.getByRole("button", { name: "Copy the report" }).click();
    const chosen = await report.evaluate((field) => field.value.slice(field.selectionStart, field.selectionEnd));
    assert.equal(chosen, await report.inputValue(), "the report is selected for copying by hand");

    opened.watch.loaded = false;
    await evenstroke.stopped.getByRole("button", { name: "Reload with this job" }).click();
    await readsText(evenstroke.limit("Rated force"), "of 500.0 kN");
    assert(await evenstroke.stopped.isHidden());
  });
}

test("a program that a job stops at once can be started with another", async (tools) => {
  const opened = await openServed(tools);
  const { page } = opened;
  const evenstroke = new EvenstrokePage(opened);
  await evenstroke.openCard("Press 12");
  await evenstroke.changeRatedForce(500);
  await evenstroke.keptReads(/kept in this browser/);
  await page.evaluate(breakTheBrowser);
  await evenstroke.cardHead("Stock").click();
  await evenstroke.stopped.waitFor();
  await evenstroke.stopped.getByRole("button", { name: "Reload with another job" }).click();
  await readsText(evenstroke.limit("Rated force"), "of 630.0 kN");
  await evenstroke.keptReads(/as opened/);
  await reload(opened);
  await readsText(evenstroke.limit("Rated force"), "of 500.0 kN");
});

test("a fault that leaves no report of its own shows the panel too, accessibly", async (tools) => {
  const opened = await openServed(tools);
  const evenstroke = new EvenstrokePage(opened);
  await opened.page.evaluate(() => {
    setTimeout(() => {
      throw new WebAssembly.RuntimeError("memory access out of bounds");
    });
  });
  await readsText(evenstroke.stopped, "Evenstroke has stopped");
  const report = evenstroke.stopped.getByRole("textbox", { name: "Report of the fault" });
  assert.match(await report.inputValue(), /memory access out of bounds/);
  await axe(opened.page);
});
