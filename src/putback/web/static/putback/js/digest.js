// SHA-256 (FIPS 180-4): by the browser, or here where it does so only for pages that came by https.

const PRIMES = [];
for (let each = 2; PRIMES.length < 64; each += 1) {
  if (PRIMES.every((prime) => each % prime)) PRIMES.push(each);
}
const fraction = (value) => ((value - Math.floor(value)) * 2 ** 32) | 0;
const ROUND = PRIMES.map((prime) => fraction(Math.cbrt(prime)));
const BEGIN = PRIMES.slice(0, 8).map((prime) => fraction(Math.sqrt(prime)));

/** Digests bytes (an ArrayBuffer) or a text, in hexadecimal. */
export async function sha256(content) {
  const bytes = typeof content === "string" ? new TextEncoder().encode(content) : content;
  const digest = globalThis.crypto?.subtle
    ? await crypto.subtle.digest("SHA-256", bytes)
    : sha256_here(new Uint8Array(bytes));
  return [...new Uint8Array(digest)].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** The same without the browser's help; gives the 32 bytes. */
export function sha256_here(bytes) {
  const padded = new Uint8Array((((bytes.length + 8) >> 6) + 1) << 6);
  padded.set(bytes);
  padded[bytes.length] = 0x80;
  const view = new DataView(padded.buffer);
  view.setUint32(padded.length - 8, Math.floor(bytes.length / 2 ** 29));
  view.setUint32(padded.length - 4, (bytes.length << 3) >>> 0);
  const sum = Int32Array.from(BEGIN);
  const words = new Int32Array(64);
  for (let at = 0; at < padded.length; at += 64) block(view, at, words, sum);
  const digest = new DataView(new ArrayBuffer(32));
  sum.forEach((word, place) => digest.setInt32(4 * place, word));
  return digest.buffer;
}

const turned = (word, by) => (word >>> by) | (word << (32 - by));

function block(view, at, words, sum) {
  for (let t = 0; t < 64; t += 1) {
    if (t < 16) {
      words[t] = view.getInt32(at + 4 * t);
      continue;
    }
    const [late, early] = [words[t - 2], words[t - 15]];
    const one = turned(late, 17) ^ turned(late, 19) ^ (late >>> 10);
    const nought = turned(early, 7) ^ turned(early, 18) ^ (early >>> 3);
    words[t] = (one + words[t - 7] + nought + words[t - 16]) | 0;
  }
  let [a, b, c, d, e, f, g, h] = sum;
  for (let t = 0; t < 64; t += 1) {
    const one = turned(e, 6) ^ turned(e, 11) ^ turned(e, 25);
    const first = (h + one + ((e & f) ^ (~e & g)) + ROUND[t] + words[t]) | 0;
    const nought = turned(a, 2) ^ turned(a, 13) ^ turned(a, 22);
    const second = (nought + ((a & b) ^ (a & c) ^ (b & c))) | 0;
    [h, g, f, e, d, c, b, a] = [g, f, e, (d + first) | 0, c, b, a, (first + second) | 0];
  }
  [a, b, c, d, e, f, g, h].forEach((word, place) => (sum[place] = (sum[place] + word) | 0));
}
