"""Without a network: the server dead, the browser closed, and the work goes on.

Each test ends by comparing what the store has with what was logged, and not what a screen says.
"""

import json
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from random import Random
from urllib.request import Request, urlopen

import pytest
from playwright.sync_api import Page

from putback.logbook.entries.base import DeviceId, PersonId
from putback.planning.precede_rebuild import precede_rebuild
from putback.web.here import open_here
from putback.web.pages.access import COOKIE
from putback.web.store import setup
from putback.workshop.logbooks.ports import Role
from putback.workshop.plans.plans import follow
from tests.browser.conftest import PHONE
from tests.browser.wire import Mode, Wire, wired
from tests.makers import vehicle
from tests.pictures.photographs import photo
from tests.planning.test_check_generated_rebuild import stripped
from tests.planning.test_precede import able, shuffled, strip_of

TRAILER = vehicle(
    "lid - box: 4 bolt M8 x 20 mm; 5 min",
    "box - frame: 6 bolt M10 x 30 mm; 10 min",
    "lamp - frame: 2 screw M5 x 12 mm; 3 min",
    "lid blocks box - frame: the bolts are under it",
    datum="frame",
)
"""A lid over a box on a frame, and a lamp that is in nobody's way."""
COUNT = """(name) => new Promise((done) => {
  const asked = indexedDB.open("putback");
  asked.onsuccess = () => {
    const count = asked.result.transaction(name).objectStore(name).count();
    count.onsuccess = () => { asked.result.close(); done(count.result); };
  };
})"""

ABLE = """async ([jobs, all]) => {
  const at = document.querySelector("script[src$='/install.js']").src;
  const { able } = await import(at.replace("install.js", "steps.js"));
  return all.map((done) => able({ jobs }, { done: new Set(done) }));
}"""
IS_NEXT = "name => document.querySelector('.next h2')?.innerText.includes(name)"
IS_NEW = """() => navigator.serviceWorker.ready.then(
  ({ waiting, installing }) => !waiting && !installing
)"""
HELD_JOBS = """logbook => new Promise((done) => {
  const asked = indexedDB.open("putback");
  asked.onsuccess = () => {
    const found = asked.result.transaction("held").objectStore("held").get(logbook);
    found.onsuccess = () => {
      asked.result.close();
      done(found.result.held.jobs.map(({ card, needs }) => ({ ...card, needs: needs.length })));
    };
  };
})"""


@pytest.fixture
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


@pytest.fixture(scope="module")
def line(served) -> Iterator[Wire]:
    """A wire to the served site, whose address stays."""
    with wired(served.address) as laid:
        yield laid


@pytest.fixture
def wire(line) -> Iterator[Wire]:
    """The wire, whole again after each test."""
    yield line
    line.mode = Mode.THROUGH
    line.edits.clear()


@contextmanager
def browser_in(folder: Path, chromium, line: Wire, token: str) -> Iterator[Page]:
    """Open a browser that keeps what it holds in a folder."""
    context = chromium.browser_type.launch_persistent_context(
        str(folder),
        executable_path=shutil.which("chromium"),
        args=["--no-sandbox"],
        base_url=line.address,
        viewport=PHONE,
        has_touch=True,
        reduced_motion="reduce",
    )
    context.add_cookies([{"name": COOKIE, "value": token, "url": line.address}])
    try:
        yield context.pages[0] if context.pages else context.new_page()
    finally:
        context.close()


@pytest.fixture(scope="module")
def installed(line, served, chromium, tmp_path_factory) -> Path:
    """The folder of a browser in which the app is installed, and nothing is held."""
    folder = tmp_path_factory.mktemp("installed") / "profile"
    with browser_in(folder, chromium, line, served.token) as page:
        page.goto("/")
        page.evaluate("navigator.serviceWorker.ready.then(() => true)")
        until(page, "() => navigator.serviceWorker.controller !== null")
    return folder


@pytest.fixture
def pocket(wire, served, chromium, installed, tmp_path):
    """A phone whose browser can be closed and opened again: what it keeps stays."""
    folder = tmp_path / "profile"
    shutil.copytree(installed, folder, ignore=shutil.ignore_patterns("Singleton*"))
    return lambda: browser_in(folder, chromium, wire, served.token)


def until(page: Page, script: str, given=None) -> None:
    """Wait until a script of the page's own finds that it is so."""
    for _ in range(150):
        if page.evaluate(script, given):
            return
        page.wait_for_timeout(100)
    raise AssertionError(f"it did not come to this: {script}")


def look_at(page: Page, logbook) -> None:
    """Look at a vehicle with a network, until the phone holds it."""
    page.goto(f"/v/{logbook}/")
    until(page, COUNT, "held")


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
    until(page, f"async () => (await ({COUNT})('queued')) === 0")


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


def test_another_job_stuck_and_not_now_go_by_the_same_facts(pocket, wire, served, trailer):
    """*Other...* offers what nothing holds up; what is put off waits its turn.

    Where all that can be done is put off, it is said.
    """
    with pocket() as page:
        look_at(page, trailer)
        left = page.evaluate(HELD_JOBS, trailer)
    free = [each["title"] for each in left if not each["needs"]]
    assert len(free) < len(left)
    wire.mode = Mode.DEAD
    with pocket() as page:
        open_offline(page, f"/v/{trailer}/")
        page.click("text=Other…")
        page.wait_for_selector("text=What can be done now")
        offered = page.locator("[data-view] ol.lines b").all_inner_texts()
        assert offered == free
        page.locator("[data-view] ol.lines a").last.click()
        for each in (free[-1], *free[:-1]):
            until(
                page, "last => document.querySelector('.next h2')?.innerText.includes(last)", each
            )
            assert not page.locator("text=Nothing else of the plan").count()
            page.click("text=Not now")
            page.click("text=Put it off")
        page.wait_for_selector("text=Nothing else of the plan can be done now")
        wire.mode = Mode.THROUGH
        page.goto(f"/v/{trailer}/")
        all_sent(page)
    stored = bodies(served, trailer, *WORK)
    what = {each["title"]: each["what"] for each in left if not each["needs"]}
    expected = [("put off", what[each]) for each in (free[-1], *free[:-1])]
    assert [(kind, body["what"]) for kind, body in stored] == expected


def test_an_update_of_the_app_leaves_a_full_queue_whole(pocket, wire, served, trailer):
    """A new version comes while acts wait with a photo: it takes over, and all of them arrive."""
    with pocket() as page:
        look_at(page, trailer)
    wire.mode = Mode.DEAD
    with pocket() as page:
        open_offline(page, f"/v/{trailer}/")
        page.click("text=Photo")
        picture = {"name": "b.jpg", "mimeType": "image/jpeg", "buffer": photo("PNG")}
        page.set_input_files("#media", picture)
        page.click("text=Keep it")
        page.wait_for_selector("details.main")
        page.click("text=Pack up")
        page.click("text=Packed up")
        page.wait_for_selector("details.main")
    named = b'const VERSION = "'
    wire.edits["/worker.js"] = lambda text: text.replace(named, named + b"2")
    wire.mode = Mode.CUT  # pages come, and what is sent breaks off
    with pocket() as page:
        page.goto(f"/v/{trailer}/")
        page.evaluate("navigator.serviceWorker.ready.then((each) => each.update())")
        until(page, "() => caches.keys().then((all) => all.some((each) => each.includes(' 2')))")
        until(page, IS_NEW)
        assert "2 queued" in page.inner_text("[data-queue]")
    with pocket() as page:
        wire.mode = Mode.THROUGH
        page.goto(f"/v/{trailer}/")
        all_sent(page)
    stored = bodies(served, trailer, *WORK)
    assert [kind for kind, _ in stored] == ["photo", "note"]


def test_signing_out_forgets_what_is_held_and_keeps_what_is_queued(pocket, wire, served, trailer):
    """Without a network nobody is signed out; with one the phone holds nothing more."""
    with pocket() as page:
        look_at(page, trailer)
        page.goto("/me")
        wire.mode = Mode.DEAD
        page.click("text=Sign out here")
        page.wait_for_selector("text=You are still signed in")
        assert page.evaluate(COUNT, "held") == 1
        open_offline(page, f"/v/{trailer}/#pack-up")
        page.click("text=Packed up")
        page.wait_for_selector("details.main")
        wire.mode = Mode.THROUGH
        page.context.clear_cookies()  # as if the server had ended this device meanwhile
        page.goto("/in?out")
        until(page, f"async () => (await ({COUNT})('held')) === 0")
        assert page.evaluate(COUNT, "queued") == 1
        assert bodies(served, trailer, *WORK) == []
    with pocket() as page:  # signed in again
        page.goto(f"/v/{trailer}/")
        all_sent(page)
    stored = bodies(served, trailer, *WORK)
    assert [kind for kind, _ in stored] == ["note"]


def test_the_phone_finds_the_same_jobs_as_the_program(phone, served):
    """What may come next after any jobs were done, by both, on a strip and a rebuild."""
    phone.goto("/phone")
    state, plan = stripped(20, 2, 1.0)
    for precede in (
        strip_of(20, 2)[3],
        precede_rebuild(state.vehicle, state, plan.steps),
    ):
        jobs = [
            {"stint": each.stint, "needs": each.needs, "visit": each.visit} for each in precede
        ]
        order = shuffled(precede, Random(5))
        done = [order[:count] for count in range(len(order))]
        found = phone.evaluate(ABLE, [jobs, done])
        assert found == [able(precede, set(each)) for each in done]
