"""Joints and runs of an invented vehicle, before it is known how it stands for each."""

from collections import Counter
from random import Random

from putback.vehicle.fastener import is_piece
from putback.vehicle.generate.shape import FRAME, Item, Shape
from putback.vehicle.generate.words import (
    CLIP,
    ENDS,
    HEAVY,
    LIGHT,
    MIDDLING,
    WHEEL,
    Region,
    Stack,
    spec,
)
from putback.vehicle.ids import JointId, PartId, ZoneId
from putback.vehicle.joint import (
    Does,
    FinalWhen,
    Fixing,
    Joint,
    Piece,
    Shim,
    ShimPack,
    Tightening,
    TorqueOrigin,
    WhenUndone,
)
from putback.vehicle.minutes import Minutes
from putback.vehicle.part import PartKind
from putback.vehicle.run import Passage, Run, RunEnd

_COLOURS = ("red", "blue", "green", "brown", "black", "white")
_SHIMS = ShimPack("foot", (Shim(0.001), Shim(0.0005)), "from the carrier outwards")
_FALLS = WhenUndone(Does.FALLS, "drops on the last fixing", "a hand or a block under it")
_SWINGS = WhenUndone(Does.SWINGS, "swings on the other fixing", "tie it back")
_FLIES = WhenUndone(Does.FLIES, "the spring lets go", "hold it with a compressor")


def spread(rng: Random, likely: float) -> Minutes:
    """Estimate work in three points round the likely one, longer upwards as in life."""
    likely = max(1.0, round(likely * 2) / 2)
    best = round(likely * rng.uniform(0.6, 0.9) * 2) / 2
    return Minutes(best, likely, round(likely * rng.uniform(1.5, 3.0) * 2) / 2)


class Joints:
    """Draws the joints of a shape."""

    def __init__(self, shape: Shape, rng: Random) -> None:
        self.shape = shape
        self.rng = rng
        self.joints: dict[JointId, Joint] = {}
        self.runs: dict[PartId, Run] = {}
        self._between: Counter[tuple[PartId, PartId]] = Counter()
        self._solid: dict[Region, list[PartId]] = {}
        for item in shape.items.values():
            if not item.is_run and item.part.kind is not PartKind.WHEEL:
                self._solid.setdefault(item.region, []).append(item.part.id)
        for item in shape.items.values():
            if item.is_run:
                self._run(item)
            else:
                self._fasten(item)

    def _fasten(self, item: Item) -> None:
        """Join a part to what it hangs on, now and then to a neighbour too."""
        rng = self.rng
        stacks = _stacks_for(item)
        wheel = item.part.kind is PartKind.WHEEL
        for on in item.hangs_on:
            for _ in range(1 if wheel else rng.choice((1, 1, 1, 2, 2, 3))):
                self._joint(item, on, rng.choice(stacks), 4 if wheel else rng.randint(1, 6))
        if item.hangs_on and rng.random() < 0.15:
            neighbour = rng.choice(self._solid[item.region])
            if neighbour not in (item.part.id, *item.hangs_on):
                self._joint(item, neighbour, rng.choice(LIGHT), 2)

    def _joint(self, item: Item, on: PartId, stack: Stack, count: int) -> JointId:
        rng, part = self.rng, item.part
        identity = JointId(f"j{len(self.joints) + 1}")
        critical = stack is WHEEL or (
            stack.torque_nm is not None and item.kept and rng.random() < 0.6
        )
        self._between[part.id, on] += 1
        place = self._between[part.id, on]
        where = f"{part.name} to {self.shape.items[on].part.name}"
        if part.side:
            where = f"{where}, {part.side}"
        does = _does(rng, item)
        self.joints[identity] = Joint(
            id=identity,
            name=where if place == 1 else f"{where}, {place}",
            parts=(part.id, on),
            fixings=(Fixing("a", count, tuple(_pieces(stack))),),
            minutes=spread(rng, 1.0 + count * stack.minutes),
            tool=stack.tool,
            zone=ZoneId(item.region.id),
            tightening=Tightening(
                stack.torque_nm,
                TorqueOrigin.INVENTED if stack.torque_nm else None,
                rng.choice(("dry", "oiled", "plated")) if stack.torque_nm else "",
            ),
            final_when=_final(rng, item),
            critical=critical,
            shims=(_SHIMS,) if rng.random() < 0.04 else (),
            when_undone=does,
            crew=2 if part.crew > 1 and does.does is not Does.STAYS else 1,
        )
        return identity

    def _run(self, item: Item) -> None:
        """Make every end and clip of a run a joint."""
        rng, part = self.rng, item.part
        end_joints: list[RunEnd] = []
        for place, on in enumerate(item.hangs_on):
            for _ in range(rng.randint(1, 3) if part.kind is PartKind.LOOM else 1):
                joint = self._joint(item, on, ENDS[part.kind], 1)
                end_joints.append(
                    RunEnd(
                        joint,
                        at=self.shape.items[on].part.name,
                        colours=(rng.choice(_COLOURS),) if part.kind is PartKind.LOOM else (),
                        passes=place > 0,
                    )
                )
        clips = tuple(self._joint(item, on, CLIP, rng.randint(1, 3)) for on in item.clipped_to)
        holes = (Passage("grommet", self.shape.shell or FRAME, 0.038),)
        self.runs[part.id] = Run(
            part=part.id,
            ends=tuple(end_joints),
            clips=clips,
            route=tuple(f"past the {self.shape.items[on].part.name}" for on in item.hangs_on),
            passages=holes if rng.random() < 0.3 else (),
            comes_out=f"towards the {self.shape.items[item.hangs_on[0]].part.name}",
            why="that end will not pass",
            length_m=round(rng.uniform(0.3, 3.5), 2),
            keep_as_pattern=part.kind is PartKind.PIPE,
        )


def _stacks_for(item: Item) -> tuple[Stack, ...]:
    if item.part.kind is PartKind.WHEEL:
        return (WHEEL,)
    if item.part.kind is PartKind.STRUCTURE or (item.part.mass_kg or 0) >= 30:
        return HEAVY
    return LIGHT if item.part.kind is PartKind.TRIM else MIDDLING


def _pieces(stack: Stack) -> list[Piece]:
    return [
        Piece(
            spec(text),
            single_use=place == stack.single_use,
            stays=not is_piece(spec(text).kind),
        )
        for place, text in enumerate(stack.pieces)
    ]


def _does(rng: Random, item: Item) -> WhenUndone:
    if item.part.kind is PartKind.SPRING:
        return _FLIES
    chance = rng.random()
    return _FALLS if chance < 0.12 else _SWINGS if chance < 0.18 else WhenUndone()


def _final(rng: Random, item: Item) -> FinalWhen:
    if item.part.kind is PartKind.PANEL and rng.random() < 0.5:
        return FinalWhen.GAPS_SET
    if item.kept and rng.random() < 0.2:
        return FinalWhen.LADEN
    return FinalWhen.AS_FITTED
