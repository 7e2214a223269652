"""What a step takes: minutes, zone, tool and crew."""

from putback.planning.plan import Action
from putback.planning.rebuild.work import Node, Work
from putback.vehicle.ids import (
    AssemblyId,
    FluidId,
    JobId,
    JointId,
    PartId,
    ZoneId,
    split_ref,
)
from putback.vehicle.job import JobKind

VISIT_SHARE = 0.5
"""Of a joint's minutes: one visit with a spanner, to make, to tighten or to finish it [-]."""
CHECK_SHARE = 0.2
"""Of a joint's minutes: a second person's look at it [-]."""


def is_untimed(node: Node) -> bool:
    """Whether nobody can say how long it takes and where: making ready, a look at a hose."""
    is_look = node.action is Action.CHECK and split_ref(node.what)[0] == "part"
    return is_look or node.action is Action.PREPARE


def minutes_of(work: Work, node: Node) -> float:
    """The likely minutes of a step [minutes]; nobody said how long it takes to make ready."""
    if is_untimed(node):
        return 0.0
    kind, identity = split_ref(node.what)
    vehicle = work.vehicle
    match kind:
        case "joint":
            share = CHECK_SHARE if node.action is Action.CHECK else VISIT_SHARE
            return work.joints[JointId(identity)].minutes.likely * share
        case "part":
            return work.parts[PartId(identity)].minutes.likely
        case "assembly":
            return vehicle.assemblies[AssemblyId(identity)].minutes.likely
        case "job":
            return vehicle.jobs[JobId(identity)].minutes.likely
        case _:
            return _pouring(work, node.action, FluidId(identity))


def _pouring(work: Work, action: Action, fluid: FluidId) -> float:
    """As long as the job that drained it, or as the declared bleeding [minutes]."""
    drained_by = work.vehicle.fluids[fluid].drained_by
    alike = [
        job.minutes.likely
        for job in work.vehicle.jobs.values()
        if (job.id == drained_by and action is Action.FILL)
        or (job.fluid == fluid and job.kind is JobKind.BLEED and action is Action.BLEED)
    ]
    return max(alike, default=0.0)


def crew_of(work: Work, node: Node) -> int:
    """How many people a step wants."""
    if is_untimed(node):
        return 1
    kind, identity = split_ref(node.what)
    match kind:
        case "joint":
            return work.joints[JointId(identity)].crew
        case "part":
            part = PartId(identity)
            return work.crews.of(work.parts[part].crew, (part,))
        case "assembly":
            whole = work.vehicle.assemblies[AssemblyId(identity)]
            return work.crews.of(whole.crew, work.unit_parts(node.what), whole.hoist)
        case "job":
            return work.vehicle.jobs[JobId(identity)].crew
        case _:
            return 1


def place_of(work: Work, node: Node) -> tuple[ZoneId | None, str]:
    """The zone and the tool of a step; what is made ready is made so wherever it lies."""
    if is_untimed(node):
        return None, ""
    kind, identity = split_ref(node.what)
    match kind:
        case "joint":
            joint = work.joints[JointId(identity)]
            return work.vehicle.zone_of(joint), "" if node.action is Action.CHECK else joint.tool
        case "part":
            return work.parts[PartId(identity)].zone or None, ""
        case "assembly":
            first = work.vehicle.assemblies[AssemblyId(identity)].parts[0]
            return work.parts[first].zone or None, ""
        case "job":
            job = work.vehicle.jobs[JobId(identity)]
            return job.zone, job.tool
        case _:
            return None, ""
