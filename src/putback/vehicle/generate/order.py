"""The order by which an invented vehicle is known to come apart, drawn before its facts.

Every fact is then chosen so that it holds along this order, which is how the whole is certain to
be feasible. The order goes through stages, each in one standing: first what comes off for a
rolling chassis, then the rest.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from random import Random

from putback.vehicle.generate.shape import FRAME, Item, Shape
from putback.vehicle.ids import (
    JobId,
    JointId,
    PartId,
    Ref,
    StandingId,
    job_ref,
    joint_ref,
    part_ref,
)
from putback.vehicle.joint import Joint

WHEELS = StandingId("s-wheels")
RAMPS = StandingId("s-ramps")
STANDS = StandingId("s-stands")
TRESTLES = StandingId("s-trestles")
SHELL_OFF = StandingId("s-shell-off")
BLOCKS = StandingId("s-blocks")
RAISED = StandingId("s-raised")

SMALLEST_ON_RAMPS = 30
"""Parts from which it is worth driving a vehicle up on ramps in between."""


class Act(StrEnum):
    """What is done in a step."""

    DO = "do"  # a declared job
    CRACK = "crack"  # a joint broken loose
    UNDO = "undo"  # a joint undone
    OFF = "off"  # a part taken off


@dataclass(frozen=True, slots=True)
class Step:
    """One thing done, in one standing."""

    act: Act
    ref: Ref
    standing: StandingId


@dataclass(frozen=True, slots=True)
class Stage:
    """A stretch of work in one standing; ``strips_kept`` once the goal is no longer to roll."""

    standing: StandingId
    strips_kept: bool


@dataclass
class Order:
    """Stages and, within each, declared jobs first, then parts coming off, then cracking."""

    stages: tuple[Stage, ...]
    parts: list[list[PartId]]
    """Parts that come off in each stage, in order."""
    stage_of: dict[PartId, int]
    undone_with: dict[PartId, list[JointId]]
    """Joints undone when that part comes off, in order."""
    jobs: dict[int, list[JobId]] = field(default_factory=dict)
    cracked: dict[int, list[JointId]] = field(default_factory=dict)

    def steps(self) -> Iterator[Step]:
        """Go through all of it, step by step."""
        for number, stage in enumerate(self.stages):
            for job in self.jobs.get(number, ()):
                yield Step(Act.DO, job_ref(job), stage.standing)
            for part in self.parts[number]:
                for joint in self.undone_with[part]:
                    yield Step(Act.UNDO, joint_ref(joint), stage.standing)
                yield Step(Act.OFF, part_ref(part), stage.standing)
            for joint in self.cracked.get(number, ()):
                yield Step(Act.CRACK, joint_ref(joint), stage.standing)

    def undone(self) -> Iterator[JointId]:
        """Name the joints in the order in which they are undone."""
        return (
            joint for stage in self.parts for part in stage for joint in self.undone_with[part]
        )

    def stages_of_joints(self) -> dict[JointId, int]:
        """Say in which stage each joint is undone."""
        return {
            joint: self.stage_of[part]
            for part, joints in self.undone_with.items()
            for joint in joints
        }


def draw_order(shape: Shape, joints: Mapping[JointId, Joint], rng: Random) -> Order:
    """Draw an order that takes what is carried off before what carries it."""
    stages = _stages(shape)
    stage_of = _stage_of(shape, stages, rng)
    parts: list[list[PartId]] = [[] for _ in stages]
    for number in range(len(stages)):
        here = [item for item in shape.items.values() if stage_of.get(item.part.id) == number]
        parts[number] = list(_leaves_first(here, rng))
    joints_of: dict[PartId, list[JointId]] = {}
    for joint in joints.values():
        for part in joint.parts:
            joints_of.setdefault(part, []).append(joint.id)
    undone: set[JointId] = set()
    undone_with: dict[PartId, list[JointId]] = {}
    for part in (part for stage in parts for part in stage):
        left = [joint for joint in joints_of[part] if joint not in undone]
        rng.shuffle(left)
        left.sort(key=lambda joint: not _is_of_a_run(shape, joints[joint]))
        undone_with[part] = left
        undone.update(left)
    return Order(stages, parts, stage_of, undone_with)


def _is_of_a_run(shape: Shape, joint: Joint) -> bool:
    """Whether it is an end or a clip: undone first, so that nothing is left hanging on the run."""
    return any(shape.items[part].is_run for part in joint.parts)


def _stages(shape: Shape) -> tuple[Stage, ...]:
    if not shape.is_wheeled:
        return (Stage(BLOCKS, False), Stage(RAISED, False), Stage(BLOCKS, True))
    on_ramps = (Stage(RAMPS, False),) if len(shape.items) >= SMALLEST_ON_RAMPS else ()
    return (
        Stage(WHEELS, False),
        *on_ramps,
        Stage(STANDS, False),
        Stage(WHEELS, False),  # the shell is lifted with the chassis on its wheels
        Stage(STANDS, True),
        Stage(TRESTLES, True),
    )


def _stage_of(shape: Shape, stages: tuple[Stage, ...], rng: Random) -> dict[PartId, int]:
    """Choose the stage of each part, never before that of what it carries."""
    first_kept = next(number for number, stage in enumerate(stages) if stage.strips_kept)
    chosen: dict[PartId, int] = {}
    latest_carried: dict[PartId, int] = {}
    for item in reversed(shape.items.values()):  # what is carried comes after its carrier
        if item.part.id == FRAME:
            continue
        choices = range(first_kept, len(stages)) if item.kept else range(first_kept)
        own = _own_choice(item, shape, choices, stages, rng)
        stage = max(own, latest_carried.get(item.part.id, 0))
        chosen[item.part.id] = stage
        if not item.is_run:
            for on in item.hangs_on:
                latest_carried[on] = max(stage, latest_carried.get(on, 0))
    return chosen


def _own_choice(
    item: Item, shape: Shape, choices: range, stages: tuple[Stage, ...], rng: Random
) -> int:
    if item.part.id == shape.shell:
        return choices[-1]
    if item.part.id in shape.wheels:
        return choices[0]
    below = [each for each in choices if stages[each].standing is not WHEELS]
    if item.region.below and below:
        return rng.choice(below)
    above = [each for each in choices if stages[each].standing is WHEELS] or list(choices)
    return above[0] if rng.random() < 0.8 else rng.choice(above)


def _leaves_first(items: list[Item], rng: Random) -> Iterator[PartId]:
    """Take off what carries nothing any more, staying in one zone for a while."""
    carried = {item.part.id: 0 for item in items}
    for item in items:
        for on in () if item.is_run else item.hangs_on:
            if on in carried:
                carried[on] += 1
    free = [item for item in items if not carried[item.part.id]]
    region = None
    while free:
        near = [item for item in free if item.region is region]
        item = rng.choice(near if near and rng.random() < 0.8 else free)
        free.remove(item)
        region = item.region
        yield item.part.id
        for on in () if item.is_run else item.hangs_on:
            if on in carried:
                carried[on] -= 1
                if not carried[on]:
                    free.append(next(each for each in items if each.part.id == on))
