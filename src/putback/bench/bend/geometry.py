"""A bent pipe: its corners in space, and the lengths, rotations and angles that bend it.

A pipe is straight legs that meet in corners on its centre-line, each corner rounded by a bend of
one radius R. The bender knows it as a row for each bend: the straight before it (L), the rotation
of the pipe before it (R) and the angle of the bend (A); after the last one a straight is left.

Sign of a rotation: look along the pipe from its first end. Where the next bend goes off clockwise
of the last one, seen so, the rotation is positive (a right-handed turn about the way the pipe
goes). 0° bends on in one plane, to the same side, as a U does; 180° bends back, as a Z does.
"""

from dataclasses import dataclass
from itertools import pairwise
from math import atan2, cos, degrees, pi, radians, sin, sqrt, tan

from putback.bench.calculator import OutsideLimits

Point = tuple[float, float, float]
"""A place or a direction in space, [m] or [-]."""

MOST_BEND = radians(175)
"""A sharper bend has no corner that could be measured [rad]."""
_STRAIGHT = radians(0.01)
"""A corner of less is none [rad]."""
_SAME_M = 1e-6
"""Points that are nearer are one [m]."""


@dataclass(frozen=True, slots=True)
class Bend:
    """A row for the bender: straight before it [m], rotation before it [rad], angle [rad]."""

    straight_m: float
    rotation_rad: float
    angle_rad: float


@dataclass(frozen=True, slots=True)
class Pipe:
    """Bends in their order and the straight after the last, all of one centre-line radius [m]."""

    bends: tuple[Bend, ...]
    last_m: float
    radius_m: float

    @property
    def straights_m(self) -> tuple[float, ...]:
        """Every straight from tangent point to tangent point [m]; below zero where none fits."""
        return (*(bend.straight_m for bend in self.bends), self.last_m)

    @property
    def length_m(self) -> float:
        """Length of the straight tube that makes it [m]: straights and arcs ``R A``."""
        return sum(self.straights_m) + sum(self.radius_m * bend.angle_rad for bend in self.bends)

    @property
    def marks_m(self) -> tuple[float, ...]:
        """Where each bend begins, along the straight tube from its first end [m]."""
        marks, at_m = [], 0.0
        for bend in self.bends:
            at_m += bend.straight_m
            marks.append(at_m)
            at_m += self.radius_m * bend.angle_rad
        return tuple(marks)

    def mirrored(self) -> "Pipe":
        """The pipe of the other side: every rotation the other way."""
        bends = (
            Bend(each.straight_m, _turn(-each.rotation_rad), each.angle_rad) for each in self.bends
        )
        return Pipe(tuple(bends), self.last_m, self.radius_m)


def tangent_m(radius_m: float, angle_rad: float) -> float:
    """What a bend takes from each of its legs [m]: ``R tan(A / 2)``."""
    return radius_m * tan(angle_rad / 2)


def from_corners(corners: tuple[Point, ...], radius_m: float) -> Pipe:
    """Find lengths, rotations and angles of a pipe through these points on its centre-line.

    Straight ``S = leg - R tan(A1/2) - R tan(A2/2)``; angle between successive legs; rotation the
    signed angle between successive bend planes about the leg they share. Corners on a straight
    line are left out. A straight that does not fit is negative, not refused.

    Parameters
    ----------
    corners : tuple of Point
        First end, corners and last end, [m].
    radius_m : float
        Of the centre-line in every bend, [m].

    Raises
    ------
    OutsideLimits
        Fewer than two points, two that are one, or a bend over 175°.
    """
    kept = true_corners(corners)
    legs = [minus(end, start) for start, end in pairwise(kept)]
    ways = [scaled(leg, 1 / length(leg)) for leg in legs]
    angles = [between(one, other) for one, other in pairwise(ways)]
    if any(angle > MOST_BEND for angle in angles):
        raise OutsideLimits(
            f"a bend of {degrees(max(angles)):.0f}° has no corner",
            "points",
            "give a U as two bends of 90° with a corner each",
            "points",
        )
    axes = [cross(one, other) for one, other in pairwise(ways)]
    cuts = [tangent_m(radius_m, angle) for angle in angles]
    bends = []
    for place, angle in enumerate(angles):
        before = cuts[place - 1] if place else 0.0
        rotation = _dihedral(axes[place - 1], axes[place], ways[place]) if place else 0.0
        bends.append(Bend(length(legs[place]) - before - cuts[place], rotation, angle))
    return Pipe(tuple(bends), length(legs[-1]) - (cuts[-1] if cuts else 0.0), radius_m)


def to_corners(pipe: Pipe) -> tuple[Point, ...]:
    """Lay a pipe out from the origin: its first leg along x, its first bend towards y [m].

    Raises
    ------
    OutsideLimits
        A bend over 175°: its corner is out of reach.
    """
    if any(bend.angle_rad > MOST_BEND for bend in pipe.bends):
        most = max(degrees(bend.angle_rad) for bend in pipe.bends)
        raise OutsideLimits(
            f"a bend of {most:.0f}° has no corner",
            "rows",
            "give a U as two bends of 90° with no straight between",
            "rows",
        )
    way, side = (1.0, 0.0, 0.0), (0.0, 1.0, 0.0)
    corners, before = [(0.0, 0.0, 0.0)], 0.0
    for place, bend in enumerate(pipe.bends):
        cut = tangent_m(pipe.radius_m, bend.angle_rad)
        corners.append(plus(corners[-1], scaled(way, before + bend.straight_m + cut)))
        if place:
            side = _turned(side, way, bend.rotation_rad)
        # The bend tips the way towards the side, and the side away from the way.
        way, side = (
            plus(scaled(way, cos(bend.angle_rad)), scaled(side, sin(bend.angle_rad))),
            plus(scaled(side, cos(bend.angle_rad)), scaled(way, -sin(bend.angle_rad))),
        )
        before = cut
    corners.append(plus(corners[-1], scaled(way, before + pipe.last_m)))
    return tuple(corners)


def true_corners(points: tuple[Point, ...]) -> tuple[Point, ...]:
    """Leave out points on a straight line: both ends and the corners stay [m].

    Raises
    ------
    OutsideLimits
        Fewer than two points, or two that are one.
    """
    if len(points) < 2:
        raise OutsideLimits(
            "a pipe has two ends",
            "points",
            "give its first end, its corners and its last",
            "points",
        )
    for number, (one, other) in enumerate(pairwise(points), 1):
        if length(minus(one, other)) < _SAME_M:
            raise OutsideLimits(
                f"points {number} and {number + 1} are one", "points", "leave one out", "points"
            )
    kept = [points[0]]
    for corner, following in pairwise(points[1:]):
        if between(minus(corner, kept[-1]), minus(following, corner)) > _STRAIGHT:
            kept.append(corner)
    return (*kept, points[-1])


def arc_points(
    corners: tuple[Point, ...], place: int, radius_m: float, chords: int
) -> list[Point]:
    """Points along the bend at a corner, from tangent point to tangent point [m]."""
    corner = corners[place]
    back = minus(corners[place - 1], corner)
    back, ahead = scaled(back, 1 / length(back)), minus(corners[place + 1], corner)
    ahead = scaled(ahead, 1 / length(ahead))
    angle = pi - between(back, ahead)
    cut = tangent_m(radius_m, angle)
    middle = plus(back, ahead)
    centre = plus(corner, scaled(middle, radius_m / cos(angle / 2) / length(middle)))
    out = minus(plus(corner, scaled(back, cut)), centre)
    way = scaled(back, -radius_m)
    return [
        plus(centre, plus(scaled(out, cos(step)), scaled(way, sin(step))))
        for step in (angle * number / chords for number in range(chords + 1))
    ]


def plus(one: Point, other: Point) -> Point:
    """Add two vectors."""
    return one[0] + other[0], one[1] + other[1], one[2] + other[2]


def minus(one: Point, other: Point) -> Point:
    """Subtract a vector."""
    return one[0] - other[0], one[1] - other[1], one[2] - other[2]


def scaled(one: Point, by: float) -> Point:
    """Multiply a vector by a number."""
    return one[0] * by, one[1] * by, one[2] * by


def dot(one: Point, other: Point) -> float:
    """Scalar product."""
    return one[0] * other[0] + one[1] * other[1] + one[2] * other[2]


def cross(one: Point, other: Point) -> Point:
    """Vector product, right-handed."""
    return (
        one[1] * other[2] - one[2] * other[1],
        one[2] * other[0] - one[0] * other[2],
        one[0] * other[1] - one[1] * other[0],
    )


def length(one: Point) -> float:
    """Length of a vector."""
    return sqrt(dot(one, one))


def between(one: Point, other: Point) -> float:
    """Angle between two vectors [rad], exact for small and for flat ones alike."""
    return atan2(length(cross(one, other)), dot(one, other))


def _dihedral(last: Point, following: Point, way: Point) -> float:
    return _turn(atan2(dot(way, cross(last, following)), dot(last, following)))


def _turn(angle_rad: float) -> float:
    """Fold an angle to more than -180° and at most 180°."""
    folded = atan2(sin(angle_rad), cos(angle_rad))
    return pi if pi - abs(folded) < 1e-12 else folded + 0.0


def _turned(one: Point, about: Point, angle_rad: float) -> Point:
    """Turn a vector about a unit vector that is square to it, right-handed."""
    return plus(scaled(one, cos(angle_rad)), scaled(cross(about, one), sin(angle_rad)))
