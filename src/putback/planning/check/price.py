"""What a step of the rebuild takes, where it is done, and by how many."""

from putback.planning.check.due import Due
from putback.planning.check.ground import Place
from putback.planning.plan import Action, Step
from putback.vehicle.ids import AssemblyId, FluidId, JobId, JointId, PartId, split_ref
from putback.vehicle.job import JobKind

_SHARES = {Action.MAKE: 0.5, Action.TIGHTEN: 0.5, Action.FINISH: 0.5, Action.CHECK: 0.2}
"""Of a joint's minutes, what each step on it takes."""


def _is_untimed(step: Step) -> bool:
    """Whether it takes nobody knows how long, wherever: making ready, a look at a part."""
    return step.action is Action.PREPARE or (
        step.action is Action.CHECK and step.what.startswith("part:")
    )


def minutes_of(due: Due, step: Step) -> float:
    """Work out what a step takes [min]."""
    if _is_untimed(step):
        return 0.0
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


def place_of(due: Due, step: Step) -> Place:
    """Say where a step is done, with what, and by how many."""
    if _is_untimed(step):
        return Place(None, "", 1)
    kind, identity = split_ref(step.what)
    match kind:
        case "joint":
            joint = due.joints[JointId(identity)]
            tool = "" if step.action is Action.CHECK else joint.tool
            return Place(due.vehicle.zone_of(joint), tool, joint.crew)
        case "job":
            job = due.vehicle.jobs[JobId(identity)]
            return Place(job.zone, job.tool, job.crew)
        case "assembly":
            whole = due.vehicle.assemblies[AssemblyId(identity)]
            crew = due.lifts.crew(whole.crew, due.wholes.get(whole.id, whole.parts), whole.hoist)
            return Place(due.part(whole.parts[0]).zone or None, "", crew)
        case "part":
            part = due.part(PartId(identity))
            return Place(part.zone or None, "", due.lifts.crew(part.crew, (part.id,)))
        case _:
            return Place(None, "", 1)
