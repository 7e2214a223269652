"""Puts an invented vehicle together from its shape, joints, order and facts."""

from collections.abc import Mapping
from dataclasses import replace
from random import Random
from typing import Any

from putback.vehicle.assembly import Assembly
from putback.vehicle.generate.facts import Facts
from putback.vehicle.generate.joints import Joints, spread
from putback.vehicle.generate.order import (
    Act,
    Order,
    Step,
    draw_order,
)
from putback.vehicle.generate.setup import LEAST_SETUP_SHARE, setup_minutes, work_minutes
from putback.vehicle.generate.shape import FRAME, Shape, draw_shape
from putback.vehicle.generate.stand import draw_standings, lift_parts, reach_joints
from putback.vehicle.generate.work import SURVEY, draw_fluids, draw_jobs
from putback.vehicle.goal import Goal
from putback.vehicle.ids import (
    AssemblyId,
    GoalId,
    PartId,
    VehicleId,
    ZoneId,
    joint_ref,
    part_ref,
)
from putback.vehicle.minutes import Minutes
from putback.vehicle.part import PartKind
from putback.vehicle.run import Run
from putback.vehicle.standing import Zone
from putback.vehicle.vehicle import About, Vehicle


def assemble(parts: int, seed: int) -> tuple[Vehicle, tuple[Step, ...]]:
    """Draw a vehicle and an order by which it is known to come apart."""
    rng = Random(f"{parts}/{seed}")  # noqa: S311  # no secret; and text seeds the same everywhere
    shape = draw_shape(parts, rng)
    drawn = Joints(shape, rng)
    order = draw_order(shape, drawn.joints, rng)
    joints = reach_joints(drawn.joints, shape, order, rng)
    fluids, openings = draw_fluids(shape, drawn)
    jobs = draw_jobs(shape, openings, fluids, order, rng)
    facts = Facts(shape, joints, fluids, order, rng)
    vehicle = Vehicle(
        about=_about(parts, seed, shape),
        zones={
            ZoneId(region.id): Zone(ZoneId(region.id), region.name) for region in shape.regions
        },
        parts=lift_parts(shape, order, rng),
        joints=joints,
        runs=_drawn_out(_turning(shape, drawn, order), order),
        openings=openings,
        fluids=fluids,
        standings=draw_standings(shape, joints, order, rng),
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


def _drawn_out(runs: Mapping[PartId, Run], order: Order) -> dict[PartId, Run]:
    """Let runs pass only through what comes off after them, or after their ends are free."""
    acts = (step.ref for step in order.steps() if step.act is not Act.CRACK)
    place = {ref: at for at, ref in enumerate(acts)}
    found = {}
    for run in runs.values():
        ends = [place[joint_ref(end.joint)] for end in run.ends if end.passes]
        free = min(place[part_ref(run.part)], max(ends, default=len(place)))
        kept = (
            each
            for each in run.passages
            if each.part is None or free < place.get(part_ref(each.part), len(place))
        )
        found[run.part] = replace(run, passages=tuple(kept))
    return found


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
