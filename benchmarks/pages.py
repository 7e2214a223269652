"""What pages of the demo take: the server's own time with warm state, and bytes on the way."""

import gzip
import re
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from time import process_time

from django.conf import settings
from django.test import Client

from benchmarks.measure import Figure, figure
from putback.logbook.entries.base import DeviceId, PersonId
from putback.web.assets import STATIC
from putback.web.here import Here, open_here
from putback.web.pages.access import COOKIE
from putback.web.store import setup
from putback.workshop.desk.planner import Planner
from putback.workshop.exchange.demo import lay_out_demo
from putback.workshop.people.people import DeviceKind
from scripts.serving import IN_THE_STRIP

RUNS = 60
MEDIAN_S, P95_S = 0.060, 0.120
FIRST_BYTES, LATER_BYTES = 200_000, 40_000
PAGES = {"Now": "", "Strip": "strip", "Part": "part/{part}", "Hardware": "hardware"}


@dataclass(frozen=True, slots=True)
class Bytes:
    """How much goes over the network for a page [bytes]."""

    name: str
    bytes: int
    most: int

    @property
    def ok(self) -> bool:
        """Whether it is little enough."""
        return self.bytes < self.most

    def said(self, width: int) -> str:
        """Say it in a line, its name filled up to so many characters."""
        verdict = "ok  " if self.ok else "OVER"
        return f"{verdict} {self.name:<{width}}  {self.bytes:8} bytes  (< {self.most})"


def run() -> Iterator[Figure | Bytes]:
    """Ask for each page again and again, in this process, so that the network has no part in it.

    Times are of the processor: others may be using this machine.
    """
    with tempfile.TemporaryDirectory() as scratch:
        opened = setup(Path(scratch) / "home", "")
        settings.ALLOWED_HOSTS = ["testserver"]
        here = open_here(opened)
        browser, logbook = _signed_in(here)
        for path in ("", "strip"):
            browser.get(f"/v/{logbook}/{path}")  # the pages only ask for a plan
        _plan(here)
        part = next(iter(here.workshop.state(logbook).vehicle.parts))
        for name, path in PAGES.items():
            address = f"/v/{logbook}/{path.format(part=part)}"
            first = browser.get(address)  # warms the state
            assert first.status_code == 200, f"{address}: {first.status_code}"
            spent = []
            for _ in range(RUNS):
                begun = process_time()
                answer = browser.get(address)
                spent.append(process_time() - begun)
            yield figure(f"{name}, server time", spent, limit_s=MEDIAN_S)
            yield figure(f"{name}, server time, slow ones", spent, limit_s=P95_S, by="p95")
            page = len(gzip.compress(answer.content))
            yield Bytes(f"{name}, a later load", page, LATER_BYTES)
            if name == "Now":
                files = _files(answer.content.decode())
                yield Bytes(f"{name}, the first load", page + sum(map(_sent, files)), FIRST_BYTES)
        opened.close()


def _signed_in(here: Here) -> tuple[Client, str]:
    person = here.people.add("Bench", "a look by stopwatch", PersonId("bench"))
    logbook = lay_out_demo(here.workshop, person.id, DeviceId("laptop"), IN_THE_STRIP)
    browser = Client()
    browser.cookies[COOKIE] = here.people.sign_in(person.id, "bench", DeviceKind.BROWSER).token
    return browser, logbook


def _plan(here: Here) -> None:
    """Let the planner answer what a first look asks for, as it does beside the pages."""
    planner = Planner(here.workshop, here.desk, "bench", lambda: None)
    while planner.answer_one():
        pass


def _files(page: str) -> list[Path]:
    """The styles, scripts and fonts that a browser fetches for a page."""
    found = re.findall(r'(?:href|src)="/static/([^"]+)"', page)
    files = [STATIC / each for each in dict.fromkeys(found)]
    styles = "".join(each.read_text() for each in files if each.suffix == ".css")
    fonts = [
        STATIC / "putback" / "fonts" / each
        for each in re.findall(r"fonts/([\w-]+\.woff2)", styles)
    ]
    return [*files, *dict.fromkeys(fonts)]


def _sent(path: Path) -> int:
    """How much of a file goes over the network: packed, but for what is packed already."""
    content = path.read_bytes()
    return len(content) if path.suffix == ".woff2" else len(gzip.compress(content))
