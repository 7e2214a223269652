"""How an invented vehicle stands for each piece of work, and what it stands on."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from random import Random

from putback.vehicle.generate.joints import spread
from putback.vehicle.generate.order import (
    BLOCKS,
    RAISED,
    RAMPS,
    SHELL_OFF,
    STANDS,
    TRESTLES,
    WHEELS,
    Order,
)
from putback.vehicle.generate.shape import FRAME, Item, Shape
from putback.vehicle.ids import (
    JointId,
    PartId,
    StandingId,
    SupportId,
)
from putback.vehicle.joint import Joint
from putback.vehicle.part import Part, PartKind
from putback.vehicle.standing import Standing, Support

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


def reach_joints(
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


def lift_parts(shape: Shape, order: Order, rng: Random) -> dict[PartId, Part]:
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


def draw_standings(
    shape: Shape, joints: Mapping[JointId, Joint], order: Order, rng: Random
) -> dict[StandingId, Standing]:
    """Draw the standings that the stages go through, the first first, and one beside them."""
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
