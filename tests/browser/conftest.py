"""A real browser before the real server: Debian's Chromium, and ``putback serve`` as it comes."""

import json
import os
import shutil
from collections.abc import Generator, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from fcntl import LOCK_EX, flock
from pathlib import Path
from typing import NamedTuple

import pytest
from django.test import override_settings
from playwright.sync_api import (
    Browser,
    BrowserContext,
    ConsoleMessage,
    Error,
    Page,
    expect,
    sync_playwright,
)

from putback.logbook.entries.base import LogbookId
from putback.web.pages.access import COOKIE
from putback.web.store import setup
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.plans.plans import follow, goal_called
from scripts.serving import serving
from tests.browser.shown import pages_in, shown
from tests.browser.wire import Mode, Wire, wired
from tests.layers import layer_of
from tests.ready_made import lay_file
from tests.stores import SERVED_DIGESTS
from tests.web.site import NEIGHBOUR, OWNER, Site

expect.set_options(timeout=30_000)  # [ms], as clicks wait: others use the machine as well

AXE = Path(__file__).parent / "vendor" / "axe.min.js"
PHONE = {"width": 390, "height": 844}
FAKE_DEVICES = "--use-fake-device-for-media-stream"
"""A microphone that beeps and a camera with a test picture."""
ARGUMENTS = ("--no-sandbox", FAKE_DEVICES, "--auto-accept-camera-and-microphone-capture")
"""Pages may use both: a Chromium without a window can ask nobody, and so would refuse."""
REFUSED = "status of 400"
"""The browser's own note of a mistake that the page has told the person of."""
LEFT = ("htmx:sendAbort", "htmx:afterRequest")
"""What htmx notes of a question whose page the person left before its answer came.

A question that failed is noted by ``htmx:sendError`` or ``htmx:responseError`` as well.
"""
DESK = {"width": 1280, "height": 900}


class Look(NamedTuple):
    """How a page is seen: on which screen, and in which theme."""

    screen: dict[str, int]
    theme: str

    def __str__(self) -> str:
        return f"{self.screen['width']}-{self.theme}"


ON_THE_PHONE = (Look(PHONE, "light"), Look(PHONE, "dark"))
AT_THE_DESK = (Look(DESK, "light"), Look(DESK, "dark"))
EVERY_LOOK = (*ON_THE_PHONE, *AT_THE_DESK)


def looks_of(node: pytest.Item) -> tuple[Look, ...]:
    """The looks that the paths of a test are walked in; the first is that of a usual run."""
    marked = node.get_closest_marker("looks")
    return marked.args if marked and marked.args else EVERY_LOOK


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """Walk the paths of a test in each of its looks, where ``EVERY_LOOK`` asks for it."""
    node = metafunc.definition
    is_walked = "look" in metafunc.fixturenames and node.get_closest_marker("looks")
    if is_walked and "EVERY_LOOK" in os.environ:
        metafunc.parametrize("look", looks_of(node), ids=str)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark what stands in this folder."""
    for item in items:
        if layer_of(item.path) == "browser":
            item.add_marker(pytest.mark.browser)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(
    item: pytest.Item, call: pytest.CallInfo[None]
) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """Add to the report of a test that failed what its pages were showing.

    They are found among its fixtures and what its own functions had at hand when it failed.
    """
    report = yield
    if report.when == "call" and report.failed and call.excinfo is not None:
        ours = [each.frame.f_locals for each in call.excinfo.traceback if _is_ours(each.path)]
        values = [value for names in (item.funcargs, *ours) for value in names.values()]
        if pages := pages_in(values):
            report.sections.append(("what the pages showed", shown(pages)))
    return report


def _is_ours(path: Path | str) -> bool:
    return Path(path).is_relative_to(Path(__file__).parent)


@dataclass(frozen=True)
class Served:
    """A site that a process of its own serves."""

    address: str
    home: Path
    demo: LogbookId
    empty: LogbookId
    token: str
    """Of the owner's browser."""
    neighbour: str
    """The token of somebody who has nothing to do with these vehicles."""


@pytest.fixture(scope="session")
def chromium(served) -> Iterator[Browser]:
    """Debian's Chromium, without a window.

    Its driver keeps a loop of asyncio in this thread until the run is over, and Django would
    refuse whatever test touches a store afterwards: nothing of ours runs within that loop.
    """
    del served  # is there already
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=windowless(), args=ARGUMENTS)
        yield browser
        browser.close()


def windowless() -> str:
    """The program that shows pages as Chromium does and has no window around them to keep up.

    It begins seven times as soon, opens a page and shuts it five times as soon. Where it is not
    packaged apart, the whole Chromium does, whose window is not shown.
    """
    program = shutil.which("chromium-headless-shell") or shutil.which("chromium")
    assert program, "no Chromium here: install Debian's package chromium-headless-shell"
    return program


@pytest.fixture(scope="session")
def served(tmp_path_factory) -> Iterator[Served]:
    """A served site with the demo in the middle of its strip, planned, and an empty vehicle.

    It is laid out once; each process that runs tests serves a copy of it.
    """
    mine = tmp_path_factory.getbasetemp()
    shared = mine.parent if "PYTEST_XDIST_WORKER" in os.environ else mine
    with (shared / "served.lock").open("w") as lock:
        flock(lock, LOCK_EX)  # let go of when it is closed
        told = shared / "served.json"
        if not told.exists():
            told.write_text(json.dumps(_lay_out(shared / "laid-out")))
    home = shutil.copytree(shared / "laid-out", mine / "served" / "home")
    with serving(home) as address:
        yield Served(address=address, home=home, **json.loads(told.read_text()))


def _lay_out(home: Path) -> dict[str, str]:
    """Fill a home folder; gives what a test must know of it."""
    lay_file(home)
    opened = setup(home, "")
    with override_settings(**SERVED_DIGESTS):
        site = Site(home, opened)
    demo, token, neighbour = site.demo(), site.token(OWNER), site.token(NEIGHBOUR)
    workshop = site.here.workshop
    follow(workshop, demo, goal_called(in_its_garage(workshop, demo), None))
    opened.close()
    return {"demo": demo, "empty": site.vehicle, "token": token, "neighbour": neighbour}


@contextmanager
def complaints_of(page: Page) -> Iterator[list[str]]:
    """What the page says meanwhile that it cannot do, as far as that is somebody's mistake."""
    complaints: list[str] = []

    def heard(said: str) -> None:
        if REFUSED not in said and not said.startswith(LEFT):
            complaints.append(said)

    def thrown(error: Error) -> None:
        heard(str(error))

    def written(line: ConsoleMessage) -> None:
        if line.type == "error":
            heard(f"{line.text} {line.location['url']}")

    page.on("pageerror", thrown)
    page.on("console", written)
    yield complaints
    page.remove_listener("pageerror", thrown)
    page.remove_listener("console", written)


def signed_in(served: Served, chromium: Browser, **more) -> BrowserContext:
    """A phone's browser in which the owner is signed in, with nothing kept from before."""
    context = chromium.new_context(
        base_url=served.address,
        viewport=PHONE,
        color_scheme="light",
        reduced_motion="reduce",
        has_touch=True,
        **more,
    )
    context.add_cookies([{"name": COOKIE, "value": served.token, "url": served.address}])
    return context


@pytest.fixture
def own_phone(served, chromium) -> Iterator[Page]:
    """A phone of this test's own, the owner signed in; what a page complains of fails the test.

    For tests that change more of it than what pages keep: what it may do, its network, what runs
    before a page does.
    """
    context = signed_in(served, chromium)
    page = context.new_page()
    with complaints_of(page) as complaints:
        yield page
    context.close()  # what it was asking meanwhile is cut off, which is nobody's fault
    assert complaints == []


@pytest.fixture(scope="session")
def handset(served, chromium) -> Iterator[Page]:
    """One window for all tests that need none of their own: another takes a second to begin."""
    context = signed_in(served, chromium)
    yield context.new_page()
    context.close()


def emptied(page: Page, address: str) -> None:
    """Leave the page, and forget what pages of a site kept; the app's own files stay."""
    if page.url.startswith(address):
        page.evaluate("sessionStorage.clear()")
    page.goto("about:blank")  # what it was asking meanwhile is cut off, which is nobody's fault
    session = page.context.new_cdp_session(page)
    kept = {"origin": address, "storageTypes": "indexeddb,local_storage"}
    session.send("Storage.clearDataForOrigin", kept)
    session.detach()


@pytest.fixture
def look(request) -> Look:
    """How the test's pages are seen in a usual run."""
    return looks_of(request.node)[0]


@pytest.fixture
def phone(served, handset, look) -> Iterator[Page]:
    """A phone in which the owner is signed in, with nothing kept from before.

    What a page complains of fails the test.
    """
    seen_as(handset, *look)
    with complaints_of(handset) as complaints:
        yield handset
    emptied(handset, served.address)
    assert complaints == []


@pytest.fixture(scope="module")
def line(served) -> Iterator[Wire]:
    """A wire to the served site, whose address stays."""
    with wired(served.address) as laid:
        yield laid


@pytest.fixture
def wire(line) -> Iterator[Wire]:
    """The wire, whole again after each test."""
    yield line
    line.mode, line.meanwhile = Mode.THROUGH, lambda _: None
    line.edits.clear()


@pytest.fixture
def garage(wire, served, chromium):
    """A phone on the wire, its page loaded, the owner signed in."""
    context = chromium.new_context(**of_a_phone(wire))
    context.add_cookies([{"name": COOKIE, "value": served.token, "url": wire.address}])
    page = context.new_page()
    page.goto(f"/v/{served.empty}/photos")
    yield page
    context.close()


def of_a_phone(wire):
    """What a phone on the wire is like; its worker is another test's affair."""
    return {
        "base_url": wire.address,
        "viewport": PHONE,
        "has_touch": True,
        "bypass_csp": True,
        "service_workers": "block",
    }


def seen_as(page: Page, screen: dict[str, int], theme: str) -> None:
    """Give the page another screen and theme, as it stands."""
    page.set_viewport_size(screen)
    page.emulate_media(color_scheme=theme, reduced_motion="reduce")


def look_at(page: Page) -> Look:
    """How the page is seen as it stands."""
    is_dark = page.evaluate("matchMedia('(prefers-color-scheme: dark)').matches")
    return Look(page.viewport_size, "dark" if is_dark else "light")


def shuts_out(page: Page, *screens: dict[str, int]) -> list[str]:
    """What shuts somebody out of the page as it stands, on each screen and in both themes.

    A theme changes colours and nothing else, so that of axe-core's rules only that of contrast is
    asked again. Another screen changes places and sizes: of what was shown on the one before, only
    the rules of those are asked, and all of what was not. Afterwards it is seen as before.
    """
    found, before, is_first = [], look_at(page), True
    for screen in screens or (before.screen,):
        for theme in ("light", "dark"):
            seen_as(page, screen, theme)
            page.evaluate(TO_THE_END)
            at = f"{screen['width']} px, {theme}"
            rules = (CONTRAST,) if theme == "dark" else ()
            if is_first or "EVERY_LOOK" in os.environ:
                told = violations(page, *rules)
            else:
                told = violations(page, *rules, of=NEW)
                told += violations(page, *OF_PLACE) if theme == "light" else []
            found += [f"{at}: {each}" for each in told]
            wide = page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
            found += [f"{at}: {wide} px run off the screen"] if wide > 0 else []
        page.evaluate(f"window.lookedAt = new WeakSet({SHOWN})")
        is_first = False
    seen_as(page, *before)
    page.evaluate("window.scrollTo(0, 0)")
    return found


TO_THE_END = "window.scrollTo(0, document.documentElement.scrollHeight)"
"""There a bar that stays on the screen covers nothing but what it could never uncover."""
CONTRAST = "color-contrast"
OF_PLACE = ("target-size", "scrollable-region-focusable")
"""The rules of axe-core that ask how large something is, and where."""
SHOWN = "[...document.body.querySelectorAll('*')].filter((each) => each.checkVisibility())"
NEW = f"{{ include: {SHOWN}.filter((each) => !lookedAt.has(each)) }}"


def violations(page: Page, *only: str, of: str = "document") -> list[str]:
    """What axe-core finds against WCAG 2.2 AA and its best practices, each in one line.

    ``only`` names rules, where no others can find anything new, and ``of`` what is looked at.
    """
    if not page.evaluate("'axe' in window"):
        page.evaluate(AXE.read_text())  # from beside: the page itself allows no script of others
    # What it would fetch beforehand, the style sheets, no rule that is on makes use of.
    options = {"resultTypes": ["violations"], "preload": False}
    if only:
        options["runOnly"] = list(only)
    asked = f"""async (options) => {{
      const of = {of};
      return of.include?.length === 0 ? [] : (await axe.run(of, options)).violations;
    }}"""
    found = page.evaluate(asked, options)
    return [
        f"{each['id']}: {each['help']}: {node['html'][:120]}"
        for each in found
        for node in each["nodes"]
    ]
