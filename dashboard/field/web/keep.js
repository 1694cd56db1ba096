/* What is kept on the device: one database, every change in one transaction that is
   through to the disk before it counts as saved. */

const NAME = "underprop-field";
const STORES = {
  supports: "code",
  drafts: "support",
  outbox: "id",
  photos: "sha256",
  receipts: "id",
  facts: "name",
};

let opening = null;

export class NoRoom extends Error {
  constructor() {
    super(
      "This phone has no room left, so the last change is not saved. Free some room, " +
        "or save the outbox to a file, and type one more letter."
    );
  }
}

export async function get(store, key) {
  return read(store, (source) => source.get(key));
}

export async function all(store) {
  return read(store, (source) => source.getAll());
}

export async function keys(store) {
  return read(store, (source) => source.getAllKeys());
}

export async function fact(name, otherwise = null) {
  const found = await get("facts", name);
  return found ? found.value : otherwise;
}

export function keepFact(name, value) {
  return write([["put", "facts", { name, value }]]);
}

/* Steps are ["put", store, value], ["delete", store, key] or ["clear", store]: all of
   them happen or none. */
export async function write(steps) {
  const db = await open();
  const stores = [...new Set(steps.map((step) => step[1]))];
  return new Promise((resolve, reject) => {
    const work = db.transaction(stores, "readwrite", { durability: "strict" });
    work.oncomplete = () => resolve();
    work.onabort = () => reject(said(work.error));
    work.onerror = () => {};
    try {
      for (const [action, store, ...what] of steps) {
        work.objectStore(store)[action](...what);
      }
    } catch (error) {
      work.abort();
      reject(said(error));
    }
  });
}

function said(error) {
  return error && error.name === "QuotaExceededError" ? new NoRoom() : error;
}

async function read(store, ask) {
  const db = await open();
  return new Promise((resolve, reject) => {
    const request = ask(db.transaction(store).objectStore(store));
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

function open() {
  opening ??= new Promise((resolve, reject) => {
    const request = indexedDB.open(NAME, 1);
    request.onupgradeneeded = () => {
      for (const [name, keyPath] of Object.entries(STORES)) {
        request.result.createObjectStore(name, { keyPath });
      }
    };
    request.onsuccess = () => {
      request.result.onversionchange = () => {
        request.result.close();
        opening = null;
      };
      resolve(request.result);
    };
    request.onerror = () => {
      opening = null;
      reject(request.error);
    };
  });
  return opening;
}
