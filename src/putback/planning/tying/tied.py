"""What is still joined to what: made joints as a graph.

Parts and joints are its nodes, and a joint is next to every part that it joins, so that a joint
of three parts is one thing to undo, not three.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping

from putback.logbook.state import State
from putback.planning.known import made_joints
from putback.vehicle.ids import JointId, PartId, Ref, joint_ref, part_ref, split_ref
from putback.vehicle.vehicle import Vehicle

GROUP, OTHER = Ref("group:one"), Ref("group:other")
"""The nodes that all parts of the one group, and of the other, are drawn together to."""

Web = Mapping[Ref, Collection[Ref]]
"""Which nodes are next to which."""


def still_tied(
    vehicle: Vehicle, state: State, group: Collection[PartId], other: Collection[PartId]
) -> tuple[JointId, ...]:
    """Give every made joint that still ties one group of parts to another, to be ticked off.

    These are the joints on some way from the one to the other that goes through nothing twice:
    straight between the two, or by way of a third part (the ends of a cable). What merely hangs
    on such a part ties nothing, and is left out. For *off*, ``other`` is the goal's datum alone.
    """
    ties = between(web_of(vehicle, made_joints(vehicle, state), drawn_together(group, other)))
    return tuple(joint for joint in vehicle.joints if joint in ties)


def drawn_together(group: Collection[PartId], other: Collection[PartId]) -> dict[PartId, Ref]:
    """Say which parts stand for the two groups; a part of both is of the first."""
    return dict.fromkeys(other, OTHER) | dict.fromkeys(group, GROUP)


def web_of(
    vehicle: Vehicle, joints: Iterable[JointId], merged: Mapping[PartId, Ref]
) -> dict[Ref, dict[Ref, None]]:
    """Lay out joints and the parts they join; ``merged`` parts go by another node."""
    web: dict[Ref, dict[Ref, None]] = {GROUP: {}, OTHER: {}}
    for joint in joints:
        here = joint_ref(joint)
        for part in vehicle.joints[joint].parts:
            there = merged.get(part, part_ref(part))
            web.setdefault(here, {})[there] = None
            web.setdefault(there, {})[here] = None
    return web


def reached(web: Web, start: Iterable[Ref], closed: Collection[Ref] = ()) -> set[Ref]:
    """Give every node that ways lead to from some; no way goes through a closed one."""
    queue = [each for each in start if each not in closed]
    seen = set(queue)
    while queue:
        for there in web.get(queue.pop(), ()):
            if there not in seen and there not in closed:
                seen.add(there)
                queue.append(there)
    return seen


def between(web: Web) -> frozenset[JointId]:
    """Give the joints on the simple ways from the one group to the other.

    With an edge laid between the two groups these are the block of that edge. A depth-first walk
    over it (Hopcroft and Tarjan, *Algorithm 447*, 1973) drops every branch that comes back no
    higher than the node it left: whatever is not dropped at the end is the block.
    """
    number = {GROUP: 0, OTHER: 1}
    lowest = {OTHER: 0}
    kept = [OTHER]
    place = {OTHER: 0}
    walk: list[tuple[Ref, Iterator[Ref]]] = [(OTHER, iter(web[OTHER]))]
    while walk:
        here, ways = walk[-1]
        for there in ways:
            if there not in number:
                number[there] = lowest[there] = len(number)
                place[there] = len(kept)
                kept.append(there)
                walk.append((there, iter(web[there])))
                break
            lowest[here] = min(lowest[here], number[there])
        else:
            walk.pop()
            if walk:
                parent = walk[-1][0]
                lowest[parent] = min(lowest[parent], lowest[here])
                if lowest[here] >= number[parent]:
                    del kept[place[here] :]
    nodes = (split_ref(node) for node in kept)
    return frozenset(JointId(identity) for kind, identity in nodes if kind == "joint")
