"""What a test sees of the queue on a phone, and of what the server has of it."""

import json
from urllib.request import Request, urlopen

from tests.web.site import PASSWORD

MODULE = """async ([name, work, given]) => {
  const at = document.querySelector("script[src$='/mark.js']").src.replace("mark.js", "");
  const module = await import(`${at}${name}.js`);
  return new Function("module", "given", `return (async () => {${work}})()`)(module, given);
}"""


def run(page, name, work, given=None):
    """Run a piece of script with one of the page's own modules."""
    return page.evaluate(MODULE, [name, work, given])


def stored(served, logbook=None):
    """The entries that the server has, by id, as it received them."""
    address = f"{served.address}/api/vehicles/{logbook or served.empty}/entries"
    entries, rows = [], [{"position": 0}]
    while rows:
        after = f"{address}?after={rows[-1]['position']}"
        asked = Request(after, headers={"Authorization": f"Bearer {served.token}"})
        with urlopen(asked) as answer:
            rows = json.load(answer)["entries"]
        entries += [each["entry"] for each in rows]
    assert len({each["id"] for each in entries}) == len(entries), "an entry is there twice"
    return {each["id"]: each for each in entries}


def new_vehicle(served, name):
    """Begin a vehicle of the owner's."""
    asked = Request(
        f"{served.address}/api/vehicles",
        data=json.dumps({"name": name}).encode(),
        headers={"Authorization": f"Bearer {served.token}", "Content-Type": "application/json"},
    )
    with urlopen(asked) as answer:
        return json.load(answer)["logbook"]


def bytes_of(served, digest):
    """The bytes of a photo or sound that the server has."""
    address = f"{served.address}/api/vehicles/{served.empty}/photos/{digest}"
    asked = Request(address, headers={"Authorization": f"Bearer {served.token}"})
    with urlopen(asked) as answer:
        return answer.read()


def notes(served):
    """The texts of all notes that the server has, in order of arrival."""
    return [each["body"]["text"] for each in stored(served).values() if each["kind"] == "note"]


def enqueue(page, served, *texts):
    """Log notes, each an act, by the page's own queue."""
    work = """
      for (const text of given.texts) {
        await module.enqueue({ logbook: given.logbook, entries: [{ kind: "note", text }] });
      }"""
    run(page, "queue", work, {"logbook": served.empty, "texts": texts})


def send(page):
    """Send what waits, and wait until nothing more can be done."""
    run(page, "queue", "await module.send()")


def waiting(page):
    """What waits on the phone."""
    return run(page, "queue", "return module.queued()")


def keep_photo(page, content, words=""):
    """Choose a photo on the page of photos, and keep it."""
    file = {"name": "bench.jpg", "mimeType": "image/jpeg", "buffer": content}
    page.locator("#files").set_input_files(file)
    page.locator("[data-sent] li").filter(has_text="is kept on this phone").wait_for()
    page.get_by_label("In words, if you like").fill(words)
    page.get_by_role("button", name="Keep", exact=True).tap()


def sign_in(page, name):
    """Come in by name and password."""
    page.goto("/in")
    page.get_by_label("Name").fill(name)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url("**/")
    named = """
      const soon = () => new Promise((on) => setTimeout(on, 50));
      while ((await module.signedIn())?.name !== given) await soon();
    """
    run(page, "identity", named, name)  # the server says it a moment after the page
