"""The queue on the phone keeps what it has: killed, or with no room left.

Every test ends by comparing what the store has with what was logged.
"""

import hashlib
import os
import signal
import time
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

from playwright.sync_api import Error

from putback.face import garage_in_memory
from putback.logbook.bundle.read import read_bundle
from putback.web.pages.access import COOKIE
from tests.browser.conftest import of_a_phone, windowless
from tests.browser.queued import (
    bytes_of,
    enqueue,
    keep_photo,
    new_vehicle,
    notes,
    run,
    send,
    stored,
    waiting,
)
from tests.browser.wire import Mode
from tests.pictures.photographs import photo

COUNT = "return module.read([given], (t) => module.asked(t.objectStore(given).count()))"

RANDOM = """
  const [logbook, size] = given;
  const bytes = new Uint8Array(size);
  for (let at = 0; at < size; at += 65536) crypto.getRandomValues(bytes.subarray(at, at + 65536));
"""

HOLD_PHOTOS = f"""{RANDOM}
  for (let photo = 0; ; photo++) {{
    try {{
      await module.write(["seen"], async (transaction) => {{
        transaction.objectStore("seen").put({{ logbook, photo, picture: new Blob([bytes]) }});
      }});
    }} catch (error) {{
      if (error.isFull) return photo;
      throw error;
    }}
  }}"""
"""As many as there is room for; how many."""

ENQUEUE_SOUND = f"""{RANDOM}
  bytes.set([0x4f, 0x67, 0x67, 0x53]); // Ogg
  const entries = [{{ kind: "sound", sound: "media:0" }}];
  await module.enqueue({{ logbook, entries, media: [new Blob([bytes])] }});"""


def begun_in(folder):
    """The group of processes of the browser that keeps what it holds in a folder."""
    for each in Path("/proc").glob("[0-9]*/cmdline"):
        with suppress(OSError):  # it has just ended
            words = each.read_bytes().split(b"\0")
            if f"--user-data-dir={folder}".encode() in words:
                return os.getpgid(int(each.parent.name))
    raise AssertionError(f"no browser is in {folder}")


def test_what_was_queued_survives_the_death_of_the_phone(wire, served, chromium, tmp_path):
    """The browser killed as a phone dies, with acts and a photo queued; begun anew, it sends them.

    All its processes end at the same moment, and none can put anything away. While the acts wait,
    the time of the browser's token is over as well: they wait for their person to sign in.
    """
    before, content = stored(served), photo(orientation=3)
    about = {
        "user_data_dir": tmp_path / "profile",
        "executable_path": windowless(),
        "args": ["--no-sandbox"],
    } | of_a_phone(wire)
    cookie = {"name": COOKIE, "value": served.token, "url": wire.address}
    first = chromium.browser_type.launch_persistent_context(**about)
    first.add_cookies([cookie])
    page = first.new_page()
    page.goto(f"/v/{served.empty}/photos")
    wire.mode = Mode.DEAD
    enqueue(page, served, "before the photo")
    keep_photo(page, content, "the bench")
    page.get_by_text("Queued on this phone").wait_for()
    page.get_by_role("link", name="2 queued").wait_for()
    os.killpg(begun_in(about["user_data_dir"]), signal.SIGKILL)
    with suppress(Error):
        first.close()
    assert stored(served).keys() == before.keys()
    wire.mode = Mode.CUT  # pages come, and what is sent breaks off
    again = chromium.browser_type.launch_persistent_context(**about)
    again.add_cookies([cookie | {"expires": time.time() + 3600}])
    page = again.new_page()
    page.goto(f"/v/{served.empty}/photos")
    page.get_by_role("link", name="2 queued").wait_for()
    again.add_cookies([cookie | {"expires": time.time() + 1}])
    while any(each["name"] == COOKIE for each in again.cookies()):
        page.wait_for_timeout(100)
    wire.mode = Mode.THROUGH
    send(page)
    assert run(page, "queue", "return module.halted()")["why"] == "signed out"
    assert len(waiting(page)) == 2
    again.add_cookies([cookie])  # she signs in
    send(page)
    assert waiting(page) == []
    page.locator("[data-queue]").wait_for(state="hidden")
    again.close()
    after = stored(served)
    words, shown = (after[each]["body"] for each in sorted(after.keys() - before.keys()))
    digest = hashlib.sha256(content).hexdigest()
    assert words["text"] == "before the photo"
    assert (shown["photo"], shown["caption"]) == (digest, "the bench")
    assert bytes_of(served, digest) == content


def test_a_full_phone_keeps_nothing_by_half_and_saves_it_as_a_file(
    wire, served, chromium, tmp_path
):
    """Nothing of the act is in its database; the file is a sound bundle with all of it.

    Photos from before that are held make room first. The vehicle is a new one: what is held of
    another would take room. How much of its room the browser takes for itself is not known.
    """
    served = replace(served, empty=new_vehicle(served, "Nothing held of it"))
    context = chromium.new_context(**of_a_phone(wire))
    context.add_cookies([{"name": COOKIE, "value": served.token, "url": wire.address}])
    garage = context.new_page()
    session = context.new_cdp_session(garage)
    full = {"origin": wire.address, "quotaSize": 12_000_000}
    session.send("Storage.overrideQuotaForOrigin", full)
    garage.goto(f"/v/{served.empty}/photos")
    wire.mode, content = Mode.DEAD, photo() + bytes(13_000_000)  # more than there is room for
    assert run(garage, "store", HOLD_PHOTOS, [served.empty, 1_000_000]) > 1
    run(garage, "queue", ENQUEUE_SOUND, [served.empty, 1_000_000])
    assert [run(garage, "store", COUNT, name) for name in ("seen", "blobs")] == [0, 1]
    enqueue(garage, served, "before it was full")
    keep_photo(garage, content, "no room")
    with garage.expect_download() as saving:
        garage.get_by_role("button", name="Save it as a file").click()
    path = tmp_path / "bundle.zip"
    saving.value.save_as(path)
    assert [each["said"][0]["kind"] for each in waiting(garage)] == ["sound", "note"]
    assert run(garage, "store", COUNT, "blobs") == 1
    bundle = read_bundle(path)
    (entry,) = bundle.entries
    assert (entry.body.caption, bundle.logbook) == ("no room", served.empty)
    assert bundle.photo(hashlib.sha256(content).hexdigest()) == content
    taken = garage_in_memory().take_in(path)
    assert [each.id for each in taken.book.workshop.standing(taken.id)] == [entry.id]
    wire.mode = Mode.THROUGH
    send(garage)
    context.close()
    assert notes(served)[-1] == "before it was full"
