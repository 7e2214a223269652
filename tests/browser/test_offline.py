"""Without a network: the server dead, the browser closed, and the work goes on.

Each test ends by comparing what the store has with what was logged, and not what a screen says.
"""

import hashlib
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
from tests.browser.conftest import ARGUMENTS, PHONE, windowless
from tests.browser.shown import shown
from tests.browser.wire import Mode, Wire
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


ASKED = """window.asked = 0;
navigator.storage.persist = async () => { window.asked += 1; return true; }"""
AS_IN_VERSION_1 = """async () => {
  const done = (asked) => new Promise((good, bad) => {
    asked.onsuccess = () => good(asked.result);
    asked.onerror = () => bad(asked.error);
  });
  const now = await done(indexedDB.open("putback"));
  if (now.version < 2) throw new Error("it is of that version");
  const kept = {};
  for (const name of ["queued", "blobs", "held", "me"]) {
    const store = now.transaction(name).objectStore(name);
    kept[name] = [await done(store.getAllKeys()), await done(store.getAll())];
  }
  now.close();
  await done(indexedDB.deleteDatabase("putback"));
  const asked = indexedDB.open("putback", 1);
  asked.onupgradeneeded = () => {
    for (const [name, keyPath] of [["queued", "act"], ["blobs", "photo"], ["held"], ["me"]]) {
      const store = asked.result.createObjectStore(name, keyPath && { keyPath });
      const [keys, rows] = kept[name];
      rows.forEach((row, at) => keyPath ? store.put(row) : store.put(row, keys[at]));
    }
  };
  (await done(asked)).close();
}"""


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


@contextmanager
def browser_in(folder: Path, chromium, line: Wire, token: str) -> Iterator[Page]:
    """Open a browser that keeps what it holds in a folder."""
    context = chromium.browser_type.launch_persistent_context(
        str(folder),
        executable_path=windowless(),
        args=ARGUMENTS,
        base_url=line.address,
        viewport=PHONE,
        has_touch=True,
        reduced_motion="reduce",
    )
    context.add_cookies([{"name": COOKIE, "value": token, "url": line.address}])
    try:
        yield context.pages[0] if context.pages else context.new_page()
    except BaseException as error:
        error.add_note(shown(context.pages))  # before it is closed
        raise
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
    for _ in range(600):  # a minute: others use the machine as well
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


def ask(served, logbook, what: str, sent: bytes | None = None) -> bytes:
    """Ask the API about a vehicle, or send it something."""
    headers = {"Authorization": f"Bearer {served.token}", "Content-Type": "application/json"}
    address = f"{served.address}/api/vehicles/{logbook}/{what}"
    with urlopen(Request(address, data=sent, headers=headers)) as answer:
        return answer.read()


def take_photo(served, logbook, *what: str) -> None:
    """Log a photo of things, by another device."""
    sent = json.loads(ask(served, logbook, "photos", photo()))
    entry = {"kind": "photo", "photo": sent["photo"], "of": what}
    ask(served, logbook, "acts", json.dumps({"entries": [entry]}).encode())


def bodies(served, logbook, *kinds: str) -> list[tuple[str, dict]]:
    """What the store has of some kinds, each once, in order of arrival."""
    entries = [each["entry"] for each in json.loads(ask(served, logbook, "entries"))["entries"]]
    assert len({each["id"] for each in entries}) == len(entries)
    return [(each["kind"], each["body"]) for each in entries if each["kind"] in kinds]


def all_sent(page: Page) -> None:
    """Wait until nothing is queued any more."""
    until(page, f"async () => (await ({COUNT})('queued')) === 0")


WORK = ("joint undone", "part off", "photo", "put off", "note")


def test_the_closed_phone_opens_on_the_next_job_and_steps_on(pocket, wire, served, trailer):
    """Server dead, browser closed: jobs and a photo are logged, and the server gets each once.

    The next job's own photo from before is there, and goes with the vehicle. The browser is asked
    not to clear what is kept, once there is something to lose.
    """
    with pocket() as page:
        look_at(page, trailer)
        first, *_, last = (each["what"] for each in page.evaluate(HELD_JOBS, trailer))
        take_photo(served, trailer, first, last)
        page.reload()
        until(page, f"async () => (await ({COUNT})('seen')) === 1")
    wire.mode = Mode.DEAD
    with pocket() as page:
        page.add_init_script(ASKED)
        open_offline(page, f"/v/{trailer}/")
        page.wait_for_selector(".next .photo-line:has-text('From before')")
        until(page, "() => document.querySelector('.photo-line img').naturalWidth > 0")
        assert page.evaluate("window.asked") == 0
        first = done(page)
        until(page, "() => window.asked > 0")
        page.click("text=Photo")
        picture = {"name": "a.jpg", "mimeType": "image/jpeg", "buffer": photo()}
        page.set_input_files("#files", picture)
        page.get_by_role("button", name="Keep", exact=True).click()
        page.wait_for_selector("details.main")
        second = done(page)
        assert done(page) == "Take off lamp"
        assert "1 of 4 parts off" in page.inner_text("[data-far]")
        open_offline(page, f"/v/{trailer}/")
        third = title(page)
        assert len({first, second, third}) == 3
        wire.mode = Mode.THROUGH
        page.goto(f"/v/{trailer}/")
        all_sent(page)
        page.goto(f"/v/{trailer}/")
        assert title(page) == third  # the server goes on where the phone was
        page.goto("/phone")
        page.get_by_text("1 vehicle, 3 jobs, 1 photo from before").wait_for()
        page.get_by_text("Nothing waits: all that was logged").wait_for()
        page.get_by_role("button", name="Forget").click()
        until(page, f"async () => (await ({COUNT})('seen')) === 0")
    _, *stored = bodies(served, trailer, *WORK)  # the first is the photo from before
    assert [kind for kind, _ in stored] == ["joint undone", "photo", "joint undone", "part off"]
    assert stored[0][1]["joint"] != stored[2][1]["joint"]


ANOTHER_PLAN = """([logbook, jobs]) => new Promise((done) => {
  const asked = indexedDB.open("putback");
  asked.onsuccess = () => {
    const store = asked.result.transaction("held", "readwrite").objectStore("held");
    store.get(logbook).onsuccess = ({ target: { result } }) => {
      const left = jobs.map((at) => ({ ...result.held.jobs[at], needs: [] }));
      store.put({ ...result, held: { ...result.held, jobs: left } }, logbook).onsuccess = () => {
        asked.result.close();
        done();
      };
    };
  };
})"""
"""Another tab holds another plan: these of its jobs, in this order."""


def test_a_tap_means_the_job_that_was_shown_whatever_plan_came_since(pocket, wire, trailer):
    """Another plan numbers its jobs otherwise; one that is in none any more asks nothing."""
    with pocket() as page:
        look_at(page, trailer)
        titles = [each["title"] for each in page.evaluate(HELD_JOBS, trailer)]
        wire.mode = Mode.DEAD
        open_offline(page, f"/v/{trailer}/")
        assert titles[0] in title(page)
        order = [*range(1, len(titles)), 0]
        page.evaluate(ANOTHER_PLAN, [trailer, order])
        page.click("[data-stuck]")
        page.wait_for_selector("[data-view] form.sheet")  # the next jobs stood there
        stuck = page.locator("[data-view] [data-title]")
        assert stuck.inner_text() == titles[0]
        page.evaluate(ANOTHER_PLAN, [trailer, order[:-2]])
        page.reload()
        page.wait_for_selector("article.next")
        assert titles[0] not in title(page)
        assert page.locator("[data-view] form.sheet").count() == 0


def test_another_job_stuck_and_not_now_go_by_the_same_facts(pocket, wire, served, trailer):
    """*Other...* offers what nothing holds up; what is put off waits its turn.

    What is left half done is open. Where all that can be done is put off, it is said.
    """
    with pocket() as page:
        look_at(page, trailer)
        left = page.evaluate(HELD_JOBS, trailer)
        free = [each["title"] for each in left if not each["needs"]]
        assert len(free) < len(left)
        wire.mode = Mode.DEAD
        open_offline(page, f"/v/{trailer}/")
        page.wait_for_selector(".next >> text=Order not rechecked")
        page.click("[data-stuck]")
        page.get_by_label("Out now, of").fill("1")
        page.click("text=Log it, and stay on it")
        page.wait_for_selector("[data-open] li >> text=1 of 2 are out")
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
            page.get_by_role("button", name="Put it off").click()  # what was said says so too
        page.wait_for_selector("text=Nothing else of the plan can be done now")
        wire.mode = Mode.THROUGH
        page.goto(f"/v/{trailer}/")
        all_sent(page)
    (kind, half), *stored = bodies(served, trailer, *WORK)
    assert (kind, half["out"], half["of"]) == ("joint undone", "1", "2")
    what = {each["title"]: each["what"] for each in left if not each["needs"]}
    expected = [("put off", what[each]) for each in (free[-1], *free[:-1])]
    assert [(kind, body["what"]) for kind, body in stored] == expected


def test_an_update_of_the_app_leaves_a_full_queue_whole(pocket, wire, served, trailer):
    """A new version comes while acts wait with a photo and a spoken note: all of them arrive.

    It keeps more in the phone's database than the last one did.
    """
    with pocket() as page:
        look_at(page, trailer)
        wire.mode = Mode.DEAD
        open_offline(page, f"/v/{trailer}/")
        page.click("text=Photo")
        picture = {"name": "b.jpg", "mimeType": "image/jpeg", "buffer": photo("PNG")}
        page.set_input_files("#files", picture)
        page.click("text=Speak a note")
        page.get_by_text("Recording.").wait_for()
        page.wait_for_timeout(400)
        page.click("text=Stop and keep what you said")
        page.get_by_role("button", name="Keep 2").click()
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
        page.locator("[data-queue]", has_text="2 queued").wait_for()  # a script shows it
        page.goto("/app.webmanifest")  # where no script of the app runs
        page.evaluate(AS_IN_VERSION_1)
        wire.mode = Mode.THROUGH
        page.goto(f"/v/{trailer}/")
        all_sent(page)
    stored = bodies(served, trailer, "sound", *WORK)
    assert [kind for kind, _ in stored] == ["photo", "sound", "note"]
    for digest in (stored[0][1]["photo"], stored[1][1]["sound"]):
        assert hashlib.sha256(ask(served, trailer, f"photos/{digest}")).hexdigest() == digest


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
        cookie = {"name": COOKIE, "value": served.token, "url": wire.address}
        page.context.add_cookies([cookie])  # signed in again
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
