"""The calculator ``trailer``: nose weight, and where on the trailer the vehicle must stand.

Moments about the trailer's axle, or the middle between its axles.
"""

from math import cos, pi, sin

from putback.bench import both
from putback.bench.calculator import (
    TAPE_M,
    Answer,
    Asked,
    Calculator,
    Drawing,
    Figure,
    Quantity,
    Shape,
    Step,
)

HABITS = {"10 to 15 %": (0.10, 0.15), "9 to 15 %": (0.09, 0.15), "5 to 7 %": (0.05, 0.07)}
"""Nose weight as a share of the loaded trailer, by habit (common practice: handbooks of North
America; of Britain and Europe, from memory). Hitch and tow bar have limits of their own."""

_WHEEL_M, _CORNERS = 0.3, 16
"""The wheel that is drawn, and of how many pieces."""


def nose_kg(empty_nose_kg: float, mass_kg: float, ahead_m: float, drawbar_m: float) -> float:
    """Give the nose weight: N = N0 + m d / L.

    Parameters
    ----------
    empty_nose_kg : float
        N0, of the empty trailer, [kg].
    mass_kg : float
        m, of what stands on it, [kg].
    ahead_m : float
        d, its centre of gravity ahead of the axle, negative behind, [m].
    drawbar_m : float
        L, from the axle to the coupling, [m].
    """
    return empty_nose_kg + mass_kg * ahead_m / drawbar_m


def ahead_for_m(wanted_kg: float, empty_nose_kg: float, mass_kg: float, drawbar_m: float) -> float:
    """Turn `nose_kg` round: how far ahead of the axle the weight must lie [m]."""
    return (wanted_kg - empty_nose_kg) * drawbar_m / mass_kg


def trailer(
    empty_kg: float,
    empty_nose_kg: float,
    drawbar_m: float,
    mass_kg: float,
    ahead_m: float | None,
    side: str,
    habit: str,
    hitch_kg: float | None,
    plated_kg: float | None,
) -> Answer:
    """Work out nose weight and the place of the load.

    Parameters
    ----------
    empty_kg, empty_nose_kg : float
        The empty trailer, and its nose weight, [kg].
    drawbar_m : float
        From the axle, or the middle of the axles, to the coupling, [m].
    mass_kg : float
        The vehicle on it, [kg].
    ahead_m : float or None
        Its centre of gravity from the axle, below zero behind it, [m]; None asks where it must be.
    side : str
        Whether that is ahead of the axle or behind it; behind it wins.
    habit : str
        Which share is aimed at.
    hitch_kg, plated_kg : float or None
        The least of the limits of hitch, tow bar and coupling; the trailer's plated gross mass,
        [kg].

    Where the hitch allows less than the habit's least, the least and the most are those of the
    habit, and the verdict says that no place is right.
    """
    if ahead_m is not None and side == "behind":
        ahead_m = -abs(ahead_m)
    total_kg = empty_kg + mass_kg
    low_kg, high_kg = (share * total_kg for share in HABITS[habit])
    too_weak = ""
    if hitch_kg is not None and hitch_kg < low_kg:
        too_weak = (
            f"The hitch is too weak: {habit} of {both.mass(total_kg)} is {both.mass(low_kg)} at "
            f"least, and it allows {both.mass(hitch_kg)}; a stronger hitch, a lighter load, or "
            "the other habit where the law allows it."
        )
    elif hitch_kg is not None:
        high_kg = min(high_kg, hitch_kg)
    place_m = (
        ahead_for_m(low_kg, empty_nose_kg, mass_kg, drawbar_m),
        ahead_for_m(high_kg, empty_nose_kg, mass_kg, drawbar_m),
    )
    at_m = sum(place_m) / 2 if ahead_m is None else ahead_m
    nose = nose_kg(empty_nose_kg, mass_kg, at_m, drawbar_m)
    share = nose / total_kg
    found = (
        Figure("nose", "nose weight", nose, Quantity.MASS),
        Figure("share", "of the loaded trailer", share, Quantity.SHARE),
        Figure("total", "loaded trailer", total_kg, Quantity.MASS),
        Figure("axles", "what its axles carry", total_kg - nose, Quantity.MASS),
        Figure("ahead", "the load's centre of gravity ahead of the axle", at_m, Quantity.LENGTH),
        Figure("nose_low", "nose weight at least", low_kg, Quantity.MASS),
        Figure("nose_high", "nose weight at most", high_kg, Quantity.MASS),
        Figure("ahead_low", "ahead at least", place_m[0], Quantity.LENGTH, step=TAPE_M),
        Figure("ahead_high", "ahead at most", place_m[1], Quantity.LENGTH, step=TAPE_M),
    )  # fmt: skip
    asked = ahead_m is None
    return Answer(
        calculator="trailer",
        inputs=(
            Figure("empty", "empty trailer", empty_kg, Quantity.MASS),
            Figure("empty_nose", "its nose weight", empty_nose_kg, Quantity.MASS),
            Figure("drawbar", "axle to coupling", drawbar_m, Quantity.LENGTH),
            Figure("mass", "what stands on it", mass_kg, Quantity.MASS),
        ),
        results=found,
        verdict=_overloaded(total_kg, plated_kg)
        or too_weak
        or _verdict(nose, low_kg, high_kg, total_kg, place_m, asked=asked),
        steps=(
            Step(
                "N = N0 + m · d / L",
                {
                    "N0": Figure("N0", "nose weight, empty", empty_nose_kg, Quantity.MASS),
                    "m": Figure("m", "the load", mass_kg, Quantity.MASS),
                    "d": Figure("d", "ahead of the axle", at_m, Quantity.LENGTH),
                    "L": Figure("L", "axle to coupling", drawbar_m, Quantity.LENGTH),
                },
                Figure("N", "nose weight", nose, Quantity.MASS),
                "moments about the axle",
            ),
            Step(
                "share = N / (M + m)",
                {
                    "N": Figure("N", "nose weight", nose, Quantity.MASS),
                    "M": Figure("M", "empty trailer", empty_kg, Quantity.MASS),
                    "m": Figure("m", "the load", mass_kg, Quantity.MASS),
                },
                Figure("share", "of the loaded trailer", share, Quantity.SHARE),
                "handbooks (common practice)",
            ),
        ),
        drawings=(_drawing(drawbar_m, at_m, place_m),),
        sources=(
            "moments about the axle (any book on statics)",
            f"nose weight of {habit}: common practice in towing handbooks",
        ),
        limits=("level, at rest; with two axles it holds if they share the load evenly",),
        cautions=(
            "Too little nose weight and the trailer sways. Weigh the nose before you drive: this "
            "is an estimate.",
            "The least of the limits of hitch, tow bar, coupling and car rules, and local law.",
        ),
    )


def _overloaded(total_kg: float, plated_kg: float | None) -> str:
    if plated_kg is None or total_kg <= plated_kg:
        return ""
    return f"Too heavy: {both.mass(total_kg)} on a trailer plated for {both.mass(plated_kg)}."


def _verdict(
    nose: float,
    low_kg: float,
    high_kg: float,
    total_kg: float,
    place_m: tuple[float, float],
    *,
    asked: bool,
) -> str:
    if asked:
        return (
            f"Stand it so that its weight lies {_between(*place_m)} the axle: "
            f"{both.masses(low_kg, high_kg)} on the nose."
        )
    if nose < 0:
        return "It lifts the hitch: the weight lies too far back; move the load forward."
    if nose < low_kg - 1e-9:
        return f"Too light on the nose, it will sway: {both.mass(nose)}; move the load forward."
    if nose > high_kg + 1e-9:
        return f"Too heavy on the nose: {both.mass(nose)}; move the load back."
    return f"The nose weight is right: {both.mass(nose)} of {both.mass(total_kg)}."


def _between(low_m: float, high_m: float) -> str:
    """Say from where to where, ahead of something or behind it."""
    if high_m <= 0:
        return f"{both.lengths(-high_m, -low_m)} behind"
    if low_m < 0:
        return f"from {both.length(-low_m)} behind to {both.length(high_m)} ahead of"
    return f"{both.lengths(low_m, high_m)} ahead of"


def _placed(ahead_m: float) -> str:
    """Say how far ahead of something, or behind it."""
    return f"{both.length(abs(ahead_m))} {'behind' if ahead_m < 0 else 'ahead of'}"


def _drawing(drawbar_m: float, at_m: float, place_m: tuple[float, float]) -> Drawing:
    low, high = place_m
    back = -0.6 * drawbar_m
    return Drawing(
        "From the side, coupling to the right",
        f"The load's weight lies {_placed(at_m)} the axle. The nose weight aimed at is met from "
        f"{_placed(low)} it to {_placed(high)} it.",
        (
            Shape("outline", ((back, 0.5), (drawbar_m, 0.5))),
            Shape("outline", _wheel()),
            Shape("accent", ((low, 0.55), (high, 0.55))),
            Shape("dot", ((at_m, 0.7),)),
            Shape("text", ((at_m, 0.7),), "weight"),
            Shape("text", ((drawbar_m, 0.6),), "coupling"),
            Shape("text", ((0.0, -0.2),), "axle"),
        ),
    )


def _wheel() -> tuple[tuple[float, float], ...]:
    """A wheel that stands on the road at the origin."""
    turns = (2 * pi * corner / _CORNERS for corner in range(_CORNERS + 1))
    return tuple((_WHEEL_M * sin(turn), _WHEEL_M * (1 - cos(turn))) for turn in turns)


CALCULATOR = Calculator(
    "trailer",
    "Trailer nose weight",
    "How much weighs on the hitch (tongue weight), and where must the vehicle stand?",
    (
        Asked("empty", "empty_kg", "The empty trailer", Quantity.MASS, low=0.001, bare="kg"),
        Asked("empty_nose", "empty_nose_kg", "Its nose weight, empty", Quantity.MASS, low=0,
              bare="kg"),
        Asked("drawbar", "drawbar_m", "From the axle to the coupling", Quantity.LENGTH,
              hint="from the middle between two axles", low=0.001, bare="mm"),
        Asked("mass", "mass_kg", "What stands on it", Quantity.MASS, low=0.001, bare="kg"),
        Asked("ahead", "ahead_m", "Its centre of gravity from the axle", Quantity.LENGTH,
              hint="leave it empty to be told where", low=-10, is_optional=True, bare="mm"),
        Asked("side", "side", "... and that is", Quantity.CHOICE, "ahead", "of the axle",
              ("ahead", "behind")),
        Asked("habit", "habit", "Nose weight to aim at", Quantity.CHOICE, "10 to 15 %",
              "of the loaded trailer; 5 to 7 % is the habit in Britain and Europe",
              tuple(HABITS)),
        Asked("hitch", "hitch_kg", "Hitch, tow bar or coupling allows", Quantity.MASS, low=0,
              is_optional=True, bare="kg"),
        Asked("plated", "plated_kg", "The trailer is plated for", Quantity.MASS, low=0,
              is_optional=True, bare="kg"),
    ),
    trailer,
    {"empty": "600 kg", "empty_nose": "45 kg", "drawbar": "3400 mm", "mass": "1150 kg",
     "ahead": "500 mm", "plated": "2000 kg"},
)  # fmt: skip
