"""Brakes and clutch of which nobody described how they are bled, told where they were opened.

Where a job bleeds them the plan has that, and nothing is told.
"""

from collections.abc import Iterator

from putback.planning.plan import Action
from putback.planning.rebuild.work import Node, Work
from putback.vehicle.circuit import bled_fluids
from putback.vehicle.ids import FluidId, Ref, joint_ref, part_ref, split_ref
from putback.vehicle.usual_cautions import UNBLED, is_of_brakes, opens_brakes


class Unbled:
    """Says it of the steps of one plan."""

    def __init__(self, work: Work) -> None:
        self._work = work
        self._opened = frozenset(opened_brakes(work))
        self._is_bled = bool(bled_fluids(work.vehicle))

    def caution(self, node: Node) -> tuple[str, ...]:
        """Say it where a joint of them is made, a part of no joint goes on, or their fluid in."""
        return () if self._is_bled or not any(self._is_told(node)) else (UNBLED,)

    def _is_told(self, node: Node) -> Iterator[bool]:
        work, (_, identity) = self._work, split_ref(node.what)
        if node.action is Action.FILL:
            yield is_of_brakes(work.vehicle.fluids[FluidId(identity)])
        elif node.action is Action.MAKE:
            yield node.what in self._opened
        elif node.action is Action.PUT_ON:
            yield from (part_ref(part) in self._opened for part in work.unit_parts(node.what))


def opened_brakes(work: Work) -> Iterator[Ref]:
    """Give what this rebuild puts together of brakes or clutch, by its name.

    Those are joints that are made, by their own name or that of a part, and parts that go on of
    which no joint is known.
    """
    for joint in sorted(work.make):
        parts = (work.name(part_ref(part)) for part in work.joints[joint].parts)
        if any(map(opens_brakes, (work.joints[joint].name, *parts))):
            yield joint_ref(joint)
    for part in work.back:
        bare = not work.vehicle.joints_of.get(part)
        if bare and opens_brakes(work.name(part_ref(part))):
            yield part_ref(part)
