"""A mass and where it lies, by its parts or by what scales say, with the steps that led to it."""

from dataclasses import dataclass

from putback.bench.balance.given import read_parts
from putback.bench.balance.weighing import (
    behind_front_m,
    height_by_tilting_m,
    height_doubt_m,
    reading_doubt_m,
    tilt_rad,
    to_the_right_m,
)
from putback.bench.calculator import Figure, Quantity, Step, Table
from putback.bench.statics import centre
from putback.errors import BadInput


@dataclass(frozen=True, slots=True)
class Weighed:
    """A mass [kg] and where it lies [m], as far as it is known; each with its doubt."""

    mass_kg: float
    x_m: float
    y_m: float | None
    z_m: float | None
    x_doubt_m: float | None = None
    z_doubt_m: float | None = None
    steps: tuple[Step, ...] = ()
    tables: tuple[Table, ...] = ()


@dataclass(frozen=True, slots=True)
class Scales:
    """What was read off scales and measured beside them: loads [kg], lengths [m]."""

    corners_kg: tuple[float | None, ...]
    axles_kg: tuple[float | None, float | None]
    wheelbase_m: float | None
    track_m: float | None
    reading_kg: float
    lifted: str
    raised_m: float | None
    tilted_kg: float | None
    radius_m: float | None


def by_parts(text: str, unit: str, mass_unit: str) -> Weighed:
    """Add up parts, as `read_parts` reads them.

    Raises
    ------
    BadInput
        A line that cannot be read, or parts that weigh nothing.
    """
    parts = read_parts(text, unit, mass_unit)
    weights = [weight for _, weight in parts]
    mass_kg, at = centre(weights)
    if at is None:
        raise BadInput("no part weighs anything", "parts", "give each part's mass after its name")
    rows = tuple(
        (
            Figure("part", "part", name, Quantity.TEXT),
            Figure("mass", "mass", mass, Quantity.MASS),
            *(
                Figure(axis, axis, along, Quantity.LENGTH)
                for axis, along in zip("xyz", place, strict=True)
            ),
        )
        for name, (mass, place) in parts
    )
    moment = sum(mass * place[0] for mass, place in weights)
    step = Step(
        "x = Σ mᵢxᵢ / Σ mᵢ",
        {
            "Σ mᵢxᵢ": Figure("moment", "sum of moments, kg·m", moment),
            "Σ mᵢ": Figure("mass", "sum of masses", mass_kg, Quantity.MASS),
        },
        Figure("x", "behind the front axle; y and z likewise", at[0], Quantity.LENGTH),
        "the definition of the centre of mass",
    )
    table = Table("Parts", ("part", "mass", "x", "y", "z"), rows)
    return Weighed(mass_kg, *at, steps=(step,), tables=(table,))


def by_scales(scales: Scales) -> Weighed:
    """Take mass and place from scales: level, and tilted for the height.

    Raises
    ------
    BadInput
        Loads or lengths are missing.
    OutsideLimits
        Loads contradict each other.
    """
    front, rear = _axles(scales)
    base = scales.wheelbase_m
    if base is None:
        raise BadInput(
            "loads say nothing about a place without the wheelbase", "wheelbase", "measure it"
        )
    mass_kg = front + rear
    x_m = behind_front_m(front, rear, base)
    steps = [
        Step(
            "x = l · F2 / (F1 + F2)",
            {
                "l": Figure("l", "wheelbase", base, Quantity.LENGTH),
                "F1": Figure("F1", "front axle", front, Quantity.MASS),
                "F2": Figure("F2", "rear axle", rear, Quantity.MASS),
            },
            Figure("x", "behind the front axle", x_m, Quantity.LENGTH),
            "moments about the front axle",
        )
    ]
    y_m = None
    if None not in scales.corners_kg and scales.track_m is not None:
        fl, fr, rl, rr = (load or 0.0 for load in scales.corners_kg)
        y_m = to_the_right_m(fl + rl, fr + rr, scales.track_m)
        steps.append(
            Step(
                "y = T · (right − left) / (2 (right + left))",
                {
                    "T": Figure("T", "track", scales.track_m, Quantity.LENGTH),
                    "right": Figure("right", "right wheels", fr + rr, Quantity.MASS),
                    "left": Figure("left", "left wheels", fl + rl, Quantity.MASS),
                },
                Figure("y", "to the right of the middle", y_m, Quantity.LENGTH),
                "moments about the middle",
            )
        )
    height = _height(scales, front, rear, base)
    if height is not None:
        steps.append(height[2])
    return Weighed(
        mass_kg,
        x_m,
        y_m,
        height[0] if height else None,
        reading_doubt_m(front, rear, base, scales.reading_kg),
        height[1] if height else None,
        tuple(steps),
    )


def _axles(scales: Scales) -> tuple[float, float]:
    """Give the loads of front and rear axle [kg]."""
    fl, fr, rl, rr = scales.corners_kg
    front, rear = scales.axles_kg
    if (fl, fr, rl, rr) != (None,) * 4 and (front, rear) != (None, None):
        raise BadInput("wheels and axles are both given", mend="give the loads of one sort")
    if fl is not None and fr is not None and rl is not None and rr is not None:
        front, rear = fl + fr, rl + rr
    if front is None or rear is None:
        raise BadInput(
            "not every load is there", mend="give all four wheels, or both axles: front and rear"
        )
    if front + rear <= 0:
        raise BadInput("the scales read nothing", mend="give what they showed")
    return front, rear


def _height(
    scales: Scales, front: float, rear: float, base: float
) -> tuple[float, float, Step] | None:
    """Give height and its doubt by the tilted weighing [m], with the step; None without one."""
    given = {"raised": scales.raised_m, "tilted": scales.tilted_kg, "radius": scales.radius_m}
    missing = [name for name, value in given.items() if value is None]
    if len(missing) == len(given):
        return None
    if scales.raised_m is None or scales.tilted_kg is None or scales.radius_m is None:
        raise BadInput(
            f"the height needs {', '.join(missing)} too",
            mend="give how far one axle was raised, what the other carried then, and how high "
            "the axles are",
        )
    level, mass_kg = (front if scales.lifted == "rear" else rear), front + rear
    slope = tilt_rad(scales.raised_m, base)
    height_m = height_by_tilting_m(level, scales.tilted_kg, mass_kg, base, slope, scales.radius_m)
    doubt_m = height_doubt_m(scales.reading_kg, mass_kg, base, slope)
    ground = "front" if scales.lifted == "rear" else "rear"
    step = Step(
        "h = R + (F' − F) · l / (W · tan θ)",
        {
            "R": Figure("R", "height of the axles", scales.radius_m, Quantity.LENGTH),
            "F'": Figure("F'", f"{ground} axle, tilted", scales.tilted_kg, Quantity.MASS),
            "F": Figure("F", f"{ground} axle, level", level, Quantity.MASS),
            "l": Figure("l", "wheelbase", base, Quantity.LENGTH),
            "W": Figure("W", "all of it", mass_kg, Quantity.MASS),
            "θ": Figure("θ", "slope: sin θ = raised / l", slope, Quantity.ANGLE),
        },
        Figure("h", "height of the centre of gravity", height_m, Quantity.LENGTH, doubt_m),
        "moments about the axle left on the ground",
    )
    return height_m, doubt_m, step
