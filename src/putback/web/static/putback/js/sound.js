// Speaking a note: the button is there where the browser can record. What was spoken goes the way of
// a chosen file. What keeps it from being recorded is said in words, and may be tried again.

const MOST_MS = 5 * 60_000;
const WHY = {
  NotAllowedError: "This page may not use the microphone. Allow it in the browser's settings, or choose a sound.",
  NotFoundError: "No microphone is there. Choose a sound instead.",
  NotReadableError: "Another program holds the microphone. Close it and try again, or choose a sound.",
};
const minutes = (ms) => `${Math.floor(ms / 60_000)}:${String(Math.floor(ms / 1000) % 60).padStart(2, "0")}`;

/** Lets notes be spoken into a form, at its place marked data-speak. */
export function hear(place) {
  const button = place.querySelector("button");
  const said = place.querySelector("[data-spoken]");
  let recorder;
  let clock;

  function rest(words = "") {
    clearInterval(clock);
    recorder = undefined;
    button.textContent = "Speak a note";
    button.removeAttribute("aria-pressed");
    said.textContent = words;
  }

  async function begin() {
    const stream = await navigator.mediaDevices.getUserMedia({ audio: true });
    const begun = Date.now();
    const pieces = [];
    recorder = new MediaRecorder(stream);
    recorder.addEventListener("dataavailable", ({ data }) => pieces.push(data));
    recorder.addEventListener("stop", () => {
      stream.getTracks().forEach((track) => track.stop());
      const [type] = recorder.mimeType.split(";");
      const file = new File(pieces, `spoken note of ${minutes(Date.now() - begun)}`, { type });
      rest(file.size ? "" : "Nothing was heard. Try again, or choose a sound.");
      if (file.size) place.closest("form").dispatchEvent(new CustomEvent("media", { detail: file }));
    });
    recorder.start();
    button.textContent = "Stop and keep what you said";
    button.setAttribute("aria-pressed", "true");
    said.textContent = "Recording.";
    clock = setInterval(() => {
      button.textContent = `Stop and keep what you said, ${minutes(Date.now() - begun)}`;
      if (Date.now() - begun > MOST_MS || !place.isConnected) recorder.stop();
    }, 1000);
  }

  button.addEventListener("click", async () => {
    if (recorder) return recorder.stop();
    try {
      await begin();
    } catch ({ name }) {
      rest(WHY[name] ?? "The microphone does not answer. Try again, or choose a sound.");
    }
  });
  place.hidden = !(navigator.mediaDevices?.getUserMedia && window.MediaRecorder);
}

const written = document.querySelector("[data-speak]"); // by the server
if (written) hear(written);
