"""How the vehicle stands while it is put back: what each step allows, and what a change costs."""

from collections.abc import Collection, Iterable, Mapping
from functools import cached_property
from heapq import heappop, heappush
from math import inf
from typing import TYPE_CHECKING

from putback.planning.known import bears_on, hides
from putback.planning.plan import Action
from putback.planning.rebuild.work import CARRIED, FINISHING, Node, Work, carrying
from putback.vehicle.ids import JobId, JointId, PartId, StandingId, split_ref

if TYPE_CHECKING:
    from putback.vehicle.standing import Standing


class Stands:
    """The standings of a vehicle as a rebuild sees them.

    ``start`` is the standing said in the state, ``None`` if nobody said.
    """

    def __init__(self, work: Work) -> None:
        self.work = work
        self.all: Mapping[StandingId, Standing] = work.vehicle.standings
        said = work.state.standing.standing
        self.start = said if said in self.all else None
        self.carrying = frozenset(carrying(work.vehicle))
        self._bears = {each.id: bears_on(each) for each in self.all.values()}
        self._hides = {each.id: hides(each) for each in self.all.values()}
        self._ways: dict[tuple[StandingId, frozenset[StandingId]], dict[StandingId, float]] = {}

    def bears(self, standing: StandingId) -> frozenset[PartId]:
        """The parts that the supports of a standing bear on."""
        return self._bears[standing]

    def allowed(self, node: Node) -> frozenset[StandingId] | None:
        """The standings a step may be done in; ``None`` for any."""
        if not self.all:
            return None
        kind, identity = split_ref(node.what)
        if node.action is Action.PREPARE or (node.action is Action.CHECK and kind == "part"):
            return self._only(())
        match kind:
            case "joint":
                return self._for_joint(node.action, JointId(identity))
            case "part" | "assembly":
                return self._for_unit(self.work.unit_parts(node.what))
            case "job":
                return self._for_job(JobId(identity))
            case _:
                return self._only(())

    def _only(
        self, named: Iterable[StandingId], parts: Collection[PartId] = (), *, lifted: bool = False
    ) -> frozenset[StandingId] | None:
        """Those named (all, if none), without what hides the parts or bears on them.

        What can only be done in standings that are lost was undone otherwise, and goes back so.
        """
        fit = frozenset(
            each
            for each in self.all
            if (each == self.start or each not in self.lost)
            and self._hides[each].isdisjoint(parts)
            and not (lifted and not self._bears[each].isdisjoint(parts))
        )
        wanted = frozenset(named) & fit or fit
        return None if wanted == self.all.keys() else wanted

    @cached_property
    def lost(self) -> frozenset[StandingId]:
        """Standings never to be entered again: what they need off is on, what bears them gone."""
        work = self.work
        back = frozenset(work.back)
        return frozenset(
            each.id
            for each in self.all.values()
            if each.wrong
            or not work.off.issuperset(each.needs_off)
            or not (self._bears[each.id] & work.off) <= back
        )

    def _for_joint(self, action: Action, identity: JointId) -> frozenset[StandingId] | None:
        joint = self.work.joints[identity]
        if action is Action.CHECK:
            return self._only(())
        if action is Action.FINISH and joint.final_when in CARRIED and self.carrying:
            named = self.carrying & frozenset(joint.standings) or self.carrying
            return self._only(named, joint.parts)
        if action is not Action.FINISH and self.work.whole_of(identity) is not None:
            return self._only(())
        return self._only(joint.standings, joint.parts)

    def _for_unit(self, parts: tuple[PartId, ...]) -> frozenset[StandingId] | None:
        named = frozenset(self.all)
        for part in parts:
            only = frozenset(self.work.parts[part].standings) & self.all.keys()
            named &= only or named
        return self._only(named, parts, lifted=True) if named else frozenset()

    def _for_job(self, identity: JobId) -> frozenset[StandingId] | None:
        job = self.work.vehicle.jobs[identity]
        named = frozenset(job.standings) & self.all.keys() or frozenset(self.all)
        if job.kind in FINISHING and any(
            self.work.finished_by.get(joint) == identity
            and self.work.joints[joint].final_when in CARRIED
            for joint in job.joints
        ):
            named = named & self.carrying or named
        return self._only(named)

    # -- what must be on, and off -------------------------------------------------------------

    def needed_on(self, allowed: frozenset[StandingId]) -> frozenset[PartId]:
        """Parts without which none of these standings can be entered."""
        return self._common(allowed, self._bears)

    def needed_off(self, allowed: frozenset[StandingId]) -> frozenset[PartId]:
        """Parts with which none of these standings can be entered."""
        return self._common(
            allowed, {each.id: frozenset(each.needs_off) for each in self.all.values()}
        )

    def _common(
        self, allowed: frozenset[StandingId], parts: Mapping[StandingId, frozenset[PartId]]
    ) -> frozenset[PartId]:
        if not allowed or self.start in allowed:
            return frozenset()  # work may go on as it stands
        return frozenset.intersection(*(parts[each] for each in allowed))

    @cached_property
    def shut_by(self) -> frozenset[PartId]:
        """Parts that, once on, shut a standing."""
        return frozenset(part for each in self.all.values() for part in each.needs_off)

    def shut(self, off: Collection[PartId]) -> frozenset[StandingId]:
        """Standings that cannot be entered again while no more than these parts are off."""
        return self.lost | {
            each.id for each in self.all.values() if any(p not in off for p in each.needs_off)
        }

    def can_enter(self, off: Collection[PartId]) -> frozenset[StandingId]:
        """The standings that may be entered while these parts are off."""
        return frozenset(
            each.id
            for each in self.all.values()
            if not each.wrong
            and self._bears[each.id].isdisjoint(off)
            and all(part in off for part in each.needs_off)
        )

    def ways(self, here: StandingId, open_to: frozenset[StandingId]) -> Mapping[StandingId, float]:
        """What it costs to get from here to each standing [minutes], over others if need be."""
        key = (here, open_to)
        if key not in self._ways:
            direct = self.all[here].change_minutes
            least = self.least(here, open_to)
            self._ways[key] = {to: direct.get(to, minutes) for to, minutes in least.items()}
        return self._ways[key]

    def least(self, here: StandingId, open_to: frozenset[StandingId]) -> dict[StandingId, float]:
        """The least that any number of changes from here to each standing costs [minutes]."""
        least = {here: 0.0}
        queue = [(0.0, here)]
        while queue:
            minutes, at = heappop(queue)
            if minutes > least[at]:
                continue
            for to, more in self.all[at].change_minutes.items():
                if to in open_to and minutes + more < least.get(to, inf):
                    least[to] = minutes + more
                    heappush(queue, (least[to], to))
        return least
