"""What carries nothing, as the checker reads it (*What holds what up*).

A joint is limp if all that holds it ends a hose, a belt or a wire, or if one of its parts is a
run; a part that only such ends join to anything, and no support bears on, is a run as well.
"""

from collections.abc import Collection, Mapping

from putback.vehicle.fastener import Role
from putback.vehicle.fastener_kind import FastenerKind as Kind
from putback.vehicle.ids import JointId, PartId
from putback.vehicle.joint import Joint
from putback.vehicle.part import PartKind
from putback.vehicle.vehicle import Vehicle

_LYING = (PartKind.PIPE, PartKind.HOSE, PartKind.CABLE, PartKind.LOOM)
_PLUGGED = (Kind.PUSH_ON, Kind.BULLET, Kind.BLOCK_CONNECTOR)
_WIRES = (Kind.RING_TERMINAL, Kind.CLAMP_TERMINAL, Kind.CABLE_NIPPLE, Kind.CABLE_END)
_RUBBER = (Kind.HOSE_CLIP, Kind.RUBBER_SLEEVE, Kind.BELT)
_SOFT = frozenset((*_PLUGGED, *_WIRES, *_RUBBER))


def is_soft(joint: Joint) -> bool:
    """Whether nothing but soft ends holds a joint together."""
    holding = 0
    for fixing in joint.fixings:
        for piece in fixing.stack:
            if piece.role is Role.HOLD:
                if piece.spec.kind not in _SOFT:
                    return False
                holding += 1
    return holding > 0


def runs_among(vehicle: Vehicle, joints: Mapping[JointId, Joint]) -> frozenset[PartId]:
    """Give the parts that are runs, by their kind or by how they are joined."""
    feet = {each.bears_on for each in vehicle.temporary_supports.values()}
    for standing in vehicle.standings.values():
        feet.update(each.bears_on for each in standing.supports if not each.beside)
    found = {part.id for part in vehicle.parts.values() if part.kind in _LYING}
    only_soft: dict[PartId, bool] = {}
    for joint in joints.values():
        soft = is_soft(joint)
        for part in joint.parts:
            only_soft[part] = only_soft.get(part, True) and soft
    return frozenset(
        found | {part for part, soft in only_soft.items() if soft and part not in feet}
    )


def is_limp(joint: Joint, runs: Collection[PartId]) -> bool:
    """Whether a joint carries nothing."""
    return is_soft(joint) or any(part in runs for part in joint.parts)
