"""Without a network: the server dead, the browser closed, and the work goes on.

Each test ends by comparing what the store has with what was logged, and not what a screen says.
"""

import json
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from urllib.request import Request, urlopen

import pytest
from playwright.sync_api import Page

from putback.logbook.entries.base import DeviceId, PersonId
from putback.web.here import open_here
from putback.web.pages.access import COOKIE
from putback.web.store import setup
from putback.workshop.logbooks.ports import Role
from putback.workshop.plans.plans import follow
from tests.browser.conftest import PHONE
from tests.browser.wire import Mode, wired
from tests.makers import vehicle
from tests.pictures.photographs import photo

TRAILER = vehicle(
    "lid - box: 4 bolt M8 x 20 mm; 5 min",
    "box - frame: 6 bolt M10 x 30 mm; 10 min",
    "lamp - frame: 2 screw M5 x 12 mm; 3 min",
    "lid blocks box - frame: the bolts are under it",
    datum="frame",
)
"""A lid over a box on a frame, and a lamp that is in nobody's way."""
HELD = """() => new Promise((done) => {
  const asked = indexedDB.open("putback");
  asked.onsuccess = () => {
    const all = asked.result.transaction("held").objectStore("held").getAll();
    all.onsuccess = () => { asked.result.close(); done(all.result.length); };
  };
})"""


@pytest.fixture(scope="module")
def trailer(served):
    """A planned vehicle of the owner's, on the served site."""
    opened = setup(served.home, "")
    workshop = open_here(opened).workshop
    owner = PersonId("olive-owner")
    logbook = workshop.new_vehicle(TRAILER, who=owner, device=DeviceId("laptop"))
    workshop.store.grant(logbook, owner, Role.OWNER)
    follow(workshop, logbook, TRAILER.goals["bare"])
    opened.close()
    return logbook


@pytest.fixture
def wire(served) -> Iterator:
    """A wire to the served site, of this test alone."""
    with wired(served.address) as laid:
        yield laid


@pytest.fixture
def pocket(wire, served, chromium, tmp_path):
    """A phone whose browser can be closed and opened again: what it keeps stays."""

    @contextmanager
    def opened() -> Iterator[Page]:
        context = chromium.browser_type.launch_persistent_context(
            str(tmp_path / "profile"),
            executable_path=shutil.which("chromium"),
            args=["--no-sandbox"],
            base_url=wire.address,
            viewport=PHONE,
            has_touch=True,
            reduced_motion="reduce",
        )
        context.add_cookies([{"name": COOKIE, "value": served.token, "url": wire.address}])
        try:
            yield context.pages[0] if context.pages else context.new_page()
        finally:
            context.close()

    return opened


def until(page: Page, script: str, given=None) -> None:
    """Wait until a script of the page's own finds that it is so."""
    for _ in range(150):
        if page.evaluate(script, given):
            return
        page.wait_for_timeout(100)
    raise AssertionError(f"it did not come to this: {script}")


def look_at(page: Page, logbook) -> None:
    """Look at a vehicle with a network, until the phone holds it and the app is installed."""
    page.goto(f"/v/{logbook}/")
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    until(page, "() => navigator.serviceWorker.controller !== null")
    until(page, HELD)


def open_offline(page: Page, path: str) -> None:
    """Open a page of the app while nobody answers."""
    page.goto(path)
    page.wait_for_selector("html[data-usable]")


def title(page: Page) -> str:
    """The next job, in words."""
    return page.inner_text("article.next h2")


def done(page: Page) -> str:
    """Log the next job in two taps; gives what it was."""
    was = title(page)
    page.click("details.main summary")
    page.click("details.main form .go")
    until(page, "was => document.querySelector('.next h2').innerText !== was", was)
    return was


def bodies(served, logbook, *kinds: str) -> list[tuple[str, dict]]:
    """What the store has of some kinds, each once, in order of arrival."""
    address = f"{served.address}/api/vehicles/{logbook}/entries"
    asked = Request(address, headers={"Authorization": f"Bearer {served.token}"})
    with urlopen(asked) as answer:
        entries = [each["entry"] for each in json.load(answer)["entries"]]
    assert len({each["id"] for each in entries}) == len(entries)
    return [(each["kind"], each["body"]) for each in entries if each["kind"] in kinds]


def all_sent(page: Page) -> None:
    """Wait until nothing is queued any more."""
    until(page, "() => document.querySelector('[data-queue]').hidden")


WORK = ("joint undone", "part off", "photo", "put off", "note")


def test_the_closed_phone_opens_on_the_next_job_and_steps_on(pocket, wire, served, trailer):
    """Server dead, browser closed: jobs and a photo are logged, and the server gets each once."""
    with pocket() as page:
        look_at(page, trailer)
    wire.mode = Mode.DEAD
    with pocket() as page:
        open_offline(page, f"/v/{trailer}/")
        first = done(page)
        page.click("text=Photo")
        picture = {"name": "a.jpg", "mimeType": "image/jpeg", "buffer": photo()}
        page.set_input_files("#media", picture)
        page.click("text=Keep it")
        page.wait_for_selector("details.main")
        second = done(page)
    with pocket() as page:  # closed and opened once more
        open_offline(page, f"/v/{trailer}/")
        third = title(page)
        assert len({first, second, third}) == 3
        wire.mode = Mode.THROUGH
        page.goto(f"/v/{trailer}/")
        all_sent(page)
        page.goto(f"/v/{trailer}/")
        assert title(page) == third  # the server goes on where the phone was
    stored = bodies(served, trailer, *WORK)
    assert [kind for kind, _ in stored] == [stored[0][0], "photo", stored[2][0]]
    joints = {body.get("joint") or body.get("part") for kind, body in stored if kind != "photo"}
    assert len(joints) == 2
