"""A real browser before the real server: Debian's Chromium, and ``putback serve`` as it comes."""

import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

from putback.logbook.entries.base import LogbookId
from putback.web.pages.access import COOKIE
from putback.web.store import setup
from putback.workshop.garage import in_its_garage
from putback.workshop.plans import follow, goal_called
from scripts.serving import serving
from tests.web.site import OWNER, Site

AXE = Path(__file__).parent / "vendor" / "axe.min.js"
PHONE = {"width": 390, "height": 844}
DESK = {"width": 1280, "height": 900}


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark what stands in this folder."""
    for item in items:
        if Path(__file__).parent in item.path.parents:
            item.add_marker(pytest.mark.browser)


@dataclass(frozen=True)
class Served:
    """A site that a process of its own serves."""

    address: str
    home: Path
    demo: LogbookId
    empty: LogbookId
    token: str
    """Of the owner's browser."""


@pytest.fixture(scope="session")
def chromium(served) -> Iterator[Browser]:
    """Debian's Chromium, without a window; Django fills no store where its driver's loop runs."""
    del served  # is there already
    program = shutil.which("chromium")
    assert program, "no Chromium here: install Debian's package chromium"
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=["--no-sandbox"])
        yield browser
        browser.close()


@pytest.fixture(scope="session")
def served(tmp_path_factory) -> Iterator[Served]:
    """A served site with the demo in the middle of its strip, planned, and an empty vehicle."""
    home = tmp_path_factory.mktemp("served") / "home"
    opened = setup(home, "")
    site = Site(home, opened)
    demo, token = site.demo(), site.token(OWNER)
    workshop = site.here.workshop
    follow(workshop, demo, goal_called(in_its_garage(workshop, demo), None))
    opened.close()
    with serving(home) as address:
        yield Served(address, home, demo, site.vehicle, token)


@pytest.fixture(params=["light", "dark"])
def theme(request) -> str:
    """Both themes."""
    return request.param


@pytest.fixture(params=[pytest.param(PHONE, id="phone"), pytest.param(DESK, id="desk")])
def screen(request) -> dict[str, int]:
    """A phone's screen and a desk's."""
    return request.param


@pytest.fixture
def signed_in(chromium, served, theme, screen) -> Iterator[BrowserContext]:
    """A browser in which the owner is signed in, with touch on the phone."""
    context = chromium.new_context(
        base_url=served.address,
        viewport=screen,
        color_scheme=theme,
        reduced_motion="reduce",
        has_touch=screen is PHONE,
    )
    context.add_cookies([{"name": COOKIE, "value": served.token, "url": served.address}])
    yield context
    context.close()


@pytest.fixture
def tab(signed_in) -> Page:
    """A tab in which whatever the page complains of fails the test."""
    page = signed_in.new_page()
    complaints: list[str] = []
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.on("console", lambda said: complaints.append(said.text) if said.type == "error" else None)
    page.complaints = complaints  # type: ignore[attr-defined]
    return page


def violations(page: Page) -> list[str]:
    """What axe-core finds against WCAG 2.2 AA and its best practices, each in one line."""
    page.evaluate(AXE.read_text())
    found = page.evaluate("axe.run(document, {resultTypes: ['violations']})")["violations"]
    return [
        f"{each['id']}: {each['help']}: {node['html'][:120]}"
        for each in found
        for node in each["nodes"]
    ]
