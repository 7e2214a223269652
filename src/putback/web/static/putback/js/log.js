// Logging: every form marked data-log goes to the API as one act. What came of it is shown with ten
// seconds to strike it out, and the page hears "logged"; with data-then it goes on to that page, which
// says so. Without this script the same form is sent
// as it is, to its own address.
//
// Fields are named by the entry's number and the path in its body: "1.kind", "1.joint",
// "1.went.0.count"; "[]" at the end gathers values in a list. Empty fields are left out, and so is an
// entry without a kind: a tick or a button that bears the kind chooses whether it is made. The same
// is read on the server by pages/act_form.py.

const SHOWN_MS = 10_000;
const NUMBER = /^[0-9]+$/;

/** Reads named values as the entries of one act. */
export function entriesOf(fields) {
  const entries = [];
  for (const [name, value] of fields) {
    const [number, ...path] = name.split(".");
    if (!/^[1-9][0-9]?$/.test(number) || !path.length || value === "") continue;
    place((entries[Number(number) - 1] ??= {}), path, value);
  }
  return entries.filter((entry) => entry?.kind);
}

function place(into, path, value) {
  let at = into;
  path.slice(0, -1).forEach((step, depth) => {
    at = at[step] ??= NUMBER.test(path[depth + 1]) ? [] : {};
  });
  const last = path.at(-1);
  if (last.endsWith("[]")) (at[last.slice(0, -2)] ??= []).push(value);
  else at[last] = value;
}

/** Sends a document to the API and gives its answer; throws with words for a person. */
export async function post(address, said) {
  let response;
  try {
    response = await fetch(address, {
      method: "POST",
      headers: { "Content-Type": "application/json", "X-CSRFToken": csrf() },
      body: JSON.stringify(said),
    });
  } catch {
    throw new Error("Not saved: the server does not answer. Try again.");
  }
  const answer = await response.json().catch(() => ({}));
  if (!response.ok) {
    throw new Error(answer.message ?? "Not saved: load the page again and send it once more.");
  }
  return answer;
}

function csrf() {
  return JSON.parse(document.body.getAttribute("hx-headers"))["X-CSRFToken"];
}

/** Shows what was logged for ten seconds, with a button to strike it out. */
export function say(logged) {
  const line = document.getElementById("said-line").content.cloneNode(true).firstElementChild;
  line.querySelector("[data-words]").textContent = logged.sentences.join(" ");
  const strike = line.querySelector("button");
  strike.addEventListener("click", async () => {
    strike.disabled = true;
    try {
      const struck = await post(strike.dataset.api, { what: logged.act });
      show(plain(struck.sentences.join(" "), "status"));
      document.body.dispatchEvent(new CustomEvent("logged", { bubbles: true, detail: struck }));
    } catch (error) {
      show(plain(error.message, "alert"));
    }
  });
  show(line);
}

function plain(words, role) {
  const line = document.createElement("div");
  line.className = "said";
  line.setAttribute("role", role);
  line.textContent = words;
  return line;
}

let timer;
function show(line) {
  document.getElementById("said").replaceChildren(line);
  clearTimeout(timer);
  if (line.getAttribute("role") !== "alert") timer = setTimeout(() => line.remove(), SHOWN_MS);
}

document.addEventListener("submit", async (event) => {
  const form = event.target;
  if (!(form instanceof HTMLFormElement) || !form.hasAttribute("data-log")) return;
  event.preventDefault();
  const button = event.submitter;
  const entries = entriesOf(new FormData(form, button));
  if (button) button.disabled = true; // a glove presses twice
  try {
    const logged = await post(form.dataset.log, { entries });
    if (form.dataset.then) {
      location.assign(`${form.dataset.then}?logged=${encodeURIComponent(logged.act)}`);
      return;
    }
    say(logged);
    document.body.dispatchEvent(new CustomEvent("logged", { bubbles: true, detail: logged }));
  } catch (error) {
    show(plain(error.message, "alert"));
  } finally {
    if (button) button.disabled = false;
  }
});

// A page that came from a form sent without this script says the same for the same ten seconds.
const served = document.querySelector("#said [data-act]");
if (served) {
  say({ act: served.dataset.act, sentences: [served.textContent.trim()] });
  const address = new URL(location.href);
  address.searchParams.delete("logged");
  history.replaceState(null, "", address); // loaded again, the page does not say it again
}
