"""Search the best stretch: greedily over what each step brings with it, and exactly where small.

A *closing set* of a step is the step with all that it needs done before it and with it. Every
safe stretch is a union of such sets, so the search puts them together: in the plan's order, by
what they bring for their time, and from each of the best ones. Where few steps come into question
every choice of them is tried, with a bound: no minute of time saves more than one of work.
"""

from collections.abc import Callable
from dataclasses import dataclass
from math import inf
from operator import itemgetter

from putback.planning.bits import numbers_in
from putback.planning.stretch.brought import Brought
from putback.planning.stretch.ending import Closing, Ending
from putback.planning.stretch.needs import Needs
from putback.planning.stretch.walk import Walk, Walked
from putback.progress import NoProgress, Progress

FEW_STEPS = 16
"""So many steps in question are tried in every choice [steps]."""
_MOST_TRIED = 30_000
_STARTS = 3
"""Sets that the greedy search begins with, one after another."""
_POOL = 24
"""Of the sets looked at, so many are kept in view until none of them brings anything."""
_MOST_SETS = 250
"""Closing sets that it puts together: the earliest, and those that bring most for their time."""
_NOTHING = 1e-9


@dataclass(frozen=True, slots=True)
class Found:
    """A stretch: its steps by place, what they cost and take off the plan [minutes]."""

    places: tuple[int, ...]
    walked: Walked
    closings: tuple[Closing, ...]
    saved_minutes: float

    @property
    def minutes(self) -> float:
        """Work, set-up and closing, on the average."""
        return self.walked.minutes + sum(each.minutes for each in self.closings)

    @property
    def is_worth_it(self) -> bool:
        """Whether the plan is any shorter for it."""
        return self.saved_minutes > _NOTHING

    @property
    def rank(self) -> tuple[float, float, tuple[int, ...]]:
        """The best comes first: what it saves, then how little time it takes, then how early."""
        return (-round(self.saved_minutes, 6), round(self.minutes, 6), self.places)


@dataclass(frozen=True, slots=True)
class Answer:
    """The best stretch found; ``proven`` if every choice of steps was tried.

    ``smallest`` is the shortest one that there is, where nothing fits.
    """

    best: Found | None
    proven: bool
    smallest: Found | None = None


class Search:
    """Puts closing sets together."""

    def __init__(
        self,
        needs: Needs,
        walk: Walk,
        ending: Ending,
        may: Callable[[int], bool],
        progress: Progress = NoProgress(),
    ) -> None:
        """``may`` says whether a step comes into question at all: people and parts are here."""
        self.needs = needs
        self.walk = walk
        self.ending = ending
        self.may = may
        self.progress = progress
        self.brought = Brought(needs, walk.takes, may)
        self._judged: dict[frozenset[int], Found | None] = {}
        self._priced: dict[frozenset[int], Found | None] = {}

    # -- one set of steps ---------------------------------------------------------------------

    def priced(self, steps: frozenset[int]) -> Found | None:
        """Price a set of steps that is closed already; ``None`` if it cannot be done."""
        if steps not in self._priced:
            self._priced[steps] = self._price(steps)
        return self._priced[steps]

    def _price(self, steps: frozenset[int]) -> Found | None:
        places = tuple(sorted(steps))
        walked = self.walk.through(places)
        if walked is None:
            return None
        back = self.walk.coming_back(steps, walked)
        if back is None:
            return None
        work = sum(self.walk.work[at] for at in places)
        return Found(places, walked, self.ending.closings(places), work - back)

    def safe(self, steps: frozenset[int]) -> Found | None:
        """Complete a set until nothing hangs, and price it; ``None`` if it does not end safely."""
        if steps not in self._judged:
            self._judged[steps] = self._complete(steps)
        return self._judged[steps]

    def _complete(self, steps: frozenset[int]) -> Found | None:
        while steps:
            found = self.priced(steps)
            if found is None:
                return None
            hanging = self.ending.left_hanging(found.places)
            if not hanging:
                return found if self.ends_well(found) else None
            ends = [
                at
                for at in range(len(self.walk.steps))
                if at not in steps and not hanging.isdisjoint(self.walk.moves[at])
            ]
            more = self.brought.by([*steps, *ends]) if ends else None
            if more is None or more == steps:
                return None
            steps = more
        return None

    def ends_well(self, found: Found) -> bool:
        """Whether it stands after every step, and nothing hangs on a run that comes first."""
        ending = self.ending
        return ending.stands(found.places) and ending.props(found.places) is not None

    # -- all of them --------------------------------------------------------------------------

    def best(self, minutes: float) -> Answer:
        """Find the stretch that takes most off the plan within so many minutes."""
        owed = self.brought.by(self.needs.owed)
        if owed is None:
            return Answer(None, proven=False)
        sets = self._closing_sets(minutes, owed)
        if not sets:
            return Answer(None, proven=True, smallest=self._smallest(owed))
        question = sorted(frozenset().union(*sets))
        if len(question) <= FEW_STEPS:
            tried = _Exact(self, question, minutes, owed).run()
            if tried is not None:
                best, complete = tried
                smallest = None if best else self._smallest(owed)
                return Answer(best, complete, smallest)
        best = self._greedy(sets, minutes, owed)
        return Answer(best, proven=False, smallest=None if best else self._smallest(owed))

    def _closing_sets(self, minutes: float, owed: frozenset[int]) -> list[frozenset[int]]:
        """The closing sets whose work alone fits into the time, each once."""
        found: dict[frozenset[int], None] = {}
        takes = self.walk.takes
        for at in range(len(takes)):
            if takes[at] <= minutes and self.may(at):
                closed = self.brought.by([at, *owed], minutes + _NOTHING)
                if closed is not None:
                    found[closed] = None
            self.progress.step(at, len(takes), "looking what fits")
        return list(found)

    def _greedy(
        self, sets: list[frozenset[int]], minutes: float, owed: frozenset[int]
    ) -> Found | None:
        """Begin in several ways, add what brings most for its time, and keep the best."""
        sets = self._promising(sets, minutes)
        begun = [self._in_order(sets, minutes, owed), owed]
        begun += self._ranked(sets, owed, None, minutes)[:_STARTS]
        reached = [self._grown_safely(sets, each, minutes) for each in begun]
        fitting = [found for found in reached if found is not None and found.is_worth_it]
        return min(fitting, key=lambda found: found.rank, default=None)

    def _promising(self, sets: list[frozenset[int]], minutes: float) -> list[frozenset[int]]:
        """Of very many sets keep the earliest and those that bring most for their time."""
        if len(sets) <= _MOST_SETS:
            return sets
        ranked = self._ranked(sets, frozenset(), None, minutes)
        kept = {*sets[: _MOST_SETS // 2], *ranked[: _MOST_SETS // 2]}
        return [each for each in sets if each in kept]

    def _in_order(
        self, sets: list[frozenset[int]], minutes: float, owed: frozenset[int]
    ) -> frozenset[int]:
        """Take what fits in the plan's order."""
        taken = owed
        for each in sets:
            if not each <= taken and self._fits(self.priced(taken | each), minutes):
                taken |= each
        return taken

    def _grown_safely(
        self, sets: list[frozenset[int]], taken: frozenset[int], minutes: float
    ) -> Found | None:
        """Grow a set and judge how it ends; if that is not safe, judge every step of growing."""
        grown = self._grown(sets, taken, minutes, self.priced)
        found = self.safe(frozenset(grown.places)) if grown is not None else None
        if found is not None and self._fits(found, minutes):
            return found
        return self._grown(sets, taken, minutes, self.safe)

    def _grown(
        self,
        sets: list[frozenset[int]],
        taken: frozenset[int],
        minutes: float,
        judge: Callable[[frozenset[int]], Found | None],
    ) -> Found | None:
        """Add what brings most for its time, as long as something brings anything."""
        now = judge(taken) if taken else None
        if now is not None and not self._fits(now, minutes):
            return None
        pool: list[frozenset[int]] = []
        while True:
            # What was promising a moment ago mostly is still: all are looked at only now and then.
            found = self._next(pool, taken, now, minutes, judge) if pool else None
            if found is None:
                found = self._next(sets, taken, now, minutes, judge)
                pool = self._ranked(sets, taken, now, minutes)[:_POOL]
            if found is None:
                return now
            now, taken = found, frozenset(found.places)

    def _next(
        self,
        pool: list[frozenset[int]],
        taken: frozenset[int],
        now: Found | None,
        minutes: float,
        judge: Callable[[frozenset[int]], Found | None],
    ) -> Found | None:
        """Give the union with one of a pool that brings most for its time, if any brings some."""
        saved = now.saved_minutes if now else 0.0
        for union in self._ranked(pool, taken, now, minutes):
            found = judge(union)
            if (
                found is not None
                and self._fits(found, minutes)
                and found.saved_minutes > saved + _NOTHING
            ):
                return found
        return None

    def _ranked(
        self,
        sets: list[frozenset[int]],
        taken: frozenset[int],
        now: Found | None,
        minutes: float,
    ) -> list[frozenset[int]]:
        """Give the unions that fit, those first that bring most for their time."""
        saved, spent = (now.saved_minutes, now.minutes) if now else (0.0, 0.0)
        ranked: list[tuple[float, int, frozenset[int]]] = []
        for number, union in enumerate(dict.fromkeys(taken | each for each in sets)):
            found = self.priced(union) if union != taken else None
            if found is not None and self._fits(found, minutes):
                gain = found.saved_minutes - saved
                ranked.append((-gain / max(found.minutes - spent, 1.0), number, union))
        return [union for _, _, union in sorted(ranked, key=itemgetter(0, 1))]

    @staticmethod
    def _fits(found: Found | None, minutes: float) -> bool:
        return found is not None and found.minutes <= minutes + _NOTHING

    def _smallest(self, owed: frozenset[int]) -> Found | None:
        """The shortest stretch that ends safely, however long."""
        best: Found | None = None
        for at in range(len(self.walk.steps)):
            longest = best.minutes if best is not None else inf
            closed = self.brought.by([at, *owed], longest)
            if closed is not None:
                found = self.safe(closed)
                if found is not None and found.is_worth_it:
                    best = min(best or found, found, key=lambda each: each.minutes)
        return best


class _Exact:
    """Tries every choice of few steps, in the plan's order."""

    def __init__(
        self, search: Search, question: list[int], minutes: float, owed: frozenset[int]
    ) -> None:
        self.search = search
        self.question = question
        self.minutes = minutes
        self.owed = owed
        self.best: Found | None = None
        self.tried = 0
        self.must = {at: frozenset(numbers_in(search.needs.must[at])) for at in question}

    def run(self) -> tuple[Found | None, bool] | None:
        """Give the best, and whether all was tried; ``None`` if the patience ended."""
        complete = self._try(0, frozenset(), 0.0)
        return (self.best, True) if complete else None

    def _try(self, number: int, taken: frozenset[int], work: float) -> bool:
        self.tried += 1
        if self.tried > _MOST_TRIED:
            return False
        if number == len(self.question):
            self._judge(taken)
            return True
        rest = sum(self.search.walk.work[at] for at in self.question[number:])
        if self.best is not None and work + rest < self.best.saved_minutes - _NOTHING:
            return True
        at = self.question[number]
        either = self.search.needs.either[at]
        longer = work + self.search.walk.work[at]
        may = self.must[at] <= taken and all(not taken.isdisjoint(clause) for clause in either)
        may = may and longer <= self.minutes + _NOTHING
        if may and not self._try(number + 1, taken | {at}, longer):
            return False
        return self._try(number + 1, taken, work)

    def _judge(self, taken: frozenset[int]) -> None:
        """Keep a choice if it is closed, ends safely and is better than the best."""
        along = self.search.needs.along
        if not taken or not self.owed <= taken or any(not along[at] <= taken for at in taken):
            return
        found = self.search.priced(taken)
        if found is None or not found.is_worth_it or found.minutes > self.minutes + _NOTHING:
            return
        if self.best is not None and found.rank >= self.best.rank:
            return
        if not self.search.ending.left_hanging(found.places) and self.search.ends_well(found):
            self.best = found
