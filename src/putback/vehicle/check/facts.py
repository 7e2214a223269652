"""Facts, jobs, assemblies: each by itself."""

from collections.abc import Iterator

from putback.vehicle.check.fault import Fault, doubt, error, named
from putback.vehicle.check.graph import inner_joints, reached_from
from putback.vehicle.ids import NOT_SAID, JointId, Ref, split_ref
from putback.vehicle.job import JobKind
from putback.vehicle.vehicle import Vehicle

_OF_JOINTS = {JobKind.CRACK, JobKind.TIGHTEN, JobKind.SECOND_CHECK}


def in_its_own_way(vehicle: Vehicle) -> Iterator[Fault]:
    """Find obstructions by nothing, and by what would have to be off already."""
    for obstruction in vehicle.obstructions.values():
        if not obstruction.any_of:
            message = f"obstruction {obstruction.id!r} names nothing that is in the way"
            yield doubt("obstruction", obstruction.id, message, "name the part")
            continue
        kind, identity = split_ref(obstruction.of)
        own: tuple[str, ...] = (identity,) if kind == "part" else ()
        if kind == "joint" and identity in vehicle.joints:
            own = vehicle.joints[JointId(identity)].parts
        blocked = [part for part in obstruction.any_of if part in own]
        if blocked:
            what = vehicle.name_of(obstruction.of)
            message = (
                f"obstruction {obstruction.id!r}: part {blocked[0]!r} is in the way of {what!r}, "
                "which must come first for it to come off"
            )
            mend = "name the part that hides it"
            report = error if len(blocked) == len(obstruction.any_of) else doubt
            yield report("obstruction", obstruction.id, message, mend)


def before_itself(vehicle: Vehicle) -> Iterator[Fault]:
    """Find facts that put a thing before or after itself."""
    for before in vehicle.befores.values():
        if before.first == before.then and not _is_open(before.first):
            message = f"before {before.id!r} puts {before.first!r} before itself"
            yield error("before", before.id, message, "name two different things")
    for harder in vehicle.harder_afters.values():
        if harder.job == harder.after and not _is_open(harder.job):
            message = f"harder after {harder.id!r} makes {harder.job!r} harder after itself"
            yield error("harder after", harder.id, message, "name two different things")


def _is_open(ref: Ref) -> bool:
    """Whether nobody said yet what is meant."""
    return split_ref(ref)[1] == NOT_SAID


def impossible_factor(vehicle: Vehicle) -> Iterator[Fault]:
    """Find factors of nothing or less, and factors that change nothing."""
    for harder in vehicle.harder_afters.values():
        if harder.factor is not None and harder.factor <= 0:
            message = f"harder after {harder.id!r} has a factor of {harder.factor:g}"
            mend = "give more than 0, or 'never' if it cannot be done any more"
            yield error("harder after", harder.id, message, mend)
        elif harder.factor == 1:
            message = f"harder after {harder.id!r} has a factor of 1, which changes nothing"
            yield doubt("harder after", harder.id, message, "give how many times as long")


def job_on_nothing(vehicle: Vehicle) -> Iterator[Fault]:
    """Find jobs that do not say what they are done to."""
    for job in vehicle.jobs.values():
        if job.kind in _OF_JOINTS and not job.joints:
            message = f"job {named(job)} is a {job.kind} of no joint"
            yield doubt("job", job.id, message, "name its joints")
        if job.kind is JobKind.DRAIN and job.fluid is None:
            message = f"job {named(job)} drains nothing"
            yield doubt("job", job.id, message, "name the fluid")
        if job.same_sitting_as == job.id:
            message = f"job {named(job)} is in the same sitting as itself"
            yield error("job", job.id, message, "name the other job")


def no_assembly(vehicle: Vehicle) -> Iterator[Fault]:
    """Find assemblies of one part, of parts that nothing holds together, or of a datum."""
    for assembly in vehicle.assemblies.values():
        parts = {*assembly.parts}
        if len(parts) < 2:
            message = f"assembly {named(assembly)} has fewer than two parts"
            report = error if parts else doubt  # of none nobody spoke yet
            yield report("assembly", assembly.id, message, "name the parts that come out as one")
            continue
        inner = inner_joints(vehicle, assembly)
        loose = parts - reached_from(vehicle, [assembly.parts[0]], among=parts, by=inner)
        if loose & vehicle.parts.keys():
            some = ", ".join(repr(each) for each in assembly.parts if each in loose)
            message = f"no joint within assembly {named(assembly)} holds part {some}"
            yield error("assembly", assembly.id, message, "describe the joint, or leave it out")
        for goal in vehicle.goals.values():
            if goal.datum in parts:
                message = f"assembly {named(assembly)} has the datum of goal {named(goal)} in it"
                yield error("assembly", assembly.id, message, "the datum never comes off")
