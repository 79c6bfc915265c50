// Keeps photos on the phone until the studio's machine has them: in IndexedDB, so that a reload, a locked screen or a
// flat network loses none. Where the browser keeps nothing (some private windows) they lie in memory, and isLasting
// says so. What a photo is sent with and how it fares lies apart from its bytes, so that listing reads no bytes.

const NAME = "tilewright-photos";
const LEASE_MS = 20_000;

const inMemory = { notes: new Map(), bytes: new Map() };
let database;

function open() {
  return new Promise((resolve) => {
    try {
      const request = indexedDB.open(NAME, 1);
      request.onupgradeneeded = () => {
        request.result.createObjectStore("notes", { keyPath: "id" });
        request.result.createObjectStore("bytes");
      };
      request.onsuccess = () => resolve(request.result);
      request.onerror = () => resolve(null);
      request.onblocked = () => resolve(null);
    } catch {
      resolve(null);
    }
  });
}

const opened = () => (database ??= open());

// Runs `work` on both stores in one transaction and gives what it returned once all of it is kept.
async function within(mode, work) {
  const transaction = (await opened()).transaction(["notes", "bytes"], mode);
  const kept = new Promise((resolve, reject) => {
    transaction.oncomplete = resolve;
    transaction.onabort = () => reject(transaction.error);
  });
  const result = work(transaction.objectStore("notes"), transaction.objectStore("bytes"));
  await kept;
  return result;
}

const answered = (request) => new Promise((resolve) => (request.onsuccess = () => resolve(request.result)));

// Whether what is kept here outlives the page.
export const isLasting = async () => (await opened()) !== null;

// Keeps one photo. True when it will outlive the page; a phone without room left keeps it in memory.
export async function keep(note, blob) {
  try {
    await within("readwrite", (notes, bytes) => {
      notes.put(note);
      bytes.put(blob, note.id);
    });
    return true;
  } catch {
    inMemory.notes.set(note.id, note);
    inMemory.bytes.set(note.id, blob);
    return false;
  }
}

// All notes, the oldest first.
export async function all() {
  let kept = [];
  if (await isLasting()) kept = await within("readonly", (notes) => answered(notes.getAll()));
  return [...kept, ...inMemory.notes.values()].sort((one, other) => one.keptAt - other.keptAt);
}

export async function bytesOf(id) {
  if (inMemory.bytes.has(id)) return inMemory.bytes.get(id);
  return within("readonly", (notes, bytes) => answered(bytes.get(id)));
}

// Writes on one photo's note; does nothing when the photo has left the shelf meanwhile.
export async function amend(id, changes) {
  if (inMemory.notes.has(id)) {
    Object.assign(inMemory.notes.get(id), changes);
    return;
  }
  if (!(await isLasting())) return;
  await within("readwrite", (notes) => {
    const request = notes.get(id);
    request.onsuccess = () => request.result && notes.put({ ...request.result, ...changes });
  });
}

export async function remove(id) {
  inMemory.notes.delete(id);
  inMemory.bytes.delete(id);
  if (!(await isLasting())) return;
  await within("readwrite", (notes, bytes) => {
    notes.delete(id);
    bytes.delete(id);
  });
}

// Takes one photo for sending, so that two open pages do not both send it. False when another page has it in hand; a
// page that went away lets go after a while. To go on holding it, claim it again.
export async function claim(id, holder) {
  if (inMemory.notes.has(id)) return true;
  return within(
    "readwrite",
    (notes) =>
      new Promise((resolve) => {
        const request = notes.get(id);
        request.onsuccess = () => {
          const note = request.result;
          const isFree = note && (note.holder === holder || !(note.heldUntil > Date.now()));
          if (isFree) notes.put({ ...note, holder, heldUntil: Date.now() + LEASE_MS });
          resolve(Boolean(isFree));
        };
      }),
  );
}

export const RENEW_MS = LEASE_MS / 3;
