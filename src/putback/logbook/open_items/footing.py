"""How far the vehicle would be from tipping in a standing, as the open items see it.

By what is described or guessed of masses and places, over the supports whose part is on; what is
joined to what, and what scales said, is for the planner (``docs/numbers-balance.md``).
"""

from collections.abc import Collection
from dataclasses import dataclass

from putback.logbook.fluids import fluids_out
from putback.logbook.open_items.situation import Situation, carrying
from putback.vehicle.ids import PartId
from putback.vehicle.masses import hefts_of
from putback.vehicle.standing import Standing, Support
from putback.vehicle.statics import Feet, centre


@dataclass(frozen=True, slots=True)
class Footing:
    """The margin [m], and the supports that would carry more than their rating, each with [kg]."""

    margin_m: float
    overloaded: tuple[tuple[Support, float], ...]

    def words(self) -> str:
        """Say how far its weight is from the edge."""
        where = "inside" if self.margin_m >= 0 else "outside"
        return f"{abs(self.margin_m):.2f} m {where} the supports"


def footing(
    situation: Situation, standing: Standing, without: Collection[PartId] = ()
) -> Footing | None:
    """Work out how it would stand with some parts off as well; ``None`` where nobody can say."""
    vehicle, state = situation.state.vehicle, situation.state
    gone = {*state.parts_off, *without}
    on = [part for part in vehicle.parts.values() if part.id not in gone]
    feet = [each for each in carrying(standing) if each.bears_on not in gone]
    if not feet or all(part.cg_m is None for part in on):
        return None
    hefts, out = hefts_of(vehicle), fluids_out(vehicle, state)
    weights = [hefts.parts[part.id] for part in on]
    weights += [
        heft
        for fluid, heft in hefts.fluids.items()
        if fluid not in out and vehicle.fluids[fluid].part not in gone
    ]
    mass_kg, at = centre((each.mass_kg, each.cg_m) for each in weights)
    if at is None:
        return None
    ground = Feet([each.at_m for each in feet])
    loads = zip(feet, ground.loads_kg(mass_kg, at[:2]), strict=False)
    return Footing(
        ground.margin_m(at[:2]),
        tuple((s, load) for s, load in loads if s.rating_kg is not None and load > s.rating_kg),
    )
