import assert from "node:assert/strict";
import { mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { test } from "../harness/test.mjs";
import { assertQuiet, openSaved, openServed, savedFile } from "../harness/open.mjs";
import { axe, readsText } from "../harness/act.mjs";
import { demoJob } from "../harness/jobs.mjs";
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
  await context.addInitScript(() => delete window.WebAssembly);
  const opened = await openSaved({ ...tools, browser: { newContext: async () => context } });
  const evenstroke = new EvenstrokePage(opened);
  assert.match(await evenstroke.startMessage.innerText(), /no WebAssembly/);
  assert(await evenstroke.staticSheet.isVisible(), "the sheet stays readable");
});

test("a page saved from either form, and again from that page, opens with its job", async (tools) => {
  const folder = await mkdtemp(join(tmpdir(), "evenstroke-"));
  tools.afterwards(() => rm(folder, { recursive: true }));
  const job = { ...(await demoJob("progressive")), title: "Bügel </script><!-- 中 🔧" };
  for (const open of [openServed, openSaved]) {
    let opened = await open(tools);
    let evenstroke = new EvenstrokePage(opened);
    await evenstroke.openFile("odd.json", job);
    for (const round of [1, 2]) {
      await readsText(evenstroke.title, /^Bügel <\/script><!-- 中 🔧$/);
      const { name, text } = await evenstroke.savedPage();
      assert.match(name, /^bügel-script-中-🔧-\d{4}-\d\d-\d\d\.html$/);
      await evenstroke.keptReads(/handed to a file/);
      assert(!/[^\0-\x7f]/.test(text.replace(/id="w">[^<]*/, "")), "all but the program is ASCII");
      const file = join(folder, `round-${round}.html`);
      await writeFile(file, text, "latin1");
      await assertQuiet(opened);
      opened = await openSaved(tools, {}, file);
      evenstroke = new EvenstrokePage(opened);
      await evenstroke.verdict.waitFor();
      assert.match(await opened.page.locator("#static-sheet h1").textContent(), /Bügel <\/script><!-- 中 🔧/);
    }
    await assertQuiet(opened);
  }
});

test("a saved page that was read in another encoding says so and shows its sheet", async (tools) => {
  const { page } = await openServed(tools);
  const body = await readFile(savedFile, "latin1");
  await page.route("**/foreign.html", (route) =>
    route.fulfill({ contentType: "text/html; charset=utf-8", body: Buffer.from(body, "latin1") }));
  await page.goto(new URL("foreign.html", page.url()).href);
  await readsText(page.locator("#start-message:visible"), /read in the encoding UTF-8/);
  assert(await page.locator("#static-sheet h1").isVisible());
});

test("a damaged saved page says that it is, and shows its sheet", async (tools) => {
  const folder = await mkdtemp(join(tmpdir(), "evenstroke-"));
  tools.afterwards(() => rm(folder, { recursive: true }));
  const context = await tools.browser.newContext({ offline: true });
  tools.afterwards(() => context.close());

  const whole = await readFile(savedFile, "latin1");
  const block = whole.indexOf('id="w">') + 'id="w">'.length;
  const program = whole.indexOf("</script>", block);
  const middle = Math.round((block + program) / 2);
  const other = whole[middle] === "a" ? "b" : "a";
  const cases = {
    "a letter of the program changed": [whole.slice(0, middle) + other + whole.slice(middle + 1), /is damaged/],
    "a part of the program lost": [whole.slice(0, middle - 999) + whole.slice(middle), /is damaged/],
    "the program lost": [whole.slice(0, block) + whole.slice(program), /is damaged/],
    "cut in the program": [whole.slice(0, middle), /is cut short/],
    "cut after the program": [whole.slice(0, program + 100), /is cut short/],
    "cut before its end": [whole.slice(0, whole.lastIndexOf("</script>") - 1), /is cut short/],
    "cut in the sheet": [whole.slice(0, whole.indexOf("<svg")), /is cut short/],
  };
  for (const [name, [text, says]] of Object.entries(cases)) {
    const file = join(folder, `${name}.html`);
    await writeFile(file, text, "latin1");
    const page = await context.newPage();
    await page.goto(pathToFileURL(file).href);
    await readsText(page.locator("#start-message:visible"), says);
    await readsText(page.locator("#start-message"), "Copy it again from where it came from.");
    assert(await page.locator("#static-sheet h1").isVisible(), `${name}: the sheet stays readable`);
    assert(await page.locator("#read-only-note").isHidden(), `${name}: scripts run`);
    await page.close();
  }
});
