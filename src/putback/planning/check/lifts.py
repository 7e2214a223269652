"""How many people lift a unit: as described, and two where it is too heavy for one (cost)."""

from collections.abc import Collection
from functools import cached_property
from statistics import median

from putback.vehicle import masses as conventions
from putback.vehicle.ids import PartId
from putback.vehicle.part import Part, PartKind
from putback.vehicle.vehicle import Vehicle

ONE_PERSON_KG = 23.0


class Lifts:
    """Weighs what hands have to lift."""

    def __init__(self, vehicle: Vehicle) -> None:
        self.vehicle = vehicle
        self.jacked = {each.bears_on for each in vehicle.temporary_supports.values()}

    def crew(self, described: int, parts: Collection[PartId], hoist: str = "") -> int:
        """Give how many lift these parts as one."""
        records = [self.vehicle.parts[part] for part in parts if part in self.vehicle.parts]
        gear = hoist or any(each.hoist for each in records) or not self.jacked.isdisjoint(parts)
        if not gear and sum(map(self._one_of, records)) > ONE_PERSON_KG:
            return max(2, described)
        return described

    def _one_of(self, part: Part) -> float:
        """Weigh one of a part [kg]; nothing where nobody knows what it may be."""
        if part.mass_kg is not None:
            return part.mass_kg / part.quantity
        anything = part.kind in (PartKind.MACHINE, PartKind.STRUCTURE)
        return 0.0 if anything else self._usual[part.kind]

    @cached_property
    def _usual(self) -> dict[PartKind, float]:
        known: dict[PartKind, list[float]] = {}
        for part in self.vehicle.parts.values():
            if part.mass_kg:
                known.setdefault(part.kind, []).append(part.mass_kg / part.quantity)
        judged = {k: median(v) for k, v in known.items() if len(v) >= conventions.ENOUGH_TO_JUDGE}
        return {**conventions.USUAL_MASS_KG, **judged}
