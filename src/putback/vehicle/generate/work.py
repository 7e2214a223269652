"""Fluids, openings and declared jobs of an invented vehicle."""

from collections.abc import Mapping
from dataclasses import replace
from random import Random

from putback.vehicle.facts import Phase
from putback.vehicle.generate.joints import Joints, spread
from putback.vehicle.generate.order import (
    Order,
)
from putback.vehicle.generate.shape import Shape
from putback.vehicle.ids import (
    FluidId,
    JobId,
    OpeningId,
    PartId,
)
from putback.vehicle.job import Job, JobKind
from putback.vehicle.opening import Fluid, Opening
from putback.vehicle.part import PartKind

SURVEY = JobId("survey")
DEAD = JobId("make-dead")
BRACE = JobId("brace")
FIRST_START = JobId("first-start")


def draw_fluids(
    shape: Shape, drawn: Joints
) -> tuple[dict[FluidId, Fluid], dict[OpeningId, Opening]]:
    """Fill some machines; open every end of pipe and hose, with the fluid of what it is on."""
    machines = [item.part for item in shape.items.values() if item.part.kind is PartKind.MACHINE]
    filled = machines[: max(1, min(5, len(shape.items) // 25))]
    fluid_of = {part.id: FluidId(f"fluid-{part.id}") for part in filled}
    openings: dict[OpeningId, Opening] = {}
    hoses_on: dict[PartId, list[PartId]] = {}
    for run in drawn.runs.values():
        if shape.items[run.part].part.kind not in (PartKind.PIPE, PartKind.HOSE):
            continue
        for end in run.ends:
            on = drawn.joints[end.joint].parts[1]
            if on in fluid_of:
                hoses_on.setdefault(on, []).append(run.part)
            for part, fluid in ((on, fluid_of.get(on)), (run.part, None)):
                identity = OpeningId(f"q{len(openings) + 1}")
                openings[identity] = Opening(
                    identity,
                    f"{shape.items[part].part.name} at {drawn.joints[end.joint].name}",
                    part,
                    (end.joint,),
                    closed_with="cap" if part == run.part else "plug",
                    fluid=fluid,
                )
    fluids = {
        fluid: Fluid(
            id=fluid,
            name=f"{shape.items[part].part.name} fluid",
            part=part,
            volume_m3=0.004,
            mass_kg=3.5,
            drained_by=JobId(f"drain-{part}"),
            leaks_if_off=tuple(dict.fromkeys((part, *hoses_on.get(part, ())))),
            hazard="gloves; keep it off paint",
        )
        for part, fluid in fluid_of.items()
    }
    return fluids, openings


def draw_jobs(
    shape: Shape,
    openings: Mapping[OpeningId, Opening],
    fluids: Mapping[FluidId, Fluid],
    order: Order,
    rng: Random,
) -> dict[JobId, Job]:
    """Declare the work that no joint says; that of the strip takes its place in the order."""
    lift = max(number for number, stage in enumerate(order.stages) if not stage.strips_kept)
    planned = [
        (0, Job(SURVEY, "look all round, measure and photograph", JobKind.SURVEY)),
        (0, Job(DEAD, "take off the battery leads", JobKind.PREPARE, tool="1/2 in spanner")),
    ]
    if shape.shell is not None:
        braced = (shape.shell,)
        planned.append((lift, Job(BRACE, "brace the door openings", JobKind.BRACE, parts=braced)))
    stages = order.stages_of_joints()
    for fluid in fluids.values():
        opened = [
            stages[joint]
            for opening in openings.values()
            if opening.fluid == fluid.id
            for joint in opening.joints
        ]
        first = min([*opened, *(order.stage_of[part] for part in fluid.leaks_if_off)])
        planned.append((first, _drain(fluid, shape, order, first)))
    for stage, job in planned:
        order.jobs.setdefault(stage, []).append(job.id)
    rebuilt = [
        Job(
            JobId(f"fill-{each.part}"),
            f"fill {each.name}",
            JobKind.FILL,
            Phase.REBUILD,
            fluid=each.id,
        )
        for each in fluids.values()
    ]
    started = Job(FIRST_START, "first start", JobKind.RUN, Phase.REBUILD, crew=2)
    jobs = [*(job for _, job in planned), *rebuilt, started]
    return {job.id: replace(job, minutes=spread(rng, rng.uniform(8, 30))) for job in jobs}


def _drain(fluid: Fluid, shape: Shape, order: Order, stage: int) -> Job:
    """Drain it in the standing it comes off in, or else however the vehicle stands."""
    with_part = stage == order.stage_of[fluid.part]
    return Job(
        id=JobId(f"drain-{fluid.part}"),
        name=f"drain {fluid.name}",
        kind=JobKind.DRAIN,
        zone=shape.items[fluid.part].part.zone,
        standings=(order.stages[stage].standing,) if with_part else (),
        tool="ring spanner",
        fluid=fluid.id,
    )
