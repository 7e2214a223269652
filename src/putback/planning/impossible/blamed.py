"""Which facts seem to leave a trial without hope: a guess, for whoever looks for few of them.

It is followed back from the goal why each thing is out of reach, by one reason each. What a guess
leaves out is found out by trying with these facts alone.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from typing import NamedTuple

from putback.planning.impossible.trial import State, Trial
from putback.vehicle.ids import StandingId, part_ref


class Forced(NamedTuple):
    """Something every way to the goal contains: the one way of several that is left."""

    node: int
    by: int = -1
    """What demands it; nothing does of the goal."""
    any_of: tuple[int, ...] = ()
    fact: int = -1
    where: StandingId | None = None
    """The standing that needs it, where it is not demanded but for one."""


@dataclass(frozen=True, slots=True)
class Foreseen:
    """How far a trial could get at most."""

    state: State
    hope: AbstractSet[int]
    standings: Collection[StandingId | None]
    waits: Mapping[int, Sequence[int]]
    held: Sequence[AbstractSet[int]]
    forced: Mapping[int, Forced]


class Blame:
    """Follows back why things are out of reach."""

    def __init__(self, trial: Trial, case: Foreseen) -> None:
        """Begin with nothing to blame."""
        self.trial = trial
        self.laid = trial.laid
        self.case = case
        self.facts: set[int] = set()
        """By number."""
        self.ended: set[int] = set()
        """What had been ended by what was done."""
        self.todo: list[int] = []
        self.stood: set[StandingId | None] = set()
        """Standings of which it was said why they cannot be entered."""
        self.needed: set[int] = set()
        """What it was said of why nothing goes without it."""

    def follow(self, out_of_reach: Iterable[int]) -> None:
        """Blame some facts for each of these things, if it is out of reach."""
        case, up = self.case, self.trial.up
        self.todo += out_of_reach
        seen: set[int] = set()
        for index in self.todo:
            if index not in seen and index not in case.hope:
                seen.add(index)
                self._out_of_reach(index)
        for first, last, fact in self.laid.spans:
            if last in case.held and not up[fact] and not case.state.done.keys().isdisjoint(first):
                self.facts.add(fact)
        self.facts.discard(-1)

    def _out_of_reach(self, index: int) -> None:
        laid, case, up = self.laid, self.case, self.trial.up
        unmet = [
            number
            for number in laid.demands[index]
            if not case.state.met[number]
            and not up[laid.fact[number]]
            and case.hope.isdisjoint(laid.any_of[number])
        ]
        if unmet:
            number = min(unmet, key=lambda each: (len(laid.any_of[each]), each))
            self.facts.add(laid.fact[number])
            self.todo += laid.any_of[number]
            return
        if index in case.state.dead:
            self._dead(index)
            return
        waits = [first for first in case.waits.get(index, ()) if first not in case.hope]
        if waits:
            self._waits(index, waits[0])
            return
        if index in laid.is_step:
            self._nowhere(index)

    def _dead(self, index: int) -> None:
        """Something done ended it."""
        up, done = self.trial.up, self.case.state.done.keys()
        self.ended.add(index)
        for by in done & self.trial.ended_by.get(index, ()):
            self.facts.update(f for o, f in self.laid.ends[by] if o == index and not up[f])

    def _waits(self, index: int, first: int) -> None:
        """It would end something that everything needs."""
        up = self.trial.up
        ends = [fact for other, fact in self.laid.ends.get(index, ()) if other == first]
        ends = [fact for fact in ends if not up[fact]]
        if ends:
            self.facts.add(ends[0])
        else:  # or the standings that it is done in
            for standing, fact in self.laid.kills.get(index, ()):
                if not up[fact] and first not in self.trial.shut[standing]:
                    self.facts.add(fact)
            self._nowhere(first)
        self.todo.append(first)
        self._forced(first)

    def _forced(self, index: int) -> None:
        """Why every way to the goal contains something."""
        while index in self.case.forced and index not in self.needed:
            self.needed.add(index)
            why = self.case.forced[index]
            self.facts.add(why.fact)
            self.todo += (way for way in why.any_of if way != index)
            if why.where is not None:
                self._nowhere(why.by)
            index = why.by

    def _nowhere(self, index: int) -> None:
        """Why a thing cannot be done in one standing or the other."""
        laid, trial = self.laid, self.trial
        crack = laid.crack.get(index)
        if crack is not None and not trial.up[crack[1]]:
            self.facts.add(crack[1])
            self._not_entered(crack[0])
        for standing in laid.standings:
            if standing in self.case.state.lost and index not in trial.shut[standing]:
                self.ended.add(index)
            shut = [f for f in laid.shut[standing].get(index, ()) if not trial.up[f]]
            if shut:
                self.facts.add(min(shut))
            else:
                self._not_entered(standing)

    def _not_entered(self, standing: StandingId | None) -> None:
        if standing in self.stood or standing in self.case.standings:
            return
        self.stood.add(standing)
        self.facts.update(self._closed(standing))

    def _closed(self, standing: StandingId | None) -> Iterator[int]:
        laid, state, up = self.laid, self.case.state, self.trial.up
        closed = [fact for fact in laid.closed[standing] if not up[fact]]
        if closed:
            yield closed[0]
            return
        if standing in state.lost:
            for index in state.done:
                yield from (
                    fact
                    for to, fact in laid.kills.get(index, ())
                    if to == standing and not up[fact]
                )
            return
        for part, fact in laid.needs[standing]:
            by = laid.problem.providers.get(part_ref(part), ())
            if part not in state.gone and not up[fact] and self.case.hope.isdisjoint(by):
                yield fact
                self.todo += by
                return
        if standing is not None:
            yield laid.no_change[standing]
