// Quantities as people type them, to plain figures in SI: the phone's reading of units/parse.py, by
// the same table of spellings (known.js).

import { QUANTITIES } from "./known.js";

const NUMBER = String.raw`(?:(?:\d+[ -])?\d+\/[1-9]\d*|\d*[.,]\d+|\d+\.?)`;
const LOOKALIKES = { "″": '"', "”": '"', "“": '"', "′": "'", "’": "'", "‘": "'", "–": "-", "−": "-",
  "⋅": "·", "•": "·", "⁄": "/", "²": "2", "³": "3" };
const HOURS = "(?:hours|hour|hrs|hr|h)";
const MINUTES = "(?:minutes|minute|mins|min|m)";
const DURATION = new RegExp(
  `^(?:(\\d+):([0-5]\\d)(?: ?${HOURS})?` +
    `|(?:(${NUMBER}) ?${HOURS})?(?: ?(?:and )?(${NUMBER}) ?${MINUTES})?` +
    `|(\\d+) ?${HOURS} ?([0-5]?\\d))\\.?$`,
  "i",
);

function tidy(text) {
  const spelt = text.replace(/[¼-¾⅐-⅞]/g, (sign) => ` ${sign.normalize("NFKC")}`);
  const plain = [...spelt].map((each) => LOOKALIKES[each] ?? each).join("");
  return plain.replaceAll("''", '"').trim().split(/\s+/).join(" ");
}

function read(number) {
  const [vulgar, whole = "0"] = number.replace("-", " ").split(" ").reverse();
  const [over, under = "1"] = vulgar.replace(",", ".").split("/");
  return Number(whole) + Number(over) / Number(under);
}

const wrong = (text, name, mend) => new Error(`Cannot read '${text}' as ${name}: ${mend}.`);
const isGrouped = (text) => /(?<!\d)[1-9]\d{0,2},\d{3}(?!\d)/.test(text);

/** Reads a time of work [minutes]. */
export function minutes(text) {
  const tidied = tidy(text);
  const found = tidied && DURATION.exec(tidied);
  if (!found || isGrouped(tidied)) {
    throw wrong(text, "a time of work", "write it like '1 h 30 min', '1:30' or '90 min'");
  }
  const [, clock, past, hours, rest, whole, left] = found;
  const sum = (...parts) => parts.filter(Boolean).reduce((so_far, each) => so_far + read(each), 0);
  return 60 * sum(clock, hours, whole) + sum(past, rest, left);
}

/** Reads the value of a field that is typed as a quantity, in the unit that its name says. */
export function quantity(field, text) {
  if (field === "minutes") return minutes(text);
  const { name, example, bare, in_terms, factors, ambiguous } = QUANTITIES[field];
  const tidied = tidy(text);
  if (isGrouped(tidied)) {
    throw wrong(text, name, "leave the comma out of thousands, or write a point");
  }
  const numbers = [...tidied.matchAll(new RegExp(`(?:^|(?<=[\\s"']))${NUMBER}`, "g"))];
  if (!numbers.length || numbers[0].index || (numbers.length > 1 && !in_terms)) {
    throw wrong(text, name, `write it like ${example}`);
  }
  return numbers.reduce((total, number, at) => {
    const end = numbers[at + 1]?.index ?? tidied.length;
    const is_inches = field === "misfit_m" && number[0] === tidied && tidied.includes("/");
    const said = tidied.slice(number.index + number[0].length, end).trim();
    const unit = said || (numbers.length === 1 ? (is_inches ? "in" : bare) : "");
    const key = unit.toLowerCase().replace(/[ .·*-]/g, "");
    if (ambiguous[key]) throw wrong(text, name, ambiguous[key]);
    if (!(key in factors)) throw wrong(text, name, `write it like ${example}`);
    return total + read(number[0]) * factors[key];
  }, 0);
}
