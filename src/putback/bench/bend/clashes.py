"""Where a pipe cannot be bent or made up: bends too near to its ends, or to each other."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, dist, pi, radians

from putback.bench.bend.geometry import (
    Pipe,
    Point,
    arc_points,
    dot,
    length,
    minus,
    plus,
    scaled,
)

_SAME_M = 1e-9
_CHORD_RAD = radians(15)
"""Bends are followed by chords of this angle, within 1 % of the radius [rad]."""


@dataclass(frozen=True, slots=True)
class Clash:
    """What is in the way of what, in words, and how much is missing [m]."""

    words: str
    short_m: float


def clashes(
    pipe: Pipe, corners: tuple[Point, ...], tube_m: float, fitting_m: float, grip_m: float
) -> tuple[Clash, ...]:
    """Everything that stands against bending this pipe and making up its ends.

    Parameters
    ----------
    pipe : Pipe
        Straights may be negative.
    corners : tuple of Point
        The same pipe in space, [m].
    tube_m : float
        Outside diameter, [m].
    fitting_m : float
        Straight that flare, nut and flaring tool need at an end, [m].
    grip_m : float
        Straight that the bender must hold between two bends, [m].
    """
    found = [*_at_straights(pipe, fitting_m, grip_m)]
    if all(straight > -_SAME_M for straight in pipe.straights_m):
        found.extend(_with_itself(pipe, corners, tube_m))
    return tuple(found)


def _at_straights(pipe: Pipe, fitting_m: float, grip_m: float) -> Iterator[Clash]:
    straights = pipe.straights_m
    for place, straight_m in enumerate(straights):
        ends = [end for end, at in (("first", 0), ("last", len(straights) - 1)) if place == at]
        if len(ends) == 2:  # a straight tube: both fittings on one straight
            short, words = 2 * fitting_m - straight_m, "the fittings of both ends meet"
        elif ends:
            bend = "first" if place == 0 else "last"
            short = fitting_m - straight_m
            words = f"the fitting of the {ends[0]} end runs into the {bend} bend"
        elif straight_m < -_SAME_M:
            short, words = -straight_m, f"bends {place} and {place + 1} run into each other"
        else:
            short = grip_m - straight_m
            words = f"the bender cannot hold between bends {place} and {place + 1}"
        if short > _SAME_M:
            yield Clash(words, short)


def _with_itself(pipe: Pipe, corners: tuple[Point, ...], tube_m: float) -> Iterator[Clash]:
    """Find pieces of pipe nearer than its diameter that are not neighbours along it.

    Two points less than half a turn apart along the pipe stand at least a chord of the bend apart
    (Schur's theorem), so that only pieces with more than ``π R`` between them are compared.
    """
    apart_m = max(pi * pipe.radius_m, 2 * tube_m)
    said = set()
    pieces = _pieces(pipe, corners)
    for place, one in enumerate(pieces):
        far_m = one.end_m + apart_m
        for other in pieces[place + 1 :]:
            if other.start_m < far_m:
                continue
            reach_m = one.half_m + other.half_m + tube_m
            if dist(one.middle, other.middle) > reach_m:
                continue
            gap_m = _gap_m(one.ends, other.ends)
            if gap_m < tube_m - _SAME_M and (one.name, other.name) not in said:
                said.add((one.name, other.name))
                words = f"the pipe touches itself: {one.name} and {other.name}"
                yield Clash(words, tube_m - gap_m)


@dataclass(frozen=True, slots=True)
class _Piece:
    """A short piece of pipe: both ends, and where along the pipe it begins and ends [m]."""

    name: str
    start_m: float
    end_m: float
    ends: tuple[Point, Point]
    middle: Point
    half_m: float


def _piece(name: str, start_m: float, end_m: float, ends: tuple[Point, Point]) -> _Piece:
    middle = scaled(plus(*ends), 0.5)
    return _Piece(name, start_m, end_m, ends, middle, dist(*ends) / 2)


def _pieces(pipe: Pipe, corners: tuple[Point, ...]) -> list[_Piece]:
    pieces, at_m, start = [], 0.0, corners[0]
    for place, bend in enumerate(pipe.bends, 1):
        chords = max(1, ceil(bend.angle_rad / _CHORD_RAD))
        arc = arc_points(corners, place, pipe.radius_m, chords)
        end_m = at_m + bend.straight_m
        pieces.append(_piece(f"straight {place}", at_m, end_m, (start, arc[0])))
        each_m = pipe.radius_m * bend.angle_rad / chords
        for chord in pairwise(arc):
            at_m, end_m = end_m, end_m + each_m
            pieces.append(_piece(f"bend {place}", at_m, end_m, chord))
        at_m, start = end_m, arc[-1]
    last = f"straight {len(pipe.bends) + 1}"
    pieces.append(_piece(last, at_m, at_m + pipe.last_m, (start, corners[-1])))
    return pieces


def _gap_m(one: tuple[Point, Point], other: tuple[Point, Point]) -> float:
    """Least distance of two straight pieces [m].

    After Lumelsky: the nearest points of the two lines, held within the pieces.
    """
    u, v = minus(one[1], one[0]), minus(other[1], other[0])
    w = minus(one[0], other[0])
    uu, uv, vv, uw, vw = dot(u, u), dot(u, v), dot(v, v), dot(u, w), dot(v, w)
    square = uu * vv - uv * uv
    s = _held((uv * vw - vv * uw) / square) if square > 1e-12 * uu * vv else 0.0
    t = _held((uv * s + vw) / vv) if vv else 0.0
    s = _held((uv * t - uw) / uu) if uu else 0.0
    return length(plus(w, minus(scaled(u, s), scaled(v, t))))


def _held(share: float) -> float:
    return min(1.0, max(0.0, share))
