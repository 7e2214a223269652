"""The calculator ``lashing``: straps on a road vehicle in Europe, by EN 12195-1:2010.

Sliding only. Over the top, a strap presses the load down and friction holds it; direct, it pulls
against the movement and friction helps. Both formulas are from memory of the standard.
"""

from math import ceil, cos, degrees, pi, radians, sin

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

GRAVITY_M_S2 = 9.81
"""As the standard writes it."""

ACCELERATIONS = {"forward": 0.8, "rearward": 0.5, "sideways": 0.5}
"""c, for sliding on the road [-] (Table 2)."""

DOWN = 1.0
"""c_z, downwards on the road [-]."""

SAFETY = {"forward": 1.25, "rearward": 1.1, "sideways": 1.1}
"""f_s of lashings over the top [-]."""

FRICTION_SHARE = 0.75
"""f_μ: the part of friction that counts beside a direct lashing [-]."""

LEAST_RAD = radians(30)
"""Flatter over the bed a strap over the top presses too little to be asked [rad]; a convention of
this calculator."""

_DIRECT, _OVER = "direct, four corners", "over the top"
_ROUNDING = 1e-9
_ARC = 12
"""Straight pieces that an arc is drawn of."""


def over_the_top(
    mass_kg: float, friction: float, tension_n: float, angle_rad: float, way: str
) -> float:
    """Give how many straps over the top hold it, not yet rounded up.

    ::

        n = (c − μ c_z) m g f_s / (2 μ sin α · F_T)

    Parameters
    ----------
    mass_kg : float
        m, [kg].
    friction : float
        μ, between load and bed, [-].
    tension_n : float
        F_T, what the ratchet leaves in the strap (S_TF on its label), [N].
    angle_rad : float
        α, of the strap over the bed, [rad].
    way : str
        ``forward``, ``rearward`` or ``sideways``.

    Returns
    -------
    float
        0 where friction alone holds it, [-].
    """
    lacking = max(0.0, ACCELERATIONS[way] - friction * DOWN)
    pressed_n = 2 * friction * sin(angle_rad) * tension_n
    return lacking * mass_kg * GRAVITY_M_S2 * SAFETY[way] / pressed_n


def direct_pull_n(
    mass_kg: float, friction: float, straps: int, angle_rad: float, along_rad: float, way: str
) -> float:
    """Give the lashing capacity each direct strap must have.

    ::

        LC = m g (c − μ f_μ c_z) / (n (cos α cos β + μ f_μ sin α))

    with n the straps that pull against this way, and β between strap and way along the bed.

    Parameters
    ----------
    mass_kg : float
        m, [kg].
    friction : float
        μ, [-].
    straps : int
        n, those that hold against this way.
    angle_rad : float
        α, over the bed, [rad].
    along_rad : float
        Between the strap and the trailer's length, along the bed, [rad].
    way : str
        As for `over_the_top`.

    Returns
    -------
    float
        LC, 0 where friction alone holds it, [N].
    """
    rubs = friction * FRICTION_SHARE
    lacking = max(0.0, ACCELERATIONS[way] - rubs * DOWN)
    facing = sin(along_rad) if way == "sideways" else cos(along_rad)
    holds = straps * (cos(angle_rad) * facing + rubs * sin(angle_rad))
    if not lacking:
        return 0.0
    if holds <= 0:
        raise OutsideLimits(
            f"straps so laid hold nothing {way}",
            mend="lay them slanting, so that they pull lengthwise and sideways",
            field="along",
        )
    return mass_kg * GRAVITY_M_S2 * lacking / holds


def lashing(
    mass_kg: float,
    way: str,
    friction: float,
    angle_rad: float,
    along_rad: float,
    capacity_n: float | None,
    tension_n: float | None,
) -> Answer:
    """Find what straps EN 12195-1 asks for.

    Parameters
    ----------
    mass_kg : float
        The load, [kg].
    way : str
        Direct to four corners, or over the top.
    friction : float
        Between load and bed, [-].
    angle_rad, along_rad : float
        Strap over the bed, and off the trailer's length, [rad].
    capacity_n, tension_n : float or None
        LC and S_TF on the label, [N].

    Raises
    ------
    OutsideLimits
        The label's figure is missing, or the straps are too flat.
    """
    if way == _OVER:
        return _over(mass_kg, friction, angle_rad, tension_n)
    return _direct(mass_kg, friction, angle_rad, along_rad, capacity_n)


def _over(mass_kg: float, friction: float, angle_rad: float, tension_n: float | None) -> Answer:
    if tension_n is None:
        raise OutsideLimits(
            "a strap over the top holds by its tension, which is not given",
            mend="give S_TF as its label says: 350 daN",
            field="tension",
        )
    if angle_rad < LEAST_RAD - _ROUNDING:
        raise OutsideLimits(
            f"a strap at {degrees(angle_rad):.0f}° over the bed hardly presses",
            mend="30° or more; or lash it direct",
            field="angle",
        )
    exact = {w: over_the_top(mass_kg, friction, tension_n, angle_rad, w) for w in ACCELERATIONS}
    worst = max(exact, key=lambda w: exact[w])
    number = max(2, ceil(exact[worst] - _ROUNDING))
    rows = tuple(
        (
            Figure("way", "way", w, Quantity.TEXT),
            Figure("c", "c", ACCELERATIONS[w]),
            Figure("exact", "before rounding up", exact[w]),
            Figure("number", "straps", ceil(exact[w] - _ROUNDING), Quantity.COUNT),
        )
        for w in ACCELERATIONS
    )
    step = Step(
        "n = (c − μ · c_z) · m · g · f_s / (2 · μ · sin α · F_T)",
        {
            "c": Figure("c", f"{worst}", ACCELERATIONS[worst]),
            "c_z": Figure("c_z", "downwards", DOWN),
            "μ": Figure("μ", "friction", friction),
            "m": Figure("m", "the load", mass_kg, Quantity.MASS),
            "g": Figure("g", "gravity, m/s²", GRAVITY_M_S2),
            "f_s": Figure("f_s", "safety", SAFETY[worst]),
            "α": Figure("α", "strap over the bed", angle_rad, Quantity.ANGLE),
            "F_T": Figure("F_T", "tension", tension_n, Quantity.FORCE),
        },
        Figure("n", "straps before rounding up", exact[worst]),
        "EN 12195-1:2010, lashings over the top (from memory)",
    )
    return _answer(
        mass_kg,
        friction,
        (
            Figure("number", "straps over the top", number, Quantity.COUNT),
            Figure("governs", "the way that asks most", worst, Quantity.TEXT),
            *(Figure(w, f"{w}, before rounding up", exact[w]) for w in ACCELERATIONS),
        ),
        f"At least {number} straps over the top; {worst} asks most.",
        step,
        Table("Way by way", ("way", "c", "before rounding up", "straps"), rows),
        (_across(angle_rad),),
    )


def _direct(
    mass_kg: float, friction: float, angle_rad: float, along_rad: float, capacity_n: float | None
) -> Answer:
    each = {w: direct_pull_n(mass_kg, friction, 2, angle_rad, along_rad, w) for w in ACCELERATIONS}
    worst = max(each, key=lambda w: each[w])
    used = each[worst] / capacity_n if capacity_n else None
    rows = tuple(
        (
            Figure("way", "way", w, Quantity.TEXT),
            Figure("c", "c", ACCELERATIONS[w]),
            Figure("capacity", "LC of each strap", each[w], Quantity.FORCE),
        )
        for w in ACCELERATIONS
    )
    facing = "sin β" if worst == "sideways" else "cos β"
    step = Step(
        f"LC = m · g · (c − μ · f_μ · c_z) / (2 · (cos α · {facing} + μ · f_μ · sin α))",
        {
            "m": Figure("m", "the load", mass_kg, Quantity.MASS),
            "g": Figure("g", "gravity, m/s²", GRAVITY_M_S2),
            "c": Figure("c", f"{worst}", ACCELERATIONS[worst]),
            "c_z": Figure("c_z", "downwards", DOWN),
            "μ": Figure("μ", "friction", friction),
            "f_μ": Figure("f_μ", "part of it that counts", FRICTION_SHARE),
            "α": Figure("α", "strap over the bed", angle_rad, Quantity.ANGLE),
            "β": Figure("β", "strap off the trailer's length", along_rad, Quantity.ANGLE),
        },
        Figure("LC", "of each strap", each[worst], Quantity.FORCE),
        "EN 12195-1:2010, direct lashing (from memory)",
    )
    found = [
        Figure("capacity", "LC that each of four straps needs", each[worst], Quantity.FORCE),
        Figure("governs", "the way that asks most", worst, Quantity.TEXT),
        *(Figure(w, f"LC for {w}", each[w], Quantity.FORCE) for w in ACCELERATIONS),
    ]
    need = f"{each[worst] / 10:.0f} daN"
    verdict = f"Each of the four straps needs LC {need} at least; {worst} asks most."
    if used is not None:
        found.append(Figure("used", "share of the strap's LC", used, Quantity.SHARE))
        verdict = (
            f"They hold: each needs LC {need}." if used <= 1 else f"Too weak: each needs {need}."
        )
    return _answer(
        mass_kg,
        friction,
        tuple(found),
        verdict,
        step,
        Table("Way by way", ("way", "c", "LC of each strap"), rows),
        (_along_a_strap(angle_rad), _from_above(angle_rad, along_rad)),
    )


def _answer(
    mass_kg: float,
    friction: float,
    results: tuple[Figure, ...],
    verdict: str,
    step: Step,
    table: Table,
    drawings: tuple[Drawing, ...],
) -> Answer:
    return Answer(
        calculator="lashing",
        inputs=(
            Figure("mass", "the load", mass_kg, Quantity.MASS),
            Figure("friction", "friction on the bed", friction),
        ),
        results=results,
        verdict=verdict,
        steps=(step,),
        tables=(table,),
        drawings=drawings,
        sources=("EN 12195-1:2010 (formulas and factors from memory)",),
        limits=(
            "sliding on the road; a load that may tip over, rail and sea ask more",
            "friction counts only between clean, dry faces and locked or chocked wheels; rollers "
            "and free wheels have none",
        ),
        cautions=(
            "Local law and the strap's label rule. Anchors must be good for it too.",
            "Stop after a few kilometres and tighten again; no strap over a sharp edge.",
        ),
    )


def _across(angle_rad: float) -> Drawing:
    """Draw a strap over the top, seen along the trailer: the load between two anchors."""
    half, high = 0.5, 0.7
    out = half + high * cos(angle_rad) / sin(angle_rad)
    right = (out, 0.0)
    return Drawing(
        "A strap over the top, from behind",
        f"It comes down on both sides at {degrees(angle_rad):.0f}° over the bed.",
        (
            Shape("thin", ((-out - 0.2, 0.0), (out + 0.2, 0.0))),
            Shape("outline", _box(half, 0.0, high)),
            Shape("accent", ((-out, 0.0), (-half, high), (half, high), right)),
            *_marked(right, pi - angle_rad, pi, angle_rad),
        ),
    )


def _along_a_strap(angle_rad: float) -> Drawing:
    """Draw a direct strap in its own upright plane, the anchor at the origin."""
    end = (cos(angle_rad), sin(angle_rad))
    return Drawing(
        "Along one strap, from the side",
        f"It rises from its anchor at {degrees(angle_rad):.0f}° over the bed.",
        (
            Shape("thin", ((-0.2, 0.0), (end[0] + 0.4, 0.0))),
            Shape("outline", ((end[0], 0.0), end, (end[0] + 0.4, end[1]))),
            Shape("accent", ((0.0, 0.0), end)),
            Shape("dot", ((0.0, 0.0), end)),
            *_marked((0.0, 0.0), 0.0, angle_rad, angle_rad),
        ),
    )


def _from_above(angle_rad: float, along_rad: float) -> Drawing:
    """Draw four direct straps from above, as long on the bed as `_along_a_strap` has them."""
    half_long, half_wide = 1.0, 0.4
    ahead, aside = cos(angle_rad) * cos(along_rad), cos(angle_rad) * sin(along_rad)
    corners = [(x, y) for x in (half_long, -half_long) for y in (half_wide, -half_wide)]
    anchors = [(x + ahead * _sign(x), y + aside * _sign(y)) for x, y in corners]
    return Drawing(
        "From above, front to the right",
        f"Four straps, each {degrees(along_rad):.0f}° off the trailer's length: two of them pull "
        "against each way.",
        (
            Shape("outline", _box(half_long, -half_wide, half_wide)),
            *(Shape("accent", pair) for pair in zip(corners, anchors, strict=True)),
            Shape("dot", tuple(anchors)),
            Shape("hidden", (corners[0], (half_long + max(ahead, 0.4), half_wide))),
            *_marked(corners[0], 0.0, along_rad, along_rad),
        ),
    )


def _sign(value: float) -> float:
    return 1.0 if value > 0 else -1.0


def _box(half: float, low: float, high: float) -> tuple[tuple[float, float], ...]:
    return ((-half, low), (half, low), (half, high), (-half, high), (-half, low))


def _marked(
    at: tuple[float, float], begins_rad: float, ends_rad: float, angle_rad: float
) -> tuple[Shape, Shape]:
    """Mark an angle with an arc from one direction to another, and write it beside."""

    def out(turn_rad: float, far: float) -> tuple[float, float]:
        return at[0] + far * cos(turn_rad), at[1] + far * sin(turn_rad)

    turns = (begins_rad + (ends_rad - begins_rad) * step / _ARC for step in range(_ARC + 1))
    return (
        Shape("thin", tuple(out(turn, 0.25) for turn in turns)),
        Shape("text", (out((begins_rad + ends_rad) / 2, 0.36),), f"{degrees(angle_rad):.0f}°"),
    )


CALCULATOR = Calculator(
    "lashing",
    "Lashing (EN 12195-1)",
    "What straps must hold a load on a road vehicle by the European standard?",
    (
        Asked("mass", "mass_kg", "What is carried weighs", Quantity.MASS, low=0.001, bare="kg"),
        Asked("way", "way", "Lashed", Quantity.CHOICE, _DIRECT,
              "direct: two straps work against each way", (_DIRECT, _OVER)),
        Asked("friction", "friction", "Friction on the bed", Quantity.NUMBER, "0.3",
              "about 0.3 unknown, 0.4 dry wood, 0.6 rubber mats (common practice)", low=0.01,
              high=1),
        Asked("angle", "angle_rad", "Strap over the bed", Quantity.ANGLE, "40 deg", low=0,
              high=radians(90), bare="deg"),
        Asked("along", "along_rad", "Direct strap off the trailer's length", Quantity.ANGLE,
              "40 deg", low=0, high=radians(90), bare="deg"),
        Asked("capacity", "capacity_n", "LC on the label", Quantity.FORCE,
              hint="2500 daN, in a straight pull", low=1, is_optional=True),
        Asked("tension", "tension_n", "S_TF on the label", Quantity.FORCE,
              hint="350 daN; for straps over the top", low=1, is_optional=True),
    ),
    lashing,
    {"mass": "1500 kg", "friction": "0.4", "angle": "35 deg", "along": "40 deg",
     "capacity": "2500 daN"},
)  # fmt: skip
