// The card of a job that is held, and the words of the main action.

import { copy, element, sentence } from "./dom.js";

const SHOWN = 3; // cautions beside those of this very job: a list and no wall

const lines = (texts) => texts.flatMap((text, at) => (at ? [element("br"), text] : [text]));

/** Builds the card of a job; `out` fixings of it are out by now, `is_all` is whether nothing but what is put off can be done. */
export function cardOf(card, { out = 0, is_unchecked = false, is_put_off = false, is_all = false, stands_so = true } = {}) {
  const shown = copy("t-card");
  const ends = card.close.map(({ name, ends: many, closed_with }) => {
    const named = many > 1 ? `${many} ends of ${name}` : name;
    return closed_with ? `${named}, closed with ${closed_with}` : named;
  });
  const holds = { stood: "Stands on", undone: "Undo" }[card.deed] ?? "Holds by";
  const facts = {
    unchecked: is_unchecked,
    about: [card.zone, card.takes, card.crew > 1 && `${card.crew} people`].filter(Boolean).map((each) => ` · ${each}`).join(""),
    verb: card.verb,
    title: card.title,
    begun: out > 0 && out < card.of ? `${out} of ${card.of} are out.` : "",
    put_off: is_put_off,
    nothing_else: is_all,
    cautions: cautionsOf(card),
    waits_for: card.waits_for,
    holds: card.fastenings.length ? holds : "",
    fastenings: lines(card.fastenings),
    torque: card.torque,
    renew: card.renew.join(", "),
    take_out: card.take_out.join("; "),
    tool: card.tool,
    first: lines([...card.marks.map(({ words }) => sentence(`Mark: ${words}`)), ...card.first.map(sentence)]),
    close: lines(ends),
    standing: card.standing && `${card.standing}${stands_so ? "" : " (it stands otherwise now)"}`,
    why: card.why.map(sentence).join(" "),
    can_hurt: card.can_hurt,
  };
  for (const [name, value] of Object.entries(facts)) {
    const is_there = Array.isArray(value) ? value.length > 0 : Boolean(value);
    for (const place of shown.querySelectorAll(`[data-of="${name}"]`)) {
      if (is_there) place.append(...[value].flat());
      const around = place.closest("dd, ul") ?? place;
      if (!is_there) around.remove();
    }
    if (!is_there) shown.querySelectorAll(`[data-line="${name}"]`).forEach((place) => place.remove());
  }
  return shown;
}

/** What can hurt: what to hold first, what lets go, and all cautions. */
function cautionsOf(card) {
  const first = [card.prop, card.support].filter(Boolean).map((words) => element("li", element("b", sentence(`First: ${words}`))));
  const drops = card.drops ? [element("li", sentence(`When the last one goes, ${card.drops}`))] : [];
  const all = card.cautions.map((words) => element("li", sentence(words)));
  return [...first, ...drops, ...all.slice(0, SHOWN), ...(all.length > SHOWN ? [more(all.slice(SHOWN))] : [])];
}

function more(lines) {
  const shown = copy("t-more-cautions");
  shown.querySelector("[data-list]").append(...lines);
  return shown;
}

/** The words of the main action: what was done. */
export function deedWords(card) {
  const words = document.getElementById("t-deeds").content.querySelector(`[data-deed="${card.deed}"]`);
  const more = {
    undone: card.pieces && `: ${card.pieces}`,
    off: card.parts.length > 1 && `: all ${card.parts.length} parts`,
    on: card.parts.length > 1 && `: all ${card.parts.length} parts`,
    made: `: ${card.tightness}`,
  }[card.deed];
  return `${words.textContent}${more || ""}`;
}
