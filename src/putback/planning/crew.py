"""How many people a step of a plan wants."""

from collections.abc import Collection, Iterable
from dataclasses import replace
from math import fsum

from putback.bench.lift.equation import TEAM_SHARE
from putback.logbook.open_items.item import USUAL
from putback.planning.plan import Action, Step
from putback.vehicle.ids import FluidId, JobId, PartId, split_ref
from putback.vehicle.job import JobKind
from putback.vehicle.masses import lifted_of
from putback.vehicle.part import RUN_KINDS, PartKind
from putback.vehicle.vehicle import Vehicle

MAY_BE_HEAVY = frozenset({PartKind.MACHINE, PartKind.STRUCTURE})
"""A pump or an engine, a bracket or a body: a guess at their mass says nothing of how to lift."""

_ITS, _ALL = "its mass", "all of its mass"
_ONE, _TWO = "one person lifts", "two people lift"
_UNSURE = {
    (mass, people): f"nobody knows {mass}: that {people} it is a guess"
    for mass in (_ITS, _ALL)
    for people in (_ONE, _TWO)
}
_OF_ALL = "nobody knows any mass: how many lift is a guess, here and in all that follows"


class Crews:
    """How many lift a unit: as described, and two at least where it is too heavy for one.

    What one lifts, and what two, is that of the open items (revised NIOSH lifting equation; HSE
    L23: two thirds of what both lift alone). Masses are as described, else guessed as
    ``docs/numbers-balance.md`` says, but of what may be anything not.
    """

    def __init__(self, vehicle: Vehicle, fluids: Collection[FluidId] = ()) -> None:
        """Weigh the parts once, with these fluids in them."""
        self.vehicle = vehicle
        self._unweighed = {
            part.id
            for part in vehicle.parts.values()
            if part.mass_kg is None and part.kind not in RUN_KINDS
        }
        self._each_kg = {
            part: heft.mass_kg
            for part, heft in lifted_of(vehicle, fluids).items()
            if not (heft.guessed and vehicle.parts[part].kind in MAY_BE_HEAVY)
        }
        self._on_gear = {part.id for part in vehicle.parts.values() if part.hoist}
        self._on_gear |= {each.bears_on for each in vehicle.temporary_supports.values()}

    def of(self, described: int, parts: Iterable[PartId], hoist: str = "") -> int:
        """Give how many lift these parts as one; ``hoist`` is the gear described for a whole."""
        too_heavy = self.by_hand_kg(parts, hoist) > USUAL.one_person_kg
        return max(described, 2) if too_heavy else described

    def by_hand_kg(self, parts: Iterable[PartId], hoist: str = "") -> float:
        """Weigh what hands lift at once, of a set one piece [kg]; nothing where gear lifts it."""
        these = set(parts)
        if hoist or not self._on_gear.isdisjoint(these):
            return 0.0
        return fsum(self._each_kg.get(part, 0.0) for part in sorted(these))

    def why(self, described: int, parts: Iterable[PartId], hoist: str = "") -> str:
        """Say why more people are counted than were described, or that as many lift it not.

        Empty where neither is so; of more than three nobody gives a figure.
        """
        these = tuple(parts)
        many = self.of(described, these, hoist)
        mass_kg = self.by_hand_kg(these, hoist)
        if self.is_no_lift(many, these, hoist):
            they = "two" if many == 2 else "three"
            said = f"{mass_kg:.0f} kg, and {they} lift {_team_kg(many):.0f} kg"
            return f"no lift for {they}: {said}: jack or hoist"
        if many == described:
            return ""
        return f"two lift it: {mass_kg:.0f} kg, and one person lifts {USUAL.one_person_kg:.0f} kg"

    def is_no_lift(self, people: int, parts: Iterable[PartId], hoist: str = "") -> bool:
        """Whether it is too heavy for so many, two at least, where no gear is described for it."""
        many = max(people, 2)
        return many in TEAM_SHARE and self.by_hand_kg(parts, hoist) > _team_kg(many)

    def unsure(self, described: int, parts: Iterable[PartId], hoist: str = "") -> str:
        """Say that how many lift it is a guess, as nobody knows what it weighs; else empty.

        Not of what gear lifts, nor where more than one were described; pipes and cables are light.
        """
        these = set(parts)
        unweighed = these & self._unweighed
        if described > 1 or hoist or not unweighed or not self._on_gear.isdisjoint(these):
            return ""
        mass = _ITS if these == unweighed else _ALL
        return _UNSURE[mass, _TWO if self.of(described, these) > 1 else _ONE]


def _team_kg(people: int) -> float:
    return people * TEAM_SHARE[people] * USUAL.one_person_kg


def unsure_once(vehicle: Vehicle, steps: Iterable[Step]) -> tuple[Step, ...]:
    """Say it of the first lift alone where nobody described any mass: all would say the same."""
    written = tuple(steps)
    if any(part.mass_kg is not None for part in vehicle.parts.values()):
        return written
    found: list[Step] = []
    told: tuple[str, ...] = (_OF_ALL,)
    for step in written:
        others = tuple(each for each in step.cautions if each not in _UNSURE.values())
        if others == step.cautions:
            found.append(step)
        else:
            found.append(replace(step, cautions=(*others, *told)))
            told = ()
    return tuple(found)


def people_for(vehicle: Vehicle, step: Step) -> int:
    """Give who has to be there for a step, and two at least for a second person's look."""
    kind, identity = split_ref(step.what)
    job = vehicle.jobs.get(JobId(identity)) if kind == "job" else None
    second = step.action is Action.CHECK or (job and job.kind is JobKind.SECOND_CHECK)
    return max(step.people, 2) if second else step.people
