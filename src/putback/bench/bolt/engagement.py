"""How deep a bolt must go, so that it breaks before threads strip.

::

    As_hole = π/P · d_min (P/2 + (d_min - D2_max) tan α)       per length, sheared in the hole
    As_bolt = π/P · D1_max (P/2 + (d2_min - D1_max) tan α)     per length, sheared on the bolt
    m = 1.2 Rm As / (τ · area per length) + 0.8 P

with the limits of the usual classes, α half the flank angle, τ the shear strength. 1.2 Rm is what
a bolt may really have, 0.8 P the ends that do not bear. Sources: FED-STD-H28/2 and ASME B1.1
(areas), VDI 2230-1 (1.2 Rm, 0.8 P; from memory).
"""

from dataclasses import dataclass
from math import pi, tan

from putback.bench.tables import data_table
from putback.bench.thread_form import dimensions
from putback.bench.thread_limits import thread_limits
from putback.bench.threads import Thread

BOLT_SHEAR = 0.6
"""Shear over tensile strength of a steel bolt (VDI 2230-1, from memory)."""
OVER_STRENGTH = 1.2
"""What a bolt may have over the least of its class (VDI 2230-1, from memory)."""
IDLE_PITCHES = 0.8
"""What of the depth does not bear at the ends, in pitches (VDI 2230-1, from memory)."""


@dataclass(frozen=True, slots=True)
class Hole:
    """What a bolt is screwed into: tensile strength [Pa], shear over it, the rule of thumb."""

    material: str
    tensile_pa: float
    shear: float
    diameters: float
    status: str

    @property
    def shear_pa(self) -> float:
        """Shear strength [Pa]."""
        return self.tensile_pa * self.shear


def materials() -> tuple[str, ...]:
    """What the table has, as a choice."""
    return tuple(row["material"] for row in data_table("hole_materials").rows)


def hole_of(material: str, tensile_pa: float | None = None) -> Hole:
    """Find a material of `materials`; with its tensile strength [Pa] if that is known."""
    (row,) = [row for row in data_table("hole_materials").rows if row["material"] == material]
    return Hole(
        material,
        float(row["tensile"]) * 1e6 if tensile_pa is None else tensile_pa,
        float(row["shear"]),
        float(row["depth"]),
        row["status"],
    )


def hole_area_per_m(thread: Thread) -> float:
    """Give what shears in the hole, per length of engagement [m²/m]."""
    of, limits = dimensions(thread), thread_limits(thread)
    rise = (limits.major_min_m - limits.nut_pitch_max_m) * tan(of.form.half_angle_rad)
    return pi / of.pitch_m * limits.major_min_m * (of.pitch_m / 2 + rise)


def bolt_area_per_m(thread: Thread) -> float:
    """Give what shears on the bolt, per length of engagement [m²/m]."""
    of, limits = dimensions(thread), thread_limits(thread)
    rise = (limits.pitch_min_m - limits.bore_max_m) * tan(of.form.half_angle_rad)
    return pi / of.pitch_m * limits.bore_max_m * (of.pitch_m / 2 + rise)


@dataclass(frozen=True, slots=True)
class Engagement:
    """What strips at what [N/m over the bearing depth], and the depth that is needed [m]."""

    hole_n_per_m: float
    bolt_n_per_m: float
    idle_m: float
    needed_m: float

    def strips_at_n(self, depth_m: float) -> float:
        """What load strips the weaker threads over a depth [N]."""
        bearing_m = max(0.0, depth_m - self.idle_m)
        return min(self.hole_n_per_m, self.bolt_n_per_m) * bearing_m


def engagement(thread: Thread, tensile_pa: float, area_m2: float, hole: Hole) -> Engagement:
    """Work out the depth at which the bolt breaks before its threads or the hole's strip.

    Parameters
    ----------
    thread : Thread
        With limits: none of a screw by number.
    tensile_pa : float
        The bolt's least tensile strength, [Pa].
    area_m2 : float
        Its stress area, [m²].
    hole : Hole
        What it is screwed into.
    """
    in_hole = hole.shear_pa * hole_area_per_m(thread)
    on_bolt = BOLT_SHEAR * OVER_STRENGTH * tensile_pa * bolt_area_per_m(thread)
    idle_m = IDLE_PITCHES * dimensions(thread).pitch_m
    breaking_n = OVER_STRENGTH * tensile_pa * area_m2
    return Engagement(in_hole, on_bolt, idle_m, breaking_n / min(in_hole, on_bolt) + idle_m)
