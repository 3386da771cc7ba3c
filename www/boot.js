// Starts the tool, in both forms of the page: served, where the module is a file beside it, and
// saved, where it lies in the page, packed together with the glue, in the data block #w.
// Whatever fails here is said in #start-message; the sheet in the static HTML stays readable.
(() => {
  "use strict";
  const LONGEST_START_MS = 5000;
  const END_OF_GLUE = "\n// end of glue\n";
  const packed = document.getElementById("w");
  const root = document.documentElement;
  const message = document.getElementById("start-message");

  // Read before the tool changes anything: this is the page as it was written. The text of
  // scripts and styles comes back byte for byte, so their hashes in the policy still hold.
  const pristine = packed ? "<!doctype html>\n" + root.outerHTML + "\n" : null;

  // The bytes of a text as windows-1252 has them (Encoding Standard, WHATWG), in which a saved page
  // is written: a letter of its own for every byte.
  const HIGH =
    "\u20ac\x81\u201a\u0192\u201e\u2026\u2020\u2021\u02c6\u2030\u0160\u2039\u0152\x8d\u017d\x8f" +
    "\x90\u2018\u2019\u201c\u201d\u2022\u2013\u2014\u02dc\u2122\u0161\u203a\u0153\x9d\u017e\u0178";
  const bytesOf = (text) => {
    const bytes = new Uint8Array(text.length);
    for (let at = 0; at < text.length; at += 1) {
      const letter = text.charCodeAt(at);
      const high = letter < 128 || (letter > 159 && letter < 256) ? -1 : HIGH.indexOf(text[at]);
      if (high < 0 && letter > 255) throw new Error(`it holds ${text[at]}, which has no byte`);
      bytes[at] = high < 0 ? letter : 128 + high;
    }
    return bytes;
  };
  const inAscii = (text, other) => text.replace(/[^\0-\x7f]/g, other);
  const inHtml = (text) => inAscii(text.replace(/[^\0-\uffff]/gu, (letter) => `&#${letter.codePointAt(0)};`), (letter) => `&#${letter.charCodeAt(0)};`);
  const inJson = (text) =>
    inAscii(text.replaceAll("<", "\\u003c"), (letter) => `\\u${letter.charCodeAt(0).toString(16).padStart(4, "0")}`);
  const filled = (template, name, content) => {
    const [open, close] = [`<!-- evenstroke:${name} -->`, `<!-- /evenstroke:${name} -->`];
    const [start, end] = [template.indexOf(open) + open.length, template.indexOf(close)];
    if (start < open.length || end < start) throw new Error(`the page has no part for the ${name}`);
    return template.slice(0, start) + content + template.slice(end);
  };

  let served = null;
  const fetchTemplate = async () => {
    const answer = await fetch("evenstroke.html");
    if (!answer.ok) throw new Error(`the server answered ${answer.status} for evenstroke.html`);
    return new TextDecoder("windows-1252").decode(await answer.arrayBuffer());
  };
  const page = (window.evenstroke ??= {});
  Object.assign(page, {
    form: packed ? "saved" : "served",
    // The saved page's text, for writing it out with another job. A failed fetch is tried again.
    template() {
      if (pristine !== null) return Promise.resolve(pristine);
      served ??= fetchTemplate().catch((error) => {
        served = null;
        throw error;
      });
      return served;
    },
    // The whole tool as one file, with this job and its set-up sheet in it.
    async written(job, sheet) {
      const template = filled(await page.template(), "sheet", inHtml(sheet));
      const block = `<script type="application/json" id="job">${inJson(job)}</script>`;
      return new Blob([bytesOf(filled(template, "job", block))], { type: "text/html" });
    },
    // Called by the program when it panics, and below when it breaks off without a word. Nothing
    // works after that, so everything here is plain: the job as a file, the report, a new start.
    stopped(report) {
      const panel = document.getElementById("stopped");
      if (!panel.hidden) return;
      console.error(report);
      root.dataset.evenstroke = "stopped";
      panel.hidden = false;
      document.getElementById("app").inert = true;
      document.getElementById("stopped-report").value = report;
      const save = document.getElementById("stopped-save");
      save.href = URL.createObjectURL(new Blob([page.jobText ?? ""], { type: "application/json" }));
      // A dialog in the top layer would lie over the panel.
      for (const dialog of document.querySelectorAll("dialog[open]")) dialog.close();
      panel.scrollIntoView();
      page.flush();
    },
  });

  const reload = (otherJob) => async () => {
    try {
      if (otherJob) sessionStorage.setItem("evenstroke.start-again", "");
      // Whatever is not kept by then is left for the next page as this one goes.
      await Promise.race([page.flush(), new Promise((done) => setTimeout(done, 1000))]);
    } finally {
      location.reload();
    }
  };
  document.getElementById("stopped-reload").addEventListener("click", reload(false));
  document.getElementById("stopped-other").addEventListener("click", reload(true));
  document.getElementById("stopped-copy").addEventListener("click", async () => {
    const report = document.getElementById("stopped-report");
    report.select();
    try {
      await navigator.clipboard.writeText(report.value);
    } catch {
      // The report is selected, for the hand to copy.
    }
  });
  const brokeOff = (error) => {
    if (typeof WebAssembly === "object" && error instanceof WebAssembly.RuntimeError) {
      page.stopped(`${error.message}\n${error.stack ?? ""}`);
    }
  };
  window.addEventListener("error", (event) => brokeOff(event.error));
  window.addEventListener("unhandledrejection", (event) => brokeOff(event.reason));

  // Not a <noscript>: previews that cut scripts out do not all count as having none. The note keeps
  // its place until the tool takes over, so that what is read meanwhile does not jump.
  const note = document.getElementById("read-only-note");
  note.textContent =
    "Evenstroke is starting. What follows is the set-up sheet of the job, which can be read and printed meanwhile; the tool takes its place in a moment.";

  const say = (text) => {
    message.textContent = text;
    message.hidden = false;
  };
  const fail = (reason) => {
    clearTimeout(watchdog);
    root.dataset.evenstroke = "failed";
    note.hidden = true;
    say(`Evenstroke cannot start here: ${reason} The set-up sheet on this page can still be read and printed.`);
  };
  const watchdog = setTimeout(() => {
    say("Evenstroke has not started after 5 seconds and is still trying. The set-up sheet on this page can be read meanwhile.");
  }, LONGEST_START_MS);

  // The glue is kept as text: what works beside the page starts from it.
  const unpack = (text) => {
    let letters;
    try {
      letters = bytesOf(text);
    } catch {
      throw new Error(`the page was read in the encoding ${document.characterSet}, which is not its own. Open the file from a disk or a stick`);
    }
    const { script, module } = unpackProgram(letters);
    page.glue = script.slice(0, script.indexOf(END_OF_GLUE));
    const element = document.createElement("script");
    element.textContent = script;
    document.head.append(element);
    return module;
  };

  // The sheet comes first: the program, by far the largest part, would share the way with it. A
  // page that is not in view paints nothing to wait for.
  const sheetIsPainted = () =>
    new Promise((done) => {
      requestAnimationFrame(() => setTimeout(done));
      setTimeout(done, 300);
    });

  const fetchModule = async () => {
    await sheetIsPainted();
    const answer = await fetch(document.getElementById("boot").dataset.wasm);
    if (!answer.ok) throw new Error(`the server answered ${answer.status} for the program`);
    // While it arrives, beside the page, and browsers keep what they have compiled; they insist on
    // the media type, which not every server sends.
    const isTyped = answer.headers.get("content-type") === "application/wasm";
    return isTyped ? WebAssembly.compileStreaming(answer) : WebAssembly.compile(await answer.arrayBuffer());
  };

  const start = async () => {
    if (typeof WebAssembly !== "object") {
      return fail("this browser has no WebAssembly, or it is switched off.");
    }
    try {
      const compiled = packed ? WebAssembly.compile(unpack(packed.textContent)) : fetchModule();
      compiled.catch(() => {});
      // In the saved page glue and store came out of the data block with the module.
      if (typeof wasm_bindgen !== "function" || typeof page.prepare !== "function") {
        return fail("a part of the page did not load. Reload the page.");
      }
      // The kept jobs are looked through while the module is on its way.
      await page.prepare();
      page.module = await compiled;
      await wasm_bindgen({ module_or_path: page.module });
    } catch (error) {
      brokeOff(error);
      return fail(`${error instanceof Error ? error.message : error}.`);
    }
    clearTimeout(watchdog);
    message.hidden = true;
    note.hidden = true;
    if (root.dataset.evenstroke === undefined) root.dataset.evenstroke = "running";
    // Kept from now on, so that saving the page later needs no network, nor work beside it.
    page.template().catch(() => {});
    if (!packed) {
      const glue = document.querySelector("script[src]").src;
      page.glue = await fetch(glue).then((answer) => answer.text()).catch(() => undefined);
    }
  };
  start();
})();
