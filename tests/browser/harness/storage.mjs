// What the browser's storage holds for the page, seen and changed from outside it.

/** Every record of one of the page's stores: jobs, revisions, notes, aside. */
export function records(page, store) {
  return page.evaluate(
    (store) =>
      new Promise((done, fail) => {
        const opening = indexedDB.open("evenstroke");
        opening.onerror = () => fail(opening.error);
        opening.onsuccess = () => {
          const all = opening.result.transaction(store).objectStore(store).getAll();
          all.onerror = () => fail(all.error);
          all.onsuccess = () => {
            opening.result.close();
            done(all.result);
          };
        };
      }),
    store,
  );
}

/** Writes a record as a damaged disk or another page might. */
export function putRecord(page, store, record) {
  return page.evaluate(
    ([store, record]) =>
      new Promise((done, fail) => {
        const opening = indexedDB.open("evenstroke");
        opening.onerror = () => fail(opening.error);
        opening.onsuccess = () => {
          const transaction = opening.result.transaction(store, "readwrite");
          transaction.objectStore(store).put(record);
          transaction.onabort = () => fail(transaction.error);
          transaction.oncomplete = () => {
            opening.result.close();
            done();
          };
        };
      }),
    [store, record],
  );
}

/** Lets every write fail as on a full disk. To be run before the page. */
export function fullStorage() {
  for (const name of ["put", "add"]) {
    IDBObjectStore.prototype[name] = () => {
      throw new DOMException("the disk is full", "QuotaExceededError");
    };
  }
}
