"""What is still joined to what: made joints as a graph.

Parts and joints are its nodes, and a joint is next to every part that it joins, so that a joint
of three parts is one thing to undo, not three.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping

from putback.logbook.state import State
from putback.planning.known import made_joints
from putback.vehicle.ids import JointId, PartId, Ref, joint_ref, part_ref, split_ref
from putback.vehicle.vehicle import Vehicle

_GROUP, _OTHER = Ref("group:one"), Ref("group:other")


def still_tied(
    vehicle: Vehicle, state: State, group: Collection[PartId], other: Collection[PartId]
) -> tuple[JointId, ...]:
    """Give every made joint that still ties one group of parts to another, to be ticked off.

    These are the joints on some way from the one to the other that goes through nothing twice:
    straight between the two, or by way of a third part (the ends of a cable). What merely hangs
    on such a part ties nothing, and is left out. For *off*, ``other`` is the goal's datum alone.
    """
    merged = dict.fromkeys(other, _OTHER) | dict.fromkeys(group, _GROUP)
    next_to: dict[Ref, dict[Ref, None]] = {_GROUP: {}, _OTHER: {}}
    for joint in made_joints(vehicle, state):
        here = joint_ref(joint)
        for part in vehicle.joints[joint].parts:
            there = merged.get(part, part_ref(part))
            next_to.setdefault(here, {})[there] = None
            next_to.setdefault(there, {})[here] = None
    ties = _between(next_to)
    return tuple(joint for joint in vehicle.joints if joint_ref(joint) in ties)


def holds_to_datum(vehicle: Vehicle, made: Iterable[JointId], datum: PartId) -> frozenset[PartId]:
    """Give the parts that made joints lead to the datum, directly or over other parts; it too."""
    holding = set(made)
    held, queue = {datum}, [datum]
    while queue:
        for joint in vehicle.joints_of.get(queue.pop(), ()):
            if joint in holding:
                reached = set(vehicle.joints[joint].parts) - held
                held |= reached
                queue += reached
    return frozenset(held)


def _between(next_to: Mapping[Ref, Collection[Ref]]) -> frozenset[Ref]:
    """Give the nodes on the simple ways from the one group to the other.

    With an edge laid between the two groups these are the block of that edge. A depth-first walk
    over it (Hopcroft and Tarjan, *Algorithm 447*, 1973) drops every branch that comes back no
    higher than the node it left: whatever is not dropped at the end is the block.
    """
    number = {_GROUP: 0, _OTHER: 1}
    lowest = {_OTHER: 0}
    kept = [_OTHER]
    walk: list[tuple[Ref, Iterator[Ref]]] = [(_OTHER, iter(next_to[_OTHER]))]
    while walk:
        here, ways = walk[-1]
        for there in ways:
            if there not in number:
                number[there] = lowest[there] = len(number)
                kept.append(there)
                walk.append((there, iter(next_to[there])))
                break
            lowest[here] = min(lowest[here], number[there])
        else:
            walk.pop()
            if walk:
                parent = walk[-1][0]
                lowest[parent] = min(lowest[parent], lowest[here])
                if lowest[here] >= number[parent]:
                    del kept[kept.index(here) :]
    return frozenset(node for node in kept if split_ref(node)[0] == "joint")
