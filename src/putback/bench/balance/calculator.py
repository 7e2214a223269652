"""The calculator ``balance``: mass, centre of gravity, wheel and stand loads, tipping margin."""

from dataclasses import replace

from putback.bench import both
from putback.bench.balance.given import Foot, read_feet
from putback.bench.balance.standing import (
    Standing,
    loads_table,
    plan_drawing,
    standing_of,
)
from putback.bench.balance.weighed import Scales, Weighed, by_parts, by_scales
from putback.bench.balance.weighing import sideways_at_tip, stability_factor
from putback.bench.calculator import (
    TAPE_M,
    Answer,
    Asked,
    Calculator,
    Figure,
    Quantity,
    Step,
)
from putback.bench.lines import LENGTH_UNITS, MASS_UNITS
from putback.bench.statics import LEAST_MARGIN_M
from putback.errors import BadInput

_AT_TIP = (0.7, 0.9)
"""What part of its stability factor a vehicle on springs and tyres stands (common practice)."""


def balance(
    parts: str | None,
    unit: str,
    mass_unit: str,
    front_left_kg: float | None,
    front_right_kg: float | None,
    rear_left_kg: float | None,
    rear_right_kg: float | None,
    front_kg: float | None,
    rear_kg: float | None,
    wheelbase_m: float | None,
    track_m: float | None,
    reading_kg: float,
    lifted: str,
    raised_m: float | None,
    tilted_kg: float | None,
    radius_m: float | None,
    stands: str | None,
    rated: str,
    stands_lift_m: float,
) -> Answer:
    """Find mass and centre of gravity, and how it stands on its wheels or on stands.

    Parameters
    ----------
    parts : str or None
        Lines of name, mass, x, y, z; or else scales.
    unit, mass_unit : str
        What the numbers in lines are in.
    front_left_kg, front_right_kg, rear_left_kg, rear_right_kg : float or None
        What each wheel carries, level, [kg].
    front_kg, rear_kg : float or None
        What each axle carries, level, where wheels were not weighed one by one, [kg].
    wheelbase_m, track_m : float or None
        Between axles, and between the wheels of one, [m].
    reading_kg : float
        How far a reading of the scales may be out, [kg].
    lifted : str
        Which axle was raised for the height.
    raised_m, tilted_kg, radius_m : float or None
        By how much [m]; what the other axle carried then [kg]; the axles' height, level, [m].
    stands : str or None
        Lines of name, x, y and rating.
    rated : str
        Whether a rating is for each stand or for a pair.
    stands_lift_m : float
        How much higher it is on the stands than on its wheels, [m].

    Raises
    ------
    BadInput
        Neither parts nor loads, or both; a line that cannot be read.
    OutsideLimits
        Loads that contradict each other.
    """
    scales = Scales(
        (front_left_kg, front_right_kg, rear_left_kg, rear_right_kg),
        (front_kg, rear_kg), wheelbase_m, track_m, reading_kg, lifted, raised_m, tilted_kg,
        radius_m,
    )  # fmt: skip
    weighed = any(load is not None for load in (*scales.corners_kg, *scales.axles_kg))
    if bool(parts) == weighed:
        raise BadInput(
            "both parts and loads are given" if parts else "there is nothing to weigh",
            mend="give parts, or what the wheels or the axles carry",
        )
    weight = by_parts(parts, unit, mass_unit) if parts else by_scales(scales)
    wheels = _wheels(wheelbase_m, track_m)
    on_wheels = _standing(weight, wheels, 0.0)
    feet = read_feet(stands, unit, mass_unit) if stands else ()
    if rated == "a pair":
        feet = tuple(replace(f, rating_kg=f.rating_kg and f.rating_kg / 2) for f in feet)
    on_stands = _standing(weight, feet, stands_lift_m)
    shown = on_stands or on_wheels
    tables = list(weight.tables)
    if on_wheels is not None and on_wheels.loads_kg and parts:
        tables.append(loads_table(on_wheels, "On its wheels"))
    if on_stands is not None and on_stands.loads_kg:
        tables.append(loads_table(on_stands, "On the stands"))
    return Answer(
        calculator="balance",
        inputs=_inputs(weight, scales, len(feet)),
        results=_results(weight, scales, on_wheels, shown),
        verdict=_verdict(weight, shown, is_stands=on_stands is not None),
        steps=(*weight.steps, *_standing_steps(weight, scales, shown, stands_lift_m, on_stands)),
        tables=tuple(tables),
        drawings=(plan_drawing(shown),) if shown is not None else (),
        sources=(
            "statics of a rigid body: the sum of moments (any book)",
            "loads on more than three feet: equally stiff supports, least work (Castigliano)",
            "Jazar, Vehicle Dynamics: Theory and Application, chapter 2: axle loads, height by "
            "raising one axle",
            "static stability factor: NHTSA's definition; 0.7 to 0.9 of it on springs and tyres: "
            "common practice",
        ),
        limits=(
            "rigid, on hard level ground; stands and floors give, frames twist, and it may rock "
            "on three",
            "weigh with brakes off, springs blocked and tyres hard; fluids move when it is tilted",
        ),
        cautions=(
            "An estimate never replaces looking: stands on hard level ground, wheels chocked, "
            "rock it before anybody goes under it.",
            "Never under a load on a jack alone. A stand's label decides, and ratings are often "
            "for a pair.",
            "Rate each stand for half the vehicle (common practice), and stop at half the margin.",
        ),
    )


def _wheels(wheelbase_m: float | None, track_m: float | None) -> tuple[Foot, ...]:
    """Say where four wheels stand, if it is known."""
    if not wheelbase_m or not track_m:
        return ()
    half = track_m / 2
    return (
        Foot("front left", (0.0, -half)),
        Foot("front right", (0.0, half)),
        Foot("rear left", (wheelbase_m, -half)),
        Foot("rear right", (wheelbase_m, half)),
    )


def _standing(weight: Weighed, feet: tuple[Foot, ...], lift_m: float) -> Standing | None:
    if not feet:
        return None
    height = weight.z_m + lift_m if weight.z_m is not None else None
    return standing_of(feet, weight.mass_kg, (weight.x_m, weight.y_m or 0.0), height)


def _inputs(weight: Weighed, scales: Scales, stands: int) -> tuple[Figure, ...]:
    parts = len(weight.tables[0].rows) if weight.tables else None
    names = ("front left", "front right", "rear left", "rear right", "front axle", "rear axle")
    loads = (*scales.corners_kg, *scales.axles_kg)
    found = (
        Figure("parts", "parts added up", parts, Quantity.COUNT),
        *(
            Figure(name.replace(" ", "_"), name, load, Quantity.MASS)
            for name, load in zip(names, loads, strict=True)
        ),
        Figure("wheelbase", "wheelbase", scales.wheelbase_m, Quantity.LENGTH),
        Figure("track", "track", scales.track_m, Quantity.LENGTH),
        Figure("raised", f"{scales.lifted} axle raised by", scales.raised_m, Quantity.LENGTH),
        Figure("tilted", "the other axle then carried", scales.tilted_kg, Quantity.MASS),
        Figure("radius", "height of the axles", scales.radius_m, Quantity.LENGTH),
        Figure("stands", "stands", stands or None, Quantity.COUNT),
    )
    return tuple(figure for figure in found if figure.value is not None)


def _results(
    weight: Weighed, scales: Scales, on_wheels: Standing | None, shown: Standing | None
) -> tuple[Figure, ...]:
    found = [
        Figure("mass", "mass", weight.mass_kg, Quantity.MASS),
        Figure("x", "centre of gravity behind the front axle", weight.x_m, Quantity.LENGTH,
               weight.x_doubt_m),
        Figure("y", "to the right of the middle", weight.y_m, Quantity.LENGTH, step=TAPE_M),
        Figure("z", "over the ground", weight.z_m, Quantity.LENGTH, weight.z_doubt_m),
    ]  # fmt: skip
    base, track = scales.wheelbase_m, scales.track_m
    if base:
        rear = weight.x_m / base
        found += [
            Figure("front", "front axle", weight.mass_kg * (1 - rear), Quantity.MASS),
            Figure("rear", "rear axle", weight.mass_kg * rear, Quantity.MASS),
            Figure("front_share", "share on the front axle", 1 - rear, Quantity.SHARE),
        ]
    fl, _, _, rr = scales.corners_kg
    if fl is not None and rr is not None:
        cross = (fl + rr) / weight.mass_kg
        found.append(Figure("cross", "share on front left and rear right", cross, Quantity.SHARE))
    if shown is not None:
        found += [
            Figure("margin", "tipping margin to the nearest edge", shown.margin_m,
                   Quantity.LENGTH, step=TAPE_M),
            Figure("tips_at", "slope that tips it", shown.tips_at, Quantity.ANGLE),
        ]  # fmt: skip
    if on_wheels is not None and shown is on_wheels and track and weight.z_m:
        factor = stability_factor(track, weight.z_m)
        low, high = (sideways_at_tip(factor, share) for share in _AT_TIP)
        found += [
            Figure("stability", "static stability factor", factor),
            Figure("sideways", "sideways pull that tips it on its springs, in g",
                   (low + high) / 2, low=low, high=high),
        ]  # fmt: skip
    return tuple(figure for figure in found if figure.value is not None)


def _standing_steps(
    weight: Weighed,
    scales: Scales,
    shown: Standing | None,
    lift_m: float,
    on_stands: Standing | None,
) -> tuple[Step, ...]:
    if shown is None or shown.tips_at is None or weight.z_m is None:
        return ()
    height = weight.z_m + (lift_m if on_stands is not None else 0.0)
    margin = Figure("margin", "tipping margin", shown.margin_m, Quantity.LENGTH, step=TAPE_M)
    h = Figure("h", "centre of gravity over the floor", height, Quantity.LENGTH, step=TAPE_M)
    steps = [
        Step(
            "α = atan(margin / h)",
            {"margin": margin, "h": h},
            Figure("α", "slope that tips it", shown.tips_at, Quantity.ANGLE),
            "statics of a rigid body",
        )
    ]
    if on_stands is None and scales.track_m:
        factor = stability_factor(scales.track_m, weight.z_m)
        track = Figure("T", "track", scales.track_m, Quantity.LENGTH)
        steps.append(
            Step(
                "SSF = T / (2 h)",
                {"T": track, "h": h},
                Figure("SSF", "static stability factor", factor),
                "NHTSA",
            )
        )
    return tuple(steps)


def _verdict(weight: Weighed, shown: Standing | None, *, is_stands: bool) -> str:
    if shown is None:
        return (
            f"It weighs {both.mass(weight.mass_kg)}; without track or stands tipping is left open."
        )
    on = "the stands" if is_stands else "its wheels"
    over = both.length(abs(shown.margin_m))
    if shown.overloaded:
        names = ", ".join(foot.name for foot in shown.overloaded)
        return f"A stand carries more than it is rated for: {names}."
    if shown.margin_m < 0:
        return f"It would tip: the weight lies {over} outside {on}."
    if shown.margin_m < LEAST_MARGIN_M:
        least = both.length(LEAST_MARGIN_M)
        return (
            f"Too near to tipping: the weight lies {over} inside {on}, and {least} is the least."
        )
    return f"It stands: the weight of {both.mass(weight.mass_kg)} lies {over} inside {on}."


def _load(name: str, argument: str, words: str, hint: str = "") -> Asked:
    return Asked(name, argument, words, Quantity.MASS, hint=hint, low=0, is_optional=True,
                 bare="kg")  # fmt: skip


def _length(name: str, argument: str, words: str, hint: str = "") -> Asked:
    return Asked(name, argument, words, Quantity.LENGTH, hint=hint, low=0.001, is_optional=True,
                 bare="mm")  # fmt: skip


CALCULATOR = Calculator(
    "balance",
    "Balance",
    "Where does the weight lie, what does each wheel or stand carry, how far is it from tipping?",
    (
        Asked("parts", "parts", "Parts, one a line: name, mass, x, y, z", Quantity.LINES,
              hint="x behind the front axle, y to the right, z up: engine 160 -100 0 700",
              is_optional=True),
        Asked("unit", "unit", "Lengths in lines are in", Quantity.CHOICE, "mm",
              choices=tuple(LENGTH_UNITS)),
        Asked("mass_unit", "mass_unit", "Masses in lines are in", Quantity.CHOICE, "kg",
              choices=tuple(MASS_UNITS)),
        _load("fl", "front_left_kg", "Or by scales: front left wheel"),
        _load("fr", "front_right_kg", "Front right wheel"),
        _load("rl", "rear_left_kg", "Rear left wheel"),
        _load("rr", "rear_right_kg", "Rear right wheel"),
        _load("front", "front_kg", "Or by axles: front axle"),
        _load("rear", "rear_kg", "Rear axle"),
        _length("wheelbase", "wheelbase_m", "Wheelbase"),
        _length("track", "track_m", "Track", "middle to middle of the tyres"),
        Asked("reading", "reading_kg", "Scales may be out by", Quantity.MASS, "1 kg", low=0,
              bare="kg"),
        Asked("lifted", "lifted", "For the height: the axle that was raised", Quantity.CHOICE,
              "rear", choices=("rear", "front")),
        _length("raised", "raised_m", "... by", "the higher, the surer: a third of the wheelbase"),
        _load("tilted", "tilted_kg", "... and what the other axle carried then"),
        _length("radius", "radius_m", "... and how high the axles are, level"),
        Asked("stands", "stands", "Stands, one a line: name, x, y, rating", Quantity.LINES,
              hint='"left rear" 2200 -400 1500', is_optional=True),
        Asked("rated", "rated", "A rating is for", Quantity.CHOICE, "each",
              "read the label: it is often for a pair", ("each", "a pair")),
        Asked("stands_lift", "stands_lift_m", "It is higher on the stands by", Quantity.LENGTH,
              "0 mm", low=0, bare="mm"),
    ),
    balance,
    {"fl": "310 kg", "fr": "300 kg", "rl": "255 kg", "rr": "262 kg", "wheelbase": "2340 mm",
     "track": "1300 mm", "raised": "700 mm", "tilted": "652 kg", "radius": "310 mm",
     "stands": "FL 150 -350 1000 | FR 150 350 1000 | RL 2200 -350 1000 | RR 2200 350 1000",
     "stands_lift": "250 mm"},
)  # fmt: skip
