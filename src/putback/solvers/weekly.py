"""Hours of work that come again every week, and sums with them over many runs at once.

Times are minutes since the midnight in which the first week begins [minutes]; nothing ends after
so many weeks, so that a run that lasts long is as right as a short one.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

Array = np.ndarray[Any, Any]

WEEK_MINUTES = 7 * 24 * 60
_NOTHING = 1e-6
"""Below this a time is rounding [minutes]."""


@dataclass(frozen=True)
class Weekly:
    """When somebody works: stretches of the week, in order and apart from one another.

    ``stretches`` are pairs of opening and closing in the week [minutes]; two that touch are one
    only if they are given as one.
    """

    stretches: tuple[tuple[int, int], ...]

    def __post_init__(self) -> None:
        """Refuse stretches that are empty, overlap, or are not in the week."""
        last = 0
        for opens, closes in self.stretches:
            if not last <= opens < closes <= WEEK_MINUTES:
                raise ValueError(f"hours {opens} to {closes} are not in order within a week")
            last = closes
        if not self.stretches:
            raise ValueError("there are no hours of work")

    @cached_property
    def minutes(self) -> int:
        """Work in a week [minutes]."""
        return sum(closes - opens for opens, closes in self.stretches)

    @cached_property
    def _opens(self) -> Array:
        return np.array([opens for opens, _ in self.stretches], float)

    @cached_property
    def _done(self) -> Array:
        """What is worked in the week when each stretch closes, 0 before the first, (n + 1,)."""
        spans = [closes - opens for opens, closes in self.stretches]
        return np.concatenate([[0.0], np.cumsum(spans)])

    @cached_property
    def _corners(self) -> tuple[Array, Array]:
        """Where the work done by a time has its corners: times, and work [minutes]."""
        times = [0.0, *(float(at) for pair in self.stretches for at in pair), float(WEEK_MINUTES)]
        work = np.repeat(self._done, 2)
        return np.array(times), work

    def worked(self, times: Array) -> Array:
        """Work done from time 0 until each time [minutes]."""
        weeks = np.floor(times / WEEK_MINUTES)
        corners, work = self._corners
        inside = np.interp(times - weeks * WEEK_MINUTES, corners, work)
        found: Array = weeks * self.minutes + inside
        return found

    def when(self, work: Array) -> Array:
        """The earliest time by which so much is worked since time 0 [minutes]."""
        weeks = np.maximum(np.ceil((work - _NOTHING) / self.minutes) - 1, 0)
        rest = work - weeks * self.minutes
        stretch = np.searchsorted(self._done[1:], rest - _NOTHING)
        stretch = np.minimum(stretch, len(self.stretches) - 1)
        into = np.maximum(rest - self._done[stretch], 0)
        found: Array = weeks * WEEK_MINUTES + self._opens[stretch] + into
        return found

    def stretches_until(self, end: float) -> list[tuple[int, int]]:
        """Every stretch that opens before a time, week after week [minutes]."""
        weeks = int(end // WEEK_MINUTES) + 1
        every = (
            (week * WEEK_MINUTES + opens, week * WEEK_MINUTES + closes)
            for week in range(weeks)
            for opens, closes in self.stretches
        )
        return [each for each in every if each[0] < end]

    def away_until(self, end: int) -> tuple[tuple[int, int], ...]:
        """What lies between the stretches, week after week, until they last at least so long."""
        stretches = self.stretches_until(end)
        opens = [opens for opens, _ in stretches] + [end]
        closes = [0] + [closes for _, closes in stretches]
        spells = zip(closes, opens, strict=True)
        return tuple((since, until) for since, until in spells if since <= until > 0)


ALWAYS = Weekly(((0, WEEK_MINUTES),))
"""Day and night: paint cures and parcels travel."""


def shared(hours: Iterable[Weekly]) -> Weekly | None:
    """When all of these work at once; ``None`` if never."""
    found: list[tuple[int, int]] = [(0, WEEK_MINUTES)]
    for each in hours:
        found = [
            (max(one[0], other[0]), min(one[1], other[1]))
            for one in found
            for other in each.stretches
            if max(one[0], other[0]) < min(one[1], other[1])
        ]
    return Weekly(tuple(sorted(found))) if found else None


def longest_together(people: Sequence[Weekly], may: Iterable[int], crew: int) -> int:
    """How long so many of these people are ever there at once, the same ones [minutes]."""
    able = [people[each] for each in may]
    longest = 0
    for at in {opens for each in able for opens, _ in each.stretches}:
        left = sorted(max((b - at for a, b in e.stretches if a <= at), default=0) for e in able)
        if len(left) >= crew:
            longest = max(longest, left[-crew])
    return longest
