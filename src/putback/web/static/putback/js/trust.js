// Finds out whether this phone trusts this machine: what is fetched by https comes, or it does not.
// The answer itself cannot be read, as it is another origin's, and need not be.

const line = document.getElementById("trusted");
if (line) {
  line.textContent = "Finding out ...";
  try {
    await fetch(line.dataset.test, { mode: "no-cors", cache: "no-store", credentials: "omit" });
    line.textContent = "Yes: this phone trusts this machine.";
    document.getElementById("go-on").hidden = false;
  } catch {
    line.textContent = "Not yet: this phone does not trust this machine. Go through the steps below.";
  }
}
