// What this phone keeps for one person: things that wait to be sent, and what was half typed.
// Each person has a database of its own, so that nobody sends or sees another's.

const VERSION = 1;

/** @param {string} user @returns {Promise<IDBDatabase>} */
export function openFor(user) {
  return new Promise((resolve, reject) => {
    const asked = indexedDB.open(nameFor(user), VERSION);
    asked.onupgradeneeded = () => {
      asked.result.createObjectStore("queue", { keyPath: "n", autoIncrement: true });
      asked.result.createObjectStore("kept");
    };
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
  });
}

export const PREFIX = "sheet-";
export const nameFor = (user) => PREFIX + user;

/** Run one request in a transaction that is on the disk before anybody is told "kept". */
function run(db, store, mode, ask) {
  return new Promise((resolve, reject) => {
    const change = db.transaction(store, mode, { durability: mode === "readwrite" ? "strict" : "default" });
    const asked = ask(change.objectStore(store));
    change.oncomplete = () => resolve(asked.result);
    change.onabort = change.onerror = () => reject(change.error || asked.error);
  });
}

export const all = (db, store) => run(db, store, "readonly", (rows) => rows.getAll());
export const get = (db, store, key) => run(db, store, "readonly", (rows) => rows.get(key));
export const add = (db, store, value) => run(db, store, "readwrite", (rows) => rows.add(value));
export const put = (db, store, value, key) =>
  run(db, store, "readwrite", (rows) => (key === undefined ? rows.put(value) : rows.put(value, key)));
export const remove = (db, store, key) => run(db, store, "readwrite", (rows) => rows.delete(key));
export const clear = (db, store) => run(db, store, "readwrite", (rows) => rows.clear());
