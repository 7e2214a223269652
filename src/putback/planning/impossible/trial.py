"""What may be done in a problem of which some facts are given up, and how far that has got."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

from putback.planning.impossible.laid import Laid
from putback.planning.posing.fact import Fact
from putback.planning.posing.problem import Kind
from putback.vehicle.ids import PartId, StandingId

VISIT = -1
"""In place of a node: nothing but to stand so, for what is cracked there."""
NONE: frozenset[StandingId] = frozenset()
"""No standing."""

_NOWHERE: tuple[StandingId | None, ...] = ()


@dataclass(slots=True)
class State:
    """How far a try has got."""

    missing: list[int]
    """Demands of each node that count and are not met yet."""
    owed: list[int]
    """The same of those that rest on what is given up."""
    met: bytearray
    done: dict[int, int]
    """Nodes, each with how many moves were made before."""
    dead: set[int]
    """What cannot be done any more."""
    ready: list[int]
    here: StandingId | None
    stood: set[StandingId | None]
    gone: set[PartId]
    lost: set[StandingId | None]
    """Standings that bear on what is off."""
    used: set[StandingId | None]
    """Standings that something was done in."""
    made: list[tuple[StandingId | None, int]]

    def copy(self) -> "State":
        """Make a copy to try something on."""
        return State(
            self.missing.copy(),
            self.owed.copy(),
            self.met[:],
            self.done.copy(),
            self.dead.copy(),
            self.ready.copy(),
            self.here,
            self.stood.copy(),
            self.gone.copy(),
            self.lost.copy(),
            self.used.copy(),
            self.made.copy(),
        )


class Trial:
    """What may be done, and what that does, where some facts are given up."""

    def __init__(self, laid: Laid, given_up: Collection[Fact]) -> None:
        self.laid = laid
        self.blamed: set[int] = set()
        """Facts by which there was no hope, where there was none."""
        self.ended: set[int] = set()
        """What had been ended there."""
        self.up = bytearray(len(laid.number) + 1)  # the last: what rests on no fact always counts
        for fact in given_up:
            self.up[laid.number[fact]] = 1
        up = self.up
        self.shut = {
            standing: {i for i, facts in those.items() if self.counts(facts)}
            for standing, those in laid.shut.items()
        }
        """What cannot be done in each standing."""
        self.bound = set().union(*self.shut.values())
        """What cannot be done in some standing."""
        self.asks = {
            standing: tuple(part for part, fact in needs if not up[fact])
            for standing, needs in laid.needs.items()
            if not self.counts(laid.closed[standing])
        }
        """The standings that are not closed, each with what must be off for it."""
        self.asked = {part for off in self.asks.values() for part in off}
        self.ways = {
            at: frozenset(to for to in laid.standings if to in leads or up[laid.no_change[to]])
            for at, leads in laid.leads.items()
        }
        """Where changes lead from each standing, directly."""
        self.crack = {i: where for i, (where, fact) in laid.crack.items() if not up[fact]}
        self.ends = {
            i: these
            for i, ended in laid.ends.items()
            if (these := [other for other, fact in ended if not up[fact]])
        }
        self.kills = {
            i: lost
            for i, killed in laid.kills.items()
            if (lost := {standing for standing, fact in killed if not up[fact]})
        }
        self.tied = {*self.bound, *self.crack}
        """What cannot be done wherever the vehicle is stood in any way."""
        if laid.problem.start is None and laid.standings[0] is not None:
            self.tied = laid.is_step
        self._regions: dict[object, list[StandingId | None]] = {}
        self.ended_by: dict[int, list[int]] = {}
        for then, these in self.ends.items():
            for first in these:
                self.ended_by.setdefault(first, []).append(then)
        self.spans = [(first, last) for first, last, fact in laid.spans if not up[fact]]
        self.begins = {i for first, _ in self.spans for i in first}
        self.harmful = {
            *self.kills,
            *self.begins,
            *(
                i
                for i, these in self.ends.items()
                if any((i, o) not in laid.covered for o in these)
            ),
        }

    def begin(self, begun: State | None = None) -> State:
        """Give the state with nothing done, or what was begun with all facts so."""
        laid = self.laid
        start = laid.problem.start
        if begun is None:
            state = State(
                laid.count.copy(),
                [0] * len(laid.count),
                bytearray(len(laid.any_of)),
                {},
                set(),
                [i for i in laid.steps if not laid.count[i]],
                start,
                {start},
                set(laid.problem.parts_off),
                set(),
                {start},
                [],
            )
        else:
            state = begun.copy()
        free = [] if begun else [i for i in laid.near if not laid.count[i]]
        for fact, numbers in laid.resting_on.items():
            if self.up[fact]:
                for number in numbers:
                    if not state.met[number]:
                        owner = laid.of[number]
                        state.owed[owner] += 1
                        state.missing[owner] -= 1
                        if not state.missing[owner]:
                            free.append(owner)
        state.ready += [i for i in free if i in laid.is_step and laid.count[i]]
        for index in free:  # what is parted where no joint holds any more
            if index != laid.goal and laid.problem.nodes[index].kind is Kind.PARTED:
                self._finish(state, index)
        return state

    # -- what may be done ---------------------------------------------------------------------

    def counts(self, facts: Iterable[int]) -> bool:
        """Whether any of these facts is so."""
        return any(not self.up[fact] for fact in facts)

    def fits(self, state: State, index: int, standing: StandingId | None) -> bool:
        """Whether a node may be done in a standing."""
        laid = self.laid
        if standing is None and laid.standings[0] is not None:
            return False
        if index in self.shut[standing]:
            return False
        crack = self.crack.get(index)
        return crack is None or crack == standing or crack in state.stood

    def may_enter(
        self, standing: StandingId | None, gone: set[PartId], lost: Collection[object]
    ) -> bool:
        """Whether the vehicle may be stood so, with these parts off and these standings lost."""
        return (
            standing not in lost and standing in self.asks and gone.issuperset(self.asks[standing])
        )

    def entered(self, state: State) -> list[StandingId | None]:
        """The standings that may be entered now."""
        lost, gone = state.lost, state.gone
        return [s for s, off in self.asks.items() if s not in lost and gone.issuperset(off)]

    def leads(self, at: StandingId | None, to: StandingId | None) -> bool:
        """Whether a change leads from one standing to another directly."""
        return at is None or to in self.ways[at]

    def reach(
        self, at: StandingId | None, free: Collection[StandingId | None]
    ) -> list[StandingId | None]:
        """The standings one can get to, the one of now first."""
        found = [at]
        for here in found:
            if here is None:
                found += (to for to in free if to not in found)
            else:
                ways = self.ways[here]
                found += (to for to in free if to in ways and to not in found)
        return found

    def region(self, state: State) -> list[StandingId | None]:
        """The standings one can go to and come back from, the one of now first."""
        here = state.here
        if self.laid.standings[0] is None or here is None or self.hanging(state):
            return [here]
        free = tuple(self.entered(state))
        region = self._regions.get((here, free))
        if region is None:
            region = [here]
            if here in free:
                region = [s for s in self.reach(here, free) if here in self.reach(s, free)]
            self._regions[here, free] = region
        return region

    def hanging(self, state: State) -> list[set[int]]:
        """What can only be done before the standing changes."""
        if state.done.keys().isdisjoint(self.begins):
            return []
        return [
            last
            for first, last in self.spans
            if not state.done.keys().isdisjoint(first)
            and state.done.keys().isdisjoint(last)
            and not last <= state.dead
        ]

    def breaks(self, state: State, index: int, standing: StandingId | None) -> int:
        """How many of the facts that are given up a node would break."""
        laid = self.laid
        found = state.owed[index] + len(laid.shut[standing].get(index, ()))
        crack = laid.crack.get(index)
        found += crack is not None and crack[0] not in state.stood
        for other, fact in laid.ends_by_fact.get(index, ()):
            if self.up[fact] and other not in state.done:
                found += 1
        if standing not in state.used and standing is not None:
            found += sum(map(self.up.__getitem__, laid.closed[standing]))
            found += sum(
                part not in state.gone and self.up[fact] for part, fact in laid.needs[standing]
            )
        return found

    # -- doing --------------------------------------------------------------------------------

    def do(self, state: State, index: int, standing: StandingId | None) -> None:
        """Take note that a node is done, standing so."""
        laid = self.laid
        state.here = standing
        state.used.add(standing)
        state.made.append((standing, index))
        if index in self.ends:
            state.dead.update(o for o in self.ends[index] if o not in state.done)
        if index in self.kills:
            state.lost |= self.kills[index]
        if index in laid.takes:
            state.gone |= laid.takes[index]
        self._finish(state, index)

    def _finish(self, state: State, index: int) -> None:
        laid, missing = self.laid, state.missing
        todo = [index]
        while todo:
            at = todo.pop()
            if at in state.done:
                continue
            state.done[at] = len(state.made)
            for number in laid.meets[at]:
                if state.met[number]:
                    continue
                state.met[number] = 1
                owner = laid.of[number]
                if self.up[laid.fact[number]]:
                    state.owed[owner] -= 1
                    continue
                missing[owner] -= 1
                if not missing[owner] and owner != laid.goal:
                    (state.ready if owner in laid.is_step else todo).append(owner)

    def do_freely(self, state: State) -> None:
        """Do what does no harm and breaks nothing, in all standings there and back."""
        while True:
            region = self.region(state)
            for each in region:
                if each not in state.stood:
                    state.stood.add(each)
                    state.made.append((each, VISIT))
            before = len(state.made)
            at, left = 0, []
            while at < len(state.ready):
                index = state.ready[at]
                at += 1
                if index in state.dead or index in state.done:
                    continue
                where = self._where_freely(state, index, region)
                if where is not _NOWHERE:
                    self.do(state, index, where[0])
                else:
                    left.append(index)
            state.ready = left
            state.here = region[0]
            if len(state.made) == before:
                return

    def _where_freely(
        self, state: State, index: int, region: Sequence[StandingId | None]
    ) -> tuple[StandingId | None, ...]:
        if index not in self.harmful and not state.owed[index]:
            for each in region:
                if self.fits(state, index, each) and not self.breaks(state, index, each):
                    return (each,)
        return _NOWHERE

    def is_enough(
        self, state: State, standing: StandingId | None, needed: set[int], index: int
    ) -> bool:
        """Whether all that is still needed can be done in one standing."""
        left = needed - state.done.keys() - state.dead - {index}
        return all(self.fits(state, i, standing) for i in left if i in self.laid.is_step)
