"""How far a trial could get if nothing did harm any more, and what follows from that.

What is out of reach even then is out of reach. What every way to the goal contains comes before
whatever would end it, and that again puts more out of reach.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import replace

from putback.planning.impossible.blamed import Blame, Forced, Foreseen
from putback.planning.impossible.trial import VISIT, State, Trial
from putback.vehicle.ids import PartId, StandingId, part_ref

_NOTHING: frozenset[PartId] = frozenset()


class Foreseeing(Trial):
    """A trial that looks ahead."""

    def outlook(self, state: State) -> tuple[set[int], Mapping[int, Sequence[int]]] | None:
        """What may be needed, and what waits for what; ``None`` where there is no hope."""
        seen = self.foresee(state)
        if self.laid.goal not in seen.hope:
            self.blame(seen, [self.laid.goal])
            return None
        return self._needed(state, seen.hope, seen.standings), seen.waits

    def foresee(self, state: State) -> Foreseen:
        """Look how far one could get, until nothing more follows from it."""
        waits: dict[int, list[int]] = {}
        held: list[set[int]] = []
        forced: dict[int, Forced] = {}
        last: tuple[set[int], list[StandingId | None]] | None = None
        while True:
            hope, standings = self._hope(state, waits, held)
            seen = Foreseen(state, hope, standings, waits, held, forced)
            if self.laid.goal not in hope or (hope, standings) == last:
                return seen
            last = hope, standings
            before = len(waits), len(held)
            forced = self._forced(state, hope, standings)
            waits = self._waiting(forced, standings)
            held = [last for last in self.hanging(state) if not last.isdisjoint(forced)]
            if (len(waits), len(held)) == before:
                return seen

    def again(self, seen: Foreseen) -> Foreseen:
        """Look anew, where more is dead, but what waits waits all the same."""
        hope, standings = self._hope(seen.state, seen.waits, seen.held)
        return replace(seen, hope=hope, standings=standings)

    def blame(self, seen: Foreseen, out_of_reach: Iterable[int]) -> None:
        """Take note of facts that keep these things out of reach, and of what has ended any."""
        blame = Blame(self, seen)
        blame.follow(out_of_reach)
        self.blamed |= blame.facts
        self.ended |= blame.ended

    # -- how far one could get ----------------------------------------------------------------

    def _hope(
        self, state: State, waits: Mapping[int, Sequence[int]], held: Sequence[AbstractSet[int]]
    ) -> tuple[set[int], list[StandingId | None]]:
        """What could be done, and how one could stand, if nothing did harm any more.

        What ``waits`` for others comes after these all the same, and until one of each that is
        ``held`` is done, the standing does not change.
        """
        laid, up = self.laid, self.up
        missing, met, gone = state.missing.copy(), state.met[:], state.gone.copy()
        hope = set(state.done)
        todo = [i for i in state.ready if i not in state.dead and i not in state.done]
        standings: list[StandingId | None] = []
        fresh = True
        here, lost = state.here, state.lost
        # What is left for good is stayed in first.
        leaving = here is not None and (here in state.lost or self.counts(laid.closed[here]))
        staying = leaving or bool(held)
        while True:
            now, there = [here], [here]
            if laid.standings[0] is not None:
                free = [
                    s for s, off in self.asks.items() if s not in lost and gone.issuperset(off)
                ]
                there = self.reach(here, free)
                now = now if staying else there[leaving:]
            if not todo or (now == standings and not fresh):
                if not todo or not staying:
                    return hope, there
                if any(hope.isdisjoint(last) for last in held):
                    return hope, there
                staying = False
                continue
            standings, fresh, left = now, False, []
            stood = {*state.stood, *now}
            for index in todo:  # grows on the way
                if (index in waits and not hope.issuperset(waits[index])) or (
                    index in self.tied and not self._could(index, now, stood)
                ):
                    left.append(index)
                    continue
                fresh = True
                hope.add(index)
                gone |= laid.takes.get(index, _NOTHING)
                for number in laid.meets[index]:
                    if not met[number] and not up[laid.fact[number]]:
                        met[number] = 1
                        owner = laid.of[number]
                        missing[owner] -= 1
                        if not missing[owner] and owner not in state.dead:
                            todo.append(owner)
            todo = left

    def _could(
        self, index: int, standings: Iterable[StandingId | None], stood: Collection[object]
    ) -> bool:
        crack = self.crack.get(index)
        if crack is not None and crack not in stood:
            return False
        within = self.laid.standings[0] is not None
        for each in standings:
            if index not in self.shut[each] and not (within and each is None):
                return True
        return False

    def _waiting(
        self, forced: Iterable[int], standings: Collection[StandingId | None]
    ) -> dict[int, list[int]]:
        """What would end something that every way to the goal contains waits for that."""
        waits: dict[int, list[int]] = {}
        for index in forced:
            for then in self.ended_by.get(index, ()):
                waits.setdefault(then, []).append(index)
            if index in self.laid.is_step:
                where = {s for s in standings if s is not None and index not in self.shut[s]}
                if where and where != set(standings):
                    for then, killed in self.kills.items():
                        if where <= killed and then != index:
                            waits.setdefault(then, []).append(index)
        return waits

    def _forced(
        self, state: State, hope: Collection[int], standings: Collection[StandingId | None]
    ) -> dict[int, Forced]:
        """What every way to the goal still contains, as far as demands with one way say so."""
        laid = self.laid
        forced: dict[int, Forced] = {}
        todo = [Forced(laid.goal)]
        entered: set[StandingId | None] = {state.here}
        while todo:
            each = todo.pop()
            at = each.node
            if at in forced:
                continue
            forced[at] = each
            for number in laid.demands[at]:
                if not state.met[number] and not self.up[laid.fact[number]]:
                    any_of = laid.any_of[number]
                    ways = any_of if len(any_of) == 1 else [way for way in any_of if way in hope]
                    if len(ways) == 1 and ways[0] not in forced:
                        todo.append(Forced(ways[0], at, any_of, laid.fact[number]))
            if at in self.bound or (len(standings) == 1 and at in laid.is_step):
                where = [each for each in standings if at not in self.shut[each]]
                if len(where) == 1 and where[0] not in entered:
                    entered.add(where[0])
                    for part, fact in laid.needs[where[0]]:
                        if part not in state.gone and not self.up[fact]:
                            by = laid.problem.providers.get(part_ref(part), ())
                            ways = [way for way in by if way in hope]
                            if len(ways) == 1:
                                todo.append(Forced(ways[0], at, tuple(by), fact, where[0]))
        return forced

    def _needed(
        self, state: State, hope: Collection[int], standings: Iterable[StandingId | None]
    ) -> set[int]:
        """What some way to the goal may still need."""
        laid = self.laid
        needed: set[int] = set()
        todo = [laid.goal]
        for entering in (False, True):
            if entering:
                if self.is_enough(state, state.here, needed, VISIT):
                    break
                todo = [
                    way
                    for each in standings
                    for part, fact in laid.needs[each]
                    if part not in state.gone and not self.up[fact]
                    for way in laid.problem.providers.get(part_ref(part), ())
                    if way in hope and way not in state.done
                ]
            while todo:
                at = todo.pop()
                if at in needed:
                    continue
                needed.add(at)
                for number in laid.demands[at]:
                    if not state.met[number] and not self.up[laid.fact[number]]:
                        todo += (
                            way
                            for way in laid.any_of[number]
                            if way in hope and way not in state.done
                        )
        return needed
