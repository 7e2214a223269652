"""Joints: what they join, and their hardware, shims and torque."""

from collections import Counter
from collections.abc import Iterator

from putback.vehicle.check.fault import Fault, doubt, error, named
from putback.vehicle.fastener import is_piece
from putback.vehicle.joint import Does, FinalWhen
from putback.vehicle.vehicle import Vehicle

_SHIMS_AGREE = 0.1
"""Share by which shims as measured and as described may differ; a judgement: paint and wear."""


def joins_too_few(vehicle: Vehicle) -> Iterator[Fault]:
    """Find joints of fewer than two parts."""
    for joint in vehicle.joints.values():
        if len(set(joint.parts)) < 2:
            count = len(set(joint.parts))
            message = f"joint {named(joint)} joins {count} part{'' if count == 1 else 's'}"
            report = error if joint.parts else doubt  # of none nobody spoke yet
            yield report("joint", joint.id, message, "name the parts it holds together")


def same_part_twice(vehicle: Vehicle) -> Iterator[Fault]:
    """Find joints that name a part twice, among what they join or pass through."""
    for joint in vehicle.joints.values():
        for part, times in Counter((*joint.parts, *joint.through)).items():
            if times > 1:
                message = f"joint {named(joint)} names part {part!r} {times} times"
                yield error("joint", joint.id, message, "name it once: joined, or passed through")


def impossible_count(vehicle: Vehicle) -> Iterator[Fault]:
    """Find fixings and pieces of which there are none, and fixings that share an identity."""
    for joint in vehicle.joints.values():
        for fixing in joint.fixings:
            where = f"joint {named(joint)}, fixing {fixing.id!r}"
            if fixing.count < 1:
                message = f"{where} is {fixing.count} holes"
                yield error("joint", joint.id, message, "give 1 or more, or leave the fixing out")
            if not fixing.stack:
                message = f"{where} has no hardware"
                yield doubt("joint", joint.id, message, "say what holds it")
            for piece in fixing.stack:
                if piece.per_fixing < 1:
                    message = f"{where} takes {piece.per_fixing} of {piece.spec.text!r}"
                    yield error("joint", joint.id, message, "give 1 or more, or leave it out")
        for identity, times in Counter(fixing.id for fixing in joint.fixings).items():
            if times > 1:
                message = f"joint {named(joint)} has {times} fixings {identity!r}"
                yield error("joint", joint.id, message, "give each its own letter")


def captive_in_the_hand(vehicle: Vehicle) -> Iterator[Fault]:
    """Find captive nuts, tapers and the like that the description would put in a bag."""
    for joint in vehicle.joints.values():
        for fixing in joint.fixings:
            for piece in fixing.stack:
                if not piece.stays and not is_piece(piece.spec.kind):
                    message = f"joint {named(joint)}: {piece.spec.text!r} never leaves its part"
                    yield error("joint", joint.id, message, "mark it as staying")


def impossible_torque(vehicle: Vehicle) -> Iterator[Fault]:
    """Find torques of nothing or less, and stages that say neither torque nor angle."""
    for joint in vehicle.joints.values():
        tight = joint.tightening
        for torque in (tight.torque_nm, *(stage.torque_nm for stage in tight.stages)):
            if torque is not None and torque <= 0:
                message = f"joint {named(joint)} is tightened to {torque:g} N·m"
                yield error("joint", joint.id, message, "leave it out if it is not known")
        if any(stage.torque_nm is None and stage.angle_deg is None for stage in tight.stages):
            message = f"joint {named(joint)} has a stage with neither torque nor angle"
            yield error("joint", joint.id, message, "give one of them")


def torque_not_recorded(vehicle: Vehicle) -> Iterator[Fault]:
    """Find critical joints with a thread and no torque, or one of which half is not known."""
    for joint in vehicle.joints.values():
        tight = joint.tightening
        threaded = (
            piece.spec.kind.is_threaded for fixing in joint.fixings for piece in fixing.stack
        )
        if not joint.critical or not any(threaded):
            continue
        if tight.torque_nm is None and not tight.stages:
            message = f"joint {named(joint)} is critical, and no torque is recorded"
            yield doubt("joint", joint.id, message, "look it up in the maker's data")
            continue
        lacks = [
            what
            for what, said in (
                ("by whose word", tight.origin),
                ("in what condition of the thread", tight.condition),
            )
            if not said
        ]
        if lacks:
            message = (
                f"joint {named(joint)} is critical, and its torque does not say "
                f"{' and '.join(lacks)}"
            )
            yield doubt("joint", joint.id, message, "a figure without it is half a figure")


def shims(vehicle: Vehicle) -> Iterator[Fault]:
    """Find shims of no thickness, packs without an order, packs that measure otherwise."""
    for joint in vehicle.joints.values():
        for pack in joint.shims:
            where = f"joint {named(joint)}, shims at {pack.at!r}"
            thick = [shim.thickness_m for shim in pack.shims]
            if any(each <= 0 for each in thick):
                message = f"{where}: one is {min(thick) * 1000:g} mm thick"
                yield error("joint", joint.id, message, "measure it")
            elif len({*pack.shims}) > 1 and not pack.order:
                message = f"{where} differ, and their order is not said"
                yield doubt("joint", joint.id, message, "say from which side they are counted")
            elif pack.measured_m and abs(sum(thick) - pack.measured_m) > _SHIMS_AGREE * sum(thick):
                added, measured = sum(thick) * 1000, pack.measured_m * 1000
                message = f"{where} add up to {added:g} mm and measured {measured:g} mm"
                yield doubt("joint", joint.id, message, "count them again")


def danger_without_a_word(vehicle: Vehicle) -> Iterator[Fault]:
    """Find joints that let a spring or a weight go, and do not say what to do first."""
    for joint in vehicle.joints.values():
        undone = joint.when_undone
        if undone.does in (Does.FLIES, Does.FALLS) and not undone.prop_first:
            message = f"joint {named(joint)}: something {undone.does} when it is undone"
            yield doubt("joint", joint.id, message, "say what to prop or hold first")


def by_position_of_nothing(vehicle: Vehicle) -> Iterator[Fault]:
    """Find joints closed by position though they need not wait for laden height."""
    for joint in vehicle.joints.values():
        if joint.by_position and joint.final_when is not FinalWhen.LADEN:
            message = f"joint {named(joint)} may be closed by position, but waits for no height"
            yield doubt("joint", joint.id, message, "say that it is final at laden height")
