// Work beside the page: the same program, started once more in a worker for one task and gone when
// that is done, so that the page goes on meanwhile. Classic workers from text start in every
// browser also from a disk.
(() => {
  "use strict";
  const page = (window.evenstroke ??= {});

  // Runs in the worker, after the glue. Kept free of anything outside it.
  const inWorker = () => {
    self.onmessage = async ({ data: { module, task, input } }) => {
      const tell = (words, share) => self.postMessage({ words, share });
      try {
        await wasm_bindgen({ module_or_path: module });
        self.postMessage({ result: wasm_bindgen.work(task, input, tell) });
      } catch (error) {
        self.postMessage({ error: String(error?.message ?? error) });
      }
    };
  };

  // A page without workers does the task itself. Nothing stops it once it has begun.
  const here = (task, input, hears) => {
    let timer;
    const done = new Promise((resolve) => {
      timer = setTimeout(resolve, 50);
    }).then(() => wasm_bindgen.work(task, input, hears));
    return { done, stop: () => clearTimeout(timer) };
  };

  let address = null;

  // Begins a task. `hears` is told in words how far it has come, with the share that is done. `done`
  // gives its result or why there is none, and stays pending for ever once it was stopped.
  page.beside = (task, input, hears) => {
    let worker;
    try {
      address ??= URL.createObjectURL(
        new Blob([`${page.glue}\n(${inWorker})();\n`], { type: "text/javascript" }),
      );
      worker = new Worker(address);
    } catch {
      return here(task, input, hears);
    }
    let stop = () => worker.terminate();
    const done = new Promise((resolve, reject) => {
      worker.onmessage = ({ data }) => {
        if ("words" in data) return hears(data.words, data.share);
        worker.terminate();
        if ("error" in data) reject(data.error);
        else resolve(data.result);
      };
      // The worker never began: its script was refused.
      worker.onerror = (event) => {
        event.preventDefault();
        worker.terminate();
        const own = here(task, input, hears);
        stop = own.stop;
        resolve(own.done);
      };
      worker.postMessage({ module: page.module, task, input });
    });
    return { done, stop: () => stop() };
  };
})();
