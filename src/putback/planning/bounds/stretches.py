"""The least set-up: how often standing, zone, tool and helpers change at least, together.

Two stretches of different sorts of one sorting (`sorts.py`) do not overlap, so they follow one
another, and between two that do something of that sorting changes. So each sorting says of how
many changes there are at least so many, and the cheapest numbers of changes that fit all of them
are a bound. What makes a sort have one stretch more than chains of precedence force are circles:
if stretches wait for one another in a circle, they would follow one another, and the first of
them would wait for the last. So some sort of each circle has one more.
"""

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import inf

import numpy as np

from putback.planning.bits import numbers_in
from putback.planning.bounds.sorts import HELP, SORTINGS, STANDING, TOOL, ZONE, Sorts
from putback.planning.plan import PlanSettings
from putback.progress import NoProgress, Progress
from putback.solvers import Amount, Amounts

_ROUNDS = 3
"""So often longer circles are looked for after the bound rose last."""

_SCALE = 1000
"""Minutes are counted in thousandths, rounded down: the bound stays a bound."""

_VERY_MANY = 10_000
"""More changes than any plan has a use for."""


def least_setup(
    sorts: Sorts,
    walks: Sequence[float],
    settings: PlanSettings,
    effort: float,
    progress: Progress = NoProgress(),
) -> float:
    """Give what all changes cost together at least [minutes].

    Parameters
    ----------
    sorts : Sorts
        The sorts of what is sure to be done.
    walks : sequence of float
        What so many changes of standing cost at least, the last entry for all more [minutes].
    settings : PlanSettings
        What changes of zone and tool and the coming of helpers cost [minutes].
    effort : float
        Effort for each look at the numbers, in the solver's own count [-].
    progress : Progress
        Asked whether to go on.
    """
    if not sorts.members:
        return min(walks)
    changes = _Changes(sorts, walks, settings)
    circles = _Circles(sorts)
    for circle in circles.of_two():
        changes.break_circle(circle)
    least, since = 0, 0
    while True:
        answer = changes.amounts.solve(effort=effort, progress=progress)
        since = 0 if answer.bound > least else since + 1
        least = max(least, answer.bound)
        if answer.values is None or not answer.optimal or since > _ROUNDS:
            break
        again = {sort for sort, each in enumerate(changes.again) if answer.values[each]}
        found = list(circles.without(again))
        for circle in found:
            changes.break_circle(circle)
        if not found:
            break
    return changes.fixed_minutes + least / _SCALE


class _Changes:
    """The numbers of changes, and what the sortings say of them.

    ``again`` says of each sort whether it has one stretch more than chains force.
    """

    def __init__(self, sorts: Sorts, walks: Sequence[float], settings: PlanSettings) -> None:
        self.amounts = Amounts()
        zones, tools, calls = (self.amounts.amount(_VERY_MANY) for _ in range(3))
        weights = {
            zones: _thousandths(settings.zone_minutes),
            tools: _thousandths(settings.tool_minutes),
            calls: _thousandths(settings.helper_minutes),
        }
        self.again = [self.amounts.amount(1) for _ in sorts.members]
        self._stands: dict[Amount, int] = {}
        self._stands_fixed = 0
        self.fixed_minutes = 0.0
        self._walk(walks, weights)
        counted = {ZONE: {zones: 1}, TOOL: {tools: 1}, HELP: {calls: 2}, STANDING: self._stands}
        of: dict[tuple[int, ...], list[int]] = {sorting: [] for sorting in SORTINGS}
        for sort, sorting in enumerate(sorts.sorting):
            of[sorting].append(sort)
        for sorting, some in of.items():
            terms = {each: by for what in sorting for each, by in counted[what].items()}
            stood = self._stands_fixed if STANDING in sorting else 0
            least = sum(sorts.least[sort] for sort in some) - 1 - stood
            if some:
                self._ask(terms, some, least)
            if some and STANDING not in sorting:
                # A stretch goes on over a change of standing for one sort at most.
                once = [sort for sort in some if sorts.least_cut[sort] == sorts.least[sort]]
                least = sum(sorts.least_cut[sort] for sort in some) - 1 - self._stands_fixed
                self._ask(terms | self._stands, once, least)
        for sort in of[HELP,]:
            if sorts.wanted[sort, HELP]:
                self._ask({calls: 1}, [sort], sorts.least[sort])
        self.amounts.minimise(weights)

    def break_circle(self, sorts: Sequence[int]) -> None:
        """Say that not all of some sorts have only the stretches that chains force."""
        self.amounts.any_of(self.again[sort] for sort in sorts)

    def _ask(self, terms: dict[Amount, int], again: Sequence[int], least: int) -> None:
        """Ask for no fewer changes than ``least`` and one for each sort come back to."""
        self.amounts.at_least(terms | {self.again[sort]: -1 for sort in again}, least)

    def _walk(self, walks: Sequence[float], weights: dict[Amount, int]) -> None:
        """Let each further change of standing cost what walks with so many cost more."""
        least = [min(walks[at:]) for at in range(len(walks))]
        self.fixed_minutes = least[0]
        self._stands_fixed = max(at for at, cost in enumerate(least) if cost == least[0])
        before: Amount | None = None
        for one, more in pairwise(least[self._stands_fixed :]):
            if more == inf:
                return
            further = self.amounts.amount(1)
            weights[further] = _thousandths(more - one)
            self._stands[further] = 1
            if before is not None:
                self.amounts.at_least({before: 1, further: -1}, 0)
            before = further
        if before is not None:
            self._stands[before] = _VERY_MANY
        else:
            self._stands_fixed = _VERY_MANY


class _Circles:
    """Stretches that wait for one another in a circle."""

    def __init__(self, sorts: Sorts) -> None:
        sort, after = sorts.waits()
        self._sort = sort.tolist()
        self._for_each_other = after & after.T
        packed = np.packbits(after, axis=1, bitorder="little")
        self._after = [int.from_bytes(row.tobytes(), "little") for row in packed]
        """What comes after each stretch, as bits."""

    def of_two(self) -> Iterator[tuple[int, ...]]:
        """Give the sorts of all circles of two."""
        ones, others = np.nonzero(np.triu(self._for_each_other))
        yield from dict.fromkeys(
            self._sorts((int(a), int(b))) for a, b in zip(ones, others, strict=True)
        )

    def without(self, again: set[int]) -> Iterator[tuple[int, ...]]:
        """Give the sorts of some circles, none of them in ``again``; none if there are none."""
        left = sum(1 << at for at, sort in enumerate(self._sort) if sort not in again)
        left = self._between_others(left)
        for begin in range(len(self._sort)):
            if left >> begin & 1 and (circle := self._through(begin, left)):
                yield self._sorts(circle)
                left = self._between_others(left & ~sum(1 << at for at in circle))

    def _sorts(self, circle: Sequence[int]) -> tuple[int, ...]:
        return tuple(sorted({self._sort[at] for at in circle}))

    def _between_others(self, among: int) -> int:
        """Leave out what nothing left comes after, or before: no circle goes through that."""
        while True:
            leading = led_to = 0
            for at in numbers_in(among):
                if after := self._after[at] & among:
                    leading |= 1 << at
                    led_to |= after
            left = leading & led_to
            if left == among:
                return left
            among = left

    def _through(self, begin: int, among: int) -> list[int]:
        """Find a shortest circle through a stretch; nothing if there is none."""
        came = {begin: begin}
        queue = [begin]
        for here in queue:  # grows as it is gone through
            after = self._after[here]
            if after >> begin & 1:
                circle = [here]
                while here != begin:
                    here = came[here]
                    circle.append(here)
                return circle
            fresh = after & among
            among &= ~fresh
            for there in numbers_in(fresh):
                came[there] = here
                queue.append(there)
        return []


def _thousandths(minutes: float) -> int:
    return int(minutes * _SCALE + 1e-6)
