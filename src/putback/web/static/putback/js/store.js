// What this phone keeps: one database, opened here and nowhere else.
//
//   queued  acts logged on this phone that the server has not acknowledged yet, by their act
//   blobs   bytes of photos and sounds that queued acts name, by their SHA-256
//   held    what is held of vehicles to be looked at without a network, by a key of its own
//   seen    photos from before of the next jobs of held vehicles, small, by vehicle and SHA-256
//   me      who is signed in, the identities and clocks made last, how sending went, by name
//
// A later version adds stores and changes none that is there: a page of the last version may still be
// open, and what was queued by it is sent by the next.

const NAME = "putback";
const VERSION = 2;

let opening;

/** The phone keeps nothing: its browser does not let it, or there is no room. */
export class NotKept extends Error {
  constructor(message, { cause, isFull = false } = {}) {
    super(message, { cause });
    this.isFull = isFull;
  }
}

function upgrade(database, from) {
  if (from < 1) {
    database.createObjectStore("queued", { keyPath: "act" });
    database.createObjectStore("blobs", { keyPath: "photo" });
    database.createObjectStore("held");
    database.createObjectStore("me");
  }
  if (from < 2) database.createObjectStore("seen", { keyPath: ["logbook", "photo"] });
}

function open(version) {
  return new Promise((done, failed) => {
    const request = indexedDB.open(NAME, version);
    request.onupgradeneeded = ({ oldVersion }) => upgrade(request.result, oldVersion);
    request.onerror = () => {
      // A later version of the app made it: what this page needs is in it all the same.
      if (request.error.name === "VersionError") open().then(done, failed);
      else failed(request.error);
    };
    request.onsuccess = () => {
      const database = request.result;
      // A later version in another tab wants to change it: this page opens it anew when it must.
      database.onversionchange = () => database.close();
      database.onclose = () => (opening = undefined);
      done(database);
    };
  });
}

async function opened() {
  try {
    return await (opening ??= open(VERSION));
  } catch (error) {
    opening = undefined;
    throw new NotKept("This browser keeps nothing for us on this phone.", { cause: error });
  }
}

/** Turns a request into a promise. */
export function asked(request) {
  return new Promise((done, failed) => {
    request.onsuccess = () => done(request.result);
    request.onerror = () => failed(request.error);
  });
}

async function transact(stores, mode, work, durability = "strict") {
  let transaction;
  try {
    transaction = (await opened()).transaction(stores, mode, { durability });
  } catch (error) {
    if (error.name !== "InvalidStateError") throw error;
    opening = undefined; // it was closed for an update
    transaction = (await opened()).transaction(stores, mode, { durability });
  }
  const over = new Promise((done, failed) => {
    transaction.oncomplete = done;
    transaction.onabort = () => failed(transaction.error ?? new Error("given up"));
  });
  over.catch(() => {}); // told below
  let found;
  try {
    found = await work(transaction);
  } catch (error) {
    try {
      transaction.abort();
    } catch {
      // it is over already
    }
    throw told(transaction.error ?? error);
  }
  try {
    await over;
  } catch (error) {
    throw told(error);
  }
  return found;
}

function told(error) {
  if (error?.name !== "QuotaExceededError") return error;
  const message = "This phone has no room left: nothing of this was kept.";
  return new NotKept(message, { cause: error, isFull: true });
}

/**
 * Changes what is kept, all of it or nothing: `work` is given the transaction and may await only
 * what it asks of it. What it returns comes back when all has reached the disk.
 */
export function write(stores, work) {
  return transact(stores, "readwrite", work);
}

/** The same for what may be forgotten again in a power cut, as it would only be found out anew. */
export function note(stores, work) {
  return transact(stores, "readwrite", work, "relaxed");
}

/** Looks at what is kept, as it is in one moment. */
export function read(stores, work) {
  return transact(stores, "readonly", work);
}
