"""A part: one thing that comes off and goes back."""

import re
from dataclasses import dataclass
from enum import StrEnum

from putback.vehicle.ids import PartId, StandingId, ZoneId
from putback.vehicle.minutes import NO_TIME, Minutes

Point = tuple[float, float, float]
"""x rearwards, y to the right, z up from the ground under the front axle [m]."""

Outline = tuple[tuple[float, float], ...]
"""A closed line, in the two axes of its view [m]."""


class Side(StrEnum):
    """Left and right as seen from the driving seat."""

    LEFT = "left"
    RIGHT = "right"


_SIDES = {
    **dict.fromkeys(("left", "lh", "links", "linke", "linker", "linkes"), Side.LEFT),
    **dict.fromkeys(("right", "rh", "rechts", "rechte", "rechter", "rechtes"), Side.RIGHT),
}


def side_of_name(name: str) -> Side | None:
    """Read the side that a name speaks of, in English or German, if it speaks of one alone."""
    sides = {_SIDES[word] for word in re.findall(r"\w+", name.casefold()) if word in _SIDES}
    return sides.pop() if len(sides) == 1 else None


class PartKind(StrEnum):
    """What sort of thing a part is: decides what is usual for it where nothing is said."""

    PART = "part"  # anything not named below
    STRUCTURE = "structure"  # a frame or shell that other parts are bolted to
    PANEL = "panel"  # outer metal: gaps, paint
    GLASS = "glass"  # two people, eye protection
    TRIM = "trim"  # carpets, seats, linings
    MACHINE = "machine"  # engine, gearbox, axle, pump
    WHEEL = "wheel"  # carries the vehicle while it is on
    SPRING = "spring"  # stores energy
    PIPE = "pipe"  # rigid line: brake, fuel, oil
    HOSE = "hose"  # flexible line
    CABLE = "cable"  # pulled or turned: handbrake, throttle, speedometer
    LOOM = "loom"  # wires bound together


RUN_KINDS = frozenset({PartKind.PIPE, PartKind.HOSE, PartKind.CABLE, PartKind.LOOM})
"""Kinds that have a path: their ends and clips are joints."""


@dataclass(frozen=True, slots=True)
class MarkNeeded:
    """A mark to make before the part comes off, so that it goes back as it was."""

    how: str
    """Paint, scribe, punch, tag, photo, measure ..."""
    where: str
    record: str = ""
    """What the mark is to tell."""


@dataclass(frozen=True, slots=True)
class PartNumber:
    """A number found on the part: its part, casting or serial number."""

    kind: str
    value: str


@dataclass(frozen=True, slots=True)
class Part:
    """One part, or a set always handled together (``quantity`` above one).

    ``mass_kg`` is for the whole quantity [kg]; ``None`` means not known, and balance then
    estimates it by kind and says so. ``crew`` is the number of people who lift it.
    """

    id: PartId
    name: str
    zone: ZoneId
    name_us: str = ""
    side: Side | None = None
    quantity: int = 1
    kind: PartKind = PartKind.PART
    system: str = ""
    mass_kg: float | None = None
    cg_m: Point | None = None
    minutes: Minutes = NO_TIME
    """To lift it away once nothing holds it [minutes]."""
    standings: tuple[StandingId, ...] = ()
    """Standings it may be lifted away in; empty for any."""
    crew: int = 1
    hoist: str = ""
    """Lifting gear it needs, in words; empty for hands alone."""
    cautions: tuple[str, ...] = ()
    marks: tuple[MarkNeeded, ...] = ()
    photos: tuple[str, ...] = ()
    """What to photograph before it comes off."""
    measures: tuple[str, ...] = ()
    """What to measure before it comes off."""
    numbers: tuple[PartNumber, ...] = ()
    as_found: str = ""
    correct: str = ""
    """What is right for its kind; kept apart from what was found on this vehicle."""
    seize_risk: str = ""
    store_as: str = ""
    outside_work: str = ""
    outline_side: Outline = ()
    """Seen from the left: x and z [m]."""
    outline_plan: Outline = ()
    """Seen from above: x and y [m]."""
    note: str = ""

    @property
    def is_run(self) -> bool:
        """Whether it has a path with ends and clips."""
        return self.kind in RUN_KINDS
