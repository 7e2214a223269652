// Tags as people type them or a camera reads them, checked on the phone as logbook/tags.py does: the
// alphabet, ISO/IEC 7064 MOD 37,36, and no code of which a swap of neighbours would check as well.

export const ALPHABET = "234678ACDFHKNPTWXY";
const ISO_7064 = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ";
const MENDED = { O: "D", 0: "D", Q: "D", Z: "2", 1: "7", B: "8", E: "F", R: "P", V: "Y" };
const LENGTH = 4;

/** The check character of a body. */
function checkCharacter(body) {
  let product = 36;
  for (const character of body) {
    const total = (product + ISO_7064.indexOf(character)) % 36 || 36;
    product = (2 * total) % 37;
  }
  return ISO_7064[(37 - product) % 36];
}

/** Reads a tag; throws what is wrong with it. */
export function readTag(text) {
  const written = text.replace(/[\s-]/g, "").toUpperCase();
  const code = [...written].map((character) => MENDED[character] ?? character).join("");
  const wrong = (why, mend) => new Error(`Tag '${text}' ${why}: ${mend}.`);
  const again = "one character was misread, look at the bag again";
  const foreign = [...code].find((character) => !ALPHABET.includes(character));
  if (foreign) throw wrong(`has ${foreign} in it, which is on no tag`, again);
  if (code.length !== LENGTH) throw wrong(`has ${code.length} characters`, "a tag has four, like K7F4");
  if (!checks(code)) throw wrong("does not check", again);
  for (let at = 0; at < LENGTH - 1; at += 1) {
    const twin = code.slice(0, at) + code[at + 1] + code[at] + code.slice(at + 2);
    if (twin !== code && checks(twin)) throw wrong("is never issued", "look at the bag again");
  }
  return code;
}

const checks = (code) => checkCharacter(code.slice(0, -1)) === code.at(-1);

/** Reads a tag out of what a code holds; null if it is none. */
export function tagIn(text) {
  try {
    return readTag(text);
  } catch {
    return null;
  }
}
