// Keeps the jobs in this browser, so that no work is lost.
//
// The page tells of every change by evenstroke.changed(); this script writes it to IndexedDB, reads
// it back, compares, and says by the listener how far that has got. The page knows an open job by a
// number, its handle; which kept job it is, and at which revision, is known here alone.
//
// What is read from the store is treated as foreign: in some browsers every page on the disk shares
// it. Records that make no sense are set aside, never thrown away.
(() => {
  "use strict";
  const DATABASE = "evenstroke";
  const LAYOUT = 1;
  // With the write itself this stays below the 300 ms after which an edit has to be kept.
  const PAUSE_MS = 100;
  const RETRY_MS = 10_000;
  // No call of the store is waited for longer: some browsers leave one pending for ever.
  const PATIENCE_MS = 5_000;
  const START_PATIENCE_MS = 4_000;
  // The newest revisions of a job are all kept; of older ones, those that lie far apart in time.
  const NEWEST = 10;
  const FEWEST = 25;
  const MOST = 40;
  const DELETED_MS = 7 * 24 * 3_600_000;
  const MOST_MARKS = 50;
  const LIBRARY = "evenstroke-library";
  // In characters before they are indented once more; the page reads files up to 20 MB.
  const LONGEST_LIBRARY = 13_000_000;
  const PARTING = "evenstroke.parting.";
  const OPEN_HERE = "evenstroke.open";
  // Presses of the shop are notes whose keys begin so.
  const PRESS = "press:";

  const page = (window.evenstroke ??= {});
  const now = () => Date.now();
  const newId = () =>
    [...crypto.getRandomValues(new Uint8Array(12))].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  const tab = newId();
  const began = now();

  // ---- Jobs as text ---------------------------------------------------------------------------

  const parsed = (text) => {
    try {
      const value = JSON.parse(text);
      return typeof value === "object" && !Array.isArray(value) ? value : null;
    } catch {
      return null;
    }
  };
  const written = (job) => JSON.stringify(job, null, 2);
  // Tells whether two texts hold the same job, however they are laid out.
  const fingerprint = (text) => {
    const job = parsed(text);
    const letters = job === null ? text : JSON.stringify(job);
    let [a, b] = [0x811c9dc5, 0x9e3779b9];
    for (let index = 0; index < letters.length; index += 1) {
      const code = letters.charCodeAt(index);
      a = Math.imul(a ^ code, 0x01000193);
      b = Math.imul(b ^ code, 0x85ebca6b) ^ (b >>> 15);
    }
    return `${letters.length}-${(a >>> 0).toString(16)}-${(b >>> 0).toString(16)}`;
  };
  const words = (value) => (typeof value === "string" ? value : "");
  const retitled = (text, ending) => {
    const job = parsed(text);
    if (job === null) return text;
    job.title = `${words(job.title)}${ending}`;
    return written(job);
  };
  const titleOf = (text) => words(parsed(text)?.title) || "Untitled job";
  const shown = (value) => (value === undefined ? "nothing" : (JSON.stringify(value) ?? String(value)).slice(0, 60));
  const when = (time) => new Date(time).toLocaleString(undefined, { dateStyle: "medium", timeStyle: "medium" });

  // ---- The database ---------------------------------------------------------------------------

  const within = (promise, limit = PATIENCE_MS) => {
    let timer;
    const late = new Promise((_, fail) => {
      timer = setTimeout(() => fail(new Error("the browser’s storage does not answer")), limit);
    });
    return Promise.race([promise, late]).finally(() => clearTimeout(timer));
  };
  const asked = (request) =>
    new Promise((done, fail) => {
      request.onsuccess = () => done(request.result);
      request.onerror = () => fail(request.error);
    });

  let connection = null;
  const connect = () => {
    if (connection !== null) return connection;
    const opening = new Promise((done, fail) => {
      if (!window.indexedDB) throw new DOMException("there is none", "SecurityError");
      const request = indexedDB.open(DATABASE, LAYOUT);
      request.onupgradeneeded = () => {
        const database = request.result;
        database.createObjectStore("jobs", { keyPath: "id" });
        database.createObjectStore("revisions", { keyPath: ["id", "revision"] });
        database.createObjectStore("notes", { keyPath: "key" });
        database.createObjectStore("aside", { autoIncrement: true });
      };
      request.onsuccess = () => {
        const database = request.result;
        const gone = () => {
          database.close();
          if (connection === opening) connection = null;
        };
        database.onclose = gone;
        database.onversionchange = gone;
        done(database);
      };
      request.onerror = () => fail(request.error);
      request.onblocked = () => fail(new Error("another tab holds the browser’s storage in an older form"));
    });
    connection = opening;
    opening.catch(() => {
      if (connection === opening) connection = null;
    });
    return opening;
  };

  const run = (database, mode, body) =>
    new Promise((done, fail) => {
      const names = ["jobs", "revisions", "notes", "aside"];
      // Strict: the browser answers when the disk has the data, not only when it is on its way.
      const transaction = database.transaction(names, mode, { durability: "strict" });
      const stores = Object.fromEntries(names.map((name) => [name, transaction.objectStore(name)]));
      let result;
      transaction.oncomplete = () => done(result);
      transaction.onabort = () => fail(transaction.error ?? new Error("the browser’s storage broke off"));
      body(stores).then(
        (value) => {
          result = value;
        },
        (error) => {
          fail(error);
          try {
            transaction.abort();
          } catch {
            // It has ended already, which is what was wanted.
          }
        },
      );
    });

  // Runs `body` in a transaction. A connection that the browser has dropped is opened again, once.
  const transact = async (mode, body) => {
    for (let tries = 1; ; tries += 1) {
      const database = await within(connect());
      try {
        return await within(run(database, mode, body));
      } catch (error) {
        if (tries > 1 || error?.name !== "InvalidStateError") throw error;
        connection = null;
      }
    }
  };

  const reason = (error) => {
    switch (error?.name) {
      case "QuotaExceededError":
        return "the browser’s storage is full";
      case "VersionError":
        return "a later version of Evenstroke keeps its jobs here";
      case "SecurityError":
      case "InvalidStateError":
        return "the browser gives this page no storage";
      default:
        return error?.message || String(error);
    }
  };

  // ---- Records --------------------------------------------------------------------------------

  const everythingOf = (id) => IDBKeyRange.bound([id, 0], [id, Infinity]);
  const isTime = (value) => Number.isFinite(value) && Math.abs(value) < 8.64e15;
  const isList = (value) => Array.isArray(value) && value.every((one) => typeof one === "string");
  const isJob = (record) =>
    typeof record?.id === "string" &&
    Number.isSafeInteger(record.revision) &&
    isTime(record.changed) &&
    typeof record.by === "string" &&
    typeof record.title === "string" &&
    typeof record.press === "string" &&
    typeof record.fingerprint === "string" &&
    isList(record.origins) &&
    isList(record.handed) &&
    (record.deleted === undefined || isTime(record.deleted));
  const isRevision = (record) => isTime(record?.time) && parsed(record.text) !== null;

  // `by` is the tab that wrote the revision; `origins` and `handed` tell the contents with which the
  // job came in and went out.
  const jobRecord = (id, revision, changed, by, text, origins, handed) => ({
    id,
    revision,
    changed,
    by,
    title: titleOf(text),
    press: words(parsed(text)?.press?.name),
    fingerprint: fingerprint(text),
    origins: origins.slice(-MOST_MARKS),
    handed: handed.slice(-MOST_MARKS),
  });

  // Takes a damaged record out of the way, and names it.
  const setAside = (stores, store, record) => {
    const key = store === "jobs" ? record.id : [record.id, record.revision];
    stores.aside.put({ store, record, time: now() });
    stores[store].delete(key);
    const title = words(record.title) || titleOf(record.text);
    return store === "jobs" ? `${title} (${key})` : `${title}, revision ${record.revision} (${record.id})`;
  };

  // The good revisions of a job, oldest first; bad ones are set aside.
  const goodRevisions = async (stores, id, named) => {
    const good = [];
    for (const record of await asked(stores.revisions.getAll(everythingOf(id)))) {
      if (isRevision(record)) good.push(record);
      else named.push(setAside(stores, "revisions", record));
    }
    return good;
  };

  // Goes over all jobs. What is damaged is set aside and, where its revisions are good, made anew.
  const mend = async (stores, named) => {
    const known = new Set();
    for (const record of await asked(stores.jobs.getAll())) {
      if (!isJob(record)) {
        named.push(setAside(stores, "jobs", record));
      } else if (now() - record.deleted > DELETED_MS) {
        stores.jobs.delete(record.id);
        stores.revisions.delete(everythingOf(record.id));
      } else {
        known.add(record.id);
      }
    }
    const orphans = new Set();
    for (const [id] of await asked(stores.revisions.getAllKeys())) {
      if (typeof id === "string" && !known.has(id)) orphans.add(id);
    }
    for (const id of orphans) {
      const newest = (await goodRevisions(stores, id, named)).at(-1);
      if (newest) stores.jobs.put(jobRecord(id, newest.revision, newest.time, "", newest.text, [], []));
    }
  };

  const goodJobs = async (stores) => (await asked(stores.jobs.getAll())).filter(isJob);

  // Thins out the older revisions: of two that lie closest in time the earlier one goes.
  const thin = async (stores, id) => {
    const all = await asked(stores.revisions.getAll(everythingOf(id)));
    const gap = (index) => all[index + 1].time - all[index].time;
    while (all.length > FEWEST) {
      let least = 0;
      for (let index = 1; index < all.length - NEWEST; index += 1) {
        if (gap(index) < gap(least)) least = index;
      }
      stores.revisions.delete([id, all[least].revision]);
      all.splice(least, 1);
    }
  };

  // Keeps `text` as the next revision of job `id`, which was at revision `base` when tab `by` saw it
  // last. If another tab has changed it meanwhile, both are kept, this one as another job.
  const keepRevision = async ({ id, base, by, text, origin, handed: handedHere }) => {
    const mark = fingerprint(text);
    const kept = await transact("readwrite", async (stores) => {
      let record = await asked(stores.jobs.get(id));
      if (record !== undefined && !isJob(record)) {
        noteDamaged([setAside(stores, "jobs", record)]);
        record = undefined;
      }
      let origins = record?.origins ?? (origin === null ? [] : [origin]);
      let handed = [...(record?.handed ?? []), ...handedHere];
      let content = text;
      let second = false;
      if (record !== undefined && record.revision !== base && record.by !== by) {
        if (record.fingerprint === mark) return { ...record, fresh: false };
        [id, content, second] = [newId(), retitled(text, " (second tab)"), true];
        [record, origins, handed] = [undefined, [], []];
      } else if (record === undefined && base === 0) {
        // The very same job may be kept already, from when it was opened before.
        const twin = (await goodJobs(stores)).find((one) => one.fingerprint === mark && !one.deleted);
        if (twin) {
          stores.notes.put({ key: "open", id: twin.id });
          return { ...twin, fresh: false };
        }
      }
      const keys = await asked(stores.revisions.getAllKeys(everythingOf(id)));
      const revision = Math.max(second ? 0 : base, ...keys.map(([, number]) => Math.floor(number))) + 1;
      const next = jobRecord(id, revision, now(), by, content, origins, [...new Set(handed)]);
      await asked(stores.revisions.add({ id, revision, time: next.changed, text: content }));
      await asked(stores.jobs.put(next));
      await asked(stores.notes.put({ key: "open", id }));
      if (keys.length >= MOST) await thin(stores, id);
      return { ...next, fresh: true, second, content };
    });
    const back = await transact("readonly", (stores) => asked(stores.revisions.get([kept.id, kept.revision])));
    const same = kept.fresh ? back?.text === kept.content : fingerprint(words(back?.text)) === kept.fingerprint;
    if (!same) throw new Error("the browser’s storage gave back something else than it was given");
    return kept;
  };

  // ---- The jobs open in this tab --------------------------------------------------------------

  // handle → { id, origin, untouched, handed }: `origin` tells the content it was opened with.
  const open = new Map();
  // id → { revision, fingerprint, handed } as last seen in the store.
  const seen = new Map();
  // handle → text that is not kept yet.
  const pending = new Map();
  let current = null;
  let failure = null;
  let timer = null;
  let due = Infinity;
  let queue = Promise.resolve();
  let remembered = null;

  // The page's listener; what is said before it listens waits.
  let listener = null;
  const unheard = [];
  const tell = (...message) => {
    if (listener === null) {
      unheard.push(message);
      return;
    }
    try {
      listener(...message);
    } catch {
      // The program has stopped, and says so itself. Keeping goes on without it.
      listener = () => {};
    }
  };
  // What there is to tell beside the state, until it is closed: { text, offer }, where `offer` is a
  // kept job that can be opened in answer, or "".
  let notices = [];
  // Marks what stands in a sentence as not of it: the program tells the sentence in the language of the
  // page, finds it by the rest and takes the marks out.
  const isolated = (text) => `\u2068${text}\u2069`;
  const tellNotice = (text, offer = "") => {
    if (notices.some((one) => one.text === text && one.offer === offer)) return;
    notices.push({ text, offer });
    tell("notices", JSON.stringify(notices));
  };
  const noteDamaged = (named) => {
    if (named.length > 0) {
      tellNotice(`Kept records that could not be read were set aside: ${isolated(named.join("; "))}. Everything else is unharmed.`);
    }
  };

  const note = (record) => {
    seen.set(record.id, { revision: record.revision, fingerprint: record.fingerprint, handed: new Set(record.handed) });
  };
  const newHandle = (id, origin, untouched) => {
    const handle = open.size + 1;
    open.set(handle, { id, origin, untouched, handed: new Set() });
    return handle;
  };

  const isKept = (job, mark) => {
    const record = seen.get(job.id);
    return record === undefined ? job.untouched && mark === job.origin : record.fingerprint === mark;
  };

  // Says how the job in view is kept.
  const settle = () => {
    if (current === null) return;
    const job = open.get(current.handle);
    const mark = fingerprint(current.text);
    const record = seen.get(job.id);
    if (job.handed.has(mark) || record?.handed.has(mark)) tell("handed", "");
    else if (failure !== null) tell("not-kept", failure);
    else if (pending.has(current.handle)) tell("edited", "");
    else tell(record === undefined ? "as-opened" : "kept", "");
  };

  // Which job this tab had open, for when the same page is loaded again.
  const address = () => location.href.split("#")[0];
  const remember = (id) => {
    if (remembered === id) return;
    remembered = id;
    try {
      sessionStorage.setItem(OPEN_HERE, JSON.stringify({ id, page: address() }));
    } catch {
      // Then the job opened last is found by the note in the database.
    }
    transact("readwrite", (stores) => asked(stores.notes.put({ key: "open", id }))).catch(() => {});
  };

  const channel = (() => {
    try {
      const channel = new BroadcastChannel("evenstroke");
      channel.onmessage = ({ data }) => {
        const record = current && seen.get(open.get(current.handle).id);
        if (record && data?.id === open.get(current.handle).id && data.revision > record.revision) {
          tellNotice("This job was changed in another tab. What you change here is kept as a second copy.", data.id);
        }
      };
      return channel;
    } catch {
      return null;
    }
  })();

  // Asked once, after something was really kept; refused or unanswered, all goes on as before.
  let askedToPersist = false;
  const askToPersist = () => {
    if (askedToPersist) return;
    askedToPersist = true;
    try {
      navigator.storage?.persist?.()?.catch?.(() => {});
    } catch {
      // Keeping works without.
    }
  };

  const keepOne = async (handle, text) => {
    const job = open.get(handle);
    if (isKept(job, fingerprint(text))) return;
    const base = seen.get(job.id)?.revision ?? 0;
    const kept = await keepRevision({ id: job.id, base, by: tab, text, origin: job.origin, handed: [...job.handed] });
    job.id = kept.id;
    note(kept);
    if (handle === current?.handle) remember(kept.id);
    if (kept.second) {
      tell("second", kept.title);
      const title = isolated(kept.title);
      tellNotice(`This job was changed in another tab. Both are kept: the other as it is, this one as “${title}”.`);
    }
    if (kept.fresh) channel?.postMessage({ id: kept.id, revision: kept.revision });
    askToPersist();
  };

  const keepAll = async () => {
    try {
      for (const [handle, text] of [...pending]) {
        await keepOne(handle, text);
        failure = null;
        if (pending.get(handle) === text) pending.delete(handle);
      }
      if (pending.size === 0) forgetParting();
    } catch (error) {
      failure = reason(error);
      schedule(RETRY_MS);
    }
    settle();
  };
  const schedule = (delay) => {
    const at = now() + delay;
    if (at >= due) return;
    clearTimeout(timer);
    due = at;
    timer = setTimeout(flush, delay);
  };
  const flush = () => {
    clearTimeout(timer);
    due = Infinity;
    queue = queue.then(keepAll);
    return queue;
  };

  // ---- Parting --------------------------------------------------------------------------------

  // A page that goes away may not see its transaction through. What is not kept by then is written
  // where writing takes no waiting, and taken into the database when the page opens next.
  const partingKey = PARTING + tab;
  let hasParted = false;
  // What an earlier page left and could not be taken in: it is open here again.
  let inherited = null;
  const part = () => {
    if (pending.size === 0) return;
    const left = [...pending].map(([handle, text]) => {
      const { id, origin } = open.get(handle);
      return { id, base: seen.get(id)?.revision ?? 0, origin, text, page: address(), time: now() };
    });
    try {
      localStorage.setItem(partingKey, JSON.stringify(left));
      hasParted = true;
      if (inherited !== null) localStorage.removeItem(inherited);
    } catch {
      // The transaction that starts now is then all there is.
    }
    remember(open.get(current.handle).id);
    flush();
  };
  const forgetParting = () => {
    if (!hasParted) return;
    hasParted = false;
    try {
      localStorage.removeItem(partingKey);
    } catch {
      // Where it cannot be removed it could not be written.
    }
  };
  const isParting = (one) =>
    typeof one?.id === "string" &&
    Number.isSafeInteger(one.base) &&
    (one.origin === null || typeof one.origin === "string") &&
    parsed(one.text) !== null;

  // What tabs left that went away; of those still open the store holds the same soon.
  const partings = () => {
    try {
      return Object.keys(localStorage).filter((key) => key.startsWith(PARTING) && key !== partingKey);
    } catch {
      return [];
    }
  };
  // Returns under which id the jobs are kept now.
  const takePartings = async () => {
    const named = [];
    const keptAs = new Map();
    for (const key of partings()) {
      let left = null;
      const text = localStorage.getItem(key);
      try {
        left = JSON.parse(text);
      } catch {
        // Damaged; it is set aside below.
      }
      if (Array.isArray(left) && left.every(isParting)) {
        for (const one of left) {
          const kept = await keepRevision({ ...one, by: key.slice(PARTING.length), handed: [] });
          keptAs.set(one.id, kept.id);
          if (kept.second) {
            tellNotice(`Work that was left in another tab was kept as “${isolated(kept.title)}”.`, kept.id);
          }
        }
      } else {
        await transact("readwrite", (stores) => asked(stores.aside.put({ store: "parting", record: text, time: now() })));
        named.push(`what a closed tab left (${key})`);
      }
      localStorage.removeItem(key);
    }
    noteDamaged(named);
    return keptAs;
  };

  // The newest work that an earlier load of this page left, where the database takes nothing.
  const stillLeft = () => {
    const all = [];
    for (const key of partings()) {
      try {
        for (const one of JSON.parse(localStorage.getItem(key))) {
          if (isParting(one) && one.page === address() && isTime(one.time)) all.push({ key, ...one });
        }
      } catch {
        // Damaged; it stays until it can be set aside.
      }
    }
    const newest = all.sort((a, b) => a.time - b.time).at(-1);
    if (newest === undefined) return null;
    inherited = newest.key;
    if (newest.base > 0) seen.set(newest.id, { revision: newest.base, fingerprint: "", handed: new Set() });
    return { handle: newHandle(newest.id, newest.origin, false), text: newest.text };
  };

  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "hidden") part();
  });
  window.addEventListener("pagehide", part);

  // ---- The start ------------------------------------------------------------------------------

  // Opens the kept job `id` at `revision`, or at its newest good one.
  const take = async (id, revision = null) => {
    const named = [];
    const found = await transact("readwrite", async (stores) => {
      const record = await asked(stores.jobs.get(id));
      if (!isJob(record)) return null;
      const good = await goodRevisions(stores, id, named);
      const chosen = good.findLast((one) => revision === null || one.revision === revision);
      if (chosen === undefined) {
        if (good.length === 0) named.push(setAside(stores, "jobs", record));
        return null;
      }
      return { record, text: chosen.text, revision: chosen.revision };
    });
    noteDamaged(named);
    if (found === null) throw new Error("the job is no longer there");
    note(found.record);
    // An earlier revision that was taken, or one whose successor is damaged, is kept as a new one.
    const stale = fingerprint(found.text) !== found.record.fingerprint;
    return { handle: newHandle(id, null, false), text: found.text, stale };
  };

  const offerNewer = (record) =>
    tellNotice(`This browser keeps a newer revision of this job, changed ${isolated(when(record.changed))}.`, record.id);

  // Another kept job that was opened from this content, or handed out with it, and changed since.
  const newerThan = (jobs, mark) =>
    jobs
      .filter((one) => !one.deleted && one.fingerprint !== mark)
      .filter((one) => one.origins.includes(mark) || one.handed.includes(mark))
      .sort((a, b) => b.changed - a.changed)[0];

  const firstJob = async (embedded, isSavedPage) => {
    // A full store takes nothing, but what it holds can still be opened.
    const attempt = async (action) => {
      try {
        return await action();
      } catch (error) {
        failure = reason(error);
        return null;
      }
    };
    const named = [];
    await attempt(() => transact("readwrite", (stores) => mend(stores, named)));
    noteDamaged(named);
    let wasOpen = null;
    try {
      const found = JSON.parse(sessionStorage.getItem(OPEN_HERE));
      if (found?.page === address()) wasOpen = found.id;
    } catch {
      // Nothing is known of an earlier page in this tab.
    }
    const keptAs = await attempt(takePartings);
    if (keptAs === null) {
      const left = stillLeft();
      if (left !== null) return left;
    }
    wasOpen = keptAs?.get(wasOpen) ?? wasOpen;
    const [jobs, last] = await transact("readonly", async (stores) => [
      await goodJobs(stores),
      await asked(stores.notes.get("open")),
    ]);
    const here = new Set(jobs.filter((one) => !one.deleted).map((one) => one.id));
    const candidates = isSavedPage ? [wasOpen] : [wasOpen, last?.id];
    for (const id of candidates) {
      if (here.has(id)) {
        try {
          return await take(id);
        } catch {
          // It has been named; the next one is tried.
        }
      }
    }
    if (isSavedPage) {
      const mark = fingerprint(embedded);
      const same = jobs.find((one) => one.fingerprint === mark && !one.deleted);
      if (same) return take(same.id);
      const newer = newerThan(jobs, mark);
      if (newer) offerNewer(newer);
    }
    return null;
  };

  // Finds the job to start with, before the program starts: evenstroke.first is that job.
  const prepare = async () => {
    const embedded = document.getElementById("job")?.textContent.trim() ?? "";
    let found = null;
    const startAgain = sessionFlag("evenstroke.start-again");
    try {
      const search = firstJob(embedded, document.getElementById("w") !== null);
      found = await within(search, START_PATIENCE_MS);
    } catch (error) {
      failure = reason(error);
      found = stillLeft();
    }
    if (startAgain) found = null;
    found ??= { handle: newHandle(newId(), fingerprint(embedded), true), text: embedded };
    page.jobText = found.text;
    page.first = JSON.stringify(found);
  };
  const sessionFlag = (key) => {
    try {
      const set = sessionStorage.getItem(key) !== null;
      sessionStorage.removeItem(key);
      return set;
    } catch {
      return false;
    }
  };

  // ---- The library ----------------------------------------------------------------------------

  const list = async (search) => {
    const jobs = await transact("readonly", goodJobs);
    const has = (text) => text.toLocaleLowerCase().includes(search.trim().toLocaleLowerCase());
    return jobs
      .filter((one) => one.deleted === undefined || one.deleted >= began)
      .filter((one) => has(one.title) || has(one.press))
      .sort((a, b) => b.changed - a.changed)
      .map((one) => ({ id: one.id, title: one.title, press: one.press, when: when(one.changed), deleted: one.deleted !== undefined }));
  };

  const revisions = async (id) => {
    const named = [];
    const good = await transact("readwrite", (stores) => goodRevisions(stores, id, named));
    noteDamaged(named);
    return good.reverse().map(({ revision, time, text }) => ({ revision, title: titleOf(text), when: when(time) }));
  };

  const duplicate = (id) =>
    transact("readwrite", async (stores) => {
      const newest = (await goodRevisions(stores, id, [])).at(-1);
      if (newest === undefined) throw new Error("the job is no longer there");
      const text = retitled(newest.text, " (copy)");
      const copy = jobRecord(newId(), 1, now(), tab, text, [], []);
      stores.revisions.put({ id: copy.id, revision: 1, time: copy.changed, text });
      stores.jobs.put(copy);
    });

  const markDeleted = (id, time) =>
    transact("readwrite", async (stores) => {
      const record = await asked(stores.jobs.get(id));
      if (!isJob(record)) throw new Error("the job is no longer there");
      if (time === null) delete record.deleted;
      else record.deleted = time;
      stores.jobs.put(record);
      if (time !== null && current !== null && open.get(current.handle).id === id) {
        tellNotice("The job that is open was deleted from the list. A change to it brings it back there.");
      }
    });

  const exportAll = async () => {
    await flush();
    const jobs = await transact("readwrite", async (stores) => {
      const all = [];
      const earlier = [];
      let length = 0;
      for (const record of await goodJobs(stores)) {
        if (record.deleted !== undefined) continue;
        const good = await goodRevisions(stores, record.id, []);
        if (good.length === 0) continue;
        const { id, changed, origins, handed } = record;
        const newest = good.pop().text;
        const older = [];
        all.push({ id, changed, origins, handed, job: JSON.parse(newest), older });
        length += newest.length;
        earlier.push(...good.map(({ time, text }) => ({ older, time, text })));
      }
      // Every revision holds the photos of its job. The latest of the earlier ones go along until the
      // file would be too large to be read again.
      earlier.sort((a, b) => b.time - a.time);
      for (const { older, time, text } of earlier) {
        length += text.length;
        if (length > LONGEST_LIBRARY) break;
        older.unshift({ time, job: JSON.parse(text) });
      }
      return all;
    });
    const kept = (await transact("readonly", goodPresses)).filter((one) => one.deleted === undefined);
    const presses = kept.map(({ text }) => JSON.parse(text));
    return written({ format: LIBRARY, version: 1, jobs, ...(presses.length > 0 && { presses }) });
  };

  // ---- Presses of the shop --------------------------------------------------------------------

  const isPress = (record) =>
    typeof record?.name === "string" &&
    parsed(record.text) !== null &&
    (record.deleted === undefined || isTime(record.deleted));
  const goodPresses = async (stores) =>
    (await asked(stores.notes.getAll(IDBKeyRange.bound(PRESS, `${PRESS}\uffff`)))).filter(isPress);

  const presses = async () =>
    (await transact("readonly", goodPresses))
      .filter((one) => one.deleted === undefined || one.deleted >= began)
      .sort((a, b) => a.name.localeCompare(b.name, undefined, { numeric: true }))
      .map(({ key, name, text, deleted }) => ({ id: key, name, text, deleted: deleted !== undefined }));

  // Adds presses that are not kept in just this form, and tells how many of them.
  const addPresses = async (stores, list) => {
    const held = new Set();
    for (const one of await goodPresses(stores)) {
      if (one.deleted === undefined) held.add(fingerprint(one.text));
      else if (now() - one.deleted > DELETED_MS) stores.notes.delete(one.key);
    }
    let added = 0;
    for (const press of list) {
      const text = written(press);
      if (held.has(fingerprint(text))) continue;
      held.add(fingerprint(text));
      stores.notes.put({ key: PRESS + newId(), name: words(press.name) || "Press without a name", text });
      added += 1;
    }
    const rest = list.length - added;
    return `${added} of ${list.length} presses were added${rest > 0 ? `; ${rest} were kept here already` : ""}.`;
  };
  const keepPresses = (text) => transact("readwrite", (stores) => addPresses(stores, JSON.parse(text)));

  const changePress = (id, change) =>
    transact("readwrite", async (stores) => {
      const record = await asked(stores.notes.get(id));
      if (!isPress(record)) throw new Error("the press is no longer there");
      change(record);
      stores.notes.put(record);
    });
  const namePress = (id, name) =>
    changePress(id, (record) => {
      record.name = name;
      record.text = written({ ...parsed(record.text), name });
    });

  // The newest form of every kept job.
  const texts = async () => {
    await flush();
    return transact("readwrite", async (stores) => {
      const all = [];
      for (const { id, deleted } of await goodJobs(stores)) {
        if (deleted !== undefined) continue;
        const newest = (await goodRevisions(stores, id, [])).at(-1);
        if (newest) all.push(newest.text);
      }
      return all;
    });
  };

  // What is wrong with one job of a library file, or null.
  const faultOf = (entry, place) => {
    const isOurs = (job) => job !== null && typeof job === "object" && job.format === "evenstroke-job";
    const timed = (one, name, path) => (isTime(one?.[name]) ? null : `${path}.${name}: must be a time in milliseconds, given ${shown(one?.[name])}`);
    if (entry === null || typeof entry !== "object") return `${place}: must be an object, given ${shown(entry)}`;
    if (typeof entry.id !== "string" || !/^[\w-]{1,64}$/.test(entry.id)) {
      return `${place}.id: must be up to 64 letters, digits and dashes, given ${shown(entry.id)}`;
    }
    for (const name of ["origins", "handed"]) {
      if (!isList(entry[name])) return `${place}.${name}: must be a list of texts, given ${shown(entry[name])}`;
    }
    if (!Array.isArray(entry.older)) return `${place}.older: must be a list, given ${shown(entry.older)}`;
    for (const [index, one] of entry.older.entries()) {
      const path = `${place}.older[${index}]`;
      const fault = timed(one, "time", path);
      if (fault) return fault;
      if (!isOurs(one.job)) return `${path}.job: must be a job, given ${shown(one.job)}`;
    }
    if (!isOurs(entry.job)) return `${place}.job: must be a job, given ${shown(entry.job)}`;
    return timed(entry, "changed", place);
  };

  // Adds the jobs of a library file; a job that is kept in another form stays, and both are kept.
  const importAll = async (text) => {
    let file;
    try {
      file = JSON.parse(text);
    } catch (error) {
      throw new Error(`$: a library must be JSON, given ${error.message}`);
    }
    if (file?.format !== LIBRARY) throw new Error(`format: must be "${isolated(LIBRARY)}", given ${isolated(shown(file?.format))}`);
    if (file.version !== 1) {
      throw new Error(`version: must be 1, the version that this program reads; a later one needs a later program, given ${isolated(shown(file.version))}`);
    }
    if (!Array.isArray(file.jobs)) throw new Error(`jobs: must be a list, given ${isolated(shown(file.jobs))}`);
    const faults = file.jobs.map((entry, index) => faultOf(entry, `jobs[${index}]`)).filter((fault) => fault !== null);
    const isObject = (one) => typeof one === "object" && one !== null && !Array.isArray(one);
    const ofPresses = file.presses ?? [];
    if (!Array.isArray(ofPresses) || !ofPresses.every(isObject)) {
      faults.push(`presses: must be a list of presses, given ${shown(file.presses)}`);
    }
    if (faults.length > 0) throw new Error(faults.slice(0, 50).join("\n"));
    return transact("readwrite", async (stores) => {
      let added = 0;
      for (const entry of file.jobs) {
        const texts = [...entry.older, { time: entry.changed, job: entry.job }].map(({ time, job }) => ({ time, text: written(job) }));
        const mark = fingerprint(texts.at(-1).text);
        const present = await asked(stores.jobs.get(entry.id));
        if (isJob(present) && !present.deleted) {
          const held = await goodRevisions(stores, entry.id, []);
          if (held.some((one) => fingerprint(one.text) === mark)) continue;
        }
        const isTaken = present !== undefined || (await asked(stores.revisions.count(everythingOf(entry.id)))) > 0;
        const id = isTaken ? newId() : entry.id;
        texts.forEach((one, index) => stores.revisions.put({ id, revision: index + 1, ...one }));
        stores.jobs.put(jobRecord(id, texts.length, entry.changed, tab, texts.at(-1).text, entry.origins, entry.handed));
        added += 1;
      }
      const rest = file.jobs.length - added;
      const told = `${added} of ${file.jobs.length} jobs were added${rest > 0 ? `; ${rest} were kept here already` : ""}.`;
      return ofPresses.length > 0 ? `${told} ${await addPresses(stores, ofPresses)}` : told;
    });
  };

  // ---- What the page calls --------------------------------------------------------------------

  // Answers are texts, those with parts as JSON. Failures come back as words; the page shows them.
  const worded = (action) => async (...values) => {
    try {
      const answer = await action(...values);
      return typeof answer === "string" ? answer : JSON.stringify(answer ?? null);
    } catch (error) {
      throw error?.name === "Error" ? error.message : reason(error);
    }
  };

  Object.assign(page, {
    jobText: "",
    prepare,
    // Hears ("as-opened" | "edited" | "kept" | "handed" | "not-kept", reason), ("second", title) and
    // ("notices", those to be shown).
    listen(hears) {
      listener = hears;
      for (const message of unheard.splice(0)) hears(...message);
      settle();
    },
    // A job that comes from a "file", is a "demo", or stands in where none can be opened, as "spare",
    // which is kept only once it is changed.
    begin(text, from) {
      const mark = fingerprint(text);
      if (from === "file") {
        transact("readonly", goodJobs).then(
          (jobs) => {
            const newer = newerThan(jobs, mark);
            if (newer && !jobs.some((one) => one.fingerprint === mark && !one.deleted)) offerNewer(newer);
          },
          () => {},
        );
      }
      return newHandle(newId(), mark, from === "spare");
    },
    // The job in view is this now.
    changed(handle, text) {
      page.jobText = text;
      current = { handle, text };
      const job = open.get(handle);
      if (seen.has(job.id)) remember(job.id);
      if (isKept(job, fingerprint(text))) {
        pending.delete(handle);
        if (pending.size === 0) forgetParting();
      } else {
        pending.set(handle, text);
        schedule(PAUSE_MS);
      }
      settle();
    },
    // The job was handed to the user as a file with this content.
    handed(handle, text) {
      const mark = fingerprint(text);
      const job = open.get(handle);
      job.handed.add(mark);
      askToPersist();
      settle();
      transact("readwrite", async (stores) => {
        const record = await asked(stores.jobs.get(job.id));
        if (!isJob(record)) return;
        record.handed = [...new Set([...record.handed, mark])].slice(-MOST_MARKS);
        stores.jobs.put(record);
      }).catch(() => {});
    },
    // A notice was read.
    closed(index) {
      notices = notices.filter((_, at) => at !== index);
      tell("notices", JSON.stringify(notices));
    },
    flush,
    tellNotice: (text) => tellNotice(text),
    // Whether something is changed that is not kept yet.
    unkept: () => pending.size > 0,
    list: worded(list),
    revisions: worded(revisions),
    take: worded((id, revision) => flush().then(() => take(id, revision))),
    duplicate: worded((id) => flush().then(() => duplicate(id))),
    remove: worded((id) => markDeleted(id, now())),
    restore: worded((id) => markDeleted(id, null)),
    exportAll: worded(exportAll),
    importAll: worded(importAll),
    presses: worded(presses),
    keepPresses: worded(keepPresses),
    namePress: worded(namePress),
    removePress: worded((id) => changePress(id, (record) => (record.deleted = now()))),
    restorePress: worded((id) => changePress(id, (record) => delete record.deleted)),
    texts: worded(texts),
  });
})();
