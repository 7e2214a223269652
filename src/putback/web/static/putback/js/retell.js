// Telling an English text again in another language, as language/retell.py and figures.py do on the
// server: as it stands, as a sentence, by a row with slots, or in pieces.

const NUMBER = "[+-]?\\d+(?:[.,]\\d+)?";
const TAG = "[0-9A-Z]{4}";
const SLOT = /\{(=?[a-z_][a-z_0-9]*)\}/;
const BREAKS = [/(?<=[.!?])(?<!\bNo\.) /g, / · /g, /; /g, /: /g];
const WHOLE = [BREAKS[0], /(?<=;) and /g];
const WITHIN = [/ \(|\)$/g, /, /g, / \+ /g, / → /g, / \/ /g, / (?:and|or) /g];
const ARTICLE = /(?:(?<=^)|(?<=, )|(?<= and )|(?<= or ))the /g;
const QUOTED = /(?<=”) (?:and|or) (?=“)/g;
const HARDWARE = /^\p{Nd}+ × /u;
const FASTENED = /( \+ |; |, (?=\p{Nd}+ × ))(?![^(]*\))/u;
const FASTENER = /^(\p{Nd}+ × )?(\p{Nd}+ )?(.+?)(?: \((.+)\))?$/u;
const MORE = /^(.+) and (\d+ more)$/;
const LETTERS = 6; // a row with fewer of its own counts only where all that is put in is known
const LEAD = /^[·,;:.] /;
const STOPS = ".:!?…,;";
const UNITS = new Set(
  ("kg g t lb oz kg/h g/m² kg/m³ mm cm m µm in ft km miles px mm² cm² m² in² ft² " +
    "cm³ m³ in³ l ml cc pint gal tpi m/s² " +
    "N daN kN N·m Nm kg·m lbf lbf·ft lb·ft lbf·in bar kPa MPa GPa psi V A kB MB GB " +
    "h min s ms d ° °C °F K % m/s km/h mph").split(" "),
);
const FIGURE = /^\(?[≈~±+\-]?\d+(?:\.\d+)?(?:\/\d+)?[%°]?[),;]?$/;
const NAMED = new Set("No. x UNF UNC UNS UNEF BSF BSW BSP BSPT BSB BSCy BA NPT AF LH".split(" "));
const SIZE = /^(?:M\d+(?:\.\d+)?(?:x\d+(?:\.\d+)?)?|\d+(?:\/\d+)?-\d+)$/;
const SIGNS = new Set("×x/-–+±=≈·");
const DAY = /^(?:(\d{1,2}) )?([A-Z][a-z]{2,8}) (\d{4})(, \d\d:\d\d)?$/;

const withComma = (number) => number.replace(/(?<=\d)\.(?=\d)/g, ",");
const isNumber = (slot) => slot === "n" || slot.startsWith("n_");
const whatFits = (slot) => (slot === "tag" ? TAG : isNumber(slot) ? NUMBER : ".+?");
const raised = (text) => text.slice(0, 1).toUpperCase() + text.slice(1);
const lowered = (text) => text.slice(0, 1).toLowerCase() + text.slice(1);
const isRaised = (text) => /^\p{Lu}/u.test(text);
const escaped = (text) => text.replace(/[.*+?^${}()|[\]\\/-]/g, "\\$&");

const isOfAFigure = (word) =>
  SIGNS.has(word) || UNITS.has(word.replace(/^[(),;]+|[(),;]+$/g, "")) || FIGURE.test(word);

/** Whether words are a formula with its numbers put in, like "S = T L = 2 N × 0.4 m = 0.8 N·m". */
const isAFormula = (words) => {
  const gives = words.slice(words.lastIndexOf("=") + 1);
  return words[1] === "=" && gives.length > 0 && gives.every(isOfAFigure);
};

const isOfASize = (word) => isOfAFigure(word) || NAMED.has(word) || SIZE.test(word);

/** A text as it stands, and without the stop at its end. */
const withoutEnd = (bare) =>
  STOPS.includes(bare.at(-1)) ? [[bare, ""], [bare.slice(0, -1), bare.at(-1)]] : [[bare, ""]];

/** A text with a stop at its end, but no second one behind an abbreviation. */
const ended = (text, end) => (end === "." && text.endsWith(".") ? text : text + end);

/** Tells texts again by rows: [English, other] each. */
export class Reteller {
  #rows;
  #patterns;
  #kinds;
  #told = new Map();

  constructor(rows) {
    this.#rows = new Map(rows);
    this.#kinds = new Set(rows.map(([english]) => english).filter((row) => this.#isKind(row)));
    const own = ([english]) => english.split(SLOT).filter((_, at) => at % 2 === 0).join("");
    const slotted = rows.filter(([english]) => SLOT.test(english));
    slotted.sort((a, b) => [...own(b)].length - [...own(a)].length || (a[0] < b[0] ? -1 : 1));
    this.#patterns = slotted.map(pattern);
  }

  /** Whether something is counted, one and many. */
  #isKind(row) {
    return this.#rows.has(`{n} ${row}`) && (this.#rows.has(`{n} ${row}s`) || this.#rows.has(`{n} ${row}es`));
  }

  /** Tells a text again; white space around it stays. */
  tell(text) {
    return this.told(text).text;
  }

  /** Gives {text, is_known}: the text told again, and whether all of it was known. */
  told(text) {
    if (!this.#told.has(text)) this.#told.set(text, this.#tellAnew(text));
    return this.#told.get(text);
  }

  #tellAnew(text) {
    const bare = text.replace(/[ \t\n\r\f]+/g, " ").trim();
    if (!/\p{L}/u.test(bare)) return { text: !bare.includes(",") && this.#figureTold(bare) ? withComma(text) : text, is_known: true };
    const [before] = /^\s*/.exec(text);
    const [after] = /\s*$/.exec(text);
    const told =
      this.#row(bare) ?? this.#led(bare) ?? this.#sentences(bare) ?? this.#hardware(bare) ?? this.#slotted(bare) ?? this.#figure(bare) ?? this.#parted(bare);
    return { text: `${before}${told.text}${after}`, is_known: told.is_known };
  }

  #sentences(bare) {
    for (const joint of WHOLE) {
      const pieces = this.#pieces(joint, bare);
      if (pieces.length && pieces.every(({ is_known }) => is_known)) return joined(pieces);
    }
    return undefined;
  }

  #row(bare) {
    for (const [said, end] of withoutEnd(bare)) {
      for (const row of [said, lowered(said), raised(said)]) {
        const other = this.#rows.get(row);
        if (!other) continue;
        const was_raised = isRaised(said) && !isRaised(row) && row !== raised(row);
        return { text: ended(was_raised ? raised(other) : other, end), is_known: true };
      }
    }
    return undefined;
  }

  #slotted(bare) {
    let found;
    for (const [said, end] of withoutEnd(bare).reverse()) {
      const fits = this.#fitting(said);
      if (!fits) continue;
      const told = { text: ended(fits.text, end), is_known: fits.is_known };
      if (told.is_known) return told;
      found ??= told;
    }
    return found;
  }

  #fitting(said) {
    let found;
    for (const row of this.#patterns) {
      const fit = row.fits.exec(said);
      if (!fit) continue;
      const name = row.slots.indexOf("name");
      if (row.is_short && name >= 0 && fit[1 + name].includes("; ")) continue; // a list is no name
      const told = this.#filled(row, fit, said);
      if (told.is_known) return told;
      if (!row.is_short) found ??= told;
    }
    return found;
  }

  #filled({ slots, other, begins }, fit, said) {
    const told = new Map(slots.map((slot, at) => [slot, this.#putIn(slot, fit[at + 1])]));
    const text = other.split(SLOT).map((piece, at) => (at % 2 ? told.get(piece).text : piece)).join("");
    const is_known = [...told.values()].every((each) => each.is_known);
    return { text: begins && said[0] !== begins && isRaised(said) ? raised(text) : text, is_known };
  }

  #putIn(slot, said) {
    if (slot.startsWith("=")) return this.told(said);
    if (isNumber(slot)) return { text: withComma(said), is_known: true };
    const more = slot.startsWith("some") && MORE.exec(said);
    return { text: more ? this.#andMore(more) : slot.startsWith("names") ? this.#listed(said) : said, is_known: true };
  }

  #andMore([, names, more]) {
    return `${names} ${this.#joint("and")} ${this.tell(more)}`;
  }

  #listed(said) {
    const names = said.replace(ARTICLE, "");
    const more = MORE.exec(names);
    if (more) return this.#andMore(more);
    if (names.includes("”")) {
      const told = names.replace(QUOTED, (joint) => this.#joint(joint));
      return told.replace(/[“”]/g, (sign) => this.#rows.get(sign) ?? sign);
    }
    const at = names.lastIndexOf(" and ");
    const joined_names = at < 0 ? names : names.slice(0, at) + this.#joint(" and ") + names.slice(at + 5);
    return joined_names.split(" or ").join(this.#joint(" or "));
  }

  #joint(joint) {
    const word = joint.trim();
    return word === "and" || word === "or" ? joint.replace(word, this.#rows.get(word) ?? word) : joint;
  }

  #figure(bare) {
    for (const [said, end] of withoutEnd(bare)) {
      const text = this.#figureTold(said);
      if (text) return { text: ended(text, end), is_known: true };
    }
    return undefined;
  }

  #figureTold(bare) {
    const day = DAY.exec(bare);
    if (day) {
      const [, number, month, year, clock = ""] = day;
      if (!this.#rows.has(month)) return undefined;
      return `${number ? `${number}. ` : ""}${this.#rows.get(month)} ${year}${clock}`;
    }
    const words = bare.split(" ");
    if (words.every(isOfASize) || isAFormula(words)) return withComma(bare);
    return this.#measured(words);
  }

  #measured(words) {
    const sized = /^\p{Nd}+$/u.test(words[0]) && words.length > 1 && this.#measured(words.slice(1));
    if (sized) return `${words[0]} ${sized}`;
    for (let end = words.length - 1; end > 0; end -= 1) {
      const rest = words.slice(end);
      if (!isOfASize(rest[0]) && !this.#rows.has(rest[0])) return undefined;
      const name = words.slice(0, end).join(" ");
      const thing = this.#rows.get(name) ?? this.#rows.get(lowered(name));
      if (!thing || !rest.some(isOfASize)) continue;
      const size = rest.map((each) => (isOfASize(each) ? each : this.#rows.get(each)));
      return `${thing} ${withComma(size.join(" "))}`;
    }
    return undefined;
  }

  #led(bare) {
    const lead = LEAD.exec(bare)?.[0];
    if (!lead) return undefined;
    const { text, is_known } = this.told(bare.slice(lead.length));
    return { text: lead + text, is_known };
  }

  #parted(bare) {
    for (const joint of BREAKS) {
      const pieces = this.#pieces(joint, bare);
      if (pieces.length > 1) return joined(pieces);
    }
    for (const joint of WITHIN) {
      const pieces = this.#pieces(joint, bare);
      if (pieces.length > 1 && pieces.every(({ is_known }) => is_known)) return joined(pieces);
    }
    const spec = bare.includes(", ") ? this.#spec(bare) : undefined;
    return spec === undefined ? { text: bare, is_known: false } : { text: spec, is_known: true };
  }

  #hardware(bare) {
    if (!HARDWARE.test(bare)) return undefined;
    const end = bare.endsWith(").") ? "." : "";
    const said = end ? bare.slice(0, -1) : bare;
    const [listed] = said.split(", of ", 1);
    const joint = said.slice(listed.length + 5);
    const pieces = listed.split(FASTENED);
    const found = pieces.filter((_, at) => at % 2 === 0).map((each) => this.#fastener(each));
    const stacked = pieces.filter((each) => each === " + ").length;
    if (!found.slice(0, 1 + stacked).some((each) => each.is_known)) return undefined;
    const text = pieces.map((each, at) => (at % 2 ? each : found[at / 2].text)).join("");
    const rest = joint ? `, ${this.#rows.get("of") ?? "of"} ${joint}` : "";
    return { text: `${text}${rest}${end}`, is_known: true };
  }

  #fastener(said) {
    const [, holes = "", each = "", bare, notes] = FASTENER.exec(said) ?? [];
    const spec = bare === undefined ? undefined : this.#spec(bare);
    if (spec === undefined) return HARDWARE.test(said) ? { text: said, is_known: false } : this.told(said);
    const aside = notes ? ` (${this.#wordsOfAPiece(notes)})` : "";
    return { text: holes + each + spec + aside, is_known: true };
  }

  #spec(said) {
    const [head] = said.split(", ", 1);
    const rest = said.slice(head.length + 2);
    const kind = this.#kinds.has(head) ? head : lowered(head);
    const thing = this.#kinds.has(kind) ? this.#rows.get(kind) : this.#measured(head.split(" "));
    return thing && (rest ? `${thing}, ${this.#wordsOfAPiece(rest)}` : thing);
  }

  #wordsOfAPiece(said) {
    const told = (each) => (each ? (this.#row(each) ?? this.#figure(each))?.text : undefined);
    return said.split(", ").map((each) => told(each) ?? each).join(", ");
  }

  #pieces(joint, bare) {
    const pieces = [];
    let at = 0;
    for (const found of bare.matchAll(joint)) {
      pieces.push(this.told(bare.slice(at, found.index)), { text: this.#joint(found[0]), is_known: true });
      at = found.index + found[0].length;
    }
    return at || pieces.length ? [...pieces, this.told(bare.slice(at))] : [];
  }
}

const joined = (pieces) => ({
  text: pieces.map(({ text }) => text).join(""),
  is_known: pieces.every(({ is_known }) => is_known),
});

/** Makes a row with slots ready. */
function pattern([english, other]) {
  const parts = english.split(SLOT);
  const slots = parts.filter((_, at) => at % 2);
  const begins = /^\p{L}/u.test(english) ? english[0] : "";
  const body = parts.map((part, at) => (at % 2 ? `(${whatFits(part)})` : escaped(part))).join("");
  const first = begins && `[${begins.toLowerCase()}${begins.toUpperCase()}]`;
  const is_short = (parts.filter((_, at) => at % 2 === 0).join("").match(/\p{L}/gu) ?? []).length < LETTERS;
  return { fits: new RegExp(`^${first}${begins ? body.slice(1) : body}$`), slots, other, begins, is_short };
}
