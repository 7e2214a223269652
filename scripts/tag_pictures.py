"""Pictures of our own printed tags, spoilt in known steps, the same at every run.

For tests and for the benchmark ``scan``: how often is a tag read that is creased, tilted, half in
the shade, greasy, far away, or lit by a torch in the dark? Each way to spoil a tag has five steps
beyond the clean one; what a step means stands beside it. Steps 1 to `AGREED` are what must be read
(docs/scanning.md); those beyond show where reading ends.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from io import BytesIO
from math import cos, radians, sin
from random import Random

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFilter, ImageFont

from putback.logbook.tag_code import QUIET_MODULES, SIDE_MODULES, modules_of
from putback.logbook.tags import TAG_COUNT, Tag, tag_at

FRAME_PX = (1280, 720)
"""What a phone's camera gives to a page."""
AGREED = 3
"""The last step that is asked for."""
STEPS = range(6)

_FINE = 16
"""Pixels of a module on the label, before it is seen by a camera [px]."""
_SEEN = 8.0
"""Pixels of a module in the frame, a hand's length away [px]."""
_BENCH = (150, 145, 130)

Numbers = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Way:
    """A way to spoil a tag; ``steps`` says what each is, from clean to hopeless."""

    name: str
    unit: str
    steps: tuple[float, ...]
    spoil: Callable[[Tag, float, Random], Image.Image]


@dataclass(frozen=True, slots=True)
class Spoilt:
    """One picture, and which tag is in it."""

    way: str
    step: int
    tag: Tag
    picture: Image.Image


def label(tag: Tag, module_px: int = _FINE) -> Image.Image:
    """A tag as it is printed: its code, and its characters below."""
    side = (SIDE_MODULES + 2 * QUIET_MODULES) * module_px
    printed = Image.new("L", (side, side + 7 * module_px), 255)
    rows = np.array(modules_of(tag), dtype=np.uint8)
    code = Image.fromarray(255 - 255 * rows).resize(
        (SIDE_MODULES * module_px,) * 2, Image.Resampling.NEAREST
    )
    printed.paste(code, (QUIET_MODULES * module_px,) * 2)
    font = ImageFont.load_default(6 * module_px)
    draw = ImageDraw.Draw(printed)
    draw.text((side / 2, side + 2 * module_px), str(tag), 0, font=font, anchor="mm")
    return printed


def seen(
    tag: Tag,
    *,
    dice: Random,
    module_px: float = _SEEN,
    tilt_deg: float = 0.0,
    turn_deg: float | None = None,
    printed: Image.Image | None = None,
) -> Image.Image:
    """A tag on the bench, in one frame of a camera.

    ``module_px`` is the size of a module in the frame [px]; ``tilt_deg`` how far the label leans
    back [degrees], ``turn_deg`` how it is turned in its plane, any way where nothing is said.
    """
    printed = printed or label(tag)
    wide, high = printed.size
    turn = radians(dice.uniform(0, 360) if turn_deg is None else turn_deg)
    lean, axis = radians(tilt_deg), dice.uniform(0, 6.283)
    scale = module_px / _FINE
    away = 3.0 * wide * scale  # the camera, three labels from the label
    middle = (
        FRAME_PX[0] / 2 + dice.uniform(-120, 120),
        FRAME_PX[1] / 2 + dice.uniform(-40, 40),
    )

    def at(x: float, y: float) -> tuple[float, float]:
        x, y = (x - wide / 2) * scale, (y - high / 2) * scale
        x, y = x * cos(turn) - y * sin(turn), x * sin(turn) + y * cos(turn)
        along, across = x * cos(axis) + y * sin(axis), -x * sin(axis) + y * cos(axis)
        depth = away / (away + across * sin(lean))
        along, across = along * depth, across * cos(lean) * depth
        x, y = along * cos(axis) - across * sin(axis), along * sin(axis) + across * cos(axis)
        return middle[0] + x, middle[1] + y

    corners = [(0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high)]
    # As coarse as the frame first, or thin modules would vanish between two pixels.
    finer = min(1.0, 1.5 * scale)
    coarse = max(1, round(wide * finer)), max(1, round(high * finer))
    printed = printed.resize(coarse, Image.Resampling.BOX)
    ends = [(x * coarse[0] / wide, y * coarse[1] / high) for x, y in corners]
    into = _homography([at(*each) for each in corners], ends)
    data = into.ravel()[:8].tolist()
    placed = printed.transform(
        FRAME_PX, Image.Transform.PERSPECTIVE, data, Image.Resampling.BICUBIC
    )
    there = Image.new("L", printed.size, 255)
    there = there.transform(FRAME_PX, Image.Transform.PERSPECTIVE, data)
    return Image.composite(placed, _bench(dice), there)


def _homography(start: list[tuple[float, float]], end: list[tuple[float, float]]) -> Numbers:
    """The map that takes four points to four others, as a 3 by 3 matrix."""
    rows, right = [], []
    for (x, y), (u, v) in zip(start, end, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        right += [u, v]
    found = np.linalg.solve(np.array(rows, dtype=float), np.array(right, dtype=float))
    return np.append(found, 1.0).reshape(3, 3)


def _bench(dice: Random) -> Image.Image:
    ground = Image.new("RGB", FRAME_PX, _BENCH)
    draw = ImageDraw.Draw(ground)
    for _ in range(40):
        x, y, size = (
            dice.randrange(FRAME_PX[0]),
            dice.randrange(FRAME_PX[1]),
            dice.randrange(8, 70),
        )
        shade = tuple(dice.randrange(30, 200) for _ in range(3))
        draw.ellipse((x, y, x + size, y + size), fill=shade, outline=(20, 20, 20), width=3)
    return ground.convert("L")


# -- the ways ------------------------------------------------------------------------------------


def _tilted(tag: Tag, lean_deg: float, dice: Random) -> Image.Image:
    return seen(tag, dice=dice, tilt_deg=lean_deg)


def _far(tag: Tag, module_px: float, dice: Random) -> Image.Image:
    return seen(tag, dice=dice, module_px=module_px)


def _creased(tag: Tag, hidden_modules: float, dice: Random) -> Image.Image:
    """Folded twice across the code and smoothed out again.

    Each fold hides a strip of that width, what lies behind it is in other light, and along most of
    it the ink has flaked or dirt sits.
    """
    creased = np.asarray(label(tag), dtype=float)
    if hidden_modules:
        for _ in range(2):
            creased = _fold(creased, hidden_modules * _FINE, dice)
    return seen(tag, dice=dice, printed=_grey(creased), tilt_deg=10)


def _fold(printed: Numbers, hidden_px: float, dice: Random) -> Numbers:
    high, wide = printed.shape
    y, x = np.mgrid[0:high, 0:wide]
    turn = dice.uniform(0, 3.1416)
    through = (wide * dice.uniform(0.3, 0.7), wide * dice.uniform(0.3, 0.7))
    off = (x - through[0]) * sin(turn) - (y - through[1]) * cos(turn)
    drawn_in = np.where(off > 0, hidden_px, 0.0)
    from_x = np.clip(x + drawn_in * sin(turn), 0, wide - 1).astype(int)
    from_y = np.clip(y - drawn_in * cos(turn), 0, high - 1).astype(int)
    folded = printed[from_y, from_x] * np.where(off > 0, 0.7, 1.0)
    flaked = np.abs(off) < 0.25 * hidden_px + 0.05 * _FINE
    along = (x - through[0]) * cos(turn) + (y - through[1]) * sin(turn)
    flaked &= np.sin(along / (2.2 * _FINE) + dice.uniform(0, 6.283)) > -0.3
    return np.where(flaked, dice.choice((70.0, 230.0)), folded)


def _shaded(tag: Tag, left_of_light: float, dice: Random) -> Image.Image:
    """A shadow's edge runs across the code: in the shade that share of the light is left."""
    frame = np.asarray(seen(tag, dice=dice, tilt_deg=10), dtype=float)
    off = _edge(dice)
    share = left_of_light + (1 - left_of_light) / (1 + np.exp(-off / 4.0))
    return _grey(frame * share)


def _edge(dice: Random) -> Numbers:
    y, x = np.mgrid[0 : FRAME_PX[1], 0 : FRAME_PX[0]]
    turn = dice.uniform(0, 6.2832)
    middle = FRAME_PX[0] / 2 + dice.uniform(-60, 60), FRAME_PX[1] / 2 + dice.uniform(-30, 30)
    off: Numbers = (x - middle[0]) * cos(turn) + (y - middle[1]) * sin(turn)
    return off


def _greasy(tag: Tag, blur_modules: float, dice: Random) -> Image.Image:
    """Seen through grease: unsharp, with brown smears of oil and with black finger marks."""
    printed = label(tag)
    if not blur_modules:
        return seen(tag, dice=dice, printed=printed, tilt_deg=10)
    smear = Image.new("L", printed.size, 0)
    draw = ImageDraw.Draw(smear)
    for _ in range(6):
        x, y = dice.uniform(0, printed.width), dice.uniform(0, printed.width)
        long, thick = dice.uniform(4, 9) * _FINE, dice.uniform(2, 5) * _FINE
        thickness = min(230, round(dice.uniform(200, 400) * blur_modules))
        draw.ellipse((x - long, y - thick, x + long, y + thick), fill=thickness)
    smear = smear.filter(ImageFilter.BoxBlur(2 * _FINE))
    oiled = Image.composite(Image.new("L", printed.size, 70), printed, smear)
    marked = ImageDraw.Draw(oiled)
    for _ in range(round(blur_modules * 12)):
        x, y = (dice.uniform(0.2, 0.8) * printed.width for _ in range(2))
        size = dice.uniform(0.6, 1.2) * _FINE
        marked.ellipse((x - size, y - size, x + size, y + size), fill=dice.randrange(20, 90))
    unsharp = oiled.filter(ImageFilter.GaussianBlur(blur_modules * _FINE))
    return seen(tag, dice=dice, printed=unsharp, tilt_deg=10)


def _torchlit(tag: Tag, spot_modules: float, dice: Random) -> Image.Image:
    """In the dark by the phone's own torch: dim, with the sensor's noise and a glare.

    The glare saturates a spot of that radius somewhere on the label [modules].
    """
    frame = np.asarray(seen(tag, dice=dice, tilt_deg=10), dtype=float)
    if not spot_modules:
        return _grey(frame)
    y, x = np.mgrid[0 : FRAME_PX[1], 0 : FRAME_PX[0]]
    reach = (SIDE_MODULES / 2) * _SEEN
    at = (
        FRAME_PX[0] / 2 + dice.uniform(-reach, reach),
        FRAME_PX[1] / 2 + dice.uniform(-reach, reach),
    )
    distance = np.hypot(x - at[0], y - at[1])
    radius = spot_modules * _SEEN
    lit = 0.30 + 0.25 * np.exp(-((distance / 350.0) ** 2))
    glare = 330.0 * np.exp(-((distance / radius) ** 2))
    noise = np.random.default_rng(dice.randrange(2**32)).normal(0, 8.0, frame.shape)
    return _grey(frame * lit + glare + noise)


def _grey(values: Numbers) -> Image.Image:
    return Image.fromarray(np.clip(values, 0, 255).astype(np.uint8))


WAYS = (
    Way("tilted", "degrees", (0, 20, 35, 50, 60, 70), _tilted),
    Way("creased", "modules hidden in each fold", (0, 0.1, 0.2, 0.3, 0.5, 0.8), _creased),
    Way("half shaded", "of the light left", (1, 0.6, 0.4, 0.25, 0.15, 0.08), _shaded),
    Way("greasy", "modules of blur", (0, 0.1, 0.2, 0.3, 0.45, 0.6), _greasy),
    Way("torch", "modules of glare", (0, 1, 2, 3, 4.5, 6), _torchlit),
    Way("far", "pixels a module", (8, 5, 3.5, 2.5, 2, 1.5), _far),
)


def spoilt(way: Way, step: int, number: int) -> Spoilt:
    """The picture of this number of a way and step: the same whenever it is asked for."""
    dice = Random(f"{way.name} {step} {number}")
    tag = tag_at(dice.randrange(TAG_COUNT))
    return Spoilt(way.name, step, tag, way.spoil(tag, way.steps[step], dice))


def all_spoilt(each: int, steps: range = STEPS) -> Iterator[Spoilt]:
    """So many pictures of every way and step."""
    for way in WAYS:
        for step in steps:
            yield from (spoilt(way, step, number) for number in range(each))


def as_jpeg(picture: Image.Image, quality: int = 85) -> bytes:
    """The bytes of a frame as a camera packs it."""
    into = BytesIO()
    picture.save(into, "JPEG", quality=quality)
    return into.getvalue()


def as_film(pictures: Iterable[Image.Image], frames_each: int = 30) -> bytes:
    """Pictures one after the other as motion JPEG, for a browser's fake camera."""
    return b"".join(as_jpeg(each) * frames_each for each in pictures)
