"""Whether brake hoses that were apart are looked at as the suspension moves (rule 17)."""

from collections.abc import Iterator

from putback.logbook.common import Said
from putback.planning.check.due import Due
from putback.planning.check.fault import Fault, RebuildRule
from putback.planning.check.when import NEVER, START, When
from putback.planning.plan import Action
from putback.vehicle.facts import Phase
from putback.vehicle.ids import JointId, PartId, part_ref
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import FinalWhen
from putback.vehicle.part import PartKind


def hoses(due: Due) -> set[PartId]:
    """Give the hoses that want a look."""
    return {part for part in due.vehicle.parts if _wants_a_look(due, part)}


def _wants_a_look(due: Due, part: PartId) -> bool:
    bled = {job.fluid for job in due.vehicle.jobs.values() if job.kind is JobKind.BLEED}
    joints = {
        joint
        for fluid in due.vehicle.fluids
        if fluid in bled
        for joint in due.joints_of_fluid(fluid)
        if joint in due.vehicle.joints and part in due.vehicle.joints[joint].parts
    }
    is_hose = due.vehicle.parts[part].kind is PartKind.HOSE
    if not is_hose or not joints or part_ref(part) in due.waiting:
        return False
    jobs = [job for job in due.vehicle.jobs.values() if _looks_at(job, part, joints)]
    if any(job.id in due.jobs for job in jobs):
        return False
    if joints & (due.make | due.tighten):
        return True
    seen = due.state.parts.get(part)
    looks = [each.key for each in seen.common.prepared] if seen else []
    looks += [done.key for job in jobs if (done := _done(due, job)) is not None]
    made = [
        each.closed.key
        for j in joints
        if (each := due.state.joints.get(j)) and each.closed and due.was_apart(j)
    ]
    return bool(made) and not any(look > max(made) for look in looks)


def _done(due: Due, job: Job) -> Said | None:
    seen = due.state.jobs.get(job.id)
    return seen.done if seen else None


def _looks_at(job: Job, part: PartId, joints: set[JointId]) -> bool:
    if job.kind is not JobKind.CHECK or job.phase is Phase.STRIP:
        return False
    words = f" {job.name} {job.target}".lower()
    says_so = any(f"{before}{word}" in words for before in " -(;," for word in ("droop", "bump"))
    return says_so or part in job.parts or bool(joints & set(job.joints))


def droop_faults(due: Due, when: When) -> Iterator[Fault]:
    """Say which hose nobody looks at, or too early."""
    for part in sorted(hoses(due)):
        ref = part_ref(part)
        name, at = due.state.name_of(ref), when.at.get((Action.CHECK, ref))
        if at is None:
            words = f"nobody looks at {name} at full droop and bump"
            yield Fault(RebuildRule.DROOP, None, ref, words)
            continue
        laden = {j.id for j in due.joints.values() if j.final_when is FinalWhen.LADEN}
        own = set(due.vehicle.joints_of.get(part, ()))
        tight = [when.tighten(joint) for joint in (laden | own) & due.tighten]
        if any(at < each for each in tight if each not in (START, NEVER)):
            yield Fault(RebuildRule.DROOP, int(at), ref, f"{name} cannot be moved yet")
