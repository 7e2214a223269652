"""What a coat does to a size.

::

    over crests, shafts, bores    Δd  = 2 b t
    pitch diameter                Δd2 = 2 b t / sin α       4 b t at 60 degrees

t is the coat on one side, b the share of it that stands out, α half the flank angle. A male
thread grows into the gap that its class leaves (6g, 2A: thickest coat gap · sin α / 2 b); a female
one shrinks and has no gap. Sources: geometry; ISO 4042 (es / 4 at 60 degrees).
"""

from dataclasses import dataclass

from putback.bench.tables import data_table
from putback.bench.thread_form import form_of, growth_factor
from putback.bench.threads import Thread


@dataclass(frozen=True, slots=True)
class Coat:
    """A coat by its name: thickness on one side [m], the share of it that adds to the size."""

    name: str
    least_m: float
    usual_m: float
    most_m: float
    stands_out: float
    hydrogen: bool
    status: str


def coats() -> tuple[str, ...]:
    """What the table has, as a choice."""
    return tuple(row["coat"] for row in data_table("coats").rows)


def coat_named(name: str) -> Coat:
    """Find one of `coats`."""
    (row,) = [row for row in data_table("coats").rows if row["coat"] == name]
    least, usual, most = (float(row[key]) * 1e-6 for key in ("least", "usual", "most"))
    return Coat(
        name, least, usual, most, float(row["stands_out"]), row["hydrogen"] == "yes", row["status"]
    )


def diameter_growth_m(thickness_m: float, stands_out: float = 1.0) -> float:
    """Give how much a diameter grows [m], or a bore shrinks, by a coat of a thickness [m]."""
    return 2 * stands_out * thickness_m


def pitch_growth_m(thread: Thread, thickness_m: float, stands_out: float = 1.0) -> float:
    """Give how much a pitch diameter grows [m], or a female one shrinks.

    Raises
    ------
    BadInput
        A screw by number.
    """
    return growth_factor(form_of(thread)) * stands_out * thickness_m


def thickest_m(thread: Thread, gap_m: float, stands_out: float = 1.0) -> float:
    """Give the thickest coat [m] that a gap on the diameter takes [m]."""
    return max(0.0, gap_m) / (growth_factor(form_of(thread)) * stands_out)


def baking_hours(tensile_pa: float) -> int:
    """Give how long to bake after a coat that puts hydrogen in [h]; 0 where it need not be."""
    hours = 0
    for row in data_table("baking").rows:
        if tensile_pa >= float(row["above_mpa"]) * 1e6:
            hours = int(row["hours"])
    return hours
