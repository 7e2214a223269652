"""Take the pictures of the pages that stand in the documentation.

Run it after a page changed: ``python -m scripts.draw_pages`` (it wants Debian's chromium).
"""

import shutil
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path

from PIL import Image
from playwright.sync_api import Browser, sync_playwright

from putback.web.pages.access import COOKIE
from scripts.serving import ServedDemo, serving_demo

FOLDER = Path(__file__).parent.parent / "docs" / "pictures"
SCREENS = {"phone": {"width": 390, "height": 844}, "desk": {"width": 1280, "height": 900}}
SHOWN = (
    ("now", "", "phone", "light"),
    ("strip", "strip", "desk", "dark"),
    ("vehicle", "vehicle", "desk", "light"),
    ("hardware", "hardware", "phone", "dark"),
)
"""Name, page, screen and theme."""
SITTINGS = 14
"""So many of the story are over: it has just been stood on stands."""
COLOURS = 64
"""Paper and ink need no more, and the pictures stay small."""


def main() -> None:
    """Take every picture."""
    FOLDER.mkdir(exist_ok=True)
    with serving_demo(sittings=SITTINGS) as site, sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=shutil.which("chromium"), args=["--no-sandbox"]
        )
        for name, picture in pictures(browser, site):
            path = FOLDER / f"{name}.png"
            picture.convert("RGB").quantize(COLOURS).save(path, optimize=True)
            print(path.relative_to(FOLDER.parent))
        browser.close()


def pictures(browser: Browser, site: ServedDemo) -> Iterator[tuple[str, Image.Image]]:
    """Show each page on its screen, in its theme."""
    _wait_for_plan(browser, site)
    for name, page, screen, theme in SHOWN:
        context = browser.new_context(
            base_url=site.address,
            viewport=SCREENS[screen],
            color_scheme=theme,
            reduced_motion="reduce",
        )
        context.add_cookies([{"name": COOKIE, "value": site.token, "url": site.address}])
        tab = context.new_page()
        tab.goto(f"/v/{site.logbook}/{page}")
        tab.wait_for_load_state("networkidle")
        yield f"{name}-{screen}-{theme}", Image.open(BytesIO(tab.screenshot()))
        context.close()


def _wait_for_plan(browser: Browser, site: ServedDemo) -> None:
    """Look at the strip until its plan is there: the first one is made when somebody looks."""
    context = browser.new_context(base_url=site.address)
    context.add_cookies([{"name": COOKIE, "value": site.token, "url": site.address}])
    tab = context.new_page()
    tab.goto(f"/v/{site.logbook}/strip")
    tab.get_by_text("No order can be shorter").first.wait_for(timeout=120_000)
    context.close()


if __name__ == "__main__":
    main()
