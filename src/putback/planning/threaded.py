"""Runs that pass through a part: what has to be free before that part comes away.

A part through which a cable, pipe or loom goes comes off when the run is drawn out, or when it can
be slid off over an end. Of a run with two ends one will do, of those that pass through; of a loom
with more nobody says which of them lie on the same side, so all that pass are to be free.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from putback.vehicle.ids import JointId, PartId
from putback.vehicle.run import Run
from putback.vehicle.vehicle import Vehicle


@dataclass(frozen=True, slots=True)
class Threaded:
    """A run through a part. The part is free of it when of each of ``ends`` one is undone."""

    run: PartId
    what: str
    """What it passes through there, in words."""
    ends: tuple[tuple[JointId, ...], ...]
    """Of an empty one nothing will do but the run off."""


def threaded_through(vehicle: Vehicle) -> Mapping[PartId, tuple[Threaded, ...]]:
    """Give the runs through each part that a run passes through."""
    found: dict[PartId, tuple[Threaded, ...]] = {}
    for run in vehicle.runs.values():
        through: dict[PartId, str] = {}
        for passage in run.passages:
            if passage.part is not None and passage.part != run.part:
                through.setdefault(passage.part, passage.what)
        for part, what in through.items():
            each = Threaded(run.part, what, _ends(vehicle, run))
            found[part] = (*found.get(part, ()), each)
    return MappingProxyType(found)


def _ends(vehicle: Vehicle, run: Run) -> tuple[tuple[JointId, ...], ...]:
    ends = dict.fromkeys(end.joint for end in run.ends if end.joint in vehicle.joints)
    passing = dict.fromkeys(end.joint for end in run.ends if end.passes and end.joint in ends)
    if len(ends) > 2 and passing:
        return tuple((joint,) for joint in passing)
    return (tuple(passing),)
