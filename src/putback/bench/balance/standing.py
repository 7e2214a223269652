"""What carries a weight: loads, margin and the slope that tips, as figures, and the picture."""

from collections.abc import Sequence
from dataclasses import dataclass

from putback.bench.balance.given import Foot
from putback.bench.balance.weighing import tips_at_rad
from putback.bench.calculator import Drawing, Figure, Quantity, Shape, Table
from putback.bench.statics import Feet, Place


@dataclass(frozen=True, slots=True)
class Standing:
    """How a weight stands on its feet; lengths [m], loads [kg].

    ``loads_kg`` is empty where the feet do not hold it; ``tips_at`` is None where the height of
    the centre of gravity is not known.
    """

    feet: tuple[Foot, ...]
    above_m: Place
    margin_m: float
    loads_kg: tuple[float, ...]
    tips_at: float | None

    @property
    def overloaded(self) -> tuple[Foot, ...]:
        """Feet that carry more than they are rated for."""
        pairs = zip(self.feet, self.loads_kg, strict=False)
        return tuple(
            foot
            for foot, load_kg in pairs
            if foot.rating_kg is not None and load_kg > foot.rating_kg
        )


def standing_of(
    feet: Sequence[Foot], mass_kg: float, above_m: Place, height_m: float | None
) -> Standing:
    """Work out how a mass stands: `putback.bench.statics` has the formulas.

    Parameters
    ----------
    feet : sequence of Foot
        One at least.
    mass_kg : float
        What stands on them, [kg].
    above_m : Place
        The point of the floor under the centre of gravity, [m].
    height_m : float or None
        The centre of gravity over the floor as it stands, [m].
    """
    under = Feet([foot.at_m for foot in feet])
    margin_m = under.margin_m(above_m)
    return Standing(
        tuple(feet),
        above_m,
        margin_m,
        under.loads_kg(mass_kg, above_m),
        tips_at_rad(margin_m, height_m) if height_m is not None and height_m > 0 else None,
    )


def loads_table(standing: Standing, title: str) -> Table:
    """Say foot by foot what it carries and what it may."""
    rows = tuple(
        (
            Figure("foot", "where", foot.name, Quantity.TEXT),
            Figure("load", "carries", load_kg, Quantity.MASS),
            Figure("rating", "rated for", foot.rating_kg, Quantity.MASS),
        )
        for foot, load_kg in zip(standing.feet, standing.loads_kg, strict=True)
    )
    return Table(title, ("where", "carries", "rated for"), rows)


def plan_drawing(standing: Standing) -> Drawing:
    """Draw the feet, the polygon round them and the point under the centre of gravity.

    Seen from above, front to the left, the vehicle's right below.
    """
    corners = [edge.a for edge in Feet([foot.at_m for foot in standing.feet]).edges]
    round_them = tuple(map(_down, [*corners, *corners[:1]]))
    holds = standing.margin_m >= 0
    shapes = [
        Shape("outline", round_them),
        *(Shape("text", (_down(foot.at_m),), foot.name) for foot in standing.feet),
        Shape("dot", tuple(_down(foot.at_m) for foot in standing.feet)),
        Shape("accent" if holds else "warn", _cross(standing.above_m)),
        Shape("text", (_down(standing.above_m),), "centre of gravity"),
    ]
    inside = "inside" if holds else "outside"
    return Drawing(
        "From above, front to the left",
        f"The point under the centre of gravity is {abs(standing.margin_m) * 1000:.0f} mm "
        f"{inside} the nearest edge of the polygon round {len(standing.feet)} feet.",
        tuple(shape for shape in shapes if shape.points_m),
    )


def _down(place: Place) -> tuple[float, float]:
    """Turn a place of the floor into the drawing's axes, whose second one goes up."""
    return place[0], -place[1]


def _cross(place: Place) -> tuple[tuple[float, float], ...]:
    x, y = _down(place)
    arm = 0.06
    return (x - arm, y), (x + arm, y), (x, y), (x, y - arm), (x, y + arm)
