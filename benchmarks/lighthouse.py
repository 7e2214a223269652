"""What Lighthouse says of the page Now: a phone on a slow network, as it simulates one.

Lighthouse comes by npm, pinned; the browser is Debian's Chromium.
"""

import json
import shutil
import socket
import statistics
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from playwright.sync_api import sync_playwright

from benchmarks.measure import Grade
from putback.web.pages.access import COOKIE
from scripts.serving import ServedDemo, serving_demo

LIGHTHOUSE = "lighthouse@12.2.3"
RUNS = 5
LEAST = {"performance": 95, "accessibility": 100, "best-practices": 100}


def run() -> Iterator[Grade]:
    """Let Lighthouse look so many times and give the median of each category."""
    with serving_demo() as site:
        looks = [_look(site) for _ in range(RUNS)]
    for category, least in LEAST.items():
        scores = [100 * look["categories"][category]["score"] for look in looks]
        median = statistics.median(scores)
        yield Grade(f"Lighthouse, {category}, Now on a phone", median, least, RUNS)


@contextmanager
def _browser_of(site: ServedDemo) -> Iterator[int]:
    """A browser in which the owner is signed in; gives the port that it is steered by.

    Signed in by its own cookie: a header that Lighthouse sends along is not sent by what the page
    fetches through its service worker, and a page that meets strangers is not the one to judge.
    """
    with socket.create_server(("127.0.0.1", 0)) as free:
        port: int = free.getsockname()[1]
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=shutil.which("chromium"),
            args=["--no-sandbox", f"--remote-debugging-port={port}"],
        )
        own = browser.new_browser_cdp_session()
        cookie = {"name": COOKIE, "value": site.token, "url": site.address}
        own.send("Storage.setCookies", {"cookies": [cookie]})
        yield port
        browser.close()


def _look(site: ServedDemo) -> dict[str, Any]:
    """Each time in a browser that has seen nothing yet."""
    with tempfile.TemporaryDirectory() as scratch, _browser_of(site) as port:
        command = [
            *("npm", "exec", "--yes", f"--package={LIGHTHOUSE}", "--", "lighthouse"),
            *(f"{site.address}/v/{site.logbook}/", f"--port={port}", "--quiet"),
            f"--only-categories={','.join(LEAST)}",
            *("--output=json", "--output-path=seen.json"),
        ]
        subprocess.run(command, cwd=scratch, check=True, stdout=subprocess.DEVNULL)
        seen: dict[str, Any] = json.loads(Path(scratch, "seen.json").read_text())
        return seen
