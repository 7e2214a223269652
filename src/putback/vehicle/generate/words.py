"""What the invented vehicles are made of: zones, nouns, stacks of hardware, reasons in words."""

from dataclasses import dataclass
from functools import cache

from putback.vehicle.fastener import FastenerSpec, parse
from putback.vehicle.part import PartKind


@dataclass(frozen=True, slots=True)
class Region:
    """A zone to be: its centre [m], and whether one works in it from below."""

    id: str
    name: str
    adjective: str
    centre: tuple[float, float, float]
    below: bool = False
    kept: bool = False
    """Whether most of what is there must stay on for the vehicle to roll."""


REGIONS = (
    Region("z-bay", "Engine bay", "bay", (0.2, 0.0, 0.7)),
    Region("z-under", "Underside", "floor", (1.4, 0.0, 0.3), below=True),
    Region("z-cabin", "Cabin", "cabin", (1.5, 0.0, 0.8)),
    Region("z-rear", "Rear axle", "axle", (2.5, 0.0, 0.35), below=True, kept=True),
    Region("z-front", "Front axle", "hub", (0.0, 0.0, 0.35), below=True, kept=True),
    Region("z-nose", "Nose", "nose", (-0.5, 0.0, 0.6)),
    Region("z-boot", "Boot", "boot", (3.0, 0.0, 0.7)),
    Region("z-tunnel", "Tunnel", "tunnel", (1.2, 0.0, 0.45), below=True),
    Region("z-sides", "Doors and sides", "side", (1.6, 0.0, 0.9)),
)
"""In the order in which they are taken up as a vehicle grows."""

NOUNS: dict[PartKind, tuple[str, ...]] = {
    PartKind.MACHINE: ("pump", "motor", "regulator", "cooler", "compressor", "rack", "servo"),
    PartKind.PANEL: ("panel", "cover", "lid", "shield", "fairing", "valance"),
    PartKind.PART: ("bracket", "plate", "lever", "guard", "tray", "stay", "yoke", "housing"),
    PartKind.TRIM: ("lining", "carpet", "seat", "pad", "moulding"),
    PartKind.GLASS: ("glass", "quarter light"),
    PartKind.SPRING: ("spring",),
    PartKind.PIPE: ("pipe",),
    PartKind.HOSE: ("hose",),
    PartKind.CABLE: ("cable",),
    PartKind.LOOM: ("loom",),
}

MASS_KG: dict[PartKind, tuple[float, float]] = {
    PartKind.MACHINE: (4.0, 90.0),
    PartKind.PANEL: (1.0, 22.0),
    PartKind.PART: (0.3, 9.0),
    PartKind.TRIM: (0.5, 14.0),
    PartKind.GLASS: (3.0, 16.0),
    PartKind.SPRING: (3.0, 19.0),
    PartKind.PIPE: (0.1, 0.9),
    PartKind.HOSE: (0.1, 1.2),
    PartKind.CABLE: (0.1, 1.5),
    PartKind.LOOM: (0.4, 6.0),
}
"""Lightest and heaviest of a kind [kg]; invented."""


@dataclass(frozen=True, slots=True)
class Stack:
    """Hardware of one hole, as a person would type it, and what it takes to undo it."""

    pieces: tuple[str, ...]
    tool: str
    minutes: float
    single_use: int | None = None
    """Which piece is used once only."""
    torque_nm: float | None = None


LIGHT = (
    Stack(("screw 10-32 UNF x 1/2 in", "spire nut 10-32"), "cross-head screwdriver", 0.8),
    Stack(
        ("bolt 1/4-28 UNF x 3/4 in", "plain washer 1/4", "captive nut 1/4-28 UNF"),
        "7/16 in socket",
        1.0,
    ),
    Stack(("clevis pin 6 x 20 mm", "split pin 1.6 mm"), "pliers", 1.5, single_use=1),
)

MIDDLING = (
    Stack(
        ("bolt 5/16-24 UNF x 1 in", "spring washer 5/16", "plain washer 5/16"),
        "1/2 in spanner",
        1.5,
        single_use=1,
        torque_nm=22,
    ),
    Stack(("nut 5/16-24 UNF", "spring washer 5/16"), "1/2 in spanner", 1.5, torque_nm=18),
    Stack(
        ("bolt 3/8-24 UNF x 1 1/4 in", "plain washer 3/8", "nut 3/8-24 UNF"),
        "9/16 in spanner",
        2.0,
        torque_nm=38,
    ),
    Stack(("bolt M8x1.25x25 8.8", "plain washer M8"), "13 mm socket", 1.5, torque_nm=23),
)

HEAVY = (
    Stack(
        ("bolt 7/16-20 UNF x 2 in", "plain washer 7/16", "self-locking nut 7/16-20 UNF"),
        "5/8 in socket",
        3.0,
        single_use=2,
        torque_nm=65,
    ),
    Stack(
        ("bolt 1/2-20 UNF x 2 1/2 in", "castle nut 1/2-20 UNF", "split pin 3 mm"),
        "3/4 in socket",
        3.5,
        single_use=2,
        torque_nm=90,
    ),
)

WHEEL = Stack(("wheel nut 1/2-20 UNF",), "wheel brace", 1.0, torque_nm=85)

ENDS: dict[PartKind, Stack] = {
    PartKind.PIPE: Stack(("union nut 3/8-24 UNF",), "flare spanner", 4.0, torque_nm=15),
    PartKind.HOSE: Stack(("hose clip 32 mm",), "flat screwdriver", 3.0),
    PartKind.CABLE: Stack(("clevis pin 5 x 16 mm", "split pin 1.6 mm"), "pliers", 4.0, 1),
    PartKind.LOOM: Stack(("ring terminal 5 mm",), "small pliers", 1.5),
}

CLIP = Stack(("P-clip 8 mm", "screw 10-32 UNF x 1/2 in"), "cross-head screwdriver", 1.5)

IN_THE_WAY = (
    "covers two of its fixings",
    "leaves no room for the spanner",
    "stands in its way out",
    "must be clear before it can be swung round",
)

BEFORE = (
    "its place is marked against it first",
    "no load may be left on it",
    "dirt would fall into it",
    "it steadies the other while that is undone",
)

HARDER = (
    "nothing is left to brace against",
    "it turns with nothing to hold it",
    "must then be reached from the other side",
)

CARE = (
    "eye protection: rust falls from above",
    "sharp edges: gloves",
    "mind the fingers when the last fixing comes out",
)


@cache
def spec(text: str) -> FastenerSpec:
    """Read a specification once, however many thousand times it is used."""
    return parse(text)
