"""Readings of tape, tram and height gauge as they are typed, brought to hole centres.

A line is ``FROM TO DISTANCE`` and, if it differs from the rest, how it was read: ``true`` or
``plan``; ``centre``, ``inner``, ``outer`` or ``like``. ``A height 312`` is the height of A over
the datum. ``A-B 3214`` and ``A to B 3214`` are read as ``A B 3214``.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

from putback.bench.lines import LENGTH_UNITS, Line, read_lines, unit_words
from putback.errors import BadInput

Point = tuple[float, float, float]
"""x, y, z [m]."""

MOST_POINTS = 200
MOST_READINGS = 2000
"""More than these is no chassis, and would take long."""

_PAIR = re.compile(r"([^-–:=]+)[-–]([^-–:=]+)[:=]?\Z")
_PROPER = re.compile(r"\d+/\d+\Z")

LONGEST_M, SHORTEST_M = 100.0, 1e-4
"""Outside these no reading of a chassis lies; most often the unit is another [m]."""


class Kind(StrEnum):
    """What a reading is the length of."""

    TRUE = "true"  # straight from point to point
    PLAN = "plan"  # projected on the datum, as a tram bar with long and short pins reads
    HEIGHT = "height"  # of one point over the datum


class Edge(StrEnum):
    """What was measured to at a hole."""

    CENTRE = "centre"
    INNER = "inner"  # the edges nearest each other
    OUTER = "outer"  # the edges furthest apart
    LIKE = "like"  # the same edge of both, such as the left


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading between hole centres; ``to`` is empty where it is a height [m]."""

    start: str
    to: str
    length_m: float
    kind: Kind = Kind.TRUE

    @property
    def name(self) -> str:
        """What a person calls it."""
        return f"height of {self.start}" if self.kind is Kind.HEIGHT else f"{self.start}-{self.to}"


def between_centres_m(read_m: float, edge: Edge, holes_m: tuple[float, float]) -> float:
    """Bring a distance between edges of two round holes to their centres.

    Parameters
    ----------
    read_m : float
        As read, [m].
    edge : Edge
        Which edges.
    holes_m : tuple of float
        Diameters, [m].

    Returns
    -------
    float
        ``inner`` adds half of both diameters, ``outer`` takes it off; ``like`` edges of equal
        holes are as far apart as centres, [m].

    Raises
    ------
    BadInput
        Like edges of holes that differ: which edge it was then matters.
    """
    half = sum(holes_m) / 2
    match edge:
        case Edge.INNER:
            return read_m + half
        case Edge.OUTER:
            return read_m - half
        case Edge.LIKE if abs(holes_m[0] - holes_m[1]) > 1e-9:
            raise BadInput(
                "like edges of holes of two sizes are not as far apart as their centres",
                mend="read inner or outer edges",
            )
    return read_m


def read_readings(
    text: str, unit: str, kind: Kind, edge: Edge, holes_m: Mapping[str, float]
) -> tuple[Reading, ...]:
    """Read the lines of a survey.

    Parameters
    ----------
    text : str
        The lines.
    unit : str
        What their numbers are in.
    kind, edge : Kind and Edge
        What holds for a line that says nothing else.
    holes_m : mapping of str to float
        Diameters of holes by point, [m]; a point without one is a mark, of no size.

    Raises
    ------
    BadInput
        A line that cannot be read, a point measured to itself, or far too many.
    """
    scale = LENGTH_UNITS[unit]
    readings: list[Reading] = []
    for line in read_lines(text, "readings", unit_words(unit)):
        if len(readings) == MOST_READINGS:
            raise line.fault(f"more than {MOST_READINGS} readings are too many")
        readings.append(_reading(_paired(line).mixed(2), scale, kind, edge, holes_m))
    if not readings:
        raise BadInput("no reading is given", "readings", "write lines like: FL RR 3214")
    if len({name for each in readings for name in (each.start, each.to)}) > MOST_POINTS:
        raise BadInput(f"more than {MOST_POINTS} points are too many", "readings")
    return tuple(readings)


def _paired(line: Line) -> Line:
    """Part two points that are written as one cell, and leave out the ``to`` between two."""
    first, *rest = line.cells
    found = _PAIR.match(first)
    is_alone = len(rest) < 2 or not line.is_number(2) or _PROPER.match(rest[1])
    if found and line.is_number(1) and is_alone:
        return replace(line, cells=(found[1], found[2], *rest))
    if len(line) > 3 and line.cells[1].casefold() == "to" and line.is_number(3):
        return replace(line, cells=(first, *rest[1:]))
    return line


def _reading(
    line: Line, scale: float, kind: Kind, edge: Edge, holes_m: Mapping[str, float]
) -> Reading:
    start, to = line.text(0, "first point"), line.text(1, "second point")
    value = line.value(2, "reading") * scale
    if abs(value) > LONGEST_M:
        raise line.fault(f"{value:g} m is no reading of a chassis", "see which unit is chosen")
    if to.casefold() == Kind.HEIGHT:
        line.at_most(3, "A height 312")
        return Reading(start, "", value, Kind.HEIGHT)
    if start == to:
        raise line.fault(f"{start!r} is measured to itself")
    for place in range(3, len(line)):
        word = line.text(place, "word").casefold()
        if word in (Kind.TRUE, Kind.PLAN):
            kind = Kind(word)
        elif word in set(Edge):
            edge = Edge(word)
        else:
            raise line.fault(
                f"{word!r} says nothing about a reading",
                "say true or plan; centre, inner, outer or like",
            )
    if edge in (Edge.INNER, Edge.OUTER) and not holes_m:
        raise line.fault(
            f"{edge} edges are no centres, and no hole's diameter is known",
            "give the holes, one a line: FL 12",
        )
    try:
        length = between_centres_m(value, edge, (holes_m.get(start, 0.0), holes_m.get(to, 0.0)))
    except BadInput as error:
        raise line.fault(error.what, error.mend) from error
    if length < SHORTEST_M:
        raise line.fault("two points are further apart than nothing", "read it again")
    return Reading(start, to, length, kind)


def read_holes(text: str, unit: str) -> dict[str, float]:
    """Read lines of point and diameter; gives diameters by point [m].

    Raises
    ------
    BadInput
        A line that cannot be read, or a diameter below nothing.
    """
    holes = {}
    for each in read_lines(text, "holes", unit_words(unit)):
        line = each.mixed(1)
        line.at_most(2, "FL 12")
        size = line.value(1, "diameter") * LENGTH_UNITS[unit]
        if size < 0:
            raise line.fault("a hole is no smaller than nothing")
        holes[line.text(0, "point")] = size
    return holes


def read_points(text: str, unit: str, field: str) -> dict[str, Point]:
    """Read lines of point, x, y and z; gives places by point [m].

    Raises
    ------
    BadInput
        A line that cannot be read, a point that is there twice, or one that is far off.
    """
    scale = LENGTH_UNITS[unit]
    points: dict[str, Point] = {}
    for line in read_lines(text, field, unit_words(unit)):
        line.at_most(4, "FL 0 -430 120")
        name = line.text(0, "point")
        if name in points:
            raise line.fault(f"{name!r} is there twice")
        x, y, z = line.values(("x", "y", "z"), 1)
        points[name] = (x * scale, y * scale, z * scale)
        if max(map(abs, points[name])) > LONGEST_M:
            raise line.fault(
                f"{name!r} is further than {LONGEST_M:g} m from the origin",
                "see which unit is chosen",
            )
    return points
