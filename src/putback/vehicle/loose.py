"""What holds loosely: it ties things together and carries none of them.

A part that is a run (pipe, hose, cable, loom) carries nothing; nor does a joint that is nothing
but the end of one, clipped, pushed or plugged on, whatever was described as lying between.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from putback.vehicle.fastener import FastenerKind, Role
from putback.vehicle.ids import JointId, PartId
from putback.vehicle.joint import Joint
from putback.vehicle.part import Part

_ENDS = frozenset(
    {
        FastenerKind.BELT,
        FastenerKind.HOSE_CLIP,
        FastenerKind.RUBBER_SLEEVE,
        FastenerKind.PUSH_ON,
        FastenerKind.BULLET,
        FastenerKind.RING_TERMINAL,
        FastenerKind.CLAMP_TERMINAL,
        FastenerKind.BLOCK_CONNECTOR,
        FastenerKind.CABLE_NIPPLE,
        FastenerKind.CABLE_END,
    }
)
"""Ends of hoses, belts, wires and cables (common practice: none is trusted with a weight)."""


@dataclass(frozen=True, slots=True)
class Loose:
    """What carries nothing."""

    runs: frozenset[PartId]
    """Parts that lie along: described as runs, or joined to all else by ends alone."""
    joints: frozenset[JointId]
    """Joints that are ends alone, and those of which a part is a run."""


def what_is_loose(
    parts: Iterable[Part], joints: Iterable[Joint], borne: Iterable[PartId] = ()
) -> Loose:
    """Find what carries nothing.

    Parameters
    ----------
    parts : iterable of Part
        The parts.
    joints : iterable of Joint
        All joints that are described, made or not.
    borne : iterable of PartId
        What supports bear on: it may be joined by hoses alone and is no hose itself.
    """
    joints = tuple(joints)
    ends = {joint.id for joint in joints if _is_end(joint)}
    at_ends = {part for joint in joints if joint.id in ends for part in joint.parts}
    fixed = {part for joint in joints if joint.id not in ends for part in joint.parts}
    runs = frozenset(part.id for part in parts if part.is_run) | (at_ends - fixed - set(borne))
    of_runs = (joint.id for joint in joints if not runs.isdisjoint(joint.parts))
    return Loose(runs, frozenset(ends.union(of_runs)))


def _is_end(joint: Joint) -> bool:
    """Whether all that holds a joint is the end of a hose, a belt, a wire or a cable."""
    kinds = {
        piece.spec.kind
        for fixing in joint.fixings
        for piece in fixing.stack
        if piece.role is Role.HOLD
    }
    return bool(kinds) and kinds <= _ENDS
