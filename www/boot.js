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

  let served = null;
  const fetchTemplate = async () => {
    const answer = await fetch("evenstroke.html");
    if (!answer.ok) throw new Error(`the server answered ${answer.status} for evenstroke.html`);
    return answer.text();
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

  // Not a <noscript>: previews that cut scripts out do not all count as having none.
  document.getElementById("read-only-note").hidden = true;

  const say = (text) => {
    message.textContent = text;
    message.hidden = false;
  };
  const fail = (reason) => {
    clearTimeout(watchdog);
    root.dataset.evenstroke = "failed";
    say(`Evenstroke cannot start here: ${reason} The set-up sheet on this page can still be read and printed.`);
  };
  const watchdog = setTimeout(() => {
    say("Evenstroke has not started after 5 seconds and is still trying. The set-up sheet on this page can be read meanwhile.");
  }, LONGEST_START_MS);

  // The glue is kept as text: what works beside the page starts from it.
  const unpack = (text) => {
    const { script, module } = unpackProgram(text);
    page.glue = script.slice(0, script.indexOf(END_OF_GLUE));
    const element = document.createElement("script");
    element.textContent = script;
    document.head.append(element);
    return module;
  };

  const fetchModule = async () => {
    const answer = await fetch(document.getElementById("boot").dataset.wasm);
    if (!answer.ok) throw new Error(`the server answered ${answer.status} for the program`);
    return answer.arrayBuffer();
  };

  const start = async () => {
    if (typeof WebAssembly !== "object") {
      return fail("this browser has no WebAssembly, or it is switched off.");
    }
    try {
      const bytes = packed ? unpack(packed.textContent) : fetchModule();
      // In the saved page glue and store came out of the data block with the module.
      if (typeof wasm_bindgen !== "function" || typeof page.prepare !== "function") {
        return fail("a part of the page did not load. Reload the page.");
      }
      // The kept jobs are looked through while the module is on its way.
      const compiled = Promise.resolve(bytes).then((whole) => WebAssembly.compile(whole));
      compiled.catch(() => {});
      await page.prepare();
      page.module = await compiled;
      await wasm_bindgen({ module_or_path: page.module });
    } catch (error) {
      brokeOff(error);
      return fail(`${error instanceof Error ? error.message : error}.`);
    }
    clearTimeout(watchdog);
    message.hidden = true;
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
