"""The calculators of the bench, each by its own example: typed text to answer."""

from collections.abc import Iterator

from benchmarks.measure import Figure, figure, timed
from putback.workshop.benching.every import EVERY
from putback.workshop.benching.reading import work_out

LIMIT_S = 0.010
SLOWER_S = {"stock": 2.0, "survey": 1.0}
"""Those that solve something: their limits hold for 60 pieces, and 60 points by 400 distances."""


def run() -> Iterator[Figure]:
    """Measure every calculator."""
    for name, calculator in EVERY.items():
        spent = timed(lambda found=calculator: work_out(found, found.example), runs=9)
        yield figure(f"bench {name}, its example", spent, limit_s=SLOWER_S.get(name, LIMIT_S))
