"""Where the weight lies by what scales say, level and with one axle raised.

Statics of a rigid body; loads may be in any unit, as only their shares count. Sources: Jazar,
*Vehicle Dynamics: Theory and Application*, chapter 2 (level and tilted); the static stability
factor as NHTSA defines it.
"""

from math import asin, atan2, hypot, tan

from putback.bench.calculator import OutsideLimits


def behind_front_m(front_kg: float, rear_kg: float, wheelbase_m: float) -> float:
    """Give how far the centre of gravity is behind the front axle: a = l F2 / (F1 + F2).

    Parameters
    ----------
    front_kg, rear_kg : float
        F1 and F2, what the axles carry on level ground, [kg].
    wheelbase_m : float
        l, [m].
    """
    return wheelbase_m * rear_kg / (front_kg + rear_kg)


def to_the_right_m(left_kg: float, right_kg: float, track_m: float) -> float:
    """Give how far it is right of the middle: y = T (right − left) / (2 (right + left)) [m]."""
    return track_m * (right_kg - left_kg) / (2 * (right_kg + left_kg))


def tilt_rad(raised_m: float, wheelbase_m: float) -> float:
    """Give the slope when one axle is raised: θ = asin(raised / l) [rad].

    Raises
    ------
    OutsideLimits
        An axle cannot be raised by its wheelbase.
    """
    if not 0 < raised_m < wheelbase_m:
        raise OutsideLimits(
            "an axle is raised by more than nothing and by less than the wheelbase",
            mend="give the difference in height of the two axles",
            field="raised",
        )
    return asin(raised_m / wheelbase_m)


def height_by_tilting_m(
    level_kg: float,
    tilted_kg: float,
    mass_kg: float,
    wheelbase_m: float,
    slope_rad: float,
    radius_m: float,
) -> float:
    """Give the height of the centre of gravity: h = R + (F' − F) l / (W tan θ).

    Parameters
    ----------
    level_kg, tilted_kg : float
        F and F': what the axle left on the ground carries, level and with the other raised, [kg].
    mass_kg : float
        W, the whole vehicle, [kg].
    wheelbase_m : float
        l, [m].
    slope_rad : float
        θ, [rad].
    radius_m : float
        R, the height of the axles over the ground, level, [m].

    Raises
    ------
    OutsideLimits
        The loads would put it at the ground or under it.
    """
    height_m = radius_m + (tilted_kg - level_kg) * wheelbase_m / (mass_kg * tan(slope_rad))
    if height_m <= 0:
        raise OutsideLimits(
            "these loads would put the centre of gravity under the ground",
            mend="weigh the axle that stays on the ground, level and then with the other raised, "
            "springs blocked and brakes off",
            field="tilted",
        )
    return height_m


def stability_factor(track_m: float, height_m: float) -> float:
    """Give the static stability factor T / (2 H) [-] (NHTSA)."""
    return track_m / (2 * height_m)


def sideways_at_tip(factor: float, share: float) -> float:
    """Give the sideways pull at which it tips, a share of the stability factor [g].

    Springs and tyres give, so a vehicle on its wheels tips at 0.7 to 0.9 of what a rigid body
    would stand (common practice).
    """
    return share * factor


def tips_at_rad(margin_m: float, height_m: float) -> float:
    """Give the slope that tips it: atan(margin / height), negative where it has tipped [rad]."""
    return atan2(margin_m, height_m)


def reading_doubt_m(
    front_kg: float, rear_kg: float, wheelbase_m: float, reading_kg: float
) -> float:
    """Propagate the doubt of two readings to `behind_front_m` (JCGM 100:2008, 5.1.2) [m]."""
    mass_kg = front_kg + rear_kg
    return wheelbase_m * reading_kg * hypot(front_kg, rear_kg) / mass_kg**2


def height_doubt_m(
    reading_kg: float, mass_kg: float, wheelbase_m: float, slope_rad: float
) -> float:
    """Propagate the doubt of two readings of one axle to `height_by_tilting_m` [m].

    u(h) = √2 u l / (W tan θ): the larger the slope, the surer; that of W itself is far smaller.
    """
    return 2**0.5 * reading_kg * wheelbase_m / (mass_kg * tan(slope_rad))
