// The photos from before that this phone holds: those of the next jobs of held vehicles, as small as the
// pages show them. Each is fetched once, after the vehicle itself; one that is of no next job any more
// goes, and all of a vehicle go with it.

import { ofVehicle } from "./api.js";
import { asked, note, read, write } from "./store.js";

const LONGEST_WAIT_MS = 15_000;

/** The range of a vehicle's photos in the store "seen". */
export const allSeen = (logbook) => IDBKeyRange.bound([logbook], [logbook, []]);

/** Gives a photo as a Blob; nothing if this phone does not hold it. */
export async function seen(logbook, photo) {
  const found = await read(["seen"], (transaction) => asked(transaction.objectStore("seen").get([logbook, photo])));
  return found?.picture;
}

/** How many photos this phone holds, of all vehicles. */
export const countSeen = () => read(["seen"], (transaction) => asked(transaction.objectStore("seen").count()));

/**
 * Holds the photos of a vehicle's next jobs and no others, as far as the server gives them and there
 * is room; the rest is asked for when the vehicle is.
 */
export async function keepSeen(logbook, held) {
  try {
    await keepThese(logbook, held);
  } catch (error) {
    if (error.isFull) await makeRoom();
  }
}

/** Forgets all photos from before, as what is logged needs the room; gives whether there were any. */
export function makeRoom() {
  return write(["seen"], async (transaction) => {
    const store = transaction.objectStore("seen");
    const count = await asked(store.count());
    store.clear();
    return count > 0;
  });
}

async function keepThese(logbook, held) {
  const wanted = new Set(held.jobs.flatMap(({ photo }) => (photo ? [photo.photo] : [])));
  const there = await note(["seen"], async (transaction) => {
    const store = transaction.objectStore("seen");
    const keys = await asked(store.getAllKeys(allSeen(logbook)));
    for (const key of keys) if (!wanted.has(key[1])) store.delete(key);
    return new Set(keys.map(([, photo]) => photo));
  });
  for (const photo of wanted) {
    if (!there.has(photo)) await fetchOne(logbook, photo);
  }
}

async function fetchOne(logbook, photo) {
  const address = `${ofVehicle(logbook, `photos/${encodeURIComponent(photo)}`)}?size=small`;
  const response = await fetch(address, { signal: AbortSignal.timeout(LONGEST_WAIT_MS) });
  if (!response.ok) return; // nothing that can be shown; asked for again with the next act
  const picture = await response.blob();
  await write(["held", "seen"], async (transaction) => {
    const is_held = await asked(transaction.objectStore("held").getKey(logbook));
    if (is_held) transaction.objectStore("seen").put({ logbook, photo, picture });
  });
}
