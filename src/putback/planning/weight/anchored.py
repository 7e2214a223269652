"""Which parts are one with the vehicle: stiff joints lead from them to its anchor, over parts on.

Kept up while joints are undone and made and parts come and go, as a tree that spans what is one:
only a joint of the tree that is undone asks for another way round.
"""

from collections.abc import Collection, Iterable, Mapping

from putback.vehicle.ids import JointId, PartId
from putback.vehicle.vehicle import Vehicle


class Anchored:
    """What is one with the vehicle now; asked for a part, it says whether that is."""

    def __init__(
        self,
        vehicle: Vehicle,
        made: Iterable[JointId],
        off: Collection[PartId],
        anchor: PartId | None,
    ) -> None:
        """Begin with these joints made, these parts off and this anchor."""
        self._ways = _stiff_ways(vehicle)
        self._jointed = {part for joint in vehicle.joints.values() for part in joint.parts}
        self._parts_of = {joint.id: joint.parts for joint in vehicle.joints.values()}
        self._made = set(made)
        self._off = set(off)
        self._up: dict[PartId, tuple[JointId, PartId]] = {}
        """By which joint each part hangs in the tree, and on which part."""
        self._below: dict[PartId, set[PartId]] = {}
        """The parts that hang on each part that is one with the vehicle."""
        self.anchor: PartId | None = None
        self.hold_to(anchor)

    def __call__(self, part: PartId) -> bool:
        """Whether a part is one with the vehicle; of one without joints nothing else is known."""
        return part in self._below or part not in self._jointed

    def hold_to(self, anchor: PartId | None) -> None:
        """Let another part be the anchor."""
        if anchor != self.anchor:
            self.anchor = anchor
            self._up, self._below = {}, {}
            if anchor is not None:
                self._below[anchor] = set()
                self._grow([anchor])

    def undo(self, joint: JointId) -> None:
        """A joint holds no more."""
        self._made.discard(joint)
        self._cut(part for part in self._parts_of[joint] if self._hangs_by(part, joint))

    def make(self, joint: JointId) -> None:
        """A joint holds again."""
        self._made.add(joint)
        self._grow([part for part in self._parts_of[joint] if part in self._below])

    def take_off(self, part: PartId) -> None:
        """A part is off."""
        self._off.add(part)
        self._cut([part])

    def put_on(self, part: PartId) -> None:
        """A part is on again."""
        self._off.discard(part)
        if part == self.anchor:
            self._below.setdefault(part, set())
        around = (other for joint, other in self._ways.get(part, ()) if joint in self._made)
        self._grow([each for each in (part, *around) if each in self._below])

    def _hangs_by(self, part: PartId, joint: JointId) -> bool:
        return part in self._up and self._up[part][0] == joint

    def _grow(self, queue: list[PartId]) -> None:
        """Reach out from parts that are one with the vehicle to those that are not yet."""
        for part in queue:
            for joint, other in self._ways.get(part, ()):
                if joint in self._made and other not in self._below and other not in self._off:
                    self._up[other] = joint, part
                    self._below[part].add(other)
                    self._below[other] = set()
                    queue.append(other)

    def _cut(self, parts: Iterable[PartId]) -> None:
        """Let go of all that hangs on these parts, and hang what can be elsewhere."""
        loose = [part for part in parts if part in self._below]
        for part in loose:
            if part in self._up:
                self._below[self._up.pop(part)[1]].discard(part)
        for part in loose:
            for below in self._below.pop(part, ()):
                self._up.pop(below, None)
                loose.append(below)
        self._grow(
            [
                other
                for part in dict.fromkeys(loose)
                if part not in self._off
                for joint, other in self._ways.get(part, ())
                if joint in self._made and other in self._below
            ]
        )


def _stiff_ways(vehicle: Vehicle) -> Mapping[PartId, tuple[tuple[JointId, PartId], ...]]:
    """Give the stiff joints of each part, each with the part it leads to."""
    ways: dict[PartId, list[tuple[JointId, PartId]]] = {}
    for joint in vehicle.joints.values():
        if joint.id not in vehicle.loose.joints:
            for part in dict.fromkeys(joint.parts):
                others = (other for other in dict.fromkeys(joint.parts) if other != part)
                ways.setdefault(part, []).extend((joint.id, other) for other in others)
    return {part: tuple(these) for part, these in ways.items()}
