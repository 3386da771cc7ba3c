// Starts the tool, in both forms of the page: served, where the module is a file beside it, and
// saved, where it lies in the page, packed together with the glue, in the data block #w.
// Whatever fails here is said in #start-message; the sheet in the static HTML stays readable.
(() => {
  "use strict";
  const LONGEST_START_MS = 5000;
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
  window.evenstroke = {
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
  };

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

  const unpack = (text) => {
    const { script, module } = unpackProgram(text);
    const element = document.createElement("script");
    element.textContent = script;
    document.head.append(element);
    return module;
  };

  const start = async () => {
    if (typeof WebAssembly !== "object") {
      return fail("this browser has no WebAssembly, or it is switched off.");
    }
    try {
      const module = packed
        ? unpack(packed.textContent)
        : fetch(document.getElementById("boot").dataset.wasm);
      if (typeof wasm_bindgen !== "function") {
        return fail("a part of the page did not load. Reload the page.");
      }
      await wasm_bindgen({ module_or_path: module });
    } catch (error) {
      return fail(`${error instanceof Error ? error.message : error}.`);
    }
    clearTimeout(watchdog);
    message.hidden = true;
    root.dataset.evenstroke = "running";
    // Kept from now on, so that saving the page later needs no network.
    window.evenstroke.template().catch(() => {});
  };
  start();
})();
