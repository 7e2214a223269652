"""What holds what at each step of a rebuild, and what is in the air then (rule 19).

What is held is found anew at each look, by flooding from what the supports bear on over all that
holds by then; nothing is carried along from step to step.
"""

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from math import fsum

from putback.planning.check.due import Due
from putback.planning.check.heft import Things
from putback.planning.check.limp import is_limp, runs_among
from putback.planning.check.when import NEVER, START, When
from putback.vehicle.fastener import Role
from putback.vehicle.fastener_kind import FastenerKind as Kind
from putback.vehicle.fastener_kind import Form
from putback.vehicle.ids import JointId, PartId, Ref, StandingId, joint_ref, part_ref
from putback.vehicle.joint import Joint
from putback.vehicle.part import PartKind

HAND_KG = 5.0
"""What rests in the hand [kg]: see rule 11 of the strip."""

_NIPS = (
    Kind.GRUB_SCREW,
    Kind.CLAMP_SCREW,
    Kind.TRUNNION_SCREW,
    Kind.PINCH_BOLT,
    Kind.HOSE_CLIP,
)
_HELPS = (Kind.TAPER, Kind.SPLINE, Kind.KEY, Kind.KEYED_WASHER)


Since = Mapping[JointId, float]
"""From which step on each joint counts."""


class Hung:
    """What is on and what holds after each step of a plan."""

    def __init__(self, due: Due, when: When, start: StandingId | None) -> None:
        self.due = due
        self.when = when
        self.start = start
        self.vehicle = due.vehicle
        self.things = Things(due.vehicle, ())
        self.runs = runs = runs_among(due.vehicle, due.joints)
        self.stiff = {j.id for j in due.joints.values() if not is_limp(j, runs)}
        self.ways: dict[PartId, list[tuple[JointId, PartId]]] = {}
        """The joints of each part, with what is at their other end."""
        for joint in due.joints.values():
            for part in dict.fromkeys(joint.parts):
                others = ((joint.id, other) for other in joint.parts if other != part)
                self.ways.setdefault(part, []).extend(others)
        self.made_at = {j.id: self._made_at(j) for j in due.joints.values()}
        """When each joint is made; what is not open is made from the start."""
        self.tight_at = {j.id: self._tight_at(j) for j in due.joints.values()}
        self.holds_at = {
            j.id: (self.tight_at if nips_only(j) and j.id in self.stiff else self.made_at)[j.id]
            for j in due.joints.values()
        }
        """The step from which a joint holds."""
        self._whole: dict[StandingId | None, frozenset[PartId]] = {}

    def _made_at(self, joint: Joint) -> float:
        return self.when.make(joint.id) if self.due.is_open(joint) else START

    def _tight_at(self, joint: Joint) -> float:
        if self.due.is_open(joint) and joint.id not in self.due.make:
            return NEVER
        return self.when.tighten(joint.id)

    # -- what there is at a time --------------------------------------------------------------

    def standing(self, at: float) -> StandingId | None:
        """How the vehicle stands at a step."""
        return self.start if at < 0 else self.when.plan.steps[int(at)].standing

    def on(self, part: PartId, at: float) -> bool:
        """Whether a part is on after a step."""
        return self.when.on(part) <= at

    def feet(self, standing: StandingId | None) -> set[PartId]:
        """What the supports of a standing bear on."""
        record = self.vehicle.standings.get(standing) if standing else None
        return {s.bears_on for s in record.supports if not s.beside} if record else set()

    def borne(self, at: float) -> Iterator[PartId]:
        """What temporary supports bear on after a step."""
        for support in self.vehicle.temporary_supports.values():
            ends = [
                {self.when.begun(ref), self.when.done(ref)} - {START, NEVER}
                for ref in (support.first, support.last)
            ]
            both = ends[0] | ends[1]
            if all(ends) and min(both) <= at < max(both):
                yield support.bears_on

    # -- what is held -------------------------------------------------------------------------

    def held(
        self, standing: StandingId | None, at: float, since: Since | None = None
    ) -> frozenset[PartId]:
        """All that stiff joints hold after a step, in a standing.

        ``since`` says from which step on a joint counts; from where it holds, if not given.
        """
        feet = [part for part in {*self.feet(standing), *self.borne(at)} if self.on(part, at)]
        return frozenset(self.flood(feet, at, since or self.holds_at, self.stiff.__contains__))

    def has_place(self, standing: StandingId | None) -> frozenset[PartId]:
        """What is held in a standing with every part on and every joint made."""
        if standing not in self._whole:
            queue = list(self.feet(standing))
            found = set(queue)
            for part in queue:
                for joint, other in self.ways.get(part, ()):
                    if joint in self.stiff and other not in found:
                        found.add(other)
                        queue.append(other)
            self._whole[standing] = frozenset(found - self.runs)
        return self._whole[standing]

    def in_air(self, standing: StandingId | None, at: float) -> set[PartId]:
        """What is in the air after a step, in a standing."""
        there = {part for part in self.has_place(standing) if self.on(part, at)}
        return there - self.held(standing, at) if there else set()

    def in_hand(self, part: PartId) -> bool:
        """Whether a part was off, and was put on since, by the plan or before."""
        seen = self.due.state.parts.get(part)
        return part in self.due.off or (seen is not None and seen.on is not None)

    def piece(self, part: PartId, at: float, since: Since | None = None) -> set[PartId]:
        """All that is in one piece with a part after a step."""
        return self.flood([part], at, since or self.holds_at, self.stiff.__contains__)

    def hanging(self, standing: StandingId | None, at: float) -> dict[PartId, set[Ref]]:
        """What is in the air and hangs after a step, with the runs that lead up from it.

        A limp joint without a run stands for one.
        """
        air = self.in_air(standing, at)
        held = self.held(standing, at) if air else frozenset()
        found: dict[PartId, set[Ref]] = {}
        looked: set[PartId] = set()
        for part in air:
            if part in looked:
                continue
            lump = self.piece(part, at)
            looked |= lump
            up = {
                part_ref(other) if other in self.runs else joint_ref(joint)
                for one in lump
                for joint, other in self.ways.get(one, ())
                if self._is_tie(joint, other) and other not in lump
                if self.made_at[joint] <= at and self.on(other, at)
                if held & self.flood([other], at, self.holds_at, but=lump)
            }
            found |= {each: up for each in lump & air if up}
        return found

    def _is_tie(self, joint: JointId, other: PartId) -> bool:
        """Whether a joint leads to a run, or is limp with no run in it."""
        is_bare = joint not in self.stiff and self.runs.isdisjoint(self.due.joints[joint].parts)
        return other in self.runs or is_bare

    def flood(
        self,
        start: Iterable[PartId],
        at: float,
        since: Since,
        which: Callable[[JointId], bool] = lambda _: True,
        but: Collection[PartId] = (),
    ) -> set[PartId]:
        """All that joints of a sort lead to after a step, past some parts."""
        queue = list(start)
        found = set(queue)
        for part in queue:
            for joint, other in self.ways.get(part, ()):
                if other in found or since[joint] > at or not which(joint):
                    continue
                if self.on(other, at) and other not in but:
                    found.add(other)
                    queue.append(other)
        return found

    # -- weights ------------------------------------------------------------------------------

    def is_heavy(self, parts: Iterable[PartId]) -> bool:
        """Whether parts in one piece are heavier than what rests in the hand, and not trim."""
        records = [self.vehicle.parts[part] for part in parts if part in self.vehicle.parts]
        if all(record.kind is PartKind.TRIM for record in records):
            return False
        each = (self.things.parts[r.id].mass / r.quantity for r in records)
        return fsum(each) > HAND_KG


def nips_only(joint: Joint) -> bool:
    """Whether all that holds a joint grips by being nipped."""
    holding = [
        piece.spec.kind
        for fixing in joint.fixings
        for piece in fixing.stack
        if piece.role is Role.HOLD
    ]
    nuts = (Form.RING, Form.RING_TRAIT)
    nips = [kind for kind in holding if kind in _NIPS]
    others = [kind for kind in holding if kind not in (*_NIPS, *_HELPS) and kind.form not in nuts]
    return bool(nips) and not others
