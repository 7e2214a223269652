"""A panel's weight, the patch that mends it, what welding takes, and how a fold springs back."""

from dataclasses import dataclass
from math import pi

from putback.bench.calculator import OutsideLimits
from putback.bench.tables import data_table

_WIRE_LAID = 0.95
"""Share of the wire that ends in the bead; the rest is spatter and stubs (common practice)."""


@dataclass(frozen=True, slots=True)
class Metal:
    """What a panel is made of; a soft grade, from handbooks."""

    name: str
    density_kg_m3: float
    yield_pa: float
    modulus_pa: float


@dataclass(frozen=True, slots=True)
class Patch:
    """The hole that is cut and the patch that is let in [m]; ``seam_m`` is all round."""

    hole_m: tuple[float, float]
    patch_m: tuple[float, float]
    seam_m: float

    @property
    def area_m2(self) -> float:
        """Sheet that the patch takes [m²]."""
        return self.patch_m[0] * self.patch_m[1]


@dataclass(frozen=True, slots=True)
class Weld:
    """What a seam takes by common practice; pairs are the least and the most."""

    wire_m: float
    """The wire's diameter [m]."""
    wire_kg: float
    wire_length_m: float
    arc_minutes: tuple[float, float]
    gas_m3: tuple[float, float]


def metals() -> tuple[Metal, ...]:
    """Every metal of ``data/sheet_metals.csv``."""
    return tuple(
        Metal(
            row["metal"],
            float(row["density_kg_m3"]),
            float(row["yield_mpa"]) * 1e6,
            float(row["modulus_gpa"]) * 1e9,
        )
        for row in data_table("sheet_metals").rows
    )


def mass_kg(area_m2: float, thickness_m: float, density_kg_m3: float) -> float:
    """Mass of a flat panel [kg]: ``m = A t ρ``."""
    return area_m2 * thickness_m * density_kg_m3


def patch(rust_m: tuple[float, float], margin_m: float, overlap_m: float) -> Patch:
    """Cut back to sound metal all round, and let in a patch, lapped or (0) butted.

    ``hole = rust + 2 margin`` and ``patch = hole + 2 overlap`` each way; the seam is as long as
    the patch's outline.

    Parameters
    ----------
    rust_m : tuple of float
        Visible rust, its length and width, [m].
    margin_m : float
        How far past it is cut, [m].
    overlap_m : float
        How far the patch lies over the edge; 0 for a butt joint, [m].
    """
    hole = (rust_m[0] + 2 * margin_m, rust_m[1] + 2 * margin_m)
    cut = (hole[0] + 2 * overlap_m, hole[1] + 2 * overlap_m)
    return Patch(hole, cut, 2 * (cut[0] + cut[1]))


def weld(seam_m: float, thickness_m: float, density_kg_m3: float) -> Weld:
    """What welding a seam by MIG takes, as common practice: ``data/welding.csv``.

    The bead's cross-section is so many times ``t²``; the arc burns for the seam's length over its
    speed, and gas flows while it burns.

    Raises
    ------
    OutsideLimits
        Sheet thinner or thicker than the practice is for.
    """
    thickness_mm = round(thickness_m * 1e3, 9)
    for row in data_table("welding").rows:
        if float(row["from_mm"]) <= thickness_mm <= float(row["to_mm"]):
            break
    else:
        raise OutsideLimits(
            f"no practice is known here for welding sheet of {thickness_mm:.2f} mm by hand",
            "thickness",
            "0.5 to 3.5 mm has one; for other sheet ask a welder",
            "thickness",
        )
    wire_m = float(row["wire_mm"]) * 1e-3
    laid_m3 = float(row["bead"]) * thickness_m**2 * seam_m / _WIRE_LAID
    slow_m, fast_m = (float(row[name]) * 1e-3 for name in ("speed_low", "speed_high"))
    least, most = seam_m / fast_m, seam_m / slow_m
    return Weld(
        wire_m,
        laid_m3 * density_kg_m3,
        laid_m3 / (pi * wire_m**2 / 4),
        (least, most),
        (least * float(row["gas_low"]) * 1e-3, most * float(row["gas_high"]) * 1e-3),
    )


def springback_ratio(
    inside_m: float, yield_pa: float, modulus_pa: float, thickness_m: float
) -> float:
    """Radius on the former over the radius after release [-]: ``Ri/Rf = 4x³ - 3x + 1``.

    ``x = Ri Y / (E t)``; for a fold in sheet much wider than thick, not for tube (Kalpakjian,
    *Manufacturing Engineering and Technology*, sheet-metal forming).

    Parameters
    ----------
    inside_m, thickness_m : float
        Inner radius on the former, and of the sheet, [m].
    yield_pa, modulus_pa : float
        Yield strength and modulus of elasticity, [Pa].

    Raises
    ------
    OutsideLimits
        So wide a fold springs back flat: nothing has yielded.
    """
    x = inside_m * yield_pa / (modulus_pa * thickness_m)
    if x >= 0.5:
        raise OutsideLimits(
            f"a fold of {inside_m * 1e3:.0f} mm in this sheet springs back flat",
            "fold",
            "take a smaller radius",
            "fold",
        )
    return 4 * x**3 - 3 * x + 1
