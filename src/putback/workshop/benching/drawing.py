"""A drawing of the bench in the coordinates of a picture: y down, lengths in picture units.

The picture is about as many units wide as a phone's screen has pixels, so that lettering of a
fixed size in units can be read there.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import hypot

from putback.bench.calculator import Drawing, Shape

WIDTH = 360.0
MOST_HEIGHT = 420.0
MARGIN = 22.0
_LEAST_HEIGHT = 60.0
_TALL = 300.0
_LINE = 16.0
"""Height of a line of lettering."""
_LETTER = 8.0
"""Width of a letter, on average and a little over."""
_NEAR = 6.0
"""What is no further from a line or dot stands at it."""


@dataclass(frozen=True, slots=True)
class DrawnLine:
    """One line, or several dots, or a word, as the picture has it."""

    role: str
    points: str
    """As ``polyline`` takes them."""
    dots: tuple[tuple[str, str], ...] = ()
    words: str = ""
    x: str = ""
    y: str = ""
    anchor: str = ""


@dataclass(frozen=True, slots=True)
class Drawn:
    """A picture ready for a page."""

    title: str
    words: str
    view_box: str
    lines: tuple[DrawnLine, ...]
    is_tall: bool = False
    """Whether a desk shows it hardly larger than a phone: its height is what fills the room."""


@dataclass(frozen=True, slots=True)
class _Frame:
    """Where the drawing lies in the picture: its lower left corner [m], and units a metre."""

    left_m: float
    top_m: float
    scale: float
    shift: float
    """What centres a narrow drawing [units]."""

    def at(self, point_m: tuple[float, float]) -> tuple[float, float]:
        x_m, y_m = point_m
        return (
            MARGIN + self.shift + (x_m - self.left_m) * self.scale,
            MARGIN + (self.top_m - y_m) * self.scale,
        )


def drawn(drawing: Drawing) -> Drawn:
    """Put a drawing into picture coordinates, to scale and as large as fits.

    Lettering at a line or dot stands on the side of it that has more room, elsewhere right on its
    point; labels that would lie upon one another move down a line.
    """
    points = [point for shape in drawing.shapes for point in shape.points_m]
    if not points:
        return Drawn(drawing.title, drawing.words, f"0 0 {WIDTH:g} {_LEAST_HEIGHT:g}", ())
    xs, ys = zip(*points, strict=True)
    wide_m, high_m = max(xs) - min(xs), max(ys) - min(ys)
    inner = WIDTH - 2 * MARGIN
    scale = min(
        inner / wide_m if wide_m else float("inf"),
        (MOST_HEIGHT - 2 * MARGIN) / high_m if high_m else float("inf"),
    )
    scale = scale if scale != float("inf") else 1.0
    frame = _Frame(min(xs), max(ys), scale, (inner - wide_m * scale) / 2)
    segments = tuple(_segments(drawing.shapes, frame))
    labels: list[_Label] = []
    lines = tuple(_line(each, frame, segments, labels) for each in drawing.shapes)
    lowest = max((label.low for label in labels), default=0.0)
    height = max(high_m * scale + 2 * MARGIN, lowest + MARGIN / 2, _LEAST_HEIGHT)
    return Drawn(
        drawing.title, drawing.words, f"0 0 {WIDTH:g} {height:.0f}", lines, height > _TALL
    )


Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class _Label:
    """The room that a word takes."""

    left: float
    right: float
    low: float

    def is_upon(self, other: "_Label") -> bool:
        return (
            self.left < other.right
            and other.left < self.right
            and abs(self.low - other.low) < _LINE
        )


def _segments(shapes: Sequence[Shape], frame: _Frame) -> Iterator[tuple[Point, Point]]:
    """Give the lines and dots that are drawn, as pairs of points in the picture."""
    for shape in shapes:
        if shape.role == "text":
            continue
        at = [frame.at(point) for point in shape.points_m]
        is_line = shape.role != "dot" and len(at) > 1
        yield from pairwise(at) if is_line else ((point, point) for point in at)


def _distance(point: Point, segment: tuple[Point, Point]) -> float:
    """How far a point is from a line [units]."""
    (x, y), ((x1, y1), (x2, y2)) = point, segment
    along_x, along_y = x2 - x1, y2 - y1
    square = along_x**2 + along_y**2
    share = ((x - x1) * along_x + (y - y1) * along_y) / square if square else 0.0
    share = min(1.0, max(0.0, share))
    return hypot(x - x1 - share * along_x, y - y1 - share * along_y)


def _line(
    shape: Shape,
    frame: _Frame,
    segments: Sequence[tuple[Point, Point]],
    labels: list[_Label],
) -> DrawnLine:
    at = [frame.at(point) for point in shape.points_m]
    points = " ".join(f"{x:.1f},{y:.1f}" for x, y in at)
    if shape.role == "dot":
        return DrawnLine("dot", points, tuple((f"{x:.1f}", f"{y:.1f}") for x, y in at))
    if shape.role != "text" or not at:
        return DrawnLine(shape.role, points)
    long = len(shape.words) * _LETTER
    anchor, x, low = _beside(at[0], long, segments)
    left = x - {"start": 0.0, "middle": long / 2, "end": long}[anchor]
    label = _Label(left, left + long, low)
    while any(label.is_upon(other) for other in labels):
        label = _Label(label.left, label.right, label.low + _LINE)
    labels.append(label)
    return DrawnLine(
        "text", points, words=shape.words, x=f"{x:.1f}", y=f"{label.low:.1f}", anchor=anchor
    )


def _beside(
    point: Point, long: float, segments: Sequence[tuple[Point, Point]]
) -> tuple[str, float, float]:
    """Say where a word stands: how it is anchored, where, and its foot."""
    x, y = point
    if all(_distance(point, each) > _NEAR for each in segments):
        middle = min(max(x, long / 2), WIDTH - long / 2)
        return "middle", middle, y + _LINE / 4
    if WIDTH * 0.4 <= x <= WIDTH * 0.6:
        return "middle", x, max(y - 12.0, _LINE)
    anchor, aside = ("start", 6.0) if x < WIDTH / 2 else ("end", -6.0)
    return anchor, x + aside, max(y - 7.0, _LINE)
