"""How surely the vehicle stands while it is put back: rule 14 of the rebuild.

`Bearing` follows an order step by step: whether a standing would hold the vehicle as it is by
then, and which support a step has to add.
"""

from putback.logbook.fluids import pours_of
from putback.planning.known import made_joints
from putback.planning.plan import Action
from putback.planning.rebuild.work import Node, Work
from putback.planning.weight.add_support import support_to_add
from putback.planning.weight.anchored import Anchored
from putback.planning.weight.poise import Footing, must_add_support, poise_of
from putback.vehicle.ids import FluidId, JobId, JointId, StandingId, split_ref


class Bearing:
    """What is on and one with the vehicle by now, and what it stands on."""

    def __init__(self, work: Work, least_margin_m: float) -> None:
        self.work = work
        self.least_margin_m = least_margin_m
        vehicle, state = work.vehicle, work.state
        self.poise = poise_of(vehicle, state)
        made = made_joints(vehicle, state)
        self.anchored = Anchored(vehicle, made, state.parts_off, self.poise.anchor)
        self._pours = pours_of(vehicle)
        self._footings: dict[StandingId | None, Footing] = {}
        """What carries it as long as nothing changes."""

    def footing(self, standing: StandingId | None) -> Footing:
        """What carries it in a standing."""
        if standing not in self._footings:
            self._footings[standing] = self.poise.footing(standing, self.anchored)
        return self._footings[standing]

    def holds(self, standing: StandingId | None) -> bool:
        """Whether it would stand with margin, and no support overloaded."""
        return self.footing(standing).holds(self.least_margin_m)

    def do(self, node: Node) -> bool:
        """Do a step; give whether anything changed that bears on how it stands."""
        changed = self._do(node)
        if changed:
            self._footings.clear()
        return changed

    def _do(self, node: Node) -> bool:
        kind, identity = split_ref(node.what)
        match node.action:
            case Action.PUT_ON:
                for part in self.work.unit_parts(node.what):
                    self.poise.put_on(part)
                    self.anchored.put_on(part)
                self.anchored.hold_to(self.poise.anchor)
            case Action.MAKE if identity in self.work.vehicle.joints:
                self.anchored.make(JointId(identity))
            case Action.FILL:
                self.poise.fill(FluidId(identity))
            case Action.DO if kind == "job":
                job = JobId(identity)
                drained = self._pours.drains.get(job, ())
                filled = self._pours.fills.get(job, ())
                for fluid in drained:
                    self.poise.drain(fluid)
                for fluid in filled:
                    self.poise.fill(fluid)
                return bool(drained or filled)
            case _:
                return False
        return True

    def add_support(self, node: Node, standing: StandingId | None, *, entered: bool) -> str:
        """Do a step, and say which support it must add; nothing if it stands well enough."""
        before = self.footing(standing)
        if not self.do(node) and not entered:
            return ""
        after = self.footing(standing)
        if not must_add_support(before, after, self.least_margin_m, entered=entered):
            return ""
        wanted = support_to_add(self.poise, standing, self.anchored, self.least_margin_m)
        return wanted.words if wanted else ""
