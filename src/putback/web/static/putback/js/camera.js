// The camera: opened, its torch where the track has one, and watched for tags. Says in words why there
// is none; the keypad is always there.

import { openReader } from "./reader.js";

const EVERY_MS = 100;
const LOOKS = [["plain"], ["soft"], ["sharp"], ["black"]]; // one a frame: the next frame is a tenth of a second away
const FAULTS = {
  NotAllowedError: "The camera may not be used: allow it for this page in the browser's settings.",
  NotFoundError: "There is no camera here.",
  NotReadableError: "Something else is using the camera: close that, and load the page again.",
};

/** Opens the camera in a place marked data-camera: {video, stop} or, without one, null. */
export async function openCamera(place) {
  const video = place.querySelector("video");
  const said = place.querySelector("[data-camera-said]");
  let stream;
  try {
    stream = await streamOf();
  } catch (error) {
    const why = FAULTS[error.name] ?? error.message;
    said.textContent = [why, "Type the tag instead."].join(" ");
    place.classList.add("none");
    return null;
  }
  video.srcObject = stream;
  await video.play();
  video.hidden = false;
  said.textContent = "";
  withTorch(stream.getVideoTracks()[0], place.querySelector("[data-torch]"));
  const stop = () => stream.getTracks().forEach((track) => track.stop());
  addEventListener("pagehide", stop);
  return { video, stop };
}

async function streamOf() {
  if (!navigator.mediaDevices) {
    throw new Error("Browsers give the camera only to pages that came by https.");
  }
  return navigator.mediaDevices.getUserMedia({
    audio: false,
    video: { facingMode: { ideal: "environment" }, width: { ideal: 1280 }, height: { ideal: 720 } },
  });
}

function withTorch(track, button) {
  if (!track.getCapabilities?.().torch) return;
  button.hidden = false;
  button.addEventListener("click", async () => {
    const is_on = button.getAttribute("aria-pressed") !== "true";
    try {
      await track.applyConstraints({ advanced: [{ torch: is_on }] });
      button.setAttribute("aria-pressed", String(is_on));
    } catch {
      button.hidden = true; // it said it had one
    }
  });
}

/**
 * Watches a camera for tags until it is stopped. Calls `heard(tag)` when one comes into the picture,
 * not again while it stays there; `several()` when two or more are in it and nobody can say which is
 * meant.
 */
export async function watch({ video }, heard, several = () => {}) {
  const reader = await openReader();
  let last = "";
  let missed = 0;
  for (let look = 0; video.srcObject?.active; look += 1) {
    await new Promise((done) => setTimeout(done, EVERY_MS));
    if (document.hidden || video.readyState < 2) continue;
    let tags = [];
    try {
      tags = await reader.read(video, LOOKS[look % LOOKS.length]);
    } catch {
      continue; // a frame between two pictures; the next is on its way
    }
    if (tags.length === 1 && tags[0] !== last) {
      [last] = tags;
      if (navigator.userActivation?.hasBeenActive) navigator.vibrate?.(60);
      heard(last);
    } else if (tags.length > 1) several();
    missed = tags.length ? 0 : missed + 1;
    if (missed > 2 * LOOKS.length) last = "";
  }
}
