"""A drawing of the bench in the coordinates of a picture: y down, lengths in picture units.

The picture is about as many units wide as a phone's screen has pixels, so that lettering of a
fixed size in units can be read there.
"""

from dataclasses import dataclass

from putback.bench.calculator import Drawing, Shape

WIDTH = 360.0
MOST_HEIGHT = 420.0
MARGIN = 22.0
_LEAST_HEIGHT = 60.0
_LINE = 16.0
"""Height of a line of lettering."""


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

    Lettering stands on the side of its point that has more room; labels that would lie upon one
    another move down a line.
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
    placed: list[tuple[float, float, float, float]] = []
    lines = tuple(_line(each, frame, placed) for each in drawing.shapes)
    lowest = max((bottom for *_, bottom in placed), default=0.0)
    height = max(high_m * scale + 2 * MARGIN, lowest + MARGIN / 2, _LEAST_HEIGHT)
    return Drawn(drawing.title, drawing.words, f"0 0 {WIDTH:g} {height:.0f}", lines)


def _line(
    shape: Shape, frame: _Frame, placed: list[tuple[float, float, float, float]]
) -> DrawnLine:
    at = [frame.at(point) for point in shape.points_m]
    points = " ".join(f"{x:.1f},{y:.1f}" for x, y in at)
    if shape.role == "dot":
        return DrawnLine("dot", points, tuple((f"{x:.1f}", f"{y:.1f}") for x, y in at))
    if shape.role != "text" or not at:
        return DrawnLine(shape.role, points)
    x, y = at[0]
    anchor = "start" if x < WIDTH * 0.4 else "end" if x > WIDTH * 0.6 else "middle"
    aside = {"start": 6.0, "middle": 0.0, "end": -6.0}[anchor]
    long = len(shape.words) * _LINE * 0.5
    left = x + aside - {"start": 0.0, "middle": long / 2, "end": long}[anchor]
    low = max(y - (7.0 if aside else 12.0), _LINE)
    while any(
        left < right and begin < left + long and low - _LINE < bottom and top < low
        for begin, top, right, bottom in placed
    ):
        low += _LINE
    placed.append((left, low - _LINE, left + long, low))
    return DrawnLine(
        "text", points, words=shape.words, x=f"{x + aside:.1f}", y=f"{low:.1f}", anchor=anchor
    )
