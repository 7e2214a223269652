"""What touches what: a unit is put on where something is to hold it (rule 3 of the rebuild)."""

from collections.abc import Mapping
from typing import NamedTuple

from putback.planning.plan import Action
from putback.planning.rebuild.work import Node, Work
from putback.vehicle.ids import JointId, PartId


class Unit(NamedTuple):
    """What is put on as one: its joints, and whatever they hold it to."""

    parts: tuple[PartId, ...]
    joints: tuple[JointId, ...]
    fastens: Mapping[JointId, str]
    """The open ones that hold it to something else, each with its tool."""
    touches: frozenset[PartId]
    is_datum: bool
    group: frozenset[PartId]
    """All that joints connect it with, near or far."""


def find_units(work: Work) -> dict[Node, Unit]:
    """The units of a rebuild, by the step that puts them on."""
    groups = _groups(work)
    datums = {goal.datum for goal in work.vehicle.goals.values()}
    found = {}
    for node in work.nodes:
        if node.action is not Action.PUT_ON:
            continue
        parts = work.unit_parts(node.what)
        joints = dict.fromkeys(
            joint for part in parts for joint in work.vehicle.joints_of.get(part, ())
        )
        touched = {other for joint in joints for other in work.joints[joint].parts}
        fastens = {
            joint: work.joints[joint].tool
            for joint in joints
            if joint in work.make and work.whole_of(joint) is None
        }
        found[node] = Unit(
            parts,
            tuple(joints),
            fastens,
            frozenset(touched.difference(parts)),
            not datums.isdisjoint(parts),
            groups.get(parts[0], frozenset()),
        )
    return found


def _groups(work: Work) -> dict[PartId, frozenset[PartId]]:
    """The parts that joints connect with each part, near or far."""
    beside: dict[PartId, list[PartId]] = {}
    for joint in work.joints.values():
        for part in joint.parts:
            beside.setdefault(part, []).extend(joint.parts)
    found: dict[PartId, frozenset[PartId]] = {}
    for first in beside:
        if first not in found:
            together, todo = {first}, [first]
            while todo:
                for part in beside[todo.pop()]:
                    if part not in together:
                        together.add(part)
                        todo.append(part)
            found |= dict.fromkeys(together, frozenset(together))
    return found
