"""Puts an invented vehicle together from its shape, joints, order and facts."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from random import Random
from typing import Any

from putback.vehicle.assembly import Assembly
from putback.vehicle.facts import Phase
from putback.vehicle.generate.facts import Facts
from putback.vehicle.generate.joints import Joints, spread
from putback.vehicle.generate.order import (
    BLOCKS,
    RAISED,
    RAMPS,
    SHELL_OFF,
    STANDS,
    TRESTLES,
    WHEELS,
    Order,
    Step,
    draw_order,
)
from putback.vehicle.generate.setup import LEAST_SETUP_SHARE, setup_minutes, work_minutes
from putback.vehicle.generate.shape import FRAME, Item, Shape, draw_shape
from putback.vehicle.goal import Goal
from putback.vehicle.ids import (
    AssemblyId,
    FluidId,
    GoalId,
    JobId,
    JointId,
    OpeningId,
    PartId,
    StandingId,
    SupportId,
    VehicleId,
    ZoneId,
)
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import Joint
from putback.vehicle.minutes import Minutes
from putback.vehicle.opening import Fluid, Opening
from putback.vehicle.part import Part, PartKind
from putback.vehicle.run import Run
from putback.vehicle.standing import Standing, Support, Zone
from putback.vehicle.vehicle import About, Vehicle

SURVEY = JobId("survey")
DEAD = JobId("make-dead")
BRACE = JobId("brace")
FIRST_START = JobId("first-start")

_CHANGES = {
    (WHEELS, RAMPS): 15.0,
    (WHEELS, STANDS): 30.0,
    (RAMPS, STANDS): 40.0,
    (STANDS, TRESTLES): 25.0,
    (WHEELS, SHELL_OFF): 5.0,
    (STANDS, SHELL_OFF): 30.0,
    (BLOCKS, RAISED): 12.0,
}
"""Both ways [minutes]. Pairs that are missing cannot be changed directly."""

_NAMES = {
    WHEELS: "on its wheels, chocked",
    RAMPS: "front on ramps",
    STANDS: "on four stands",
    TRESTLES: "frame on trestles",
    SHELL_OFF: "chassis on its wheels, shell beside it",
    BLOCKS: "on blocks",
    RAISED: "raised on trestles",
}


def assemble(parts: int, seed: int) -> tuple[Vehicle, tuple[Step, ...]]:
    """Draw a vehicle and an order by which it is known to come apart."""
    rng = Random(f"{parts}/{seed}")  # noqa: S311  # no secret; and text seeds the same everywhere
    shape = draw_shape(parts, rng)
    drawn = Joints(shape, rng)
    order = draw_order(shape, drawn.joints, rng)
    joints = _reached(drawn.joints, shape, order, rng)
    fluids, openings = _fluids(shape, drawn, order, rng)
    jobs = _jobs(shape, openings, fluids, order, rng)
    facts = Facts(shape, joints, fluids, order, rng)
    vehicle = Vehicle(
        about=_about(parts, seed, shape),
        zones={
            ZoneId(region.id): Zone(ZoneId(region.id), region.name) for region in shape.regions
        },
        parts=_lifted(shape, order, rng),
        joints=joints,
        runs=_turning(shape, drawn, order),
        openings=openings,
        fluids=fluids,
        standings=_standings(shape, joints, order, rng),
        temporary_supports=facts.temporary_supports,
        jobs=jobs,
        obstructions=facts.obstructions(),
        befores=facts.befores(jobs.values()),
        harder_afters=facts.harder_afters(),
        assemblies=_assemblies(shape, rng),
        goals=_goals(shape),
    )
    steps = tuple(order.steps())
    return _worth_planning(vehicle, steps), steps


def _about(parts: int, seed: int, shape: Shape) -> About:
    wheels: dict[str, Any] = {"wheelbase_m": 2.5, "track_front_m": 1.25, "track_rear_m": 1.25}
    return About(
        id=VehicleId(f"generated-{parts}-{seed}"),
        name=f"Generated vehicle, {parts} parts, seed {seed}",
        notice="Generated for tests and benchmarks: all of it is invented.",
        **(wheels if shape.is_wheeled else {}),
    )


def _reached(
    joints: Mapping[JointId, Joint], shape: Shape, order: Order, rng: Random
) -> dict[JointId, Joint]:
    """Say how the vehicle must stand for each joint, and which are cracked long before."""
    last_on_wheels = max(
        (number for number, stage in enumerate(order.stages) if stage.standing == WHEELS),
        default=-1,
    )
    used = tuple(dict.fromkeys(stage.standing for stage in order.stages))
    reached: dict[JointId, Joint] = {}
    for joint, stage in order.stages_of_joints().items():
        item = shape.items[joints[joint].parts[0]]
        standing = order.stages[stage].standing
        hoisted = [part for part in joints[joint].parts if part in shape.hoisted]
        if hoisted:
            # All of it can be done while the hoist bears, in the standing of the lift.
            lifts = {order.stages[order.stage_of[part]].standing for part in hoisted}
            with_lift = stage == order.stage_of[hoisted[0]] and lifts == {standing}
            reached[joint] = replace(joints[joint], standings=(standing,) if with_lift else ())
            continue
        crack = (
            stage > last_on_wheels >= 0
            and item.region.kept
            and (item.part.kind is PartKind.WHEEL or rng.random() < 0.2)
        )
        if crack:
            order.cracked.setdefault(last_on_wheels, []).append(joint)
        reached[joint] = replace(
            joints[joint],
            standings=_standings_for(item, standing, used, rng),
            crack_in=WHEELS if crack else None,
        )
    return {joint: reached[joint] for joint in joints}


def _lifted(shape: Shape, order: Order, rng: Random) -> dict[PartId, Part]:
    """Say how long each part takes to lift away, and for a few in which standing alone."""
    lifted: dict[PartId, Part] = {}
    for part in (item.part for item in shape.items.values()):
        lifted[part.id] = part
        if part.id in order.stage_of:
            standing = order.stages[order.stage_of[part.id]].standing
            lifted[part.id] = replace(
                part,
                minutes=spread(rng, part.crew * rng.uniform(0.5, 2.0)),
                standings=(standing,) if rng.random() < 0.05 else (),
            )
    return lifted


def _standings_for(
    item: Item, standing: StandingId, used: Iterable[StandingId], rng: Random
) -> tuple[StandingId, ...]:
    """Choose where a joint can be reached: always in the standing of its stage."""
    raised = [each for each in used if each not in (WHEELS, BLOCKS)]
    if item.region.below and standing in raised:
        also = rng.sample(raised, rng.randint(0, len(raised) - 1))
        return tuple(each for each in raised if each in (standing, *also))
    return (standing,) if rng.random() < 0.15 else ()


def _turning(shape: Shape, drawn: Joints, order: Order) -> dict[PartId, Run]:
    """Let each hose turn at the end that is undone last, which is how one comes off untwisted."""
    when = {joint: place for place, joint in enumerate(order.undone())}
    runs = dict(drawn.runs)
    for run in drawn.runs.values():
        if shape.items[run.part].part.kind is PartKind.HOSE:
            last = max(run.ends, key=lambda end: when[end.joint])
            ends = tuple(replace(end, turns=end is last) for end in run.ends)
            runs[run.part] = replace(run, ends=ends)
    return runs


def _standings(
    shape: Shape, joints: Mapping[JointId, Joint], order: Order, rng: Random
) -> dict[StandingId, Standing]:
    used = dict.fromkeys(stage.standing for stage in order.stages)
    if RAMPS in used:  # large enough to have a trolley for its shell
        used[SHELL_OFF] = None
    return {
        standing: Standing(
            standing,
            _NAMES[standing],
            tuple(_supports(standing, shape, joints, order, rng)),
            {
                other: minutes
                for pair, minutes in _CHANGES.items()
                for other in pair
                if standing in pair and other != standing and other in used
            },
            needs_off=(shape.shell,) if standing == SHELL_OFF and shape.shell else (),
        )
        for standing in used
    }


def _supports(
    standing: StandingId,
    shape: Shape,
    joints: Mapping[JointId, Joint],
    order: Order,
    rng: Random,
) -> Iterator[Support]:
    """Carry the vehicle on its wheels or its frame; a stand under it may hide a run beside it."""
    feet = [(x, y) for x in (0.0, 2.5) for y in (-0.6, 0.6)]
    touched = _worked_on(standing, joints, order)
    hideable = [
        item.part.id
        for item in shape.items.values()
        if item.is_run and item.region.below and item.part.id not in touched
    ]
    for place, at in enumerate(feet):
        identity = SupportId(f"{standing}-{place + 1}")
        if standing in (WHEELS, RAMPS, SHELL_OFF):
            kind = "ramp" if standing == RAMPS and place < 2 else "wheel"
            yield Support(identity, kind, shape.wheels[place], at)
        else:
            hides = (rng.choice(hideable),) if hideable and rng.random() < 0.5 else ()
            yield Support(identity, "stand", FRAME, at, rating_kg=2000.0, hides=hides)
    if standing == SHELL_OFF and shape.shell:
        trolley = SupportId(f"{standing}-trolley")
        yield Support(trolley, "trolley", shape.shell, (1.3, 3.0), rating_kg=400.0, beside=True)


def _worked_on(standing: StandingId, joints: Mapping[JointId, Joint], order: Order) -> set[PartId]:
    """Name the parts that come off, or have a joint undone, in a standing."""
    stages = {number for number, stage in enumerate(order.stages) if stage.standing == standing}
    return {
        part
        for joint, stage in order.stages_of_joints().items()
        if stage in stages
        for part in joints[joint].parts
    } | {part for part, stage in order.stage_of.items() if stage in stages}


def _fluids(
    shape: Shape, drawn: Joints, order: Order, rng: Random
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


def _jobs(
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


def _assemblies(shape: Shape, rng: Random) -> dict[AssemblyId, Assembly]:
    """Let some clusters come out whole; taking them apart in place is always the rival."""
    whole = [members for members in shape.clusters if len(members) > 1]
    assemblies = [
        Assembly(
            id=AssemblyId(f"u{place}"),
            name=f"{shape.items[members[0]].part.name} unit",
            parts=tuple(members),
            minutes=spread(rng, 4.0 + 2.0 * len(members)),
            crew=2,
        )
        for place, members in enumerate(whole[: 1 + len(shape.items) // 50], 1)
    ]
    return {assembly.id: assembly for assembly in assemblies}


def _goals(shape: Shape) -> dict[GoalId, Goal]:
    kept = tuple(item.part.id for item in shape.items.values() if item.kept)
    rolling = Goal(GoalId("rolling"), "bare rolling chassis", FRAME, on=kept, off_rest=True)
    goals = [
        replace(rolling, jobs=(SURVEY,)),
        Goal(GoalId("all-off"), "bare frame", FRAME, on=(FRAME,), off_rest=True, after=rolling.id),
    ]
    if shape.hoisted:
        part = shape.items[shape.hoisted[0]].part
        goals.append(Goal(GoalId("first-out"), f"{part.name} out", FRAME, off=(part.id,)))
    return {goal.id: goal for goal in goals}


def _worth_planning(vehicle: Vehicle, steps: tuple[Step, ...]) -> Vehicle:
    """Shorten the work at the joints until set-up is the share of it that makes planning pay."""
    setup, work = setup_minutes(vehicle, steps), work_minutes(vehicle, steps)
    aimed = 1.15 * LEAST_SETUP_SHARE  # some room, since a quarter of a minute is the least we say
    if setup >= aimed * work:
        return vehicle
    shorter = setup / (aimed * work)
    joints = {
        joint.id: replace(joint, minutes=_times(shorter, joint.minutes))
        for joint in vehicle.joints.values()
    }
    jobs = {
        job.id: replace(job, minutes=_times(shorter, job.minutes)) for job in vehicle.jobs.values()
    }
    parts = {
        part.id: replace(part, minutes=_times(shorter, part.minutes))
        for part in vehicle.parts.values()
    }
    return vehicle.with_records(joints=joints, jobs=jobs, parts=parts)


def _times(factor: float, minutes: Minutes) -> Minutes:
    """Scale an estimate, in quarters of a minute downwards."""
    return Minutes(
        *(int(each * factor * 4) / 4 for each in (minutes.best, minutes.likely, minutes.worst))
    )
