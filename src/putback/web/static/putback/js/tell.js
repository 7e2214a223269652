// The edge at which pages are told again, on the phone: whatever text scripts put into the page is
// told again before it is painted. What came from the server is told already, and stays: nothing
// that is German is a row of English (tests/language/test_phone.py).

import { ROWS } from "./german.js";
import { Reteller } from "./retell.js";

const SHOWN = ["aria-label", "title", "placeholder", "alt"];
const KEPT = 'script, style, textarea, pre, template, [translate="no"]';
const who = new Reteller(ROWS);

function tellText(node) {
  if (node.parentElement?.closest(KEPT)) return;
  const told = who.tell(node.data);
  if (told !== node.data) node.data = told;
}

function tellAttributes(element) {
  if (element.closest(KEPT)) return;
  for (const name of SHOWN) {
    const said = element.getAttribute(name);
    const told = said && who.tell(said);
    if (told && told !== said) element.setAttribute(name, told);
  }
}

function tellAll(node) {
  if (node.nodeType === Node.TEXT_NODE) tellText(node);
  if (node.nodeType !== Node.ELEMENT_NODE) return;
  const all = document.createTreeWalker(node, NodeFilter.SHOW_TEXT | NodeFilter.SHOW_ELEMENT);
  for (let each = node; each; each = all.nextNode()) {
    if (each.nodeType === Node.TEXT_NODE) tellText(each);
    else tellAttributes(each);
  }
}

new MutationObserver((changes) => {
  for (const { type, target, addedNodes } of changes) {
    if (type === "childList") addedNodes.forEach(tellAll);
    else if (type === "characterData") tellText(target);
    else tellAttributes(target);
  }
}).observe(document.documentElement, { subtree: true, childList: true, characterData: true, attributeFilter: SHOWN });
tellAll(document.documentElement); // what was put in before
