"""What a thing in the hands weighs, and what it takes to lift it, in the trade's words.

``docs/numbers-holding.md`` says where the figures come from.
"""

from collections.abc import Iterable, Mapping
from math import fsum

from putback.bench.lift.equation import TEAM_SHARE
from putback.logbook.open_items.item import USUAL
from putback.planning.crew import MAY_BE_HEAVY
from putback.vehicle.ids import FluidId, PartId, part_ref
from putback.vehicle.masses import Heft, lifted_of
from putback.vehicle.part import PartKind
from putback.vehicle.vehicle import Vehicle

HAND_KG = 5.0
"""What one hand holds while the other undoes the last fixing [kg]; a convention of ours."""

MOST_BY_HAND = 2
"""More people than that do not find room round one part: a jack or a hoist then."""

_NOTHING = Heft(0.0, (0.0, 0.0, 0.0))
"""A part that nobody described is taken to weigh nothing."""


class Lifting:
    """Weighs what is in one piece; of a set each is lifted by itself."""

    def __init__(
        self,
        vehicle: Vehicle,
        *,
        one_person_kg: float = USUAL.one_person_kg,
        fluids: Iterable[FluidId] = (),
    ) -> None:
        """Weigh the parts with these fluids in them; one person lifts so much [kg]."""
        self.vehicle = vehicle
        self.one_person_kg = one_person_kg
        self._weighed: dict[frozenset[FluidId], Mapping[PartId, Heft]] = {}
        self.hold(fluids)

    def hold(self, fluids: Iterable[FluidId]) -> None:
        """Go on with these fluids in."""
        full = frozenset(fluids)
        if full not in self._weighed:
            self._weighed[full] = lifted_of(self.vehicle, full)
        self._hefts = self._weighed[full]

    def heaviest_first(self, parts: Iterable[PartId]) -> tuple[PartId, ...]:
        """Put the parts in their order."""
        return tuple(sorted(parts, key=lambda part: (-self._heft(part).mass_kg, part)))

    def mass_kg(self, parts: Iterable[PartId]) -> float:
        """What they weigh together, known or guessed [kg]."""
        return fsum(self._heft(part).mass_kg for part in parts)

    def is_guessed(self, parts: Iterable[PartId]) -> bool:
        """Whether nobody knows the mass of one of them."""
        return any(self._heft(part).guessed for part in parts)

    def may_be_heavy(self, parts: Iterable[PartId]) -> bool:
        """Whether nobody knows the mass of one of them that may well be heavy."""
        return any(map(self._is_anything, parts))

    def is_light(self, parts: Iterable[PartId]) -> bool:
        """Whether it is light enough for one hand, or trim: that is held while it is undone."""
        these = tuple(parts)
        if all(map(self._is_trim, these)):
            return True
        return self.mass_kg(these) <= HAND_KG and not self.may_be_heavy(these)

    def is_too_heavy(self, parts: Iterable[PartId]) -> bool:
        """Whether it is no lift for one alone, or gear is described for it, or nobody knows."""
        these = tuple(parts)
        return self.people(these) > 1 or bool(self._hoist(these)) or self.may_be_heavy(these)

    def is_no_lift(self, parts: Iterable[PartId]) -> bool:
        """Whether hands do not hold it: more than two lift, gear is described, or nobody knows."""
        these = tuple(parts)
        too_many = self.people(these) > MOST_BY_HAND
        return too_many or bool(self._hoist(these)) or self.may_be_heavy(these)

    def people(self, parts: Iterable[PartId]) -> int:
        """How many lift it by hand; lifting gear that is described needs nobody more.

        Two lift less than twice what one does; where no figure is known, one more than there is.
        """
        these = tuple(parts)
        if self._hoist(these):
            return 1
        alone = self.mass_kg(these) / self.one_person_kg
        teams = (people for people, share in TEAM_SHARE.items() if alone <= people * share)
        return next(teams, len(TEAM_SHARE) + 1)

    def named(self, parts: Iterable[PartId]) -> str:
        """Name it by its heaviest part, how much else there is, and what it weighs."""
        these = self.heaviest_first(parts)
        name = self.vehicle.name_of(part_ref(these[0]))
        more = len(these) - 1
        with_more = f" with {more} more part{'s' if more > 1 else ''} on it" if more else ""
        return f"{name}{with_more} ({self._weight(these)})"

    def held(self, parts: Iterable[PartId], verb: str = "hold") -> str:
        """Say how it is held up: by hand, by two, by the gear described, on a jack or hoist.

        ``verb`` says what hands do.
        """
        these = tuple(parts)
        named, people = f"the {self.named(these)}", self.people(these)
        if hoist := self._hoist(these):
            return f"take the weight of {named} with {hoist}"
        if self.is_no_lift(these):
            return f"take the weight of {named} on a jack or hoist"
        return f"{'two people ' if people > 1 else ''}{verb} {named}"

    def _weight(self, parts: tuple[PartId, ...]) -> str:
        if self._is_anything(parts[0]):
            return "nobody knows its mass"
        if self.may_be_heavy(parts):
            known = (part for part in parts if not self._is_anything(part))
            return f"{self.mass_kg(known):.0f} kg and more: nobody knows all of it"
        mass_kg = self.mass_kg(parts)
        weight = f"{mass_kg:.0f} kg" if mass_kg >= 1 else "under 1 kg"
        return f"about {weight}" if self.is_guessed(parts) else weight

    def _hoist(self, parts: Iterable[PartId]) -> str:
        """The lifting gear described for any of them."""
        records = (self.vehicle.parts.get(part) for part in parts)
        return next((record.hoist for record in records if record and record.hoist), "")

    def _is_trim(self, part: PartId) -> bool:
        """Seats, carpets and linings rest where they are, or are held while they are undone."""
        record = self.vehicle.parts.get(part)
        return record is not None and record.kind is PartKind.TRIM

    def _is_anything(self, part: PartId) -> bool:
        """Whether nobody knows what it weighs, and it may be anything."""
        return self._heft(part).guessed and self.vehicle.parts[part].kind in MAY_BE_HEAVY

    def _heft(self, part: PartId) -> Heft:
        return self._hefts.get(part, _NOTHING)
