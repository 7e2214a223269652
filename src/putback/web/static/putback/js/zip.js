// A zip file of what is stored as it is, without compression (PKWARE's APPNOTE, 4.3 and 4.4).

const CRC = new Uint32Array(256).map((_, byte) => {
  let rest = byte;
  for (let bit = 0; bit < 8; bit += 1) rest = rest & 1 ? 0xedb88320 ^ (rest >>> 1) : rest >>> 1;
  return rest;
});

function crc32(bytes) {
  let sum = 0xffffffff;
  for (const byte of bytes) sum = CRC[(sum ^ byte) & 0xff] ^ (sum >>> 8);
  return (sum ^ 0xffffffff) >>> 0;
}

/** Puts numbers of so many bytes each one after the other, the lowest byte first. */
function record(...fields) {
  const bytes = new Uint8Array(fields.reduce((length, [size]) => length + size, 0));
  let at = 0;
  for (const [size, value] of fields) {
    for (let byte = 0; byte < size; byte += 1) bytes[at + byte] = Math.floor(value / 2 ** (8 * byte));
    at += size;
  }
  return bytes;
}

const VERSION = 20; // needed to read it: 2.0
const UTF8 = 0x0800;
const NO_TIME = 0;
const FIRST_DAY = 0x21; // 1980-01-01, the first that can be said

/** Makes the file of [name, content]; content is a text or an ArrayBuffer. */
export function zip(members) {
  const parts = [];
  const directory = [];
  let offset = 0;
  for (const [name, content] of members) {
    const called = new TextEncoder().encode(name);
    const bytes = typeof content === "string" ? new TextEncoder().encode(content) : new Uint8Array(content);
    const common = [[2, VERSION], [2, UTF8], [2, 0], [2, NO_TIME], [2, FIRST_DAY],
      [4, crc32(bytes)], [4, bytes.length], [4, bytes.length], [2, called.length], [2, 0]];
    const head = record([4, 0x04034b50], ...common);
    parts.push(head, called, bytes);
    directory.push(
      record([4, 0x02014b50], [2, VERSION], ...common, [2, 0], [2, 0], [2, 0], [4, 0], [4, offset]),
      called,
    );
    offset += head.length + called.length + bytes.length;
  }
  const size = directory.reduce((length, each) => length + each.length, 0);
  const count = members.length;
  const end = record([4, 0x06054b50], [2, 0], [2, 0], [2, count], [2, count], [4, size], [4, offset], [2, 0]);
  return new Blob([...parts, ...directory, end], { type: "application/zip" });
}
