"""Parts and stands as they are typed, one a line."""

from dataclasses import dataclass

from putback.bench.lines import LENGTH_UNITS, MASS_UNITS, read_lines, unit_words
from putback.bench.statics import Point, Weight

MOST_FEET = 12
"""So many supports may share a weight; which of them press is found by trying."""


@dataclass(frozen=True, slots=True)
class Foot:
    """One thing it stands on: where [m], and what it is rated for [kg], if known."""

    name: str
    at_m: tuple[float, float]
    rating_kg: float | None = None


def read_parts(text: str, unit: str, mass_unit: str) -> tuple[tuple[str, Weight], ...]:
    """Read lines like ``engine 160 -0.1 0 0.7``: name, mass, x rearwards, y to the right, z up.

    Returns
    -------
    tuple of tuple
        Name, and mass [kg] with its place [m].

    Raises
    ------
    BadInput
        A line that cannot be read, or a mass below nought.
    """
    length, mass = LENGTH_UNITS[unit], MASS_UNITS[mass_unit]
    found = []
    for line in read_lines(text, "parts", unit_words(unit, mass_unit)):
        line.at_most(5, "engine 160 -0.1 0 0.7")
        weight = line.value(1, "mass")
        if weight < 0:
            raise line.fault(f"a mass of {weight:g} is less than nothing")
        x, y, z = line.values(("x", "y", "z"), 2)
        at: Point = (x * length, y * length, z * length)
        found.append((line.text(0, "name"), (weight * mass, at)))
    return tuple(found)


def read_feet(text: str, unit: str, mass_unit: str) -> tuple[Foot, ...]:
    """Read lines like ``left 0.2 -0.4 1500``: name, x, y and, if known, the rating.

    Raises
    ------
    BadInput
        A line that cannot be read, a rating of nothing, two of one name, or more than twelve.
    """
    length, mass = LENGTH_UNITS[unit], MASS_UNITS[mass_unit]
    found: dict[str, Foot] = {}
    for line in read_lines(text, "stands", unit_words(unit, mass_unit)):
        line.at_most(4, "left 0.2 -0.4 1500")
        name = line.text(0, "name")
        if name in found:
            raise line.fault(f"{name!r} is there twice", "give each stand a name of its own")
        x, y = line.values(("x", "y"), 1)
        rating = line.value(3, "rating") * mass if len(line) > 3 else None
        if rating is not None and rating <= 0:
            raise line.fault("a stand is rated for more than nothing", "read its label")
        if len(found) == MOST_FEET:
            raise line.fault(f"more than {MOST_FEET} stands are too many to share a weight among")
        found[name] = Foot(name, (x * length, y * length), rating)
    return tuple(found.values())
