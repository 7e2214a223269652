"""Hold points: checks that something waits for, made when nothing else holds that up any more.

A check says most when all that it looks at is there: arms are moved by hand right before the
springs go in, not as soon as the arms hang. So a hold point is left until one of the things that
wait for it could be done at once (it is *ripe* then), or nothing else could be done without
forgiving something, unless to leave it now would cost a way back.
"""

from collections.abc import Collection, Iterable, Mapping
from typing import NamedTuple

from putback.planning.plan import Action, Because
from putback.planning.rebuild.edges import Edge
from putback.planning.rebuild.network import Network
from putback.planning.rebuild.work import Node, Work, do
from putback.vehicle.ids import StandingId, ZoneId
from putback.vehicle.job import JobKind

KINDS = JobKind.CHECK, JobKind.SECOND_CHECK
"""Not what is measured to know what to buy or to make, nor what is proved: those come early."""


def find_hold_points(
    work: Work, edges: Iterable[Edge], trial: Collection[Node]
) -> dict[Node, frozenset[Node]]:
    """Find the checks that facts let something wait for, each with what waits for it.

    Of a check that only leads to others it is what waits for the last of them. A check that leads
    to the trial build is none: that one comes before all else. Nor is one that a joint waits for:
    what the joint holds would be held up by hand meanwhile.
    """
    checks = {do(job.id) for job in work.jobs_of(*KINDS)}.difference(trial)
    thens: dict[Node, list[Node]] = {}
    for edge in edges:
        if edge.first in checks and edge.reason and edge.reason.because is Because.BEFORE:
            thens.setdefault(edge.first, []).append(edge.then)
    found = {check: frozenset(_behind(check, thens)) for check in thens}
    return {
        check: behind
        for check, behind in found.items()
        if all(then.action in (Action.PUT_ON, Action.DO) for then in behind)
    }


def _behind(check: Node, thens: Mapping[Node, Iterable[Node]]) -> set[Node]:
    found: set[Node] = set()
    seen, todo = {check}, [check]
    while todo:
        for then in thens[todo.pop()]:
            if then not in thens:
                found.add(then)
            elif then not in seen:
                seen.add(then)
                todo.append(then)
    return found


class Place(NamedTuple):
    """How the vehicle stands, and the zone that is worked in."""

    standing: StandingId | None
    zone: ZoneId | None


class HoldPoints:
    """The hold points of a network by number."""

    def __init__(self, network: Network) -> None:
        self.net = network
        index = network.index
        self.waiting = {
            index[check]: sorted((index[then] for then in thens), key=network.rank.__getitem__)
            for check, thens in network.hold_points.items()
        }
        """What waits for each, by rank."""
        self.all = sum(1 << check for check in self.waiting)
        self.in_zone = {network.zone[check]: 0 for check in self.waiting}
        """The steps in the zone of each, as sets of bits."""
        for node, zone in enumerate(network.zone):
            if zone in self.in_zone:
                self.in_zone[zone] |= 1 << node

    def zone_of(self, node: int) -> ZoneId | None:
        """Where a step is looked for: a hold point without a zone, where it is waited for."""
        zone = self.net.zone[node]
        if zone is None and node in self.waiting:
            zones = (self.net.zone[then] for then in self.waiting[node])
            return next((each for each in zones if each is not None), None)
        return zone

    def ready(self, ready: Collection[int], done: int) -> dict[int, frozenset[int]]:
        """The hold points of what is ready, with what waits for nothing but hold points."""
        left = ~(done | self.all)
        return {
            check: frozenset(n for n in self.waiting[check] if not self.net.led_by[n] & left)
            for check in self.waiting.keys() & ready
        }

    def last_call(
        self, checks: Iterable[int], zone: ZoneId | None, then: Place, done: int
    ) -> frozenset[int]:
        """Of some that are ready, those to be made before going elsewhere, to save a way back."""
        left = ~(done | self.all)
        return frozenset(
            check
            for check in checks
            if self._stands_no_more(check, then.standing, left)
            or (zone == self.net.zone[check] != then.zone and self._is_over(zone, left))
        )

    def _is_over(self, zone: ZoneId | None, left: int) -> bool:
        """Whether nothing but hold points is left in a zone."""
        return zone is not None and not self.in_zone[zone] & left

    def _stands_no_more(self, check: int, standing: StandingId | None, left: int) -> bool:
        """Whether it cannot be made as the vehicle stands then, nor need it stand so again."""
        allowed = self.net.allowed[check]
        if allowed is None or standing is None or standing in allowed:
            return False
        return not any(
            steps & left for others, steps in self.net.only_in.items() if others <= allowed
        )
