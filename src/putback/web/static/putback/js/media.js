// Sending the bytes of a photo or sound to the API, ahead of the entry that names them.

/** Sends one file; gives what the API says of it, and throws with words for a person. */
export async function send(address, file) {
  let response;
  try {
    response = await fetch(`${address}?name=${encodeURIComponent(file.name ?? "")}`, {
      method: "POST",
      headers: {
        "Content-Type": file.type || "application/octet-stream",
        "X-CSRFToken": JSON.parse(document.body.getAttribute("hx-headers"))["X-CSRFToken"],
      },
      body: file,
    });
  } catch {
    throw new Error("Not saved: the server does not answer. Try again.");
  }
  const answer = await response.json().catch(() => ({}));
  if (!response.ok) throw new Error(answer.message ?? "Not saved: the server did not take it.");
  return answer;
}
