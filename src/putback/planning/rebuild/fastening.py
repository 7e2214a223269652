"""What holds what from which step on, and where each part has its place: rule 19 of the rebuild.

All that does not change while steps are put in order. Steps are known by their number among those
of the work, standings by their bit.
"""

from collections.abc import Iterable, Mapping

from putback.planning.plan import Action
from putback.planning.rebuild.stands import Stands
from putback.planning.rebuild.work import Node, Work
from putback.vehicle.fastener import Role
from putback.vehicle.fastener_kind import FastenerKind, Form
from putback.vehicle.ids import JointId, PartId, StandingId, joint_ref
from putback.vehicle.joint import Joint

START = -1
"""In place of a step: from the start."""
NEVER = -2
"""In place of a step: not by this plan."""

_GRIPS_NIPPED = frozenset(
    {
        FastenerKind.GRUB_SCREW,
        FastenerKind.CLAMP_SCREW,
        FastenerKind.TRUNNION_SCREW,
        FastenerKind.PINCH_BOLT,
        FastenerKind.HOSE_CLIP,
    }
)
_GRIPS_NOTHING = frozenset(
    {FastenerKind.TAPER, FastenerKind.SPLINE, FastenerKind.KEY, FastenerKind.KEYED_WASHER}
)
_NUTS = frozenset({Form.RING, Form.RING_TRAIT})


class Fastenings:
    """The stiff joints of a rebuild and the loose ones, and what the supports bear on."""

    def __init__(self, work: Work, stands: Stands) -> None:
        self.work = work
        self.index = {node: number for number, node in enumerate(work.nodes)}
        self.parts_of: dict[JointId, tuple[PartId, ...]] = {}
        self.joints_of: dict[PartId, list[JointId]] = {}
        """The stiff joints of each part."""
        self.loose_joints_of: dict[PartId, list[JointId]] = {}
        """The joints of each part that hold loosely."""
        self.runs = work.loose.runs
        for joint in work.joints.values():
            self.parts_of[joint.id] = joint.parts
            is_loose = joint.id in work.loose.joints
            table = self.loose_joints_of if is_loose else self.joints_of
            for part in dict.fromkeys(joint.parts):
                table.setdefault(part, []).append(joint.id)
        self.stiff = frozenset(joint for joints in self.joints_of.values() for joint in joints)
        self.made_by = {joint.id: self._made_by(joint) for joint in work.joints.values()}
        """The step that makes a joint."""
        self.tightened_by = {joint: self._tightened_by(joint) for joint in self.stiff}
        self.holds_from = {joint: self._holds_from(work.joints[joint]) for joint in self.stiff}
        """The step from which a stiff joint holds."""
        self._joint_held_from = {
            step: joint for joint, step in self.holds_from.items() if step >= 0
        }
        self._joint_tightened_by = {
            step: joint for joint, step in self.tightened_by.items() if step >= 0
        }
        self.bit: Mapping[StandingId | None, int] = {
            standing: 1 << at for at, standing in enumerate(stands.all)
        }
        """The bit of each standing."""
        self.grounds: dict[PartId, int] = {}
        """The standings whose supports bear on a part."""
        for at, standing in enumerate(stands.all):
            for part in stands.bears(standing):
                self.grounds[part] = self.grounds.get(part, 0) | 1 << at
        self.place = self._places()
        """The standings in which a part is held once all is together."""
        self.temporary = tuple(self._temporary())

    def held_from(self, step: int) -> JointId | None:
        """The joint that holds from a step on."""
        return self._joint_held_from.get(step)

    def tightened_at(self, step: int) -> JointId | None:
        """The stiff joint that a step tightens."""
        return self._joint_tightened_by.get(step)

    def next_step(self, joint: JointId, done: int) -> int:
        """The next step on the way to where a joint holds; ``done`` are steps as bits."""
        made = self.made_by[joint]
        return made if made >= 0 and not done >> made & 1 else self.holds_from[joint]

    def _made_by(self, joint: Joint) -> int:
        if joint.id not in self.work.open:
            return START
        return self.index.get(Node(Action.MAKE, joint_ref(joint.id)), NEVER)

    def _tightened_by(self, joint: JointId) -> int:
        if self.made_by[joint] == NEVER:
            return NEVER
        return self.index.get(Node(Action.TIGHTEN, joint_ref(joint)), START)

    def _holds_from(self, joint: Joint) -> int:
        table = self.tightened_by if grips_nipped(joint) else self.made_by
        return table[joint.id]

    def _places(self) -> dict[PartId, int]:
        """Merge what stiff joints join when all of it is together.

        What only runs are joined to has its place where it is stood on.
        """
        found: dict[PartId, int] = {}
        for first in self.joints_of:
            if first in found:
                continue
            lump, mask = [first], 0
            seen = {first}
            for part in lump:
                mask |= self.grounds.get(part, 0)
                for joint in self.joints_of[part]:
                    fresh = [p for p in self.parts_of[joint] if p not in seen]
                    seen.update(fresh)
                    lump += fresh
            found |= dict.fromkeys(lump, mask)
        loose = (p for p in self.loose_joints_of if p not in found and p not in self.runs)
        return found | {part: self.grounds.get(part, 0) for part in loose}

    def _temporary(self) -> Iterable[tuple[PartId, frozenset[int]]]:
        """What each temporary support bears on, and the steps from which to which it does."""
        for support in self.work.vehicle.temporary_supports.values():
            ends = [
                {self.work.begin(ref), self.work.done(ref)} - {None}
                for ref in (support.first, support.last)
            ]
            if all(ends):
                nodes = {self.index[node] for end in ends for node in end if node is not None}
                yield support.bears_on, frozenset(nodes)


def grips_nipped(joint: Joint) -> bool:
    """Whether a joint holds nothing before it is nipped: grub screws, pinch bolts, hose clips."""
    kinds = {
        piece.spec.kind
        for fixing in joint.fixings
        for piece in fixing.stack
        if piece.role is Role.HOLD and piece.spec.kind.form not in _NUTS
    }
    return bool(kinds & _GRIPS_NIPPED) and kinds <= _GRIPS_NIPPED | _GRIPS_NOTHING
