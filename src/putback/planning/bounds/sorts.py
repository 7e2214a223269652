"""Sorts of work, and how often each must be come back to: what chains of precedence force.

Work is sorted by what is in hand for it: how the vehicle stands, the zone, the tool, whether
helpers are there; by each of these and by several together. A *stretch* of a sort lasts from one
of its things to another as long as nothing comes between for which one of these is different.
"""

from collections.abc import Iterable, Sequence
from functools import cached_property
from itertools import combinations
from typing import Final

import numpy as np
from numpy.typing import NDArray

from putback.planning.bounds.landmarks import Landmarks
from putback.planning.posing.problem import Problem

STANDING: Final = 0
ZONE: Final = 1
TOOL: Final = 2
HELP: Final = 3
SORTINGS: Final = tuple(
    some for size in range(1, 5) for some in combinations((STANDING, ZONE, TOOL, HELP), size)
)
"""By what work is sorted: each of the four, and each several of them together."""

_SWEEPS = 4
"""How often chains are followed through alternatives; less only makes the count smaller."""

_MANY = 200_000
"""So many things and sorts, each with each, are looked at together."""

_UNSAID = -1

Counts = NDArray[np.int16]
Flags = NDArray[np.bool_]


class Sorts:
    """The sorts of what is sure to be done, and how many stretches of each there are at least."""

    def __init__(self, marks: Landmarks) -> None:
        """Sort the steps that every plan takes."""
        self.marks = marks
        self._row = {thing: row for row, thing in enumerate(marks.order)}
        self._can, said = _in_hand(marks)
        in_hand = said[[self._row[thing] for thing in marks.steps]].tolist()
        found: dict[tuple[tuple[int, ...], tuple[int, ...]], list[int]] = {}
        for place, mine in enumerate(in_hand):
            for sorting in SORTINGS:
                key = tuple([mine[each] for each in sorting])
                if _UNSAID not in key:
                    found.setdefault((sorting, key), []).append(place)
        self.sorting = [sorting for sorting, _ in found]
        """Of each sort by what it was sorted."""
        self.members = list(found.values())
        """Of each sort the things, by their place among the steps."""
        wanted = np.full((len(found), 4), _UNSAID, np.int32)
        for sort, (sorting, key) in enumerate(found):
            wanted[sort, list(sorting)] = key
        self.wanted = wanted
        self._inside = np.ones((len(said), len(found)), np.bool_)
        apart = np.zeros_like(self._inside)
        for each in (STANDING, ZONE, TOOL, HELP):
            asked = wanted[:, each] != _UNSAID
            same = said[:, each, None] == wanted[None, :, each]
            self._inside &= same | ~asked
            if each != STANDING:
                apart |= (said[:, each, None] != _UNSAID) & asked & ~same
        stands = np.where(
            wanted[:, STANDING] == _UNSAID, -1, np.int64(1) << np.maximum(wanted[:, STANDING], 0)
        )
        apart |= (self._can[:, None] & stands[None, :]) == 0
        self._counts = self._inside | apart

    @cached_property
    def least(self) -> list[int]:
        """How many stretches of each sort there are at least."""
        return [
            max(int(self._forwards[places, sort].max() + 1) // 2, 1)
            for sort, places in enumerate(self.members)
        ]

    @cached_property
    def least_cut(self) -> list[int]:
        """How many there are at least if a change of standing ends each.

        Of each standing that alone will do for some of its things as many as these have, and one
        for each further standing that the others want.
        """
        alone: dict[tuple[int, ...], dict[int, int]] = {}
        for sort, (standing, *rest) in enumerate(self.wanted.tolist()):
            if standing != _UNSAID:
                alone.setdefault(tuple(rest), {})[standing] = self.least[sort]
        cut: list[int] = []
        for sort, (_, *rest) in enumerate(self.wanted.tolist()):
            counted = alone.get(tuple(rest), {})
            further = self._fewest_standings(self.members[sort], counted)
            cut.append(max(self.least[sort], sum(counted.values()) + further))
        return cut

    def waits(self) -> tuple[NDArray[np.intp], Flags]:
        """Say of each stretch whose it is, and which come after it if no sort has more of them.

        A thing is in no earlier stretch of its sort than chains from the beginning say, in no
        later one than those from the end. What of another sort, apart from it, must be over
        before it is over before the latest of these ends, so before all of that; and what may
        begin only after it comes after the earliest of them.

        Returns
        -------
        tuple of array of shape (n,) and array of shape (n, n)
            The sort of each of *n* stretches; in row *i* the stretches that come after *i*.
        """
        least, apart = np.array(self.least), self.apart()
        begin = np.concatenate(([0], np.cumsum(least)))  # of the stretches of each sort
        sort = np.repeat(np.arange(len(least)), least)
        number = np.arange(len(sort))
        after = (sort[:, None] == sort) & (number[:, None] < number)
        owner = np.repeat(np.arange(len(least)), [len(things) for things in self.members])
        thing = np.array([place for things in self.members for place in things], np.intp)
        first = begin[owner] + (self._forwards[thing, owner] + 1) // 2 - 1
        last = begin[owner + 1] - (self._backwards[thing, owner] + 1) // 2
        for some in np.array_split(np.arange(len(owner)), len(owner) * len(least) // _MANY + 1):
            others = apart[owner[some]]
            over = self._forwards[thing[some]] // 2 * others
            which, other = np.nonzero(over)
            after[begin[other] + over[which, other] - 1, last[some][which]] = True
            to_come = self._backwards[thing[some]] // 2 * others
            which, other = np.nonzero(to_come)
            after[first[some][which], begin[other + 1] - to_come[which, other]] = True
        return sort, after

    def apart(self) -> Flags:
        """Say of each two sorts whether nothing is done for both at once."""
        apart = np.zeros((len(self.members), len(self.members)), np.bool_)
        for each in (STANDING, ZONE, TOOL, HELP):
            one, other = self.wanted[:, None, each], self.wanted[None, :, each]
            apart |= (one != _UNSAID) & (other != _UNSAID) & (one != other)
        return apart

    @cached_property
    def before(self) -> list[int]:
        """Of each step what is always done before it, itself with it, as bits by place."""
        places = list(self.marks.steps)
        width = max(places, default=0) // 8 + 1
        all_of = b"".join(
            (self.marks.before[thing] & ((1 << width * 8) - 1)).to_bytes(width, "little")
            for thing in places
        )
        each = np.frombuffer(all_of, np.uint8).reshape(len(places), width)
        steps = np.unpackbits(each, axis=1, bitorder="little")[:, places]
        packed = np.packbits(steps, axis=1, bitorder="little")
        return [int.from_bytes(row.tobytes(), "little") for row in packed]

    # -- chains -------------------------------------------------------------------------------

    @cached_property
    def _forwards(self) -> Counts:
        """The phase in which each step is done at the earliest, by sort.

        Work goes in phases, in turn without the sort and within it; what is done in which phase
        at the earliest follows from what must come before.
        """
        phase = np.zeros(self._inside.shape, np.int16)
        row_of, ways = self._row, self.marks.ways
        asks = [[[row_of[way] for way in some] for some in ways[x]] for x in self.marks.order]
        asked_by: list[list[int]] = [[] for _ in asks]
        for row, asked in enumerate(asks):
            for way in (way for some in asked for way in some):
                asked_by[way].append(row)
        stale = [True] * len(asks)
        for _ in range(_SWEEPS):
            for row in (row for row, is_stale in enumerate(stale) if is_stale):
                stale[row] = False
                earliest = phase[row]
                for some in asks[row]:
                    by = phase[some[0]] if len(some) == 1 else phase[some].min(axis=0)
                    earliest = np.maximum(earliest, by)
                now = self._within(earliest, row)
                if not np.array_equal(now, phase[row]):
                    phase[row] = now
                    for other in asked_by[row]:
                        stale[other] = True
            if not any(stale):
                break
        return phase[[self._row[thing] for thing in self.marks.steps]]

    @cached_property
    def _backwards(self) -> Counts:
        """The same from the end: how many phases are still to come, with the step's own."""
        phase = np.zeros((len(self.marks.steps), self._inside.shape[1]), np.int16)
        for place in reversed(range(len(phase))):
            phase[place] = self._within(phase[place], self._row[self.marks.steps[place]])
            left = self.before[place] & ~(1 << place)
            while left:  # those before it that are before no other such
                last = left.bit_length() - 1
                np.maximum(phase[last], phase[place], out=phase[last])
                left &= ~self.before[last]
        return phase

    def _within(self, phase: Counts, row: int) -> Counts:
        """Give the next phase for those sorts in whose present phase a thing is not done."""
        now: Counts = phase + ((phase % 2 != self._inside[row]) & self._counts[row])
        return now

    def _fewest_standings(self, places: Sequence[int], besides: Iterable[int]) -> int:
        """The fewest standings, besides some, of which each thing can be done in one."""
        given = sum(1 << standing for standing in besides)
        wanted = {int(self._can[self._row[self.marks.steps[place]]]) for place in places}
        wanted = {each for each in wanted if not each & given}
        count = len(self.marks.problem.usable)
        for size in range(count):
            for some in combinations(range(count), size):
                chosen = sum(1 << standing for standing in some)
                if all(each & chosen for each in wanted):
                    return size
        return count


def _in_hand(marks: Landmarks) -> tuple[NDArray[np.int64], NDArray[np.int32]]:
    """Say in which standings each thing can be done, as bits, and what is in hand for it.

    What is not said, or does not matter, is `_UNSAID`; of the standing nothing is said where
    several will do.
    """
    problem = marks.problem
    number: dict[object, int] = {}
    can = np.full(len(marks.order), -1, np.int64)
    said = np.full((len(marks.order), 4), _UNSAID, np.int32)
    for row, thing in enumerate(marks.order):
        node = problem.nodes[marks.cracked.get(thing, thing)]
        if not node.kind.is_step:
            continue
        can[row] = _standing_bits(problem, marks, thing)
        if can[row] > 0 and can[row].bit_count() == 1:
            said[row, STANDING] = int(can[row]).bit_length() - 1
        if node.zone is not None:
            said[row, ZONE] = number.setdefault((ZONE, node.zone), len(number))
        if node.tool:
            said[row, TOOL] = number.setdefault((TOOL, node.tool), len(number))
        said[row, HELP] = node.crew > 1
    return can, said


def _standing_bits(problem: Problem, marks: Landmarks, thing: int) -> int:
    only = marks.standings(thing)
    if only is None or not problem.usable:
        return -1
    return sum(1 << at for at, each in enumerate(problem.usable) if each in only)
