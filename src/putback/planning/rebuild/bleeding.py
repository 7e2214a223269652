"""In which order a circuit is bled where the maker did not say: the longest pipe first.

Common practice: the end farthest from the master cylinder, along the pipe, holds the most air and
is bled first, then the next nearer one.
"""

from collections.abc import Mapping
from heapq import heappop, heappush
from typing import NamedTuple

from putback.units.show import length_text
from putback.vehicle.circuit import circuit_joints
from putback.vehicle.ids import FluidId, JointId, PartId
from putback.vehicle.part import RUN_KINDS
from putback.vehicle.vehicle import Vehicle


class Far(NamedTuple):
    """How far it is along the pipes [m]; if not ``known``, it is at least so far."""

    length_m: float
    known: bool = True


_NO_PIPE = Far(0.0)


def bleeding_order(vehicle: Vehicle, fluid: FluidId) -> tuple[tuple[PartId, Far], ...]:
    """The ends of a circuit and how far each is from the master, the farthest first.

    An end is a part, not a run, behind which nothing else of the circuit lies; where one run goes
    on to another (and is held by a bracket) there is none. Of the joints that open the circuit
    those count that an opening names, and those from run to run: the others may be brackets. A
    length that nobody gave counts as nothing, and so does that of a run with more than two ends:
    of it nobody knows how much lies on which way. An end may stand too late for that, but is never
    left out.
    """
    named = {j for each in vehicle.openings.values() if each.fluid == fluid for j in each.joints}
    circuit = [
        joint
        for joint in circuit_joints(vehicle, fluid)
        if joint in vehicle.joints
        and (joint in named or all(_is_run(vehicle, p) for p in vehicle.joints[joint].parts))
    ]
    at: dict[PartId, list[JointId]] = {}
    for joint in circuit:
        for part in dict.fromkeys(vehicle.joints[joint].parts):
            at.setdefault(part, []).append(joint)
    runs = {part for part in at if _is_run(vehicle, part)}
    master = vehicle.fluids[fluid].part
    far = _far_from(vehicle, master, at, runs)
    ends = []
    for part, joints in at.items():
        own = [joint for joint in joints if joint in far]
        ends_here = any(len(runs.intersection(vehicle.joints[joint].parts)) < 2 for joint in own)
        if part in runs or part == master or not ends_here:
            continue
        nearest = min(far[joint] for joint in own)
        if nearest == _NO_PIPE:
            continue  # it holds the fluid too, but no pipe leads to it
        others = {name: there for name, there in at.items() if name != part}
        cut_off = far.keys() - _far_from(vehicle, master, others, runs).keys()
        behind = {each for joint in cut_off for each in vehicle.joints[joint].parts}
        if behind <= {part, *runs}:
            ends.append((part, nearest))
    return tuple(sorted(ends, key=lambda each: (-each[1].length_m, each[0])))


def bleeding_notes(vehicle: Vehicle, fluid: FluidId) -> tuple[str, ...]:
    """Say the order in words; nothing where there is only one end."""
    order = bleeding_order(vehicle, fluid)
    if len(order) < 2:
        return ()
    named = ", then ".join(
        f"{vehicle.parts[part].name if part in vehicle.parts else part} ({_in_words(far)})"
        for part, far in order
    )
    return (f"longest pipe first: {named}",)


def _in_words(far: Far) -> str:
    if far.known:
        return length_text(far.length_m)
    return f"at least {length_text(far.length_m)}" if far.length_m else "nobody gave the length"


def _is_run(vehicle: Vehicle, part: PartId) -> bool:
    record = vehicle.parts.get(part)
    return part in vehicle.runs or (record is not None and record.kind in RUN_KINDS)


def _far_from(
    vehicle: Vehicle, master: PartId, at: Mapping[PartId, list[JointId]], runs: set[PartId]
) -> dict[JointId, Far]:
    """The shortest way along the pipes to each joint that is reached over these parts."""
    links: dict[JointId, list[tuple[JointId, Far]]] = {}
    for part, joints in at.items():
        through = _length(vehicle, part, len(joints)) if part in runs else _NO_PIPE
        for one in joints:
            links.setdefault(one, []).extend((other, through) for other in joints if other != one)
    queue = [(0.0, joint, True) for joint in at.get(master, ())]
    found: dict[JointId, Far] = {}
    while queue:
        length, joint, known = heappop(queue)
        if joint not in found:
            found[joint] = Far(length, known)
            for other, more in links.get(joint, ()):
                heappush(queue, (length + more.length_m, other, known and more.known))
    return found


def _length(vehicle: Vehicle, run: PartId, ends: int) -> Far:
    record = vehicle.runs.get(run)
    if record is None or record.length_m is None or ends > 2:
        return Far(0.0, known=False)
    return Far(record.length_m)
