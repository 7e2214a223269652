// What is said in a form, as the body of an entry: the phone's reading of workshop/saying/plain.py. What
// cannot be meant is refused here, in the form; the rest is the server's to judge.

import { QUANTITIES, VERSIONS } from "./known.js";
import { readTag } from "./tag.js";
import { quantity } from "./units.js";

const TAGS = new Set(["tag", "source_tag", "to_tag"]);
const PLAIN_NUMBER = /^[-+]?[0-9]*\.?[0-9]+(e[-+]?[0-9]+)?$/i;

/** Reads {kind, ...fields} as {kind, version, body}; throws what is wrong with it. */
export function bodyOf(said) {
  const { kind, its_kind, all_went, ...body } = said;
  if (!kind) throw new Error("An entry needs its kind.");
  if (its_kind !== undefined) body.kind = its_kind;
  if (kind === "joint undone" && all_went !== undefined && all_went !== "tag") {
    delete body.tag;
    body.went = [{ to: all_went, fixings: body.out ?? 1 }];
  }
  return { kind, version: VERSIONS[kind] ?? 1, body: meant("", body) };
}

function meant(name, value) {
  if (Array.isArray(value)) return value.map((each) => meant("", each));
  if (value && typeof value === "object") {
    return Object.fromEntries(Object.entries(value).map(([key, each]) => [key, meant(key, each)]));
  }
  if (typeof value !== "string") return value;
  if (TAGS.has(name)) return readTag(value);
  const is_quantity = name === "minutes" || name in QUANTITIES;
  return is_quantity && !PLAIN_NUMBER.test(value.trim()) ? quantity(name, value) : value;
}
