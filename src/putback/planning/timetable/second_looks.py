"""Which steps are a second person's look, and at what: whoever did it does not sign it."""

from collections.abc import Sequence

from putback.planning.plan import Action, Step
from putback.planning.planned_days import Block, Person
from putback.planning.timetable.crews import crew_for
from putback.planning.timetable.learned import kind_of
from putback.solvers.weekly import Weekly, longest_together
from putback.vehicle.ids import JobId, JointId, split_ref
from putback.vehicle.job import Job, JobKind
from putback.vehicle.vehicle import Vehicle

_TIGHTENING = frozenset({Action.MAKE, Action.TIGHTEN, Action.FINISH})


def is_second_look(vehicle: Vehicle, step: Step) -> bool:
    """Whether a second person looks at a joint: a step of its own, or a job that was described."""
    job = _job(vehicle, step)
    if job is not None:
        return job.kind is JobKind.SECOND_CHECK
    return step.action is Action.CHECK and split_ref(step.what)[0] == "joint"


def work_of_kind(vehicle: Vehicle, step: Step) -> str:
    """Which kind of work a step is: whoever looks at a joint need not be able to make it."""
    if is_second_look(vehicle, step):
        return str(JobKind.SECOND_CHECK)
    return kind_of(vehicle, step.what)


def looked_at(vehicle: Vehicle, steps: Sequence[Step], look: int) -> tuple[int, ...]:
    """Find the steps by which what a second person looks at got as tight as it is then."""
    kind, identity = split_ref(steps[look].what)
    job = _job(vehicle, steps[look])
    wanted = frozenset(job.joints) if job else frozenset({JointId(identity)})
    last: dict[JointId, int] = {}
    for number, step in enumerate(steps[:look]):
        kind, identity = split_ref(step.what)
        done = _job(vehicle, step)
        joints: Sequence[JointId] = ()
        if kind == "joint" and step.action in _TIGHTENING:
            joints = (JointId(identity),)
        elif done is not None and done.kind in {JobKind.TIGHTEN, JobKind.SET}:
            joints = done.joints
        for joint in joints:
            known = vehicle.joints.get(joint)
            if joint in wanted or (not wanted and known is not None and known.critical):
                last[joint] = number
    return tuple(sorted(set(last.values())))


def apart(
    blocks: Sequence[Block], people: Sequence[Person], able: Sequence[Sequence[int]]
) -> tuple[tuple[tuple[int, ...], ...], tuple[tuple[int, int], ...]]:
    """Say who may do each block, and of which two blocks nobody does both.

    Where only some may look, and all others could do what they look at, these do it. Where
    whoever does it would leave nobody for the look, nothing is asked.

    Parameters
    ----------
    able : sequence of sequence of int
        Who can do each block, by number.
    """
    hours = [Weekly(each.hours) for each in people]
    who = [tuple(each) for each in able]
    found: list[tuple[int, int]] = []
    for number, block in enumerate(blocks):
        if block.not_by is None or block.crew != 1 or not block.minutes:
            continue
        done = blocks[block.not_by]
        there = [
            each for each in able[number] if longest_together(hours, [each], 1) >= block.minutes
        ]
        others = tuple(each for each in who[block.not_by] if each not in there)
        if not done.minutes or not there:
            continue
        if len(there) > min(done.crew, len(set(there) & set(who[block.not_by]))):
            found.append((block.not_by, number))
        elif crew_for(others, done.crew, people) == done.crew and (
            longest_together(hours, others, done.crew)
            >= longest_together(hours, able[block.not_by], done.crew)
        ):
            who[block.not_by] = others
            found.append((block.not_by, number))
    return tuple(who), tuple(found)


def _job(vehicle: Vehicle, step: Step) -> Job | None:
    kind, identity = split_ref(step.what)
    return vehicle.jobs.get(JobId(identity)) if kind == "job" else None
