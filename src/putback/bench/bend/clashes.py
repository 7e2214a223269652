"""Where a pipe cannot be bent or made up: bends too near to its ends, or to each other."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations, pairwise
from math import ceil, pi, radians

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
    for (start, one), (other_start, other) in combinations(_pieces(pipe, corners), 2):
        end_m = start[1] + length(minus(*one))
        if other_start[1] - end_m < apart_m:
            continue
        reach = (length(minus(*one)) + length(minus(*other))) / 2 + tube_m
        middles = minus(plus(*one), plus(*other))
        if dot(middles, middles) > 4 * reach**2:
            continue
        gap_m = _gap_m(one, other)
        pair = start[0], other_start[0]
        if gap_m < tube_m - _SAME_M and pair not in said:
            said.add(pair)
            yield Clash(f"the pipe touches itself: {pair[0]} and {pair[1]}", tube_m - gap_m)


def _pieces(
    pipe: Pipe, corners: tuple[Point, ...]
) -> list[tuple[tuple[str, float], tuple[Point, Point]]]:
    """The pipe as short pieces: name and place along it [m], both ends."""
    pieces, at_m, start = [], 0.0, corners[0]
    for place, bend in enumerate(pipe.bends, 1):
        chords = max(1, ceil(bend.angle_rad / _CHORD_RAD))
        arc = arc_points(corners, place, pipe.radius_m, chords)
        pieces.append(((f"straight {place}", at_m), (start, arc[0])))
        at_m += bend.straight_m
        for step, piece in enumerate(pairwise(arc)):
            along_m = pipe.radius_m * bend.angle_rad * step / chords
            pieces.append(((f"bend {place}", at_m + along_m), piece))
        at_m += pipe.radius_m * bend.angle_rad
        start = arc[-1]
    pieces.append(((f"straight {len(pipe.bends) + 1}", at_m), (start, corners[-1])))
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
