"""What must be gone before a standing is entered, lest it tips or a support bears too much (12).

Loads and moments are plain sums over what is on and in, as long as the same feet press. So of a
standing that would not hold as things are, it can be said how much has to go, and what each part
and fluid gives towards that: one sum for each edge it is too near to and each support overloaded.
"""

from collections.abc import Collection, Mapping
from functools import cached_property
from typing import NamedTuple

from putback.planning.search.field import Rules
from putback.planning.weight.poise import Poise
from putback.vehicle.ids import FluidId, PartId, StandingId
from putback.vehicle.masses import Heft
from putback.vehicle.part import Point


class ToGo(NamedTuple):
    """What is gone when a standing is entered must give at least so much together.

    ``gives`` says of nodes, any of which does away with a thing, what its going gives: kg of load,
    or kg·m about an edge.
    """

    standing: StandingId
    gives: Mapping[tuple[int, ...], float]
    least: float


class Bearable:
    """How standings would bear what is on and in when they are entered."""

    def __init__(self, rules: Rules) -> None:
        """Look at nothing yet."""
        self._watch = rules.guarded
        self._least_margin_m = rules.least_margin_m

    def to_go(self, standing: StandingId, done: Collection[int]) -> list[ToGo]:
        """Say what must be gone to enter a standing, if it would not hold with these nodes done.

        Nothing where it holds, or where nobody can say what would help.
        """
        begun = self._watch.poise
        if begun is None or begun.cg_m is None:
            return []
        poise = begun.copy()
        for index in done:
            for part in sorted(self._watch.off_with.get(index, ())):
                poise.take_off(part)
            for fluid in sorted(self._watch.drains.get(index, ())):
                poise.drain(fluid)
        footing, above = poise.footing(standing), poise.cg_m
        if above is None or footing.holds(self._least_margin_m):
            return []
        feet = poise.feet(footing.supports)
        ratings = [each.rating_kg for each in footing.supports]
        overloaded = set(footing.overloaded)
        rows: list[ToGo] = []
        for each, rating, rates in zip(
            footing.supports, ratings, feet.load_rates(above[:2]), strict=False
        ):
            if each.id in overloaded and rating is not None:
                rows.append(self._sum(standing, begun, rates, rating))
        for a, b, length in feet.edges:
            along, across = (b[0] - a[0]) / length, (b[1] - a[1]) / length
            # Twice the triangle over the edge's length: the distance, here of a moment.
            rates = (across * a[0] - along * a[1] - self._least_margin_m, -across, along)
            if rates[0] + rates[1] * above[0] + rates[2] * above[1] < 0:
                rows.append(self._sum(standing, begun, (-rates[0], -rates[1], -rates[2]), 0.0))
        return rows

    def _sum(
        self, standing: StandingId, begun: Poise, rates: tuple[float, float, float], most: float
    ) -> ToGo:
        """Let what is on and in be no more than ``most`` by these rates."""

        def of(mass_kg: float, at_m: Point) -> float:
            return mass_kg * (rates[0] + rates[1] * at_m[0] + rates[2] * at_m[1])

        gives: dict[tuple[int, ...], float] = {}
        for nodes, heft in self._things:
            gives[nodes] = gives.get(nodes, 0.0) + of(heft.mass_kg, heft.cg_m)
        now = of(begun.mass_kg, begun.cg_m) if begun.cg_m is not None else 0.0
        return ToGo(standing, gives, now - most)

    @cached_property
    def _things(self) -> list[tuple[tuple[int, ...], Heft]]:
        """What is on or in and may go, each with the nodes any of which does away with it."""
        poise = self._watch.poise
        if poise is None:
            return []
        off: dict[PartId, list[int]] = {}
        for index, parts in self._watch.off_with.items():
            for part in sorted(parts):
                off.setdefault(part, []).append(index)
        out: dict[FluidId, list[int]] = {}
        for index, fluids in self._watch.drains.items():
            for fluid in sorted(fluids):
                out.setdefault(fluid, []).append(index)
        things = [
            (tuple(by), poise.hefts.parts[part]) for part, by in off.items() if poise.is_on(part)
        ]
        for fluid, heft in poise.hefts.fluids.items():
            by = [*off.get(poise.vehicle.fluids[fluid].part, ()), *out.get(fluid, ())]
            if by and poise.is_in(fluid):
                things.append((tuple(dict.fromkeys(by)), heft))
        return things
