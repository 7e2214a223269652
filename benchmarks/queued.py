"""What a phone's queue takes to be sent: a day without a network, in a real browser on loopback.

A phone's photo is one of 12 megapixels with the grain of a sensor, packed as JPEG in the browser.
The clock on the wall says what a person waits; as others may be using this machine, the time of
the processors in server, browser and what drives the browser is told beside it.
"""

import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from statistics import median

from playwright.sync_api import Page, sync_playwright

from benchmarks.measure import Figure, figure
from putback.web.pages.access import COOKIE
from scripts.serving import ServedDemo, serving_demo

ACTS, PHOTOS, RUNS = 100, 10, 3
LIMIT_S = 5.0

_QUEUE = "document.querySelector(\"script[src$='/mark.js']\").src.replace('mark.js', 'queue.js')"
_FILL = f"""async ([logbook, photos, acts]) => {{
  const {{ enqueue }} = await import({_QUEUE});
  const canvas = new OffscreenCanvas(4000, 3000);
  const pen = canvas.getContext("2d");
  const grain = pen.createImageData(4000, 3000);
  const dots = new Uint32Array(grain.data.buffer);
  for (let at = 0; at < dots.length; at += 1) {{
    dots[at] = 0xff000000 | (Math.floor(96 + (at % 64) + 16 * Math.random()) * 0x010101);
  }}
  let bytes = 0;
  for (let at = 0; at < acts; at += 1) {{
    const media = [];
    if (at % (acts / photos) === 0) {{
      pen.putImageData(grain, at, at); // another picture each time
      media.push(await canvas.convertToBlob({{ type: "image/jpeg", quality: 0.85 }}));
      bytes += media[0].size;
    }}
    const note = {{ kind: "note", text: `number ${{at}}` }};
    const said = media.length ? {{ kind: "photo", photo: "media:0" }} : note;
    await enqueue({{ logbook, entries: [said], media }});
  }}
  return bytes / photos;
}}"""
_SEND = f"""async () => {{
  const {{ queued, send }} = await import({_QUEUE});
  const begun = performance.now();
  await send();
  return [(performance.now() - begun) / 1000, (await queued()).length];
}}"""


def run() -> Iterator[Figure]:
    """Queue the acts while nothing answers, then time the sending of all of them."""
    on_wall, on_processors, photo_bytes = [], [], 0.0
    with serving_demo() as site, sync_playwright() as playwright:
        program = shutil.which("chromium")
        browser = playwright.chromium.launch(executable_path=program, args=["--no-sandbox"])
        for _ in range(RUNS):
            context = browser.new_context(service_workers="block", bypass_csp=True)
            page = context.new_page()
            photo_bytes = _fill(page, site)
            before = _processors_s(os.getpid())
            on_wall.append(_send(page))
            on_processors.append(_processors_s(os.getpid()) - before)
            context.close()
        browser.close()
    note = f"photos of {photo_bytes / 1e6:.1f} MB; {median(on_processors):.1f} s of processors"
    name = f"{ACTS} queued acts, {PHOTOS} photos, sent"
    yield figure(name, on_wall, limit_s=LIMIT_S, note=note)


def _fill(page: Page, site: ServedDemo) -> float:
    page.context.add_cookies([{"name": COOKIE, "value": site.token, "url": site.address}])
    page.goto(f"{site.address}/v/{site.logbook}/photos")
    page.route("**/api/**", lambda route: route.abort())
    size = float(page.evaluate(_FILL, [site.logbook, PHOTOS, ACTS]))
    page.unroute_all()
    return size


def _send(page: Page) -> float:
    spent, left = page.evaluate(_SEND)
    if left:
        raise RuntimeError(f"{left} acts were not sent")
    return float(spent)


def _processors_s(process: int) -> float:
    """Time of processors that a process, its children and theirs have used so far [s]."""
    try:
        fields = Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()
        tasks = [*Path(f"/proc/{process}/task").iterdir()]
        children = " ".join((task / "children").read_text() for task in tasks).split()
    except FileNotFoundError:  # it has just ended
        return 0.0
    own = (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")
    return own + sum(_processors_s(int(child)) for child in children)
