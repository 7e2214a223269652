"""In which order a circuit is bled where the maker did not say: the longest pipe first.

Common practice: the end farthest from the master cylinder, along the pipe, holds the most air and
is bled first, then the next nearer one.
"""

from heapq import heappop, heappush
from math import inf

from putback.planning.rebuild.work import fluid_joints
from putback.units.show import length_text
from putback.vehicle.ids import FluidId, PartId
from putback.vehicle.vehicle import Vehicle


def bleeding_order(vehicle: Vehicle, fluid: FluidId) -> tuple[tuple[PartId, float], ...]:
    """The ends of a circuit and the length of pipe to each [m], the farthest first.

    Ends are the parts at which a single run of the circuit ends. Lengths that nobody gave count
    as nothing, so that an end may stand too late but is never left out.
    """
    opened = frozenset(fluid_joints(vehicle, fluid))
    neighbours: dict[PartId, list[tuple[PartId, float]]] = {}
    for run in vehicle.runs.values():
        ends = dict.fromkeys(end.joint for end in run.ends if end.joint in opened)
        at = [
            part
            for joint in ends
            if joint in vehicle.joints
            for part in vehicle.joints[joint].parts
            if part != run.part
        ]
        for one in at:
            others = [(other, run.length_m or 0.0) for other in at if other != one]
            neighbours.setdefault(one, []).extend(others)
    master = vehicle.fluids[fluid].part
    lengths = _lengths_from(master, neighbours)
    ends_only = [
        (part, lengths[part])
        for part, next_to in neighbours.items()
        if len(next_to) == 1 and part != master and part in lengths
    ]
    return tuple(sorted(ends_only, key=lambda each: (-each[1], each[0])))


def bleeding_notes(vehicle: Vehicle, fluid: FluidId) -> tuple[str, ...]:
    """Say the order in words; nothing where there is only one end."""
    order = bleeding_order(vehicle, fluid)
    if len(order) < 2:
        return ()
    named = ", then ".join(
        f"{vehicle.parts[part].name if part in vehicle.parts else part} ({length_text(length)})"
        for part, length in order
    )
    return (f"longest pipe first: {named}",)


def _lengths_from(
    start: PartId, neighbours: dict[PartId, list[tuple[PartId, float]]]
) -> dict[PartId, float]:
    """The shortest way along the pipes to each part [m]."""
    found = {start: 0.0}
    queue = [(0.0, start)]
    while queue:
        length, at = heappop(queue)
        for other, more in neighbours.get(at, ()) if length == found[at] else ():
            if length + more < found.get(other, inf):
                found[other] = length + more
                heappush(queue, (found[other], other))
    return found
