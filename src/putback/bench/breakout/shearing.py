"""At what torque a bolt shears.

::

    small bolts, M1.6 to M10 from class 8.8:    MB = X Rm π/16 d3min³      ISO 898-7
    all others:                                 MB = 0.75 Rm π/16 d3min³
    rusted:                                     times (what is left of the diameter)³

A round section that has yielded throughout stands 4/3 of what begins to yield it, and shear is
0.577 of tension in ductile steel (von Mises): 0.77 together. 0.75 is the least X of ISO 898-7.
"""

from dataclasses import dataclass
from math import pi

from putback.bench.calculator import OutsideLimits
from putback.bench.strength import ISO_898, Strength
from putback.bench.tables import data_table
from putback.bench.thread_limits import thread_limits
from putback.bench.threads import Series, Thread

PLAIN_FACTOR = 0.75
"""X of a bolt that ISO 898-7 leaves out: of the torsion that π/16 d³ stands at Rm."""
_SMALL_M = 0.010
UNMARKED_PA = 400e6
"""What a head without a mark counts as: mild steel (common practice)."""


@dataclass(frozen=True, slots=True)
class Shearing:
    """The torque a sound bolt shears at [N·m], by which rule."""

    torque_nm: float
    factor: float
    core_m: float
    tensile_pa: float
    by_standard: bool


def shearing(thread: Thread, strength: Strength | None, tensile_pa: float) -> Shearing:
    """Work out the torque at which a sound bolt shears.

    Parameters
    ----------
    thread : Thread
        With limits; the least core counts.
    strength : Strength or None
        Its class, where that is known.
    tensile_pa : float
        Its tensile strength, [Pa].
    """
    core_m = thread_limits(thread).root_min_m
    factor = _small_factor(thread, strength)
    by = PLAIN_FACTOR if factor is None else factor
    torque = by * tensile_pa * pi / 16 * core_m**3
    return Shearing(torque, by, core_m, tensile_pa, factor is not None)


def _small_factor(thread: Thread, strength: Strength | None) -> float | None:
    """Find X of ISO 898-7, where it holds."""
    if strength is None or strength.standard != ISO_898:
        return None
    if thread.series is not Series.METRIC or thread.major_m > _SMALL_M:
        return None
    for row in data_table("breaking_torque").rows:
        if row["class"] == strength.grade:
            return float(row["factor"])
    return None


def left_by_eye(condition: str) -> float:
    """Find what rust leaves of the diameter by eye [-]."""
    (row,) = [row for row in data_table("corrosion").rows if row["condition"] == condition]
    return float(row["left"])


def left_by_measure(thinnest_m: float, core_m: float) -> float:
    """Give what is left of the core, by the thinnest diameter that was measured [-].

    More than the core is not more strength.

    Raises
    ------
    OutsideLimits
        Less than half of it is left: nothing can be promised.
    """
    left = min(1.0, thinnest_m / core_m)
    if left < 0.5:
        raise OutsideLimits(
            "less than half of the bolt is left",
            mend="it will not come out by turning: split the nut or drill it",
            field="thinnest",
        )
    return left
