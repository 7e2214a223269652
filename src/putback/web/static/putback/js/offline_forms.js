// What is asked before a held job is logged, nearly all of it answered: fields as js/fields.js reads
// them, beginning with what the server said the job is logged as.

import { copy, element, one, put, tie } from "./dom.js";
import { fieldsOf } from "./fields.js";

const words = (name) => document.getElementById("t-words").getAttribute(`data-say-${name}`);
const hidden = (name, value) => element("input", [], { type: "hidden", name, value });

/** Hidden fields of entries, numbered from `first` on. */
function* entries(log, first = 1) {
  for (const [at, entry] of log.entries()) {
    for (const [path, value] of fieldsOf(entry)) yield hidden(`${first + at}.${path}`, value);
  }
}

function count(label, name, value, most) {
  const made = copy("t-count");
  const field = made.querySelector("input");
  Object.assign(field, { name, value });
  field.dataset.most = most;
  made.querySelector("label").textContent = label;
  tie(made.querySelector("label"), field);
  return made;
}

function choice(template, label, name, value, checked = false) {
  const made = copy(template);
  const field = made.querySelector("input");
  Object.assign(field, { name, value, checked });
  put(made, "[data-words]", label);
  tie(made, field);
  return made;
}

function typed(label, name, hint = "") {
  const made = copy("t-text");
  const field = made.querySelector("input");
  field.name = name;
  made.querySelector("label").textContent = label;
  put(made, "[data-hint]", hint);
  tie(made.querySelector("label"), field);
  return made;
}

const title = (text) => `${text[0].toUpperCase()}${text.slice(1)}`;

function went(bag) {
  const made = copy("t-went");
  for (const label of made.querySelectorAll("label")) tie(label, label.querySelector("input"));
  made.querySelector("[data-bag]").value = bag?.tag ?? "";
  made.querySelector(`[value="${bag ? "tag" : "not recorded"}"]`).checked = true;
  put(made, "[data-hint]", bag && `${bag.tag} ${words(bag.in_use ? "used" : "free")}`);
  return made;
}

function places(held, name) {
  const made = copy("t-place");
  const field = made.querySelector("select");
  field.name = name;
  field.append(...held.places.map((each) => element("option", each.name, { value: each.place })));
  tie(made.querySelector("label"), field);
  return made;
}

/** The fields of a job: `log` is what it is logged as. */
export function fieldsFor(held, { card, log }, { bag, person } = {}) {
  switch (card.deed) {
    case "undone":
      return [
        ...[...entries(log)].filter(({ name }) => name !== "1.out"),
        count(`${words("out")} ${card.of}`, "1.out", card.of, card.of),
        ...closings(card),
        ...(card.has_pieces ? [went(bag)] : []),
      ];
    case "off": {
      const marks = card.marks.flatMap((mark, at) => [
        choice("t-tick-entry", `${words("marked")} ${mark.words}`, `${at + 1}.kind`, "mark made"),
        ...["part", "how", "where", "record"].map((name) => hidden(`${at + 1}.${name}`, mark[name])),
      ]);
      const first = card.marks.length + 1;
      const where = [places(held, `${first}.place`), typed(words("tag"), `${first}.tag`)];
      return [...marks, ...entries(log, first), ...(log.length === 1 ? where : [])];
    }
    case "on":
      return [...entries(log), ...(log.length === 1 ? [choice("t-tick-entry", words("renewed"), "1.renewed", "true")] : [])];
    case "made":
      return [
        ...[...entries(log)].filter(({ name }) => name !== "1.tightness"),
        element("fieldset", [
          element("legend", words("how-far")),
          ...card.tightnesses.map((each) => choice("t-radio", title(each), "1.tightness", each, each === card.tightness)),
        ]),
        ...(card.tightness === "finger tight" ? [] : [typed(words("torque"), "1.torque_nm", [card.torque, words("torque-hint")].filter(Boolean).join(". "))]),
      ];
    case "stood": {
      const made = copy("t-stood");
      for (const label of made.querySelectorAll("label")) tie(label, label.querySelector("input"));
      one(made, "[data-me]").value = person ?? "";
      return [...entries(log), made];
    }
    case "prepared":
      return [...entries(log), typed(words("how"), "1.how")];
    case "done":
      return [...entries(log), typed(words("note"), "1.note")];
    default:
      return [...entries(log)];
  }
}

function closings(card) {
  return card.close.flatMap((end, at) => [
    choice("t-tick-entry", `${words("closed")} ${end.name}${end.ends > 1 ? `, ${end.ends} ends` : ""}`, `${at + 2}.kind`, "opening closed"),
    hidden(`${at + 2}.opening`, end.opening),
    ...(end.closed_with ? [hidden(`${at + 2}.closed_with`, end.closed_with)] : []),
  ]);
}

/** The fields of a joint that is stuck: so many of so many are out. */
export function stuckFields({ card }, { bag, out = 0 } = {}) {
  const share = [
    count(`${words("out")} ${card.of}`, "1.out", out, card.of),
    count(words("stuck"), "1.stuck", Math.max(0, card.of - out), card.of),
  ];
  for (const each of share) each.querySelector("input").dataset.share = "";
  return [
    hidden("1.kind", "joint undone"),
    hidden("1.joint", card.identity),
    hidden("1.of", card.of),
    ...share,
    ...(card.has_pieces ? [went(bag)] : []),
  ];
}
