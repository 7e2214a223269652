// What a page knows of tags: as the server wrote it into the page, or, where the page stands in for one
// without a network, as this phone holds it, with what was logged since.

import { heldVehicle, since } from "./held.js";
import { signedIn } from "./identity.js";

const NOTHING = { tags: {}, others: {}, places: [], parts: [] };

/** Reads what the server wrote into a page; nothing if it is not one of the server's. */
export function servedTags(page = document) {
  const written = page.getElementById("known");
  return written ? JSON.parse(written.textContent) : undefined;
}

/**
 * Gives {known, may_log} of the vehicle that the address names, and lets the page be that vehicle's:
 * what is logged from it goes there.
 */
export async function heldTags() {
  const logbook = decodeURIComponent(/^\/v\/([^/]+)/.exec(location.pathname)?.[1] ?? "");
  const vehicle = logbook ? await heldVehicle(logbook) : undefined;
  if (!vehicle || vehicle.person !== (await signedIn())?.person) {
    document.querySelector("[data-as-of]").textContent = "This phone does not hold the vehicle.";
    return { known: structuredClone(NOTHING), may_log: false };
  }
  Object.assign(document.body.dataset, { logbook, vehicle: vehicle.held.name });
  const address = `/v/${encodeURIComponent(logbook)}/`;
  const name = document.querySelector("[data-vehicle-name]");
  name.textContent = vehicle.held.name;
  name.href = address;
  for (const link of document.querySelectorAll("[data-of-vehicle]")) {
    Object.assign(link, { href: address + link.dataset.ofVehicle, hidden: false });
  }
  const known = vehicle.held.known ?? structuredClone(NOTHING);
  for (const said of await since(vehicle)) noteMove(known, said);
  return { known, may_log: vehicle.held.may_log };
}

/** What was logged and is not known to the server yet: where a container went. */
export function noteMove(known, { kind, what, tag, place }) {
  const told = known.tags[what?.replace("tag:", "")];
  if (!told) return;
  if (kind === "put in") {
    told.inside = [tag, ...(known.tags[tag]?.inside ?? [])];
    told.where = told.inside.join(", in ");
  } else if (kind === "moved") {
    const [, name] = known.places.find(([id]) => id === place) ?? [];
    Object.assign(told, { inside: [], where: name ?? place });
  }
}
