"""An assembly: parts that may come out as one and be parted on the bench."""

from dataclasses import dataclass

from putback.vehicle.ids import AssemblyId, PartId
from putback.vehicle.minutes import NO_TIME, Minutes


@dataclass(frozen=True, slots=True)
class Assembly:
    """Only declared assemblies and single parts are units; whole or piecewise is the planner's.

    ``minutes`` to lift the whole out [minutes]. Its inner joints are those whose parts all
    belong to it; they may stay made while the whole is out.
    """

    id: AssemblyId
    name: str
    parts: tuple[PartId, ...]
    minutes: Minutes = NO_TIME
    crew: int = 1
    hoist: str = ""
    cautions: tuple[str, ...] = ()
    note: str = ""
