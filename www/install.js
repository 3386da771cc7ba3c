// Keeps the served page in the browser, so that it starts without a network, and tells of a newer
// build. The saved page has no use for this and does not carry it.
//
// All of it is plain and outside the program: a build that does not start must not keep a newer one
// from being taken.
(() => {
  "use strict";
  const page = window.evenstroke;
  const root = document.documentElement;

  // A sentence in the language of the page, which the program knows; where it does not run, as it is.
  const told = (text) => {
    try {
      return wasm_bindgen.told(text);
    } catch {
      return text.replace(/[\u2068\u2069]/g, "");
    }
  };
  const isolated = (text) => `\u2068${text}\u2069`;

  // What the list of jobs says about the page itself, below everything else.
  let words = "";
  let prompt = null;
  const isInstalled = () =>
    matchMedia("(display-mode: standalone)").matches || navigator.standalone === true;
  const button = (text, does) => {
    const made = document.createElement("button");
    made.className = "button";
    made.textContent = told(text);
    made.addEventListener("click", does);
    return made;
  };
  const paragraph = (text) => {
    const made = document.createElement("p");
    made.className = "about";
    made.textContent = told(text);
    return made;
  };
  const show = () => {
    const slot = document.getElementById("install");
    if (slot === null) return;
    const parts = [paragraph(words)];
    if (prompt !== null && !isInstalled()) {
      parts.push(
        button("Install on this device", () => {
          prompt.prompt();
          // The browser takes each offer once.
          prompt = null;
          show();
        }),
      );
    } else if (navigator.standalone === false) {
      // Only one engine knows this field; it offers no prompt.
      parts.push(paragraph("To install it on this device: open the browser’s Share menu and choose “Add to Home Screen”."));
    }
    slot.replaceChildren(...parts);
  };
  const say = (text) => {
    words = text;
    show();
  };
  // Called by the program when the list is opened.
  page.showInstall = show;

  addEventListener("beforeinstallprompt", (event) => {
    event.preventDefault();
    prompt = event;
    show();
  });
  addEventListener("appinstalled", () => {
    prompt = null;
    show();
  });

  if (!("serviceWorker" in navigator)) {
    return say("Starting this page needs the network: this browser keeps no pages, or does so only over https.");
  }

  // ---- A newer build ----------------------------------------------------------------------------

  let notice = null;
  let isLeaving = false;
  const offer = async (registration) => {
    if (notice !== null) return;
    notice = document.createElement("section");
    notice.className = "notice";
    notice.setAttribute("role", "status");
    notice.setAttribute("aria-label", told("Newer version"));
    const text = document.createElement("p");
    const reload = button("Reload", () => take(registration, text, reload));
    const later = button("Later", () => notice.remove());
    notice.append(text, reload, later);
    // Among the other messages, unless the program does not come to show any.
    for (let tries = 0; root.dataset.evenstroke === undefined && tries < 20; tries += 1) {
      await new Promise((done) => setTimeout(done, 300));
    }
    const messages = document.querySelector(".messages");
    if (messages) messages.prepend(notice);
    else document.getElementById("app").before(notice);
    // Put in after the empty notice, so that screen readers hear it.
    text.textContent = told("A newer version is ready: reload. Your work is kept first.");
  };

  let hasWarned = false;
  const take = async (registration, text, reload) => {
    const patience = new Promise((done) => setTimeout(done, 2_000));
    await Promise.race([page.flush?.(), patience]);
    if (page.unkept?.() && !hasWarned) {
      hasWarned = true;
      text.textContent = told("The last change could not be kept in this browser. Save the job as a file before you reload.");
      reload.textContent = told("Reload all the same");
      return;
    }
    isLeaving = true;
    // Where another tab has taken it already, reloading is all there is to do.
    if (registration.waiting === null) return location.reload();
    registration.waiting.postMessage("take over");
    // The reload follows when it has taken over; where no word of that comes, it does no harm.
    setTimeout(() => location.reload(), 3_000);
  };
  navigator.serviceWorker.addEventListener("controllerchange", () => {
    if (isLeaving) location.reload();
  });

  // ---- Keeping this one -------------------------------------------------------------------------

  const buildOf = (worker) =>
    new Promise((done) => {
      const { port1, port2 } = new MessageChannel();
      port1.onmessage = ({ data }) => done(data);
      setTimeout(() => done(null), 5_000);
      worker.postMessage("build", [port2]);
    });
  const sayKept = async (worker) => {
    const answer = await buildOf(worker);
    if (answer?.whole) {
      say(`This page is kept whole in this browser and starts without a network; build ${isolated(answer.build)}.`);
      root.dataset.offline = "ready";
    } else {
      failed(failure || "its storage does not answer");
    }
  };

  let failure = "";
  const failed = (why) => {
    say(`Starting this page needs the network: it could not be kept in this browser, for ${isolated(told(why))}.`);
    root.dataset.offline = "failed";
  };
  navigator.serviceWorker.addEventListener("message", ({ data }) => {
    if (typeof data?.failed === "string") failure = data.failed;
  });
  navigator.serviceWorker.startMessages?.();

  const follow = (registration) => {
    const coming = registration.installing;
    coming?.addEventListener("statechange", () => {
      if (coming.state === "installed" && registration.active) offer(registration);
      if (coming.state === "activated") sayKept(coming);
      if (coming.state === "redundant") {
        // The worker's own word on it may come a moment later.
        setTimeout(() => {
          if (!registration.active) failed(failure || "the browser gave no reason");
          else if (failure) say(`A newer version could not be kept in this browser, for ${isolated(failure)}. The one before it goes on.`);
          root.dataset.newer = "failed";
        }, 200);
      }
    });
  };

  const keep = async () => {
    try {
      // The worker is asked for past the browser's cache, or a newer build would be noticed late.
      const registration = await navigator.serviceWorker.register("service-worker.js", { updateViaCache: "none" });
      if (registration.active) sayKept(registration.active);
      if (registration.waiting && registration.active) offer(registration);
      follow(registration);
      registration.addEventListener("updatefound", () => follow(registration));
    } catch (error) {
      failed(`the browser refused (${isolated(error?.message ?? error)})`);
    }
  };
  say("This page is being kept in this browser, so that it starts without a network.");
  // After the page, with which it would share the way.
  if (document.readyState === "complete") keep();
  else addEventListener("load", keep);
})();
