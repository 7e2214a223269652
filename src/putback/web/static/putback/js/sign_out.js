// Signing out: what the phone holds is forgotten; what is queued stays, and is said first. Without a
// network nobody is signed out, as the server would not know.

import { one, put } from "./dom.js";
import { forget } from "./held.js";
import { signedIn } from "./identity.js";
import { queued, whenChanged } from "./queue.js";

const form = document.querySelector("form[data-sign-out]");

async function tell() {
  const who = await signedIn();
  const all = await queued();
  const others = all.filter(({ person }) => person !== who?.person);
  const names = [...new Set(others.map(({ name }) => name))];
  const own = all.length - others.length;
  const words = [
    own === 1 && "1 act is queued on this phone and not sent yet.",
    own > 1 && `${own} acts are queued on this phone and not sent yet.`,
    own && "They stay here, and are sent when you sign in again.",
    others.length === 1 && `1 act waits here for ${names[0]} to sign in.`,
    others.length > 1 && `${others.length} acts wait here for ${names.join(" and ")} to sign in.`,
  ].filter(Boolean).join(" ");
  put(form, "[data-queued-here]", words);
}

form?.addEventListener("submit", async (event) => {
  event.preventDefault();
  const button = one(form, "button");
  button.disabled = true;
  try {
    const answer = await fetch(form.action, { method: "POST", body: new FormData(form) });
    if (!answer.ok) throw new Error(String(answer.status));
    await forget();
    location.assign(answer.url);
  } catch {
    put(form, "[data-sign-out-fault]", "You are still signed in: the server does not answer. Try again with a network.");
    button.disabled = false;
  }
});

if (form) {
  whenChanged(tell);
  await tell();
}
