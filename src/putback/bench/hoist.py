"""The calculator ``hoist``: what an engine crane or a boom may lift at this reach.

A maker rates a crane at each place of its boom. Between two of them the rating of the longer one
holds, and beyond the last there is none: nothing is drawn between or beyond.
"""

from dataclasses import dataclass
from itertools import pairwise

from putback.bench import both
from putback.bench.calculator import (
    TAPE_M,
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
from putback.bench.lines import LENGTH_UNITS, MASS_UNITS, read_lines
from putback.bench.tables import data_table
from putback.errors import BadInput

_HIGH, _BESIDE = 0.55, 0.09
"""How high the picture is, and how far beside a step its rating stands, of its width."""
_LBF_N = 4.4482216152605
_GEAR_UNITS = {
    "share": (Quantity.SHARE, 1.0),
    "times the rating": (Quantity.SHARE, 1.0),
    "lbf": (Quantity.FORCE, _LBF_N),
    "mm": (Quantity.LENGTH, 1e-3),
}
"""What is measured in a unit of the table of lifting gear, and its size in SI."""


@dataclass(frozen=True, slots=True)
class Place:
    """One place of the boom: its reach [m] and what the plate says it lifts there [kg]."""

    reach_m: float
    rating_kg: float


def read_plate(text: str, unit: str, mass_unit: str) -> tuple[Place, ...]:
    """Read lines of reach and rating, the shortest reach first.

    Raises
    ------
    BadInput
        A line that cannot be read, none at all, a reach twice, or a longer one rated for more.
    """
    length, mass = LENGTH_UNITS[unit], MASS_UNITS[mass_unit]
    places = []
    for line in read_lines(text, "plate"):
        line.at_most(2, "1100 500")
        reach, rating = line.values(("reach", "rating"))
        if reach <= 0 or rating <= 0:
            raise line.fault("reach and rating are more than nothing", "read the plate again")
        places.append(Place(reach * length, rating * mass))
    if not places:
        raise BadInput("no rating is given", "plate", "copy reach and rating off the boom")
    places.sort(key=lambda place: (place.reach_m, -place.rating_kg))
    for shorter, longer in pairwise(places):
        if longer.reach_m == shorter.reach_m:
            raise BadInput("one reach is there twice", "plate", "keep the rating that holds")
        if longer.rating_kg > shorter.rating_kg:
            raise BadInput(
                "a longer reach is rated for more than a shorter one",
                "plate",
                "read it again: reach first, then rating",
            )
    return tuple(places)


def rating_at(reach_m: float, plate: tuple[Place, ...]) -> Place:
    """Give the rating that holds at a reach: that of the next longer place on the plate.

    Parameters
    ----------
    reach_m : float
        From the mast, or the pivot of the boom, to the hook, along the floor, [m].
    plate : tuple of Place
        What the maker says, the shortest reach first.

    Raises
    ------
    OutsideLimits
        Longer than the plate goes.
    """
    for place in plate:
        if reach_m <= place.reach_m + 1e-9:
            return place
    raise OutsideLimits(
        f"the boom is rated to {plate[-1].reach_m * 1000:.0f} mm, and this reach is "
        f"{reach_m * 1000:.0f} mm",
        mend="bring the crane nearer; beyond its plate there is no rating",
        field="reach",
    )


def hoist(
    mass_kg: float,
    tackle_kg: float,
    reach_m: float,
    plate: str,
    unit: str,
    mass_unit: str,
    legs_m: float | None,
) -> Answer:
    """Compare a load with what the crane lifts at this reach.

    Parameters
    ----------
    mass_kg, tackle_kg : float
        The load, and chains, sling and leveller with it, [kg].
    reach_m : float
        From the mast to the hook, [m].
    plate : str
        Lines of reach and rating.
    unit, mass_unit : str
        What the numbers on the plate are in.
    legs_m : float or None
        From the mast to the front castors, [m].

    Raises
    ------
    BadInput
        A plate that cannot be read.
    OutsideLimits
        The reach is longer than the plate goes.
    """
    places = read_plate(plate, unit, mass_unit)
    place = rating_at(reach_m, places)
    hangs_kg = mass_kg + tackle_kg
    used = hangs_kg / place.rating_kg
    inside_m = None if legs_m is None else legs_m - reach_m
    results = [
        Figure("rating", "rated for at this reach", place.rating_kg, Quantity.MASS),
        Figure("hangs", "what hangs on the hook", hangs_kg, Quantity.MASS),
        Figure("used", "share of the rating", used, Quantity.SHARE),
        Figure("spare", "left over", place.rating_kg - hangs_kg, Quantity.MASS),
    ]
    if inside_m is not None:
        results.append(
            Figure(
                "inside",
                "the hook is inside the front castors by",
                inside_m,
                Quantity.LENGTH,
                step=TAPE_M,
            )
        )
    return Answer(
        calculator="hoist",
        inputs=(
            Figure("mass", "the load", mass_kg, Quantity.MASS),
            Figure("tackle", "chains, sling and leveller", tackle_kg, Quantity.MASS),
            Figure("reach", "reach", reach_m, Quantity.LENGTH),
        ),
        results=tuple(results),
        verdict=_verdict(used, inside_m, hangs_kg, place),
        steps=(
            Step(
                "used = (m + tackle) / rating",
                {
                    "m": Figure("m", "the load", mass_kg, Quantity.MASS),
                    "tackle": Figure("tackle", "tackle", tackle_kg, Quantity.MASS),
                    "rating": Figure("rating", "at this reach", place.rating_kg, Quantity.MASS),
                },
                Figure("used", "share of the rating", used, Quantity.SHARE),
                "the maker's plate",
            ),
        ),
        tables=(_table(places), _gear()),
        drawings=(_drawing(places, reach_m, hangs_kg, legs_m),),
        sources=(
            "the plate on the boom",
            "ASME PALD-2009, as excerpts quote it",
            "tackle counts as load (common practice)",
        ),
        limits=(
            "between two places of the plate the rating of the longer reach is taken, beyond the "
            "last there is none",
            "at rest on a hard level floor; a jerk adds to the load",
        ),
        cautions=(
            "The maker's plate wins. Never stand under a load or put a hand under it.",
            "Lower it before the crane is moved: a load up high tips it.",
        ),
    )


def _drawing(
    places: tuple[Place, ...], reach_m: float, hangs_kg: float, legs_m: float | None
) -> Drawing:
    """Draw the rating over the reach as steps, the load as a dot, the castors as a dashed line."""
    longest = max(places[-1].reach_m, legs_m or 0.0)
    most_kg = max(max(place.rating_kg for place in places), hangs_kg)

    def at(along_m: float, of_kg: float) -> tuple[float, float]:
        return along_m, of_kg / most_kg * longest * _HIGH

    steps: list[tuple[float, float]] = []
    labels: list[Shape] = []
    begins_m = 0.0
    for place in places:
        steps += [at(begins_m, place.rating_kg), at(place.reach_m, place.rating_kg)]
        beside = place.reach_m + _BESIDE * longest, steps[-1][1]
        labels.append(Shape("text", (beside,), f"{place.rating_kg:.0f} kg"))
        begins_m = place.reach_m
    axes = Shape("thin", (at(0.0, most_kg), at(0.0, 0.0), at(longest, 0.0)))
    castors = () if legs_m is None else (Shape("hidden", (at(legs_m, 0), at(legs_m, most_kg))),)
    first, last = places[0], places[-1]
    told = (
        f"To the right the reach, upwards the rating: {both.mass(first.rating_kg)} to"
        f" {both.length(first.reach_m)}, {both.mass(last.rating_kg)} to"
        f" {both.length(last.reach_m)}. The dot is what hangs on the hook,"
        f" {both.mass(hangs_kg)} at {both.length(reach_m)}"
        f"{'; dashed, the front castors' if castors else ''}."
    )
    load = at(reach_m, hangs_kg)
    return Drawing(
        "What the boom may lift",
        told,
        (axes, Shape("accent", tuple(steps)), *castors, Shape("dot", (load,)), *labels,
         Shape("text", (load,), "load")),
    )  # fmt: skip


def _table(places: tuple[Place, ...]) -> Table:
    rows = tuple(
        (
            Figure("reach", "reach", place.reach_m, Quantity.LENGTH),
            Figure("rating", "rating", place.rating_kg, Quantity.MASS),
        )
        for place in places
    )
    return Table("The plate", ("reach", "rating"), rows)


def _gear() -> Table:
    rows = tuple(
        (
            Figure("rule", "rule", row["rule"], Quantity.TEXT),
            _gear_value(float(row["value"]), row["unit"]),
        )
        for row in data_table("lifting_gear").rows
    )
    return Table("Jacks and hoists in general (ASME PALD-2009)", ("rule", "value"), rows)


def _gear_value(value: float, unit: str) -> Figure:
    quantity, size = _GEAR_UNITS[unit]
    return Figure("value", "value", value * size, quantity)


def _verdict(used: float, inside_m: float | None, hangs_kg: float, place: Place) -> str:
    if used > 1:
        return (
            f"Too heavy at this reach: {both.mass(hangs_kg)} hang where "
            f"{both.mass(place.rating_kg)} are allowed; shorten the boom or take parts off first."
        )
    if inside_m is not None and inside_m < 0:
        return (
            f"It could tip: the hook is {both.length(-inside_m)} beyond the front castors; "
            "lengthen the legs."
        )
    return f"It holds: {both.mass(hangs_kg)} of {both.mass(place.rating_kg)} at this reach."


CALCULATOR = Calculator(
    "hoist",
    "Hoist at its reach",
    "What may an engine crane lift with the boom out so far?",
    (
        Asked("mass", "mass_kg", "What the load weighs", Quantity.MASS, low=0, bare="kg"),
        Asked("tackle", "tackle_kg", "Chains, sling and leveller", Quantity.MASS, "10 kg", low=0,
              bare="kg"),
        Asked("reach", "reach_m", "Reach: from the mast to the hook", Quantity.LENGTH, low=0,
              bare="mm"),
        Asked("plate", "plate", "The plate, one place a line: reach, rating", Quantity.LINES,
              hint="1100 500"),
        Asked("unit", "unit", "Reach on the plate is in", Quantity.CHOICE, "mm",
              choices=tuple(LENGTH_UNITS)),
        Asked("mass_unit", "mass_unit", "Ratings on the plate are in", Quantity.CHOICE, "kg",
              choices=tuple(MASS_UNITS)),
        Asked("legs", "legs_m", "From the mast to the front castors", Quantity.LENGTH, low=0,
              is_optional=True, bare="mm"),
    ),
    hoist,
    {"mass": "230 kg", "tackle": "12 kg", "reach": "1300 mm", "legs": "1450 mm",
     "plate": "950 1000 | 1080 750 | 1210 500 | 1340 250"},
)  # fmt: skip
