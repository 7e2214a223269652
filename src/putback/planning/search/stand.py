"""How the vehicle can be stood on the way: what may be entered now, and what a change costs."""

from collections.abc import Collection
from heapq import heappop, heappush
from math import inf

from putback.planning.posing.problem import Problem
from putback.vehicle.ids import PartId, StandingId


class Stands:
    """The standings of a problem's vehicle, and the ways between them (rule 6)."""

    def __init__(self, problem: Problem) -> None:
        """Read the standings; nothing of the problem is changed."""
        self._standings = problem.vehicle.standings
        self._bears_on = {
            standing.id: frozenset(each.bears_on for each in standing.supports if not each.beside)
            for standing in self._standings.values()
        }
        self._least_into: dict[StandingId, float] = {}
        for standing in self._standings.values():
            for to, minutes in standing.change_minutes.items():
                self._least_into[to] = min(minutes, self._least_into.get(to, inf))

    def least_minutes(self, standing: StandingId) -> float:
        """What it costs at least to get into a standing from another [minutes]."""
        return self._least_into.get(standing, 0.0)

    def bearing_on(self, parts: Collection[PartId]) -> frozenset[StandingId]:
        """The standings that cannot be entered any more once these parts are off."""
        return frozenset(s for s, borne in self._bears_on.items() if not borne.isdisjoint(parts))

    def may_enter(self, standing: StandingId, off: Collection[PartId]) -> bool:
        """Whether the vehicle may be stood like this with these parts off."""
        record = self._standings[standing]
        return (
            not record.wrong
            and self._bears_on[standing].isdisjoint(off)
            and all(part in off for part in record.needs_off)
        )

    def change_minutes(
        self, here: StandingId | None, there: StandingId | None, off: Collection[PartId]
    ) -> float | None:
        """What it costs to go over, directly or else the cheapest way [minutes].

        ``None`` if there is no way. The first standing, when nobody said how it stands, is free.
        """
        if there is None or here == there:
            return 0.0
        if not self.may_enter(there, off):
            return None
        if here is None:
            return 0.0
        direct = self._standings[here].change_minutes.get(there)
        return direct if direct is not None else self._way(here, there, off)

    def _way(self, here: StandingId, there: StandingId, off: Collection[PartId]) -> float | None:
        least = {here: 0.0}
        queue = [(0.0, here)]
        while queue:
            minutes, at = heappop(queue)
            if at == there:
                return minutes
            for to, more in self._standings[at].change_minutes.items():
                known = to in self._standings
                if known and minutes + more < least.get(to, inf) and self.may_enter(to, off):
                    least[to] = minutes + more
                    heappush(queue, (least[to], to))
        return None
