"""The calculator ``sling``: what each leg of a sling pulls at its angle.

Statics of a load that hangs still. How many legs are counted follows the practice of rating:
of four legs three, since a stiff load hangs on some and the others are slack.
"""

from math import atan2, cos, degrees, radians, sin

from putback.bench import both
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
)
from putback.errors import BadInput

GRAVITY_M_S2 = 9.80665
"""Exact by definition (NIST SP 811, appendix B)."""

LEGS_COUNTED = {1: 1, 2: 2, 3: 3, 4: 3}
"""Legs to those that are taken to carry (ASME B30.9 and EN 818-4 rate four as three; from
memory)."""

LEAST_RAD = radians(30)
"""Flatter than this over the horizontal a sling is not used (ASME B30.9; from memory)."""

STEEP_RAD = radians(45)
"""Flatter than this the pull grows fast."""


def leg_pull_n(mass_kg: float, legs: int, angle_rad: float) -> float:
    """Give the pull in each leg: F = m g / (n sin α), n the legs that are counted.

    Parameters
    ----------
    mass_kg : float
        m, what hangs, [kg].
    legs : int
        1 to 4.
    angle_rad : float
        α, of a leg over the horizontal, [rad].

    Raises
    ------
    OutsideLimits
        Flatter than 30°, steeper than upright, or legs of which nobody knows how many carry.
    """
    if legs not in LEGS_COUNTED:
        raise OutsideLimits(
            f"nothing is known of slings of {legs} legs", mend="say 1 to 4", field="legs"
        )
    _check_angle(angle_rad)
    return mass_kg * GRAVITY_M_S2 / (LEGS_COUNTED[legs] * sin(angle_rad))


def uneven_pulls_n(
    mass_kg: float, height_m: float, left_m: float, right_m: float
) -> tuple[float, float]:
    """Give the pull of two legs from one hook, the weight straight under it, not midway.

    ::

        F1 = m g sin β2 / sin(β1 + β2)        F2 = m g sin β1 / sin(β1 + β2)

    with β1 and β2 the legs' angles off the upright (Lami).

    Parameters
    ----------
    mass_kg : float
        m, [kg].
    height_m : float
        The hook over both points, [m].
    left_m, right_m : float
        From the weight to each point, along the floor, [m].

    Raises
    ------
    OutsideLimits
        A leg flatter than 30°.
    """
    for out in (left_m, right_m):
        _check_angle(atan2(height_m, out))
    if not left_m + right_m:
        return mass_kg * GRAVITY_M_S2 / 2, mass_kg * GRAVITY_M_S2 / 2
    left, right = atan2(left_m, height_m), atan2(right_m, height_m)
    weight_n = mass_kg * GRAVITY_M_S2
    return (
        weight_n * sin(right) / sin(left + right),
        weight_n * sin(left) / sin(left + right),
    )


def _check_angle(angle_rad: float) -> None:
    if not LEAST_RAD - 1e-9 <= angle_rad <= radians(90) + 1e-9:
        raise OutsideLimits(
            f"a leg at {degrees(angle_rad):.0f}° over the horizontal is outside 30° to 90°",
            mend="use longer legs, or a spreader beam",
            field="angle",
        )


def sling(
    mass_kg: float,
    legs: int,
    angle_rad: float | None,
    height_m: float | None,
    spread_m: float | None,
    off_m: float,
    rating_kg: float | None,
) -> Answer:
    """Find what each leg of a sling pulls.

    Parameters
    ----------
    mass_kg : float
        What hangs on it, [kg].
    legs : int
        1 to 4.
    angle_rad : float or None
        Of a leg over the horizontal, [rad]; or else height and spread.
    height_m, spread_m : float or None
        The hook over the points, and the points of opposite legs apart, [m].
    off_m : float
        The weight off the middle of two points, [m].
    rating_kg : float or None
        What one leg is marked for, hanging straight, [kg].

    Raises
    ------
    BadInput
        No angle, and nothing it follows from.
    OutsideLimits
        Too flat, or more legs than are known.
    """
    if off_m:
        worst_n, steeper, angle = _uneven(mass_kg, legs, height_m, spread_m, off_m)
    else:
        angle = steeper = radians(90) if legs == 1 else _angle(angle_rad, height_m, spread_m)
        worst_n = leg_pull_n(mass_kg, legs, angle)
    as_kg = worst_n / GRAVITY_M_S2
    counted = LEGS_COUNTED[legs]
    used = as_kg / rating_kg if rating_kg else None
    found = (
        Figure("pull", "pull of the leg that pulls most", worst_n, Quantity.FORCE),
        Figure("as_mass", "as if this hung straight on it", as_kg, Quantity.MASS),
        Figure("angle", "flattest leg over the horizontal", angle, Quantity.ANGLE),
        Figure("factor", "against legs that hang straight", as_kg * counted / mass_kg),
        Figure("inward", "pull inwards at each point", worst_n * cos(steeper), Quantity.FORCE),
        Figure("used", "share of a leg's rating", used, Quantity.SHARE),
    )
    mass = Figure("m", "what hangs", mass_kg, Quantity.MASS)
    pull = Figure("F", "pull of the worst leg", worst_n, Quantity.FORCE)
    step = Step(
        "F = m · g / (n · sin α)",
        {
            "m": mass,
            "g": Figure("g", "gravity, m/s²", GRAVITY_M_S2),
            "n": Figure("n", f"legs counted of {legs}", counted, Quantity.COUNT),
            "α": Figure("α", "leg over the horizontal", angle, Quantity.ANGLE),
        },
        pull,
        "statics",
    )
    uneven = Step(
        "F = m · g · cos α / sin(α + α')",
        {
            "m": mass,
            "g": Figure("g", "gravity, m/s²", GRAVITY_M_S2),
            "α": Figure("α", "the flatter leg over the horizontal", angle, Quantity.ANGLE),
            "α'": Figure("α'", "the steeper leg", steeper, Quantity.ANGLE),
        },
        pull,
        "Lami, for the steeper leg, which pulls more",
    )
    return Answer(
        calculator="sling",
        inputs=(
            Figure("mass", "what hangs", mass_kg, Quantity.MASS),
            Figure("legs", "legs", legs, Quantity.COUNT),
            Figure("off", "weight off the middle", off_m, Quantity.LENGTH),
        ),
        results=tuple(figure for figure in found if figure.value is not None),
        verdict=_verdict(as_kg, used, angle),
        steps=(uneven if off_m else step,),
        drawings=() if legs == 1 else (_drawing(angle, steeper),),
        sources=(
            "statics of a load that hangs still",
            "ASME B30.9, EN 818-4: three of four legs carry, none flatter than 30° (from memory)",
        ),
        limits=(
            "straight legs of one length, the hook over the weight, no jerk; a choked sling, a "
            "sharp edge or a knot takes off more: ask its maker",
            "between 30° and 90° over the horizontal",
        ),
        cautions=(
            "Never stand under it. Flatter than 45° the pull grows fast.",
            "Lift a hand's breadth first, and look: a load turns until its weight hangs under "
            "the hook.",
            "The label on the sling wins; one without a label is not used.",
        ),
    )


def _angle(angle_rad: float | None, height_m: float | None, spread_m: float | None) -> float:
    if angle_rad is not None:
        return angle_rad
    if height_m is None or spread_m is None:
        raise BadInput(
            "the angle of the legs is not known",
            mend="give the angle over the horizontal, or height of the hook and spread",
        )
    return atan2(height_m, spread_m / 2)


def _uneven(
    mass_kg: float, legs: int, height_m: float | None, spread_m: float | None, off_m: float
) -> tuple[float, float, float]:
    """Give the pull of the steeper of two uneven legs [N], its angle and the other's [rad]."""
    if legs != 2 or height_m is None or spread_m is None:
        raise BadInput(
            "a weight off the middle is worked out for two legs, by height and spread",
            "off",
            "give both, or hang it so that the weight is in the middle",
        )
    near, far = spread_m / 2 - off_m, spread_m / 2 + off_m
    if near < 0:
        raise OutsideLimits(
            "the weight lies outside both points",
            mend="put the points on both sides of it",
            field="off",
        )
    steeper_n, _ = uneven_pulls_n(mass_kg, height_m, near, far)
    return steeper_n, atan2(height_m, near), atan2(height_m, far)


def _verdict(as_kg: float, used: float | None, angle: float) -> str:
    flat = " The legs are flat: longer ones pull less." if angle < STEEP_RAD - 1e-9 else ""
    if used is None:
        return f"Each leg must be good for {both.mass(as_kg)}, hanging straight.{flat}"
    if used > 1:
        return f"Too much: a leg pulls {both.mass(as_kg)}, {used:.1f} times its rating.{flat}"
    return f"It holds: a leg pulls {both.mass(as_kg)}, {used * 100:.0f} % of its rating.{flat}"


def _drawing(flat_rad: float, steep_rad: float) -> Drawing:
    """Draw two legs from one hook, the flatter one on the left and one unit long."""
    height, left = sin(flat_rad), -cos(flat_rad)
    right = height * cos(steep_rad) / sin(steep_rad)
    angles = f"{degrees(flat_rad):.0f}°", f"{degrees(steep_rad):.0f}°"
    told = f"each {angles[0]}" if flat_rad == steep_rad else f"one {angles[0]}, one {angles[1]}"
    return Drawing(
        "The sling",
        f"Two legs from one hook, {told} over the horizontal; the weight lies under the hook.",
        (
            Shape("outline", ((left, 0.0), (0.0, height), (right, 0.0))),
            Shape("thin", ((left, 0.0), (right, 0.0), (right, -0.3), (left, -0.3), (left, 0.0))),
            Shape("hidden", ((0.0, height), (0.0, -0.15))),
            Shape("dot", ((0.0, height), (0.0, -0.15))),
            Shape("text", ((left * 0.6, 0.06),), angles[0]),
            Shape("text", ((right * 0.6, 0.06),), angles[1]),
        ),
    )


CALCULATOR = Calculator(
    "sling",
    "Sling angle",
    "What does each leg of a chain or strop pull at this angle?",
    (
        Asked("mass", "mass_kg", "What hangs on it", Quantity.MASS, low=0.001, bare="kg"),
        Asked("legs", "legs", "Legs", Quantity.COUNT, "2", "of four, three are counted", low=1),
        Asked("angle", "angle_rad", "Leg over the horizontal", Quantity.ANGLE,
              hint="or give height and spread", low=0, high=radians(90), is_optional=True,
              bare="deg"),
        Asked("height", "height_m", "Hook over the points", Quantity.LENGTH, low=0.001,
              is_optional=True, bare="mm"),
        Asked("spread", "spread_m", "Opposite points apart", Quantity.LENGTH, low=0,
              is_optional=True, bare="mm"),
        Asked("off", "off_m", "The weight is off the middle by", Quantity.LENGTH, "0 mm", low=0,
              bare="mm"),
        Asked("rating", "rating_kg", "One leg is marked for", Quantity.MASS, low=0.001,
              is_optional=True, bare="kg"),
    ),
    sling,
    {"mass": "220 kg", "legs": "2", "height": "600 mm", "spread": "700 mm", "rating": "500 kg"},
)  # fmt: skip
