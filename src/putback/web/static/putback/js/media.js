// Photos and sounds on the phone: their bytes, the digest that names them, what sort they are. The
// sort is told by how they begin, as pictures/kind.py does on the server.

import { Refusal, sendMedia, whoAmI } from "./api.js";
import { sha256 } from "./digest.js";

const SIGNS = [
  ["image/jpeg", 0, "\xff\xd8\xff"],
  ["image/png", 0, "\x89PNG\r\n\x1a\n"],
  ["image/gif", 0, "GIF8"],
  ["image/webp", 8, "WEBP"],
  ["audio/webm", 0, "\x1a\x45\xdf\xa3"],
  ["audio/ogg", 0, "OggS"],
  ["audio/wav", 8, "WAVE"],
  ["audio/mpeg", 0, "ID3"],
  ["audio/mpeg", 0, "\xff\xfb"],
  ["audio/mpeg", 0, "\xff\xf3"],
  ["audio/mpeg", 0, "\xff\xf2"],
];
const HEIC = new Set(["heic", "heix", "heim", "heis", "hevc", "mif1", "msf1"]);
const NO_SOUND = new Set(["avif", "avis", "qt  "]);

/** What the server has already, so that it is not sent twice. */
export const atServer = new Set();

function sortOf(bytes, said) {
  const begin = String.fromCharCode(...new Uint8Array(bytes, 0, Math.min(12, bytes.byteLength)));
  const sign = SIGNS.find(([, at, mark]) => begin.startsWith(mark, at));
  if (sign) return sign[0];
  const brand = begin.startsWith("ftyp", 4) ? begin.slice(8) : "";
  if (HEIC.has(brand)) return "image/heic";
  if (brand && !NO_SOUND.has(brand)) return "audio/mp4";
  return said || "application/octet-stream";
}

/** Reads a file: {photo, media_type, name, bytes}, `photo` the SHA-256 of its bytes. */
export async function held(file) {
  const bytes = await file.arrayBuffer();
  const photo = await sha256(bytes);
  return { photo, media_type: sortOf(bytes, file.type), name: file.name ?? "", bytes };
}

/**
 * Lets the server look at a file that is not logged yet: {photo, media_type, warning, note}, the warning
 * what it says against it. Where no server answers, the file goes along with the act that names it, and
 * the note says so. Throws if it
 * is nothing that is kept.
 */
export async function look(logbook, file) {
  const { photo, media_type, name, bytes } = await held(file);
  try {
    const { csrf } = await whoAmI();
    const { warning } = await sendMedia(logbook, name, bytes, csrf);
    atServer.add(photo);
    return { photo, media_type, warning };
  } catch (error) {
    if (error instanceof Refusal && [400, 413, 422].includes(error.status)) throw error;
    return { photo, media_type, note: "is kept on this phone until the server answers" };
  }
}
