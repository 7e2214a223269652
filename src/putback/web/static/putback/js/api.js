// Asking the server: every answer comes as what the queue can act upon.

const PATIENCE_MS = 30_000;
const PATIENCE_WITH_MEDIA_MS = 180_000;

/** What the server said against something, or that it said nothing. */
export class Refusal extends Error {
  constructor(status, said) {
    super((said.told ?? said).message || WORDS[status] || `The server answers with ${status}.`);
    this.status = status; // 0: no answer came
    this.fault = said.fault ?? "";
    this.place = said.place ?? "";
    this.remedy = said.remedy ?? "";
    this.told = said.told; // the same in the language of this device, where that is not English
  }
}

const WORDS = {
  0: "The server does not answer.",
  401: "This phone is not signed in any more: sign in, and what waits is sent.",
  403: "You may not log in this vehicle now.",
  404: "There is no such vehicle there, or it is not yours.",
  413: "It is larger than the server takes.",
  507: "The server's disk is full.",
};

/** The address of something of one vehicle. */
export const ofVehicle = (logbook, what) =>
  `/api/vehicles/${encodeURIComponent(logbook)}/${what}`;

async function ask(address, { patience_ms = PATIENCE_MS, ...request } = {}) {
  let response;
  let answer;
  try {
    response = await fetch(address, {
      ...request,
      cache: "no-store",
      signal: AbortSignal.timeout(patience_ms),
    });
    answer = await response.json().catch((error) => {
      if (response.ok) throw error; // cut off in the middle: nobody knows what was done
      return {};
    });
  } catch (error) {
    throw new Refusal(0, { fault: String(error) });
  }
  if (!response.ok) throw new Refusal(response.status, answer);
  return answer;
}

/** Who the server takes us for: {person, name, device, csrf, clock}. */
export const whoAmI = () => ask("/api/me");

/** Sends entries as they are, one a line, logged by the one who is signed in. */
export const sendEntries = (logbook, lines, csrf) =>
  ask(`${ofVehicle(logbook, "entries")}?own=true`, {
    method: "POST",
    headers: { "Content-Type": "application/x-ndjson", "X-CSRFToken": csrf },
    body: lines,
  });

/** Sends the bytes of a photo or sound; gives what the server saw in it. */
export const sendMedia = (logbook, name, bytes, csrf) =>
  ask(`${ofVehicle(logbook, "photos")}?${new URLSearchParams({ name })}`, {
    method: "POST",
    headers: { "Content-Type": "application/octet-stream", "X-CSRFToken": csrf },
    body: bytes,
    patience_ms: PATIENCE_WITH_MEDIA_MS,
  });
