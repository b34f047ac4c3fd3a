// What lies on the tablet: jobs taken along, entries that wait, photos, drafts.
const NAME = "refit-tablet";
const STORES = {
  meta: { keyPath: "name" },
  jobs: { keyPath: "pk" },
  // Entries go out in the order of this key; their own name makes each count once.
  outbox: { keyPath: "seq", autoIncrement: true },
  photos: { keyPath: "uid" },
  answered: { keyPath: "uid" },
  drafts: { keyPath: "id" },
};

let opening = null;

function open() {
  opening ??= new Promise((resolve, reject) => {
    const request = indexedDB.open(NAME, 1);
    request.onupgradeneeded = () => {
      for (const [name, options] of Object.entries(STORES)) {
        const store = request.result.createObjectStore(name, options);
        if (name === "outbox") store.createIndex("uid", "uid", { unique: true });
      }
    };
    request.onsuccess = () => {
      request.result.onversionchange = () => { request.result.close(); opening = null; };
      resolve(request.result);
    };
    request.onerror = () => { opening = null; reject(request.error); };
  });
  return opening;
}

// The disk is full: nothing of this change was kept, and the caller must say so.
export class StorageFull extends Error {}

function told(error) {
  const full = error && error.name === "QuotaExceededError";
  return full ? new StorageFull("This tablet's storage is full.") : error;
}

// Run `work` in one transaction over `names`; it is on the disk when the promise resolves.
export async function change(names, work) {
  const database = await open();
  return new Promise((resolve, reject) => {
    const moves = database.transaction(names, "readwrite", { durability: "strict" });
    const stores = Object.fromEntries(names.map((name) => [name, moves.objectStore(name)]));
    let result;
    moves.oncomplete = () => resolve(result && "result" in Object(result) && result instanceof IDBRequest ? result.result : result);
    moves.onabort = () => reject(told(moves.error));
    moves.onerror = () => {};
    try {
      result = work(stores);
    } catch (error) {
      moves.abort();
      reject(told(error));
    }
  });
}

function asked(name, ask) {
  return open().then((database) => new Promise((resolve, reject) => {
    const request = ask(database.transaction(name).objectStore(name));
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  }));
}

export const get = (name, key) => asked(name, (store) => store.get(key));
export const all = (name, count) => asked(name, (store) => store.getAll(null, count));
export const count = (name) => asked(name, (store) => store.count());
export const put = (name, row) => change([name], (stores) => { stores[name].put(row); });
export const drop = (name, key) => change([name], (stores) => { stores[name].delete(key); });

export async function meta(name) {
  const row = await get("meta", name);
  return row ? row.value : undefined;
}
export const setMeta = (name, value) => put("meta", { name, value });

// The tablet's own name, given once and kept.
export async function tabletName() {
  const known = await meta("tablet");
  if (known) return known;
  const fresh = crypto.randomUUID();
  await setMeta("tablet", fresh);
  return (await meta("tablet")) || fresh;
}
