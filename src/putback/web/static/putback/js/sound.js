// Speaking a note: the button is there where the browser can record. What was spoken goes the way of
// a chosen file.

const place = document.querySelector("[data-speak]");
const button = place?.querySelector("button");
const MOST_MS = 5 * 60_000;
let recorder;

if (place && navigator.mediaDevices?.getUserMedia && window.MediaRecorder) place.hidden = false;

async function begin() {
  const stream = await navigator.mediaDevices.getUserMedia({ audio: true });
  const pieces = [];
  recorder = new MediaRecorder(stream);
  recorder.addEventListener("dataavailable", ({ data }) => pieces.push(data));
  recorder.addEventListener("stop", () => {
    stream.getTracks().forEach((track) => track.stop());
    const [type] = recorder.mimeType.split(";");
    const file = new File(pieces, "spoken note", { type });
    place.closest("form").dispatchEvent(new CustomEvent("media", { detail: file }));
    recorder = undefined;
    button.textContent = "Speak a note";
    button.removeAttribute("aria-pressed");
  });
  recorder.start();
  button.textContent = "Stop and keep what you said";
  button.setAttribute("aria-pressed", "true");
  setTimeout(() => recorder?.stop(), MOST_MS);
}

button?.addEventListener("click", async () => {
  if (recorder) return recorder.stop();
  try {
    await begin();
  } catch {
    button.textContent = "The microphone is not allowed: choose a sound instead";
    button.disabled = true;
  }
});
