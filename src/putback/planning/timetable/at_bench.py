"""What is off the vehicle as a plan goes on, which steps are done to it, and what lies on a bench.

Whatever is on a bench stays there overnight, half worked on: nobody clears a bench of a gearbox in
pieces to do something else on it. It is put away where the next work on it waits for something
else: for what is out or on order, for paint to cure, for work at the vehicle, for another unit.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from putback.logbook.state import State
from putback.planning.plan import Action, Step
from putback.planning.planned_days import Block
from putback.vehicle.ids import AssemblyId, JobId, JointId, PartId, split_ref
from putback.vehicle.job import JobKind
from putback.vehicle.vehicle import Vehicle

BENCH = "bench"

_ELSEWHERE = {JobKind.CURE, JobKind.MOVE, JobKind.PROVE, JobKind.RUN, JobKind.WEIGH}
"""Not at a bench though it is off: it is laid away to dry, carried, offered up, run, weighed."""


def steps_at_bench(vehicle: Vehicle, state: State, steps: Sequence[Step]) -> tuple[bool, ...]:
    """Say of each step whether it is done at a bench.

    A joint between parts that are off, such as those of a whole that came out as one; a job on
    parts that are off, unless the vehicle has to stand some way for it.
    """
    return tuple(
        not _is_elsewhere(vehicle, step) and bool(parts) and off.issuperset(parts)
        for step, off in zip(steps, off_before(vehicle, state, steps), strict=True)
        for parts in [worked_on(vehicle, step)]
    )


def lie_on_benches(
    blocks: Sequence[Block], parts: Sequence[frozenset[PartId]], up: frozenset[str]
) -> tuple[Block, ...]:
    """Say of each block that is done at a bench what lies there for it, by number.

    Work on the same parts lies there for as long as all that it waits for is done, and is there,
    when the first of it begins. All of it then waits for that, so that what lies on a bench never
    waits for what finds none.

    Parameters
    ----------
    blocks : sequence of Block
        In the order of the plan.
    parts : sequence of frozenset of PartId
        What each block works on at a bench.
    up : frozenset of str
        While these are taken something hangs: it lies on no bench for the next.
    """
    found: list[Block] = []
    earlier: list[int] = []
    """All that ends before each block begins, by bits."""
    lying: dict[int, int] = {}
    """All blocks that lie where the first of them does, by bits."""
    last: dict[PartId, int] = {}
    """The last block that worked on each part at a bench."""
    for number, block in enumerate(blocks):
        lies = None
        if BENCH in block.uses:
            on = max((last[each] for each in parts[number] if each in last), default=None)
            lies = number if on is None else found[on].lies
            first = number if lies is None else lies
            needed = _all_before(block, earlier) & ~lying.get(first, 0)
            if first != number and (
                needed & ~earlier[first] or not _goes_on(block, found[first], up)
            ):
                lies = first = number
            if first != number:
                before = tuple(sorted({*block.before, *found[first].before}))
                block = replace(block, before=before)
            lying[first] = lying.get(first, 0) | 1 << number
            last.update(dict.fromkeys(parts[number], number))
        earlier.append(_all_before(block, earlier))
        found.append(replace(block, lies=lies))
    return tuple(found)


def _all_before(block: Block, earlier: Sequence[int]) -> int:
    """All blocks that end before one begins, by bits."""
    found = 0
    for each in block.before:
        found |= 1 << each | earlier[each]
    return found


def _goes_on(block: Block, begun: Block, up: frozenset[str]) -> bool:
    """Whether a block waits for the same days as the first on its parts, and nothing is up."""
    return (
        up.isdisjoint(block.uses | begun.uses)
        and {*block.waits} == {*begun.waits}
        and block.not_before == begun.not_before
    )


def off_before(
    vehicle: Vehicle, state: State, steps: Sequence[Step]
) -> Iterator[frozenset[PartId]]:
    """Give the parts that are off before each step of a plan."""
    off = frozenset(state.parts_off)
    for step in steps:
        yield off
        if step.action in (Action.TAKE_OFF, Action.PUT_ON):
            kind, identity = split_ref(step.what)
            whole = vehicle.assemblies.get(AssemblyId(identity)) if kind == "assembly" else None
            parts = whole.parts if whole else (PartId(identity),)
            off = off.union(parts) if step.action is Action.TAKE_OFF else off.difference(parts)


def worked_on(vehicle: Vehicle, step: Step) -> tuple[PartId, ...]:
    """The parts that a step works on, but for taking them off and putting them on."""
    kind, identity = split_ref(step.what)
    if step.action in (Action.TAKE_OFF, Action.PUT_ON):
        return ()
    if kind == "part":
        return (PartId(identity),)
    if kind == "joint" and JointId(identity) in vehicle.joints:
        return vehicle.joints[JointId(identity)].parts
    job = vehicle.jobs.get(JobId(identity)) if kind == "job" else None
    if job is None:
        return ()
    joints = (vehicle.joints[each] for each in job.joints if each in vehicle.joints)
    return (*job.parts, *(part for joint in joints for part in joint.parts))


def _is_elsewhere(vehicle: Vehicle, step: Step) -> bool:
    """Whether it has its place at the vehicle, or where there is no bench."""
    kind, identity = split_ref(step.what)
    job = vehicle.jobs.get(JobId(identity)) if kind == "job" else None
    return job is not None and (bool(job.standings) or job.kind in _ELSEWHERE)
