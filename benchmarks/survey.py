"""A chassis survey of sixty points and four hundred distances, two of them misread."""

from collections.abc import Iterator
from functools import partial
from itertools import combinations
from math import dist, sin
from random import Random

from benchmarks.measure import Figure, figure, timed
from putback.workshop.benching.every import EVERY
from putback.workshop.benching.reading import work_out

LIMIT_S = 1.0
POINTS = 60
DISTANCES = 400
_SIGMA_MM = 1.0
_MISREAD_MM = 30.0
_MISREAD = frozenset({100, 200})


def places() -> dict[str, tuple[float, float, float]]:
    """Sixty points in two rows along a frame with a hump at either axle: x, y, z [mm]."""
    return {
        f"{side}{row}": (row * 150.0, sign * (430.0 + 2 * row), 120 + 60 * sin(row / 3))
        for row in range(POINTS // 2)
        for side, sign in (("L", -1.0), ("R", 1.0))
    }


def readings(*, with_heights: bool) -> str:
    """Distances between pairs drawn by lot, as typed, the same at every run; heights besides."""
    chance = Random(7)
    stand = places()
    lines = []
    for number, (one, other) in enumerate(chance.sample([*combinations(stand, 2)], DISTANCES)):
        misread = _MISREAD_MM if number in _MISREAD else 0.0
        length = dist(stand[one], stand[other]) + chance.gauss(0, _SIGMA_MM) + misread
        lines.append(f"{one} {other} {length:.1f}")
    if with_heights:
        for name, (_, _, height) in stand.items():
            lines.append(f"{name} height {height + chance.gauss(0, _SIGMA_MM):.1f}")
    return "\n".join(lines)


def run() -> Iterator[Figure]:
    """Measure distances alone, heights besides, and that against where points ought to lie."""
    ought = "\n".join(f"{name} {x:g} {y:g} {z:.1f}" for name, (x, y, z) in places().items())
    full = {"readings": readings(with_heights=True)}
    for words, given in (
        ("alone", {"readings": readings(with_heights=False)}),
        ("and heights", full),
        ("and heights, against a reference", full | {"reference": ought}),
    ):
        spent = timed(partial(work_out, EVERY["survey"], given), runs=3)
        yield figure(
            f"survey of {POINTS} points, {DISTANCES} distances {words}", spent, limit_s=LIMIT_S
        )
