// Keeps one build of the page whole in the browser, so that it starts without a network.
//
// `cargo xtask page` fills in the build and its files, each with its hash. A build is taken in only
// if every file of it arrived as it was built; until then, and until the user asks for it, the
// build before it goes on working.
"use strict";

const BUILD = "";
const FILES = {};

// Another copy of the page on the same server keeps its own.
const FAMILY = `evenstroke ${self.registration.scope} `;
const CACHE = FAMILY + BUILD;
const addressOf = (name) => new URL(name, self.registration.scope).href;

const tellPages = async (message) => {
  for (const client of await self.clients.matchAll({ includeUncontrolled: true, type: "window" })) {
    client.postMessage(message);
  }
};

const takeIn = async () => {
  try {
    const cache = await caches.open(CACHE);
    await Promise.all(
      Object.entries(FILES).map(async ([name, integrity]) => {
        // Past the browser's own cache, which may hold a file of another build by that name.
        const answer = await fetch(addressOf(name), { cache: "no-cache", integrity });
        if (!answer.ok) throw new Error(`the server answered ${answer.status} for ${name}`);
        // What came by way of another address would not be taken as the answer to opening the page.
        const plain = answer.redirected ? new Response(await answer.blob(), { headers: answer.headers }) : answer;
        await cache.put(addressOf(name), plain);
      }),
    );
  } catch (error) {
    await caches.delete(CACHE).catch(() => {});
    const full = error?.name === "QuotaExceededError";
    await tellPages({ failed: full ? "the browser’s storage is full" : "not all of it arrived whole" });
    throw error;
  }
};

const forgetOlder = async () => {
  for (const name of await caches.keys()) {
    if (name.startsWith(FAMILY) && name !== CACHE) await caches.delete(name);
  }
};

// Whether all of it is here; what a browser has thrown away is fetched again.
const isWhole = async () => {
  const kept = await (await caches.open(CACHE)).keys();
  if (kept.length >= Object.keys(FILES).length) return true;
  return takeIn().then(() => true, () => false);
};

const answer = async (request, address) => {
  const kept = await (await caches.open(CACHE)).match(address);
  return kept ?? fetch(request);
};

self.addEventListener("install", (event) => event.waitUntil(takeIn()));
// The page that is open is taken on as well: a build that nobody uses would not be waited for.
self.addEventListener("activate", (event) => event.waitUntil(forgetOlder().then(() => self.clients.claim())));
self.addEventListener("message", (event) => {
  const { data, ports: [port] } = event;
  if (data === "build") event.waitUntil(isWhole().then((whole) => port?.postMessage({ build: BUILD, whole })));
  // Said by the page when its user wants the newer build.
  if (data === "take over") self.skipWaiting();
});
self.addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  const page = origin + pathname;
  const address = page === addressOf("index.html") ? addressOf("./") : page;
  const isOurs = Object.keys(FILES).some((name) => addressOf(name) === address);
  if (request.method === "GET" && isOurs) event.respondWith(answer(request, address));
});
