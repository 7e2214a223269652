// Logging: every form marked data-log goes through the phone's queue as one act. What came of it is
// shown with ten seconds to strike it out; where no server answers it is shown as queued at once. The
// page hears "logged" when the server has it, the form "kept" when the phone or the server has; with
// data-then it goes on to that page, which says so. Without this script the same form is sent as it
// is, to its own address.

import { saveBundle } from "./bundle.js";
import { entriesOf } from "./fields.js";
import { clearFault, faultWords, sentenceOf, showFault } from "./form_words.js";
import { enqueue, queuedAct, send, strike, withdraw } from "./queue.js";
import { NotKept } from "./store.js";

const SHOWN_MS = 10_000;

/** What the vehicle of this page is called, and its logbook. */
export function ofThisPage() {
  const { logbook, vehicle } = document.body.dataset;
  return { logbook, vehicle };
}

const OUTCOME_MS = 4_000; // a person is told "queued" when nothing is known by then

/** Waits until an act is sent or refused; `undefined` if nothing is known of it in time. */
function outcome(act, within_ms = OUTCOME_MS) {
  return new Promise((done) => {
    const heard = ({ detail }) => {
      const is_over = detail.act === act && (detail.state === "sent" || detail.state === "refused");
      if (is_over || detail.halt) finish(is_over ? detail : undefined);
    };
    const late = setTimeout(() => finish(), within_ms);
    const finish = (detail) => {
      clearTimeout(late);
      document.removeEventListener("queue", heard);
      done(detail);
    };
    document.addEventListener("queue", heard);
  });
}

/**
 * Logs an act by the queue and gives what came of it so far: {act, state, sentences, cautions}, its
 * state "sent", "refused" (with the `reason`, and it as a `message`) or "waiting". Throws what kept it
 * from being queued.
 */
export async function log(said) {
  const { act, photos } = await enqueue(said);
  send();
  const came = await outcome(act);
  const left = came?.state === "sent" ? undefined : await queuedAct(act);
  return {
    act,
    photos,
    state: came?.state ?? "waiting",
    reason: left?.reason,
    message: left?.reason && faultWords(left.reason),
    sentences: came?.answer?.sentences ?? said.sentences ?? [],
    cautions: came?.answer?.cautions ?? [],
  };
}

/** Shows what was logged for ten seconds, with a button to strike it out. */
export function say(logged) {
  const line = document.getElementById("said-line").content.cloneNode(true).firstElementChild;
  const waits = logged.state === "waiting" ? ["Queued on this phone."] : [];
  line.querySelector("[data-words]").textContent = [...waits, ...logged.sentences].join(" ");
  const button = line.querySelector("button");
  button.addEventListener("click", async () => {
    button.disabled = true;
    try {
      const { act } = await strike(logged.act, ofThisPage());
      send();
      const came = await outcome(act);
      const words = came?.answer?.sentences.join(" ") ?? "The striking out is queued on this phone.";
      show(plain(words, "status"));
      announce(came);
    } catch (error) {
      show(plain(error.message, "alert"));
    }
  });
  show(line);
}

/** Pieces of the page are asked for anew when the server knows more than before. */
function announce(came) {
  if (came?.state !== "sent") return;
  document.body.dispatchEvent(new CustomEvent("logged", { bubbles: true, detail: came }));
}

/** What went wrong; what found no room on this phone can be saved as a file. */
function complain(error) {
  const line = plain(error.message, "alert");
  if (error.act && error instanceof NotKept) line.append(saver(error.act, error.files));
  show(line);
}

function saver(act, files) {
  const button = document.createElement("button");
  button.type = "button";
  button.className = "button small";
  button.textContent = "Save it as a file";
  button.addEventListener("click", () => saveBundle([act], files));
  return button;
}

function plain(words, role) {
  const line = document.createElement("div");
  line.className = "said";
  line.setAttribute("role", role);
  const said = document.createElement("span");
  said.textContent = words;
  line.append(said);
  return line;
}

let timer;
function show(line) {
  document.getElementById("said").replaceChildren(line);
  clearTimeout(timer);
  if (line.getAttribute("role") !== "alert") timer = setTimeout(() => line.remove(), SHOWN_MS);
}

const NOT_MEANT = new Set([400, 422]); // the form can be mended

/** Gives a refused act back to its form; if that is gone, it stays in the queue with its reason. */
async function giveBack(form, button, { act, reason, message }) {
  if (!form.isConnected || !NOT_MEANT.has(reason?.status)) throw new Error(message);
  await withdraw(act);
  document.getElementById("said").replaceChildren();
  if (button) button.disabled = false;
  showFault(form, button, reason);
}

const left = new Set(); // buttons of forms that led to another page

document.addEventListener("submit", async (event) => {
  const form = event.target;
  if (!(form instanceof HTMLFormElement) || !form.hasAttribute("data-log")) return;
  event.preventDefault();
  const button = event.submitter;
  const fields = new FormData(form, button);
  const media = fields.getAll("media");
  if (button) button.disabled = true; // a glove presses twice
  let is_leaving = false;
  try {
    const said = { ...ofThisPage(), entries: entriesOf(fields), media, sentences: [sentenceOf(form, button, media.length)] };
    clearFault(form);
    const logged = await log(said);
    if (logged.state === "refused") {
      await giveBack(form, button, logged);
      return;
    }
    form.dispatchEvent(new CustomEvent("kept", { bubbles: true, detail: logged }));
    const can_go_on = logged.state === "sent" || navigator.serviceWorker?.controller;
    if (form.dataset.then && can_go_on) {
      is_leaving = true;
      location.assign(`${form.dataset.then}?logged=${encodeURIComponent(logged.act)}`);
      return;
    }
    say(logged);
    announce(logged);
  } catch (error) {
    is_leaving = error instanceof NotKept && !error.isFull && !media.length;
    if (is_leaving) sendWithoutScript(form, button);
    else complain(error);
  } finally {
    if (button && !is_leaving) button.disabled = false; // else until the next page is there
    if (button && is_leaving) left.add(button);
  }
});

window.addEventListener("pageshow", ({ persisted }) => {
  if (!persisted) return; // the browser kept the page, and somebody came back to it
  for (const button of left) button.disabled = false;
  left.clear();
});

/** A browser that keeps nothing for us logs as it would without this script. */
function sendWithoutScript(form, button) {
  const pressed = document.createElement("input");
  if (button?.name) {
    Object.assign(pressed, { type: "hidden", name: button.name, value: button.value });
    form.append(pressed);
  }
  form.submit();
  pressed.remove(); // it goes along once: the form may be sent again
}

// A page that came from a form sent without this script says the same for the same ten seconds.
const served = document.querySelector("#said [data-act]");
if (served) {
  say({ act: served.dataset.act, state: "sent", sentences: [served.textContent.trim()] });
  const address = new URL(location.href);
  address.searchParams.delete("logged");
  history.replaceState(null, "", address); // loaded again, the page does not say it again
}
