"""The calculator ``tiedown``: how many straps the US rules ask for (49 CFR 393).

Sections 393.102 (forces), 393.106 (working load limit), 393.110 (number by length and weight) and
393.128 (cars, light trucks and vans up to 10,000 lb). Legal minima for carriers; more is better.
"""

from itertools import cycle
from math import ceil

from putback.bench.calculator import (
    Answer,
    Asked,
    Calculator,
    Drawing,
    Figure,
    OutsideLimits,
    Quantity,
    Shape,
    Step,
    Table,
)
from putback.bench.sling import GRAVITY_M_S2

LB_KG = 0.45359237
FT_M = 0.3048
"""Exact (NIST SP 811, appendix B)."""

FORCES = {
    "forward": (0.8, 0.435),
    "rearward": (0.5, 0.5),
    "sideways": (0.5, 0.25),
}
"""393.102(a): what must hold without breaking, and within the working load limit [g]."""

DOWNWARD_SHARE = 0.2
"""393.102(b): held down by this share of its weight, unless the bed's sides contain it [-]."""

TO_IT, BACK, OVER = (
    "to the vehicle itself",
    "round it and back to the same side",
    "over it to the other side",
)
WAYS = {TO_IT: 0.5, BACK: 0.5, OVER: 1.0}
"""What part of its working load limit a tie-down counts (393.106(d)) [-]."""

LIGHT_KG = 10_000 * LB_KG
"""393.128 is for vehicles up to this, each [kg]; heavier ones fall under 393.130."""

EACH_END = 2
"""393.128(b): at least so many at the front and at the rear of a vehicle."""

_SHORT_M, _STEP_M, _LIGHT_ARTICLE_KG = 5 * FT_M, 10 * FT_M, 1100 * LB_KG
_ROUNDING = 1e-9
_HALF_WIDE_M, _SLENDER = 0.85, 0.3
"""Half the width that is drawn, at most [m], and of the length."""
_MOST_DRAWN = 24
"""More straps than that are no picture."""


def least_wll_kg(mass_kg: float) -> float:
    """Give the aggregate working load limit: half the article's weight (393.106(d)) [kg]."""
    return mass_kg / 2


def counted_kg(wll_kg: float, way: str) -> float:
    """Give what one tie-down counts of its working load limit (393.106(d)) [kg].

    Parameters
    ----------
    wll_kg : float
        Its working load limit, that of its weakest part, [kg].
    way : str
        How it goes, one of `WAYS`.
    """
    return wll_kg * WAYS[way]


def number_by_limit(mass_kg: float, wll_kg: float, way: str) -> int:
    """Give how many it takes for the aggregate working load limit (393.106(d))."""
    return ceil(least_wll_kg(mass_kg) / counted_kg(wll_kg, way) - _ROUNDING)


def number_by_length(length_m: float, mass_kg: float, *, is_blocked: bool) -> int:
    """Give the number of 393.110 for an article.

    Not blocked forward: one up to 5 ft and 1,100 lb, else two up to 10 ft, and one more for each
    10 ft or part of it beyond. Blocked by a header, a bulkhead or other cargo: one for each 10 ft
    or part of it.

    Parameters
    ----------
    length_m : float
        How long it is, [m].
    mass_kg : float
        What it weighs, [kg].
    is_blocked : bool
        Whether something keeps it from moving forward.
    """
    if is_blocked:
        return max(1, ceil(length_m / _STEP_M - _ROUNDING))
    if length_m <= _SHORT_M + _ROUNDING and mass_kg <= _LIGHT_ARTICLE_KG + _ROUNDING:
        return 1
    return 2 + max(0, ceil((length_m - _STEP_M) / _STEP_M - _ROUNDING))


def tiedown(
    mass_kg: float, length_m: float, wll_kg: float, way: str, is_vehicle: bool, is_blocked: bool
) -> Answer:
    """Count the tie-downs that 49 CFR 393 asks for.

    Parameters
    ----------
    mass_kg : float
        The vehicle or article, [kg].
    length_m : float
        How long it is, [m].
    wll_kg : float
        The working load limit on a strap's label, [kg].
    way : str
        How each strap goes.
    is_vehicle : bool
        A vehicle up to 10,000 lb, on its wheels.
    is_blocked : bool
        Whether something keeps it from moving forward.

    Raises
    ------
    OutsideLimits
        A vehicle over 10,000 lb, for which another section holds.
    """
    if is_vehicle and mass_kg > LIGHT_KG + _ROUNDING:
        raise OutsideLimits(
            f"393.128 is for vehicles up to 10,000 lb ({LIGHT_KG:.0f} kg), not {mass_kg:.0f} kg",
            mend="393.130 holds for heavier ones: read it there",
            field="mass",
        )
    each_kg = counted_kg(wll_kg, way)
    by = {
        "limit": number_by_limit(mass_kg, wll_kg, way),
        "length": number_by_length(length_m, mass_kg, is_blocked=is_blocked),
        "vehicle": 2 * EACH_END if is_vehicle else 0,
    }
    number = max(by.values())
    if is_vehicle:
        number += number % 2  # as many in front as behind
    mass = Figure("W", "weight", mass_kg, Quantity.MASS)
    return Answer(
        calculator="tiedown",
        inputs=(
            Figure("mass", "what is carried", mass_kg, Quantity.MASS),
            Figure("length", "its length", length_m, Quantity.LENGTH),
            Figure("wll", "working load limit of a strap", wll_kg, Quantity.MASS),
            Figure("way", "how each goes", way, Quantity.TEXT),
        ),
        results=(
            Figure("number", "tie-downs at least", number, Quantity.COUNT),
            Figure("by_limit", "by working load limit (393.106)", by["limit"], Quantity.COUNT),
            Figure("by_length", "by length and weight (393.110)", by["length"], Quantity.COUNT),
            Figure("by_vehicle", "for a vehicle (393.128)", by["vehicle"], Quantity.COUNT),
            Figure("aggregate", "working load limit needed in all", least_wll_kg(mass_kg),
                   Quantity.MASS),
            Figure("counted", "what one counts", each_kg, Quantity.MASS),
            Figure("in_all", "what these count together", number * each_kg, Quantity.MASS),
        ),
        verdict=_verdict(number, is_vehicle=is_vehicle),
        steps=(
            Step(
                "aggregate = W / 2",
                {"W": mass},
                Figure("aggregate", "needed in all", least_wll_kg(mass_kg), Quantity.MASS),
                "49 CFR 393.106(d)",
            ),
            Step(
                "n = aggregate / (WLL · counted), rounded up",
                {
                    "aggregate": Figure("aggregate", "needed", least_wll_kg(mass_kg),
                                        Quantity.MASS),
                    "WLL": Figure("WLL", "working load limit", wll_kg, Quantity.MASS),
                    "counted": Figure("counted", f"{way}: counted", WAYS[way], Quantity.SHARE),
                },
                Figure("n", "by working load limit", by["limit"], Quantity.COUNT),
                "49 CFR 393.106(d)",
            ),
        ),
        tables=(_forces(mass_kg),),
        drawings=(_drawing(number, length_m, way, is_vehicle=is_vehicle),)
        if number <= _MOST_DRAWN
        else (),
        sources=("49 CFR 393.102, 393.106, 393.110 and 393.128, as secondary copies quote them",),
        limits=(
            "one article, or one vehicle up to 10,000 lb; the legal minimum for commercial "
            "carriers in the United States",
            "the working load limit is that of the weakest of strap, hook, ratchet and anchor",
        ),
        cautions=(
            "Local law and the strap's label rule. Use more than the least.",
            "Handbrake on, in gear, wheels chocked; stop after a few miles and tighten again.",
            "Strap to axles or frame, clear of brake pipes; no strap over a sharp edge.",
        ),
    )  # fmt: skip


def _verdict(number: int, *, is_vehicle: bool) -> str:
    if is_vehicle:
        return (
            f"At least {number} tie-downs: {number // 2} at the front and {number // 2} at the "
            "rear."
        )
    return f"At least {number} tie-down{'s' if number > 1 else ''}."


def _forces(mass_kg: float) -> Table:
    rows = [
        (
            Figure("way", "way", way, Quantity.TEXT),
            Figure("breaking", "g", breaking),
            Figure("breaks", "without breaking", breaking * mass_kg * GRAVITY_M_S2,
                   Quantity.FORCE),
            Figure("working", "g", working),
            Figure("works", "within the limit", working * mass_kg * GRAVITY_M_S2,
                   Quantity.FORCE),
        )
        for way, (breaking, working) in FORCES.items()
    ]  # fmt: skip
    down_n = DOWNWARD_SHARE * mass_kg * GRAVITY_M_S2
    rows.append(
        (
            Figure("way", "way", "downward", Quantity.TEXT),
            Figure("breaking", "g", DOWNWARD_SHARE),
            Figure("breaks", "held down by", down_n, Quantity.FORCE),
            Figure("working", "g", DOWNWARD_SHARE),
            Figure("works", "held down by", down_n, Quantity.FORCE),
        )
    )
    return Table(
        "What must be held (393.102)",
        ("way", "g", "without breaking", "g", "within the working load limit"),
        tuple(rows),
    )


def _drawing(number: int, length_m: float, way: str, *, is_vehicle: bool) -> Drawing:
    """Draw the load from above as a box, its front to the right, and its straps."""
    half_long, half_wide = length_m / 2, min(_HALF_WIDE_M, _SLENDER * length_m)
    x, y = half_long, half_wide
    straps = (
        _from_both_ends(number // 2, half_long, half_wide)
        if is_vehicle and way == TO_IT
        else _across(_places(number, half_long, is_vehicle=is_vehicle), half_wide, way)
    )
    told = (
        "As many straps at the front as at the rear."
        if is_vehicle
        else "The straps are shared out over its length."
    )
    return Drawing(
        "From above, front to the right",
        told,
        (
            Shape("outline", ((-x, -y), (x, -y), (x, y), (-x, y), (-x, -y))),
            *(Shape("accent", strap) for strap in straps),
            Shape("dot", tuple(end for _, end in straps)),
        ),
    )


Strap = tuple[tuple[float, float], tuple[float, float]]


def _from_both_ends(at_each: int, half_long: float, half_wide: float) -> tuple[Strap, ...]:
    """Lay straps from either end, outwards to the bed's anchors; a middle one straight."""
    aside = [half_wide * (2 * each + 1 - at_each) / at_each for each in range(at_each)]
    return tuple(
        ((end * half_long, y), (end * (half_long + 2 * half_wide), y * 2))
        for end in (1, -1)
        for y in aside
    )


def _places(number: int, half_long: float, *, is_vehicle: bool) -> list[float]:
    """Give where straps go across: towards a vehicle's ends, else evenly over the length."""
    if not is_vehicle:
        return [half_long * (2 * each + 1 - number) / number for each in range(number)]
    at_each = number // 2
    near = [half_long * (0.85 - 0.75 * each / at_each) for each in range(at_each)]
    return [*near, *(-x for x in near)]


def _across(places: list[float], half_wide: float, way: str) -> tuple[Strap, ...]:
    """Lay straps over the load; or, back to the side they come from, from each side in turn."""
    out = 1.5 * half_wide
    if way == OVER:
        return tuple(((x, -out), (x, out)) for x in places)
    sides = cycle((1, -1))
    return tuple(
        ((x, side * half_wide), (x, side * out)) for x, side in zip(places, sides, strict=False)
    )


CALCULATOR = Calculator(
    "tiedown",
    "Tie-downs (49 CFR 393)",
    "How many straps must hold a vehicle on a trailer by the US rules?",
    (
        Asked("mass", "mass_kg", "What is carried weighs", Quantity.MASS, low=0.001, bare="kg"),
        Asked("length", "length_m", "Its length", Quantity.LENGTH, "4 m", low=0.001, bare="m"),
        Asked("wll", "wll_kg", "Working load limit of one strap", Quantity.MASS,
              hint="WLL on its label: 3333 lb", low=0.001, bare="kg"),
        Asked("way", "way", "Each strap goes", Quantity.CHOICE, TO_IT,
              "to the vehicle, or back to the same side, it counts half", tuple(WAYS)),
        Asked("vehicle", "is_vehicle", "It is a vehicle on its wheels", Quantity.YES, "yes"),
        Asked("blocked", "is_blocked", "Something keeps it from moving forward", Quantity.YES,
              "no", "a header, a bulkhead, other cargo"),
    ),
    tiedown,
    {"mass": "4000 lb", "length": "15 ft", "wll": "3333 lb", "way": TO_IT},
)  # fmt: skip
