"""How often a spoilt tag is read by the camera as the pages watch it, for each step of spoiling.

Chromium's fake camera plays a film of our own tags, one film a way of spoiling them. Each tag is
held before it for two seconds, by a hand that shakes a little. A film begins with a clean tag, by
which the beginning is told: heard for the second time, all of the film was seen.
"""

import shutil
import tempfile
from collections.abc import Iterator, Sequence
from pathlib import Path
from random import Random
from time import monotonic

from PIL import Image
from playwright.sync_api import Page, sync_playwright

from benchmarks.rates import AGREED_LEAST, CLEAN_LEAST, Rate, served_files, summed
from putback.logbook.tags import Tag, tag_at
from scripts.tag_pictures import AGREED, FRAME_PX, STEPS, WAYS, Spoilt, Way, as_film, seen, spoilt

EACH = 5
"""Tags of every way and step."""
HELD_S = 2.0
"""For how long a tag is held before the camera [s]."""
_FRAMES_A_SECOND = 30
_HANDS = 4
"""So often the hand is elsewhere while a tag is held."""
_BEGINNING = tag_at(0)
_WATCH = """async () => {
  document.body.innerHTML = "<div><video muted></video><p data-camera-said></p>"
    + "<button data-torch hidden></button></div>";
  const { openCamera, watch } = await import("/js/camera.js");
  const camera = await openCamera(document.querySelector("div"));
  window.heard = [];
  watch(camera, (tag) => window.heard.push(tag));
  return [camera.video.videoWidth, camera.video.videoHeight];
}"""


def run() -> Iterator[Rate]:
    """Film every way to spoil a tag at every step; the sums at the end."""
    clean: list[Rate] = []
    agreed: list[Rate] = []
    for way in WAYS:
        shown = [each for step in STEPS for each in _distinct(way, step)]
        heard = _heard(shown)
        for step in STEPS:
            least = CLEAN_LEAST if step == 0 else None
            rate = _rate(way, step, shown, heard, least)
            (clean if step == 0 else agreed if step <= AGREED else []).append(rate)
            yield rate
    yield summed("filmed: all clean ones", clean, CLEAN_LEAST)
    yield summed(f"filmed: every way, steps 1 to {AGREED}", agreed, AGREED_LEAST)


def _distinct(way: Way, step: int) -> list[Spoilt]:
    """So many tags of a step, none of them the one a film begins with."""
    found: dict[Tag, Spoilt] = {}
    number = 0
    while len(found) < EACH:
        one = spoilt(way, step, number)
        if one.tag != _BEGINNING:
            found.setdefault(one.tag, one)
        number += 1
    return list(found.values())


def _rate(
    way: Way, step: int, shown: Sequence[Spoilt], heard: Sequence[Tag], least: float | None
) -> Rate:
    """How many tags of a step were heard; a tag that was never shown counts where it was heard."""
    steps = {each.tag: each.step for each in shown}
    at, wrong = 0, 0
    for tag in heard:
        at = steps.get(tag, at)
        wrong += tag not in steps and at == step
    own = [each.tag for each in shown if each.step == step]
    name = f"filmed {way.name} {way.steps[step]:g} {way.unit}"
    return Rate(name, sum(tag in heard for tag in own), wrong, len(own), least)


def _heard(shown: Sequence[Spoilt]) -> list[Tag]:
    """Show a film of these to a browser's camera; give the tags that its page heard, in order."""
    pictures = [seen(_BEGINNING, dice=Random(1)), *(each.picture for each in shown)]
    with tempfile.TemporaryDirectory() as scratch, served_files() as address:
        film = Path(scratch) / "tags.mjpeg"
        film.write_bytes(b"".join(_held(each) for each in pictures))
        with sync_playwright() as playwright:
            browser = playwright.chromium.launch(
                executable_path=shutil.which("chromium"),
                args=[
                    "--no-sandbox",
                    "--use-fake-ui-for-media-stream",
                    "--use-fake-device-for-media-stream",
                    f"--use-file-for-fake-video-capture={film}",
                ],
            )
            page = browser.new_page(base_url=address)
            heard = _watched(page, len(pictures) * HELD_S)
            browser.close()
    return heard


def _held(picture: Image.Image) -> bytes:
    """A tag before the camera, in a hand that turns and moves it a little."""
    dice = Random(picture.tobytes()[:4096])
    frames = round(HELD_S * _FRAMES_A_SECOND / _HANDS)
    hands = (
        picture.rotate(
            dice.uniform(-1.5, 1.5),
            Image.Resampling.BICUBIC,
            translate=(dice.randrange(-8, 9), dice.randrange(-8, 9)),
            fillcolor=140,
        )
        for _ in range(_HANDS)
    )
    return as_film(hands, frames)


def _watched(page: Page, film_s: float) -> list[Tag]:
    """Watch until the film was seen from its beginning to its end; give what was heard of it.

    Raises
    ------
    RuntimeError
        If its beginning was not heard twice in three times the length of the film.
    """
    page.goto("js/")
    size = tuple(page.evaluate(_WATCH))
    if size != FRAME_PX:
        raise RuntimeError(f"the camera gives {size} pixels, not {FRAME_PX}")
    begun = monotonic()
    while monotonic() - begun < 3 * film_s + 30:
        page.wait_for_timeout(500)
        heard = [Tag(each) for each in page.evaluate("window.heard")]
        if heard.count(_BEGINNING) >= 2:
            first = heard.index(_BEGINNING)
            return heard[first + 1 : heard.index(_BEGINNING, first + 1)]
    raise RuntimeError("the clean tag with which the film begins was not heard twice")
