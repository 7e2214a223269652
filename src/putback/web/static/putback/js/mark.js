// On every page: who is signed in on this phone, sending what waits, and the mark in the frame that
// says how many acts are queued.

import { whoAmI } from "./api.js";
import { signedIn, signIn } from "./identity.js";
import { queued, send, whenChanged } from "./queue.js";
import { NotKept } from "./store.js";

const mark = document.querySelector("[data-queue]");

async function show() {
  if (!mark) return;
  const all = await queued();
  const refused = all.filter(({ state }) => state === "refused").length;
  const waiting = all.filter(({ state }) => state === "waiting").length;
  mark.hidden = !all.length;
  const words = [
    waiting && `${waiting} queued`,
    refused && `${refused} not taken`,
    all.length - waiting - refused && `${all.length - waiting - refused} set aside`,
  ].filter(Boolean).join(", ");
  const link = mark.querySelector("a");
  if (link.textContent !== words) link.textContent = words;
  link.classList.toggle("refused", refused > 0);
}

try {
  const who = await signedIn();
  if (who && !who.name) whoAmI().then(signIn, () => {}); // asked again on the next page
  whenChanged(show);
  addEventListener("online", send);
  document.addEventListener("visibilitychange", () => document.hidden || send());
  await show();
  await send();
} catch (error) {
  if (!(error instanceof NotKept)) throw error; // without a place to keep things all is sent at once
}
