// The canonical form of a JSON document, as the server and docs/file-format.md have it: keys sorted,
// no white space. A number is written as Python writes it, so that both digest the same bytes.

/** Writes a document in its one canonical form. */
export function canonical(value) {
  if (Array.isArray(value)) return `[${value.map(canonical).join(",")}]`;
  if (value && typeof value === "object") {
    const keys = Object.keys(value).filter((key) => value[key] !== undefined).sort();
    return `{${keys.map((key) => `${text(key)}:${canonical(value[key])}`).join(",")}}`;
  }
  if (typeof value === "string") return text(value);
  if (typeof value === "number") return number(value);
  return JSON.stringify(value ?? null);
}

/** Half a character, as a keyboard may leave it, can be read by nobody. */
function text(said) {
  return JSON.stringify(said.toWellFormed ? said.toWellFormed() : said);
}

function number(value) {
  if (!Number.isFinite(value)) throw new RangeError(`${value} is not a number`);
  const is_small = value !== 0 && Math.abs(value) < 1e-4;
  return is_small ? value.toExponential().replace(/e-(\d)$/, "e-0$1") : JSON.stringify(value);
}
