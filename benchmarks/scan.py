"""How often a spoilt tag is read: by the pages' reader in Chromium, and by zxing-cpp beside it.

The pictures are those of `scripts.tag_pictures`, the same at every run. Each is one still picture:
a camera that is held to a tag gives ten a second.
"""

import base64
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from io import BytesIO
from threading import Thread

import zxingcpp
from PIL import Image
from playwright.sync_api import Page, sync_playwright

from benchmarks.measure import Figure, figure
from putback.web.assets import STATIC
from scripts.tag_pictures import AGREED, STEPS, WAYS, Way, as_jpeg, spoilt

EACH = 20
"""Pictures of every way and step."""
CLEAN_LEAST, AGREED_LEAST = 1.0, 0.9
_READ = """async (picture) => {
  const bytes = Uint8Array.from(atob(picture), (each) => each.charCodeAt(0));
  const begun = performance.now();
  const tags = await globalThis.reader.read(new Blob([bytes]));
  return [tags, (performance.now() - begun) / 1000];
}"""


@dataclass(frozen=True, slots=True)
class Rate:
    """How many of so many pictures were read; ``least`` is ``None`` where nothing is asked."""

    name: str
    read: int
    wrong: int
    """Read as another tag than the one that is there."""
    read_by_zxing_cpp: int
    of: int
    least: float | None

    @property
    def ok(self) -> bool:
        """Whether enough were read, and none as another tag."""
        return not self.wrong and self.read >= (self.least or 0.0) * self.of

    def said(self, width: int) -> str:
        """Say it in a line, its name filled up to so many characters."""
        verdict = "ok  " if self.ok else "LOW "
        wanted = "" if self.least is None else f"(>= {self.least:.0%})"
        return (
            f"{verdict} {self.name:<{width}}  {self.read:4} of {self.of} read, "
            f"{self.wrong} wrong; zxing-cpp {self.read_by_zxing_cpp:4}  {wanted}"
        )


def run() -> Iterator[Rate | Figure]:
    """Read every way to spoil a tag at every step; the sums at the end."""
    spent: list[float] = []
    clean: list[Rate] = []
    agreed: list[Rate] = []
    with _served_files() as address, sync_playwright() as playwright:
        program = shutil.which("chromium")
        browser = playwright.chromium.launch(executable_path=program, args=["--no-sandbox"])
        page = _with_reader(browser.new_page(), address)
        for way in WAYS:
            for step in STEPS:
                least = CLEAN_LEAST if step == 0 else None
                name = f"{way.name} {way.steps[step]:g} {way.unit}"
                rate = _rate(page, way, step, name, least, spent)
                (clean if step == 0 else agreed if step <= AGREED else []).append(rate)
                yield rate
        browser.close()
    yield _sum("all clean ones", clean, CLEAN_LEAST)
    yield _sum(f"the agreed set: every way, steps 1 to {AGREED}", agreed, AGREED_LEAST)
    yield figure("one picture, all looks", spent, limit_s=2.0)


def _rate(
    page: Page, way: Way, step: int, name: str, least: float | None, spent: list[float]
) -> Rate:
    read = wrong = by_other = 0
    for number in range(EACH):
        one = spoilt(way, step, number)
        content = as_jpeg(one.picture)
        tags, seconds = page.evaluate(_READ, base64.b64encode(content).decode())
        spent.append(seconds)
        read += tags == [one.tag]
        wrong += bool(tags) and tags != [one.tag]
        by_other += _by_zxing_cpp(content) == [one.tag]
    return Rate(name, read, wrong, by_other, EACH, least)


def _by_zxing_cpp(content: bytes) -> list[str]:
    found = zxingcpp.read_barcodes(
        Image.open(BytesIO(content)),
        formats=zxingcpp.BarcodeFormats(zxingcpp.BarcodeFormat.QRCode),
    )
    return [each.text for each in found]


def _sum(name: str, rates: list[Rate], least: float) -> Rate:
    return Rate(
        name,
        sum(each.read for each in rates),
        sum(each.wrong for each in rates),
        sum(each.read_by_zxing_cpp for each in rates),
        sum(each.of for each in rates),
        least,
    )


@contextmanager
def _served_files() -> Iterator[str]:
    """Serve styles and scripts as they lie there, and give the address."""
    handler = partial(_Quiet, directory=str(STATIC / "putback"))
    with ThreadingHTTPServer(("127.0.0.1", 0), handler) as server:
        Thread(target=server.serve_forever, daemon=True).start()
        yield f"http://localhost:{server.server_port}/"
        server.shutdown()


class _Quiet(SimpleHTTPRequestHandler):
    """Serves files and says nothing of it."""

    def log_message(self, *said: object) -> None:
        """Say nothing."""


def _with_reader(page: Page, address: str) -> Page:
    """Open the reader of the pages."""
    page.goto(f"{address}js/")
    page.evaluate(
        "async () => { const { openReader } = await import('/js/reader.js');"
        " globalThis.reader = await openReader(); }"
    )
    return page
