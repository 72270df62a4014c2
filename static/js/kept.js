// The phone's own store. Bytes are kept as ArrayBuffers, since not every browser keeps files, and every change waits
// until it is on the phone's disk. The store is opened for each operation: browsers close it behind one's back.
const NAME = "siteapp";

function open() {
  return new Promise((resolve, reject) => {
    const asked = indexedDB.open(NAME, 1);
    asked.onupgradeneeded = () => {
      const store = asked.result.createObjectStore("waiting", { keyPath: "turn", autoIncrement: true });
      store.createIndex("id", "id", { unique: true });
      asked.result.createObjectStore("photos", { keyPath: "key" });
      asked.result.createObjectStore("drafts", { keyPath: "key" });
    };
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
    asked.onblocked = () => reject(new DOMException("blocked", "UnknownError"));
  });
}

// `work` gets the transaction and may give a function, called when all is on disk, whose answer is the operation's.
async function once(mode, work) {
  const base = await open();
  try {
    return await new Promise((resolve, reject) => {
      const change = base.transaction(["waiting", "photos", "drafts"], mode, { durability: "strict" });
      let last;
      change.oncomplete = () => resolve(last ? last() : undefined);
      change.onabort = () => reject(change.error || new DOMException("stopped", "AbortError"));
      last = work(change);
    });
  } finally {
    base.close();
  }
}

async function run(mode, work) {
  try {
    return await once(mode, work);
  } catch (error) {
    if (error.name === "QuotaExceededError" || error.name === "ConstraintError") throw error;
    return once(mode, work);
  }
}

// All that waits, oldest first, without the bytes of photos.
export function all() {
  return run("readonly", (change) => {
    const got = change.objectStore("waiting").getAll();
    return () => got.result;
  });
}

// One record with its photos' bytes, and away with the draft and with the refused one that it takes the place of.
export function add(record, photos, { draft, instead } = {}) {
  return run("readwrite", (change) => {
    const { turn, ...fresh } = record;
    change.objectStore("waiting").add(fresh);
    for (const photo of photos) change.objectStore("photos").put(photo);
    if (draft) dropDraft(change, draft);
    if (instead) withRecord(change, instead, (cursor) => drop(change, cursor));
  });
}

// Changes one record if it is still there; gives whether it is.
export function patch(id, edit) {
  return run("readwrite", (change) => {
    let found = false;
    withRecord(change, id, (cursor) => {
      const record = cursor.value;
      edit(record);
      cursor.update(record);
      found = true;
    });
    return () => found;
  });
}

// Takes a record out, if it is still there, and puts what `after` makes of it in its place, if anything.
export function swap(id, after) {
  return run("readwrite", (change) => {
    let found = false;
    withRecord(change, id, (cursor) => {
      const next = after(cursor.value);
      drop(change, cursor);
      if (next) change.objectStore("waiting").add(next);
      found = true;
    });
    return () => found;
  });
}

// Forgets a record that was acknowledged or is discarded. `follow` are fields by which later forms of the same page
// say what they come after: they knew of this one, so they come after it.
export function finish(id, follow = {}) {
  return run("readwrite", (change) => {
    withRecord(change, id, (cursor) => {
      const done = cursor.value;
      drop(change, cursor);
      if (!Object.keys(follow).length) return;
      change.objectStore("waiting").openCursor(IDBKeyRange.lowerBound(done.turn, true)).onsuccess = (event) => {
        const later = event.target.result;
        if (!later) return;
        const record = later.value;
        const same = (name) => valueOf(record, name) === valueOf(done, name);
        if (record.action === done.action && record.person === done.person && Object.keys(follow).every(same)) {
          record.fields = record.fields.map(([name, value]) => [name, name in follow ? follow[name] : value]);
          later.update(record);
        }
        later.continue();
      };
    });
  });
}

export function photo(key) {
  return run("readonly", (change) => {
    const got = change.objectStore("photos").get(key);
    return () => got.result;
  });
}

export function draft(key) {
  return run("readonly", (change) => {
    const got = change.objectStore("drafts").get(key);
    return () => got.result;
  });
}

export function putDraft(draft) {
  return run("readwrite", (change) => void change.objectStore("drafts").put(draft));
}

export function removeDraft(key) {
  return run("readwrite", (change) => void dropDraft(change, key));
}

function dropDraft(change, key) {
  change.objectStore("drafts").delete(key);
}

function withRecord(change, id, work) {
  change.objectStore("waiting").index("id").openCursor(id).onsuccess = (event) => {
    if (event.target.result) work(event.target.result);
  };
}

function drop(change, cursor) {
  for (const one of cursor.value.photos) change.objectStore("photos").delete(one.key);
  cursor.delete();
}

function valueOf(record, name) {
  const found = record.fields.find(([other]) => other === name);
  return found ? found[1] : "";
}
