"""What a step of the rebuild takes, and where it is done."""

from putback.planning.check.due import Due
from putback.planning.plan import Action, Step
from putback.vehicle.ids import AssemblyId, FluidId, JobId, JointId, PartId, ZoneId, split_ref
from putback.vehicle.job import JobKind

_SHARES = {Action.MAKE: 0.5, Action.TIGHTEN: 0.5, Action.FINISH: 0.5, Action.CHECK: 0.2}
"""Of a joint's minutes, what each step on it takes."""


def minutes_of(due: Due, step: Step) -> float:
    """Work out what a step takes [min]."""
    kind, identity = split_ref(step.what)
    match kind:
        case "joint":
            return due.joints[JointId(identity)].minutes.likely * _SHARES[step.action]
        case "part":
            return due.part(PartId(identity)).minutes.likely
        case "assembly":
            return due.vehicle.assemblies[AssemblyId(identity)].minutes.likely
        case "job":
            return due.vehicle.jobs[JobId(identity)].minutes.likely
        case _:
            return _pouring(due, step.action, FluidId(identity))


def _pouring(due: Due, action: Action, fluid: FluidId) -> float:
    """Filling takes as long as draining did, bleeding as long as the longest declared one."""
    jobs = due.vehicle.jobs.values()
    if action is Action.FILL:
        drained_by = due.vehicle.fluids[fluid].drained_by
        return sum(job.minutes.likely for job in jobs if job.id == drained_by)
    bleeding = [job for job in jobs if job.kind is JobKind.BLEED and job.fluid == fluid]
    return max((job.minutes.likely for job in bleeding), default=0.0)


def place_of(due: Due, step: Step) -> tuple[ZoneId | None, str]:
    """Say where a step is done, and with what."""
    kind, identity = split_ref(step.what)
    match kind:
        case "joint":
            joint = due.joints[JointId(identity)]
            return joint.zone, "" if step.action is Action.CHECK else joint.tool
        case "job":
            job = due.vehicle.jobs[JobId(identity)]
            return job.zone, job.tool
        case "assembly":
            first = due.vehicle.assemblies[AssemblyId(identity)].parts[0]
            return due.part(first).zone or None, ""
        case "part":
            return due.part(PartId(identity)).zone or None, ""
        case _:
            return None, ""
