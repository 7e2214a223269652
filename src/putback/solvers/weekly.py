"""Hours of work that come again every week, and sums with them over many runs at once.

Times are minutes since the midnight in which the first week begins [minutes]; nothing ends after
so many weeks, so that a run that lasts long is as right as a short one. Holidays, and whatever
else is dated, are taken off; after the last of them every week is like the other.
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

_A_BIT = 1e-3
"""Whoever works so long is there [minutes]."""


Spans = tuple[tuple[int, int], ...]
"""From when until when [minutes]."""


def joined(spans: Iterable[tuple[int, int]]) -> Spans:
    """Put spans in order, those that touch or overlap as one."""
    found: list[tuple[int, int]] = []
    for begin, end in sorted(spans):
        if found and begin <= found[-1][1]:
            found[-1] = (found[-1][0], max(end, found[-1][1]))
        else:
            found.append((begin, end))
    return tuple(found)


@dataclass(frozen=True)
class Weekly:
    """When somebody works: stretches of the week, in order and apart from one another.

    ``stretches`` are pairs of opening and closing in the week [minutes]; two that touch are one
    only if they are given as one. ``away`` are spans of time, in order and apart, that are taken
    off [minutes].
    """

    stretches: Spans
    away: Spans = ()

    def __post_init__(self) -> None:
        """Refuse stretches that are empty, overlap, or are not in the week, and such absences."""
        last = 0
        for opens, closes in self.stretches:
            if not last <= opens < closes <= WEEK_MINUTES:
                raise ValueError(f"hours {opens} to {closes} are not in order within a week")
            last = closes
        if not self.stretches:
            raise ValueError("there are no hours of work")
        last = -1
        for begin, end in self.away:
            if not last < begin < end:
                raise ValueError(f"absences {begin} to {end} are not in order")
            last = end

    @cached_property
    def minutes(self) -> int:
        """Work in a week in which nobody is away [minutes]."""
        return sum(closes - opens for opens, closes in self.stretches)

    @cached_property
    def _dated(self) -> int:
        """When the weeks begin of which each is like the other [minutes]."""
        return -(-max((end for _, end in self.away), default=0) // WEEK_MINUTES) * WEEK_MINUTES

    @cached_property
    def _first(self) -> "_Sums":
        """What is worked in the weeks before."""
        return _Sums(_without(self._stretches_until(self._dated), self.away), self._dated)

    @cached_property
    def _week(self) -> "_Sums":
        return _Sums(self.stretches, WEEK_MINUTES)

    def worked(self, times: Array) -> Array:
        """Work done from time 0 until each time [minutes]."""
        if not self._dated:
            return self._worked_by_week(times)
        later = self._worked_by_week(np.maximum(times - self._dated, 0.0))
        found: Array = self._first.worked(np.minimum(times, self._dated)) + later
        return found

    def when(self, work: Array) -> Array:
        """The earliest time by which so much is worked since time 0 [minutes]."""
        if not self._dated:
            return self._when_by_week(work)
        before = self._first.total
        later = self._dated + self._when_by_week(np.maximum(work - before, 0.0))
        if not before:
            return later
        inside = self._first.when(np.minimum(work, before))
        found: Array = np.where(work <= before + _NOTHING, inside, later)
        return found

    def _worked_by_week(self, times: Array) -> Array:
        weeks = np.floor(times / WEEK_MINUTES)
        found: Array = weeks * self.minutes + self._week.worked(times - weeks * WEEK_MINUTES)
        return found

    def _when_by_week(self, work: Array) -> Array:
        weeks = np.maximum(np.ceil((work - _NOTHING) / self.minutes) - 1, 0)
        found: Array = weeks * WEEK_MINUTES + self._week.when(work - weeks * self.minutes)
        return found

    def _stretches_until(self, end: float) -> list[tuple[int, int]]:
        """Every stretch that opens before a time, week after week [minutes]."""
        weeks = int(end // WEEK_MINUTES) + 1
        every = (
            (week * WEEK_MINUTES + opens, week * WEEK_MINUTES + closes)
            for week in range(weeks)
            for opens, closes in self.stretches
        )
        return [each for each in every if each[0] < end]

    def away_until(self, end: int) -> Spans:
        """What lies between the stretches, and absences, until they last at least so long."""
        stretches = self._stretches_until(end)
        opens = [opens for opens, _ in stretches] + [end]
        closes = [0] + [closes for _, closes in stretches]
        spells = zip(closes, opens, strict=True)
        off = [(since, until) for since, until in spells if since <= until > 0]
        return joined([*off, *(each for each in self.away if each[0] < end)])


class _Sums:
    """Work over stretches of time, in order."""

    def __init__(self, stretches: Sequence[tuple[int, int]], end: int) -> None:
        self._opens = np.array([opens for opens, _ in stretches], float)
        spans = [closes - opens for opens, closes in stretches]
        self._done = np.concatenate([[0.0], np.cumsum(spans)])
        """What is worked when each stretch closes, 0 before the first, shape (n + 1,)."""
        self._times = np.array(
            [0.0, *(float(at) for pair in stretches for at in pair), float(end)]
        )
        """Where the work done by a time has its corners."""
        self._work = np.repeat(self._done, 2)
        self.total = float(self._done[-1])

    def worked(self, times: Array) -> Array:
        """Work done until each time [minutes]."""
        found: Array = np.interp(times, self._times, self._work)
        return found

    def when(self, work: Array) -> Array:
        """The earliest time by which so much is worked, up to all of it [minutes]."""
        stretch = np.searchsorted(self._done[1:], work - _NOTHING)
        stretch = np.minimum(stretch, len(self._opens) - 1)
        into = np.maximum(work - self._done[stretch], 0)
        found: Array = self._opens[stretch] + into
        return found


def _without(stretches: Iterable[tuple[int, int]], away: Spans) -> Spans:
    """Take spans off stretches."""
    left = list(stretches)
    for begin, end in away:
        left = [
            piece
            for opens, closes in left
            for piece in ((opens, min(closes, begin)), (max(opens, end), closes))
            if piece[0] < piece[1]
        ]
    return tuple(left)


ALWAYS = Weekly(((0, WEEK_MINUTES),))
"""Day and night: paint cures and parcels travel."""


def shared(hours: Iterable[Weekly]) -> Weekly | None:
    """When all of these work at once; ``None`` if never."""
    found: list[tuple[int, int]] = [(0, WEEK_MINUTES)]
    away: list[tuple[int, int]] = []
    for each in hours:
        found = [
            (max(one[0], other[0]), min(one[1], other[1]))
            for one in found
            for other in each.stretches
            if max(one[0], other[0]) < min(one[1], other[1])
        ]
        away += each.away
    return Weekly(tuple(sorted(found)), joined(away)) if found else None


def first_there(people: Iterable[Weekly], times: Array) -> Array:
    """Give from each time on the first at which somebody of these works [minutes]."""
    found: Array = np.min([e.when(e.worked(times) + _A_BIT) - _A_BIT for e in people], axis=0)
    return found


def longest_together(people: Sequence[Weekly], may: Iterable[int], crew: int) -> int:
    """How long so many of these people are ever there at once, the same ones [minutes].

    Absences are left aside: they end.
    """
    able = [people[each] for each in may]
    longest = 0
    for at in {opens for each in able for opens, _ in each.stretches}:
        left = sorted(max((b - at for a, b in e.stretches if a <= at), default=0) for e in able)
        if len(left) >= crew:
            longest = max(longest, left[-crew])
    return longest
