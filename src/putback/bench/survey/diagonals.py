"""The calculator ``diagonals``: is a frame square, by its two diagonals alone.

Two diagonals of a parallelogram with sides L and W differ as one long side is pushed along::

    d² = (L ± s)² + W²        so        s = (d1² − d2²) / (4 L)
"""

from math import hypot

from putback.bench.calculator import (
    RULE_M,
    Answer,
    Asked,
    Calculator,
    Drawing,
    Figure,
    OutsideLimits,
    Quantity,
    Shape,
    Step,
)

_SQUARE_M2 = 1e-6
"""Squares are shown to the square millimetre: their small difference is what counts [m²]."""


def pushed_m(right_m: float, left_m: float, length_m: float) -> float:
    """Give how far the right side is behind the left: s = (d1² − d2²) / (4 L).

    Parameters
    ----------
    right_m, left_m : float
        d1 from front left to rear right, d2 from front right to rear left, [m].
    length_m : float
        L, along a side, [m].
    """
    return (right_m**2 - left_m**2) / (4 * length_m)


def pushed_doubt_m(right_m: float, left_m: float, length_m: float, sigma_m: float) -> float:
    """Propagate the doubt of the diagonals to `pushed_m` (JCGM 100:2008, 5.1.2) [m]."""
    return sigma_m * hypot(right_m, left_m) / (2 * length_m)


def width_m(right_m: float, left_m: float, length_m: float) -> float:
    """Give the width that these diagonals and sides enclose: W² = (d1² + d2²)/2 − L² − s² [m].

    Raises
    ------
    OutsideLimits
        Diagonals that are shorter than the side.
    """
    pushed = pushed_m(right_m, left_m, length_m)
    square = (right_m**2 + left_m**2) / 2 - length_m**2 - pushed**2
    if square <= 0:
        raise OutsideLimits(
            "these diagonals are too short for this side",
            mend="measure all from the same kind of point",
            field="length",
        )
    return float(square**0.5)


def diagonals(
    right_m: float, left_m: float, length_m: float, sigma_m: float, tolerance_m: float
) -> Answer:
    """Compare two diagonals.

    Parameters
    ----------
    right_m, left_m : float
        From front left to rear right, and from front right to rear left, [m].
    length_m : float
        Along either side, [m].
    sigma_m : float
        How sure one reading is, [m].
    tolerance_m : float
        What they may differ by, [m].

    Raises
    ------
    OutsideLimits
        Lengths that no frame has.
    """
    wide = width_m(right_m, left_m, length_m)
    pushed = pushed_m(right_m, left_m, length_m)
    doubt = pushed_doubt_m(right_m, left_m, length_m, sigma_m)
    differ = right_m - left_m
    return Answer(
        calculator="diagonals",
        inputs=(
            Figure("right", "front left to rear right", right_m, Quantity.LENGTH),
            Figure("left", "front right to rear left", left_m, Quantity.LENGTH),
            Figure("length", "along a side", length_m, Quantity.LENGTH),
        ),
        results=(
            Figure("differ", "the diagonals differ by", differ, Quantity.LENGTH,
                   2**0.5 * sigma_m),
            Figure("pushed", "the right side is behind the left by", pushed, Quantity.LENGTH,
                   doubt),
            Figure("width", "width between the sides", wide, Quantity.LENGTH, step=RULE_M),
        ),
        verdict=_verdict(differ, pushed, sigma_m, tolerance_m),
        steps=(
            Step(
                "s = (d1² − d2²) / (4 · L)",
                {
                    "d1²": Figure("d1²", "square of the one", right_m**2, Quantity.AREA,
                                  step=_SQUARE_M2),
                    "d2²": Figure("d2²", "square of the other", left_m**2, Quantity.AREA,
                                  step=_SQUARE_M2),
                    "L": Figure("L", "along a side", length_m, Quantity.LENGTH),
                },
                Figure("s", "right side behind the left", pushed, Quantity.LENGTH, doubt),
                "two right triangles",
            ),
        ),
        drawings=(_drawing(length_m, wide, pushed),),
        sources=("two right triangles (any book)", "JCGM 100:2008, 5.1.2: doubt"),
        limits=(
            "both sides equally long and parallel; equal diagonals do not see a frame that is "
            "bent, twisted or pushed in evenly: survey it",
        ),
        cautions=("No pulling from one survey: measure again, from other points too.",),
    )  # fmt: skip


def _verdict(differ: float, pushed: float, sigma_m: float, tolerance_m: float) -> str:
    by = f"{abs(differ) * 1000:.1f} mm"
    if abs(differ) <= 2 * 2**0.5 * sigma_m:
        return f"Square, as far as this tape tells: the diagonals differ by {by}."
    side = "right" if pushed > 0 else "left"
    if abs(differ) <= tolerance_m:
        return f"Square within what is allowed: the diagonals differ by {by}."
    return (
        f"Diamond: the diagonals differ by {by}, so the {side} side is "
        f"{abs(pushed) * 1000:.1f} mm behind the other."
    )


def _drawing(length_m: float, wide_m: float, pushed_m: float) -> Drawing:
    """Draw it from above, front to the left, the push drawn ten times too large."""
    half, push = wide_m / 2, 10 * pushed_m / 2
    front_left, rear_left = (-push, half), (length_m - push, half)
    front_right, rear_right = (push, -half), (length_m + push, -half)
    return Drawing(
        "From above, front to the left; out of square ten times too large",
        f"A frame of {length_m * 1000:.0f} by {wide_m * 1000:.0f} mm whose right side is "
        f"{pushed_m * 1000:.1f} mm behind the left.",
        (
            Shape("outline", (front_left, rear_left, rear_right, front_right, front_left)),
            Shape("accent", (front_left, rear_right)),
            Shape("thin", (front_right, rear_left)),
        ),
    )


CALCULATOR = Calculator(
    "diagonals",
    "Two diagonals",
    "Is a frame square, by its two diagonals?",
    (
        Asked("right", "right_m", "Front left to rear right", Quantity.LENGTH, low=0.001,
              bare="mm"),
        Asked("left", "left_m", "Front right to rear left", Quantity.LENGTH, low=0.001,
              bare="mm"),
        Asked("length", "length_m", "Along either side", Quantity.LENGTH, low=0.001, bare="mm"),
        Asked("sigma", "sigma_m", "A reading is good to", Quantity.LENGTH, "1 mm",
              "one standard deviation", low=1e-6, bare="mm"),
        Asked("tolerance", "tolerance_m", "They may differ by", Quantity.LENGTH, "5 mm",
              "the maker's figure wins", low=0, bare="mm"),
    ),
    diagonals,
    {"right": "2664 mm", "left": "2650 mm", "length": "2500 mm"},
)  # fmt: skip
