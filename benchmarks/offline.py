"""Opening the app without a network to a usable page Now, on a phone four times slower than this.

The server is dead and the browser new each time: what is measured is from the tap on the icon's
address to a page whose main action can be pressed, with the processor slowed by the browser.
"""

import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from time import perf_counter

from playwright.sync_api import BrowserContext, Page, sync_playwright

from benchmarks.measure import Figure, figure
from putback.web.pages.access import COOKIE
from scripts.serving import ServedDemo, serving_demo

RUNS = 7
LIMIT_S = 1.5
SLOWER = 4
_HOLDS = """async () => {
  await navigator.serviceWorker.ready;
  const database = await new Promise((done, failed) => {
    const asked = indexedDB.open("putback");
    asked.onsuccess = () => done(asked.result);
    asked.onerror = failed;
  });
  const found = await new Promise((done) => {
    const asked = database.transaction("held").objectStore("held").getAll();
    asked.onsuccess = () => done(asked.result);
  });
  database.close();
  return navigator.serviceWorker.controller !== null && found.some(({ held }) => held.jobs.length);
}"""


def run() -> Iterator[Figure]:
    """Look at the demo with a network, end the server, and open it again and again."""
    with tempfile.TemporaryDirectory() as scratch:
        profile = Path(scratch) / "profile"
        with serving_demo() as site, _phone(profile) as context:
            _hold(context, site)
        spent, worked = [], []
        for _ in range(RUNS):
            with _phone(profile) as context:
                took_s, work_s = _open(context.pages[0], f"{site.address}/v/{site.logbook}/")
            spent.append(took_s)
            worked.append(work_s)
    yield figure("opening Now offline, processor slowed 4 times", spent, limit_s=LIMIT_S)
    yield figure("of it the page's own processor time", worked, limit_s=LIMIT_S)


@contextmanager
def _phone(profile: Path) -> Iterator[BrowserContext]:
    """A browser that keeps what it holds in a folder."""
    with sync_playwright() as playwright:
        context = playwright.chromium.launch_persistent_context(
            str(profile),
            executable_path=shutil.which("chromium"),
            args=["--no-sandbox"],
            viewport={"width": 390, "height": 844},
        )
        try:
            yield context
        finally:
            context.close()


def _hold(context: BrowserContext, site: ServedDemo) -> None:
    """Look at the vehicle until it is planned and the phone holds it."""
    context.add_cookies([{"name": COOKIE, "value": site.token, "url": site.address}])
    page = context.pages[0]
    page.goto(f"{site.address}/v/{site.logbook}/")
    while not page.evaluate(_HOLDS):
        page.wait_for_timeout(1_000)


def _open(page: Page, address: str) -> tuple[float, float]:
    """Open the page Now with nobody to answer.

    Gives how long that took, and for how long its thread was at work [s]: others may be using
    this machine, and slowing down multiplies whatever they take.
    """
    slow = page.context.new_cdp_session(page)
    slow.send("Performance.enable")
    slow.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    begun = perf_counter()
    page.goto(address, wait_until="commit")
    page.wait_for_selector("html[data-usable] details.main summary")
    took_s = perf_counter() - begun
    measured = {
        each["name"]: each["value"] for each in slow.send("Performance.getMetrics")["metrics"]
    }
    return took_s, measured["ThreadTime"]
