"""How far the vehicle would be from tipping in a standing, as the open items see it.

By what is described or guessed of masses and places, over the supports whose part is on; what is
joined to what, and what scales said, is for the planner (``docs/numbers-balance.md``).
"""

from collections.abc import Collection
from dataclasses import dataclass

from putback.bench.statics import Feet, centre
from putback.logbook.fluids import fluids_out
from putback.logbook.open_items.situation import Situation, carrying
from putback.vehicle.ids import PartId
from putback.vehicle.masses import hefts_of
from putback.vehicle.standing import Standing, Support


@dataclass(frozen=True, slots=True)
class Footing:
    """The margin [m], and the supports that would carry more than their rating, each with [kg]."""

    margin_m: float
    overloaded: tuple[tuple[Support, float], ...]

    def words(self) -> str:
        """Say how far its weight is from the edge."""
        where = "inside" if self.margin_m >= 0 else "outside"
        return f"{abs(self.margin_m):.2f} m {where} the supports"


class Footings:
    """What is on and in now, asked how it would stand in one way or another."""

    def __init__(self, situation: Situation) -> None:
        """Weigh what is described, or guess it."""
        vehicle, state = situation.state.vehicle, situation.state
        hefts, out = hefts_of(vehicle), fluids_out(vehicle, state)
        self._off = state.parts_off
        self._placed = {part.id for part in vehicle.parts.values() if part.cg_m is not None}
        self._weights = [(part, heft.mass_kg, heft.cg_m) for part, heft in hefts.parts.items()]
        self._weights += [
            (vehicle.fluids[fluid].part, heft.mass_kg, heft.cg_m)
            for fluid, heft in hefts.fluids.items()
            if fluid not in out
        ]

    def of(self, standing: Standing, without: Collection[PartId] = ()) -> Footing | None:
        """Work out how it would stand with some parts off as well; ``None`` if nobody can say."""
        gone = self._off.union(without)
        feet = [each for each in carrying(standing) if each.bears_on not in gone]
        mass_kg, at = centre((mass, at) for part, mass, at in self._weights if part not in gone)
        if not feet or at is None or self._placed <= gone:
            return None
        ground = Feet([each.at_m for each in feet])
        loads = zip(feet, ground.loads_kg(mass_kg, at[:2]), strict=False)
        return Footing(
            ground.margin_m(at[:2]),
            tuple(
                (s, load) for s, load in loads if s.rating_kg is not None and load > s.rating_kg
            ),
        )
