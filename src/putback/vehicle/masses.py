"""What every part and fluid weighs and where it lies, as far as anybody knows, and how surely.

What nobody knows is guessed, flagged, and given a wide uncertainty. The conventions are in
``docs/numbers-balance.md``.
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from math import fsum, sqrt
from statistics import median

from putback.bench.statics import centre
from putback.vehicle.ids import FluidId, PartId, Ref, ZoneId
from putback.vehicle.part import Part, PartKind, Point
from putback.vehicle.vehicle import Vehicle

USUAL_MASS_KG: Mapping[PartKind, float] = {
    PartKind.PART: 2.0,
    PartKind.STRUCTURE: 100.0,
    PartKind.PANEL: 8.0,
    PartKind.GLASS: 10.0,
    PartKind.TRIM: 4.0,
    PartKind.MACHINE: 15.0,
    PartKind.WHEEL: 15.0,
    PartKind.SPRING: 6.0,
    PartKind.PIPE: 0.5,
    PartKind.HOSE: 0.5,
    PartKind.CABLE: 0.7,
    PartKind.LOOM: 3.0,
}
"""What one part of a kind weighs where nothing better is known [kg]; from memory, a guess."""

ENOUGH_TO_JUDGE = 3
"""Known masses of a kind on the same vehicle from which its own median is the better guess."""

DESCRIBED_SHARE = 0.05
GUESSED_SHARE = 0.5
"""Standard uncertainty of a mass that is described, and of one that is guessed, as a share of it
[-]; conventions of this project."""

DESCRIBED_PLACE_M = 0.02
"""Standard uncertainty of a described place, along each axis [m]; a convention of this project."""

UNKNOWN_PLACE_M = 0.5
"""The same where nothing tells how far the places of a vehicle are apart [m]; a convention."""


@dataclass(frozen=True, slots=True)
class Heft:
    """One weight: mass [kg], place [m], and the standard uncertainty of each along its axis.

    ``guessed_as`` is the kind whose usual mass stands for one that nobody knows: masses guessed
    as one kind rest on one figure, and are wrong by the same share of it. ``placed`` where nobody
    knows the place.
    """

    mass_kg: float
    cg_m: Point
    mass_sigma_kg: float = 0.0
    cg_sigma_m: Point = (0.0, 0.0, 0.0)
    guessed_as: PartKind | None = None
    placed: bool = False

    @property
    def guessed(self) -> bool:
        """Whether nobody knows the mass."""
        return self.guessed_as is not None


@dataclass(frozen=True, slots=True)
class Hefts:
    """The weight of every part, and of every fluid that is in a part that is described."""

    parts: Mapping[PartId, Heft]
    fluids: Mapping[FluidId, Heft]

    def items(self) -> Iterable[tuple[Ref, Heft]]:
        """Give them all, parts first, by what they are called in a plan."""
        for part, heft in self.parts.items():
            yield Ref(f"part:{part}"), heft
        for fluid, heft in self.fluids.items():
            yield Ref(f"fluid:{fluid}"), heft


def hefts_of(vehicle: Vehicle) -> Hefts:
    """Say of every part and fluid what it weighs and where, guessing what nobody knows."""
    guess = _Guess(vehicle.parts.values())
    parts = {part.id: guess.heft(part) for part in vehicle.parts.values()}
    fluids = {}
    for fluid in vehicle.fluids.values():
        holder = parts.get(fluid.part)
        if holder is not None:
            own = fluid.cg_m
            fluids[fluid.id] = Heft(
                fluid.mass_kg,
                own or holder.cg_m,
                DESCRIBED_SHARE * fluid.mass_kg,
                _SURE if own else holder.cg_sigma_m,
                placed=own is None and holder.placed,
            )
    return Hefts(parts, fluids)


def inside_kg(vehicle: Vehicle, fluids: Collection[FluidId]) -> dict[PartId, float]:
    """Add up what these fluids weigh in each part [kg]."""
    found: dict[PartId, float] = {}
    for fluid in vehicle.fluids.values():
        if fluid.id in fluids:
            found[fluid.part] = found.get(fluid.part, 0.0) + fluid.mass_kg
    return found


def lifted_of(vehicle: Vehicle, fluids: Collection[FluidId] = ()) -> dict[PartId, Heft]:
    """Weigh one of each part as it is lifted: of a set one piece, with its share of what is in it.

    ``fluids`` are those that are in.
    """
    inside = inside_kg(vehicle, fluids)
    return {
        part: replace(
            heft,
            mass_kg=(heft.mass_kg + inside.get(part, 0.0)) / vehicle.parts[part].quantity,
        )
        for part, heft in hefts_of(vehicle).parts.items()
    }


_SURE: Point = (DESCRIBED_PLACE_M, DESCRIBED_PLACE_M, DESCRIBED_PLACE_M)


class _Guess:
    """What stands for a mass or a place that nobody knows."""

    def __init__(self, parts: Iterable[Part]) -> None:
        masses: dict[PartKind, list[float]] = {}
        places: dict[ZoneId | None, list[Point]] = {}
        for part in parts:
            if part.mass_kg:
                masses.setdefault(part.kind, []).append(part.mass_kg / part.quantity)
            if part.cg_m is not None:
                for where in (part.zone, None):
                    places.setdefault(where, []).append(part.cg_m)
        self._each_kg = dict(USUAL_MASS_KG) | {
            kind: median(known) for kind, known in masses.items() if len(known) >= ENOUGH_TO_JUDGE
        }
        self._middle_m = {
            where: centre((1.0, at) for at in known)[1] for where, known in places.items()
        }
        self._spread_m = {where: _spread_m(known) for where, known in places.items()}

    def heft(self, part: Part) -> Heft:
        """Give what is known of a part, and the guess for the rest."""
        mass, place = part.mass_kg, part.cg_m
        if mass is None:
            mass = self._each_kg[part.kind] * part.quantity
            sigma = GUESSED_SHARE * mass
        else:
            sigma = DESCRIBED_SHARE * mass
        guessed_as = part.kind if part.mass_kg is None else None
        if place is not None:
            return Heft(mass, place, sigma, _SURE, guessed_as)
        middle = self._middle_m.get(part.zone) or self._middle_m.get(None) or (0.0, 0.0, 0.0)
        wide = self._spread_m.get(part.zone) or self._spread_m.get(None)
        if wide is None:
            wide = (UNKNOWN_PLACE_M, UNKNOWN_PLACE_M, UNKNOWN_PLACE_M)
        return Heft(mass, middle, sigma, wide, guessed_as, placed=mass != 0)


def _spread_m(places: list[Point]) -> Point | None:
    """Give the standard deviation of places along each axis [m]; nothing where there is one."""
    count = len(places)
    if count < 2:
        return None
    x, y, z = (_deviation([at[axis] for at in places]) for axis in range(3))
    return x, y, z


def _deviation(values: list[float]) -> float:
    middle = fsum(values) / len(values)
    spread = sqrt(fsum((value - middle) ** 2 for value in values) / (len(values) - 1))
    return max(spread, DESCRIBED_PLACE_M)
