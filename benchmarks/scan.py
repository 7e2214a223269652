"""How often a spoilt tag is read: by the pages' reader in Chromium, and by zxing-cpp beside it.

The pictures are those of `scripts.tag_pictures`, the same at every run. First each is one still
picture, then a camera sees it for a while (`filmed`).
"""

import base64
import shutil
from collections.abc import Iterator
from io import BytesIO

import zxingcpp
from PIL import Image
from playwright.sync_api import Page, sync_playwright

from benchmarks import filmed
from benchmarks.measure import Figure, figure
from benchmarks.rates import AGREED_LEAST, CLEAN_LEAST, Rate, served_files, summed
from scripts.tag_pictures import AGREED, STEPS, WAYS, Way, as_jpeg, spoilt

EACH = 20
"""Pictures of every way and step."""
_READ = """async (picture) => {
  const bytes = Uint8Array.from(atob(picture), (each) => each.charCodeAt(0));
  const begun = performance.now();
  const tags = await globalThis.reader.read(new Blob([bytes]));
  return [tags, (performance.now() - begun) / 1000];
}"""


def run() -> Iterator[Rate | Figure]:
    """Read every way to spoil a tag at every step; the sums at the end."""
    spent: list[float] = []
    clean: list[Rate] = []
    agreed: list[Rate] = []
    with served_files() as address, sync_playwright() as playwright:
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
    yield summed("all clean ones", clean, CLEAN_LEAST)
    yield summed(f"the agreed set: every way, steps 1 to {AGREED}", agreed, AGREED_LEAST)
    yield figure("one picture, all looks", spent, limit_s=2.0)
    yield from filmed.run()


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
    return Rate(name, read, wrong, EACH, least, by_other)


def _by_zxing_cpp(content: bytes) -> list[str]:
    found = zxingcpp.read_barcodes(
        Image.open(BytesIO(content)),
        formats=zxingcpp.BarcodeFormats(zxingcpp.BarcodeFormat.QRCode),
    )
    return [each.text for each in found]


def _with_reader(page: Page, address: str) -> Page:
    """Open the reader of the pages."""
    page.goto(f"{address}js/")
    page.evaluate(
        "async () => { const { openReader } = await import('/js/reader.js');"
        " globalThis.reader = await openReader(); }"
    )
    return page
