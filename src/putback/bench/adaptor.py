"""Adaptor: what to set a torque wrench to when a crow-foot or extension is on its square.

::

    S = T L / (L + E cos θ)

The wrench clicks by the force at its grip times its own length L; the fastener feels that force
times the length along the wrench's line. Straight ahead the adaptor adds all of E, at 90 degrees
nothing, turned back it takes away. Sources: statics; US Army TM 9-254 and light-aircraft
maintenance manuals print the rule, with 90 degrees unchanged.
"""

from math import cos, pi, sin

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

_SOURCE = "statics; US Army TM 9-254, torque wrench adaptors"
_LEAST_ARM = 0.25
"""Of the wrench's length: with less left the hand's place on the grip decides everything."""
_NO_CHANGE = 0.002


def arm_m(length_m: float, adaptor_m: float, angle_rad: float) -> float:
    """Give the effective arm L + E cos θ [m].

    Parameters
    ----------
    length_m : float
        L, from the middle of the grip to the square drive, [m].
    adaptor_m : float
        E, from the square drive to the middle of the fastener, [m].
    angle_rad : float
        θ, from straight ahead (0) over square (π/2) to turned back (π), [rad].

    Raises
    ------
    OutsideLimits
        Less than a quarter of the wrench's length is left.
    """
    arm = length_m + adaptor_m * cos(angle_rad)
    if arm < _LEAST_ARM * length_m:
        raise OutsideLimits(
            "the adaptor takes nearly all of the wrench's arm away",
            mend="turn it to the square position or straight ahead, or use a longer wrench",
            field="angle",
        )
    return arm


def setting_nm(torque_nm: float, length_m: float, adaptor_m: float, angle_rad: float) -> float:
    """Give the wrench's setting S for a torque T at the fastener [N·m]; others as `arm_m`."""
    return torque_nm * length_m / arm_m(length_m, adaptor_m, angle_rad)


def torque_from_setting_nm(
    set_nm: float, length_m: float, adaptor_m: float, angle_rad: float
) -> float:
    """Give the torque at the fastener for a setting [N·m]; others as `arm_m`."""
    return set_nm * arm_m(length_m, adaptor_m, angle_rad) / length_m


def work(
    *,
    torque_nm: float | None,
    length_m: float,
    adaptor_m: float,
    angle_rad: float,
    set_nm: float | None,
) -> Answer:
    """Work out the setting, and if asked what the fastener got from another one.

    Parameters
    ----------
    torque_nm : float or None
        T wanted at the fastener, [N·m]; None where only `set_nm` is known.
    length_m, adaptor_m, angle_rad : float
        As `arm_m`.
    set_nm : float or None
        What a wrench was set to, [N·m].

    Raises
    ------
    OutsideLimits
        As `arm_m`, or neither torque was given.
    """
    arm = arm_m(length_m, adaptor_m, angle_rad)
    is_wanted = torque_nm is not None
    if torque_nm is None:
        if set_nm is None:
            raise OutsideLimits(
                "no torque was given",
                mend="give what is wanted at the fastener, or what the wrench was set to",
                field="torque",
            )
        torque_nm = torque_from_setting_nm(set_nm, length_m, adaptor_m, angle_rad)
    set_to = Figure(
        "setting",
        "Set the wrench to",
        setting_nm(torque_nm, length_m, adaptor_m, angle_rad),
        Quantity.TORQUE,
    )
    inputs = (
        Figure("T", "Torque at the fastener", torque_nm, Quantity.TORQUE),
        Figure("L", "Grip to square drive", length_m, Quantity.LENGTH),
        Figure("E", "Square drive to fastener", adaptor_m, Quantity.LENGTH),
        Figure("θ", "Angle from straight ahead", angle_rad, Quantity.ANGLE),
    )
    symbols = {figure.name: figure for figure in inputs}
    steps = [Step("S = T L / (L + E cos θ)", symbols, set_to, _SOURCE)]
    results = [
        set_to,
        Figure("ratio", "Setting over torque", length_m / arm, Quantity.SHARE),
        Figure("arm", "Effective arm", arm, Quantity.LENGTH),
        Figure("force", "Pull at the grip", torque_nm / arm, Quantity.FORCE),
    ]
    share = None
    if set_nm is not None:
        was = Figure("S", "The wrench was set to", set_nm, Quantity.TORQUE)
        got = Figure(
            "got",
            "The fastener got",
            torque_from_setting_nm(set_nm, length_m, adaptor_m, angle_rad),
            Quantity.TORQUE,
        )
        share = set_nm * arm / length_m / torque_nm
        results.insert(len(results) if is_wanted else 0, got)
        steps.append(Step("T = S (L + E cos θ) / L", {**symbols, "S": was}, got, _SOURCE))
    return Answer(
        calculator="adaptor",
        inputs=inputs,
        results=tuple(results),
        verdict=_verdict(length_m / arm, share)
        if is_wanted
        else f"The fastener got {both.torque(torque_nm)}, {arm / length_m:.0%} of what was set.",
        steps=tuple(steps),
        drawings=(_drawing(length_m, adaptor_m, angle_rad),),
        sources=(_SOURCE,),
        limits=(
            "Holds where the hand pulls at the middle of the grip, square to the wrench; a wrench "
            "with a hinged grip or a beam says where to pull.",
            "Without an angle given the adaptor stands straight ahead; an extension bar along the "
            "axis of the square changes nothing.",
        ),
        cautions=(
            "The maker's torque governs. A torque read at rest is higher than when the thread "
            "turns: ease back and pull steadily.",
            "Wheels, brakes, steering and suspension: have a second person check the setting.",
        ),
    )


def _verdict(ratio: float, got: float | None) -> str:
    """Say which way the setting goes; ``got`` is what the fastener got over what was wanted."""
    if abs(ratio - 1) < _NO_CHANGE:
        said = "The wrench is set to the torque itself: this adaptor changes nothing"
    elif ratio < 1:
        said = f"Set the wrench {1 - ratio:.0%} lower: the adaptor adds to its arm"
    else:
        said = f"Set the wrench {ratio - 1:.0%} higher: the adaptor takes away from its arm"
    if got is None:
        return f"{said}."
    return f"{said}; as it was set, the fastener got {got:.0%} of the torque."


def _drawing(length_m: float, adaptor_m: float, angle_rad: float) -> Drawing:
    """The wrench from above: the grip on the left, its square at the origin."""
    end = (adaptor_m * cos(angle_rad), adaptor_m * sin(angle_rad))
    square = (0.0, 0.0)
    return Drawing(
        "The wrench from above",
        "The wrench lies from the grip on the left to its square; from there the adaptor goes to "
        "the fastener, straight ahead, to the side or back.",
        (
            Shape("outline", ((-length_m, 0.0), square)),
            Shape("accent", (square, end)),
            Shape("thin", ((-length_m, 0.0), (end[0], 0.0))),
            Shape("hidden", ((end[0], 0.0), end)),
            Shape("dot", ((-length_m, 0.0), square, end)),
            Shape("text", ((-length_m, 0.0),), "grip"),
            Shape("text", (end,), "fastener"),
        ),
    )


CALCULATOR = Calculator(
    name="adaptor",
    title="Torque wrench adaptor",
    words="What to set the wrench to with a crow-foot or an extension at any angle; and what the "
    "fastener got from a setting.",
    asked=(
        Asked(
            "torque", "torque_nm", "Torque wanted at the fastener", Quantity.TORQUE,
            hint="80 Nm", low=0.1, high=5000.0, is_optional=True,
        ),
        Asked(
            "wrench", "length_m", "From the middle of the grip to the square drive",
            Quantity.LENGTH, hint="400 mm", low=0.05, high=3.0, bare="mm",
        ),
        Asked(
            "adaptor", "adaptor_m", "From the square drive to the middle of the fastener",
            Quantity.LENGTH, hint="50 mm", low=0.0, high=2.0, bare="mm",
        ),
        Asked(
            "angle", "angle_rad", "From straight ahead: 0 straight, 90 square, 180 turned back",
            Quantity.ANGLE, default="0 deg", low=-2 * pi, high=2 * pi, bare="deg",
        ),
        Asked(
            "set", "set_nm", "Or what a wrench was set to, if its torque is asked for",
            Quantity.TORQUE, low=0.1, high=5000.0, is_optional=True,
        ),
    ),
    work=work,
    example={"torque": "80 Nm", "wrench": "400 mm", "adaptor": "50 mm", "angle": "0 deg"},
)  # fmt: skip
