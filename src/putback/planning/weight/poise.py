"""Poise: mass and centre of gravity kept up while parts come off and go on, one at a time.

A search asks for the margin after every move it tries, so each change is a sum of four numbers,
and each standing's polygon is worked out once. Numbers in brackets are rules of
``docs/planning-rules.md``.
"""

from collections.abc import Callable, Collection, Iterable, Iterator
from dataclasses import dataclass
from math import inf

from putback.bench.statics import ROUNDING, Feet
from putback.logbook.fluids import fluids_out
from putback.logbook.state import State
from putback.logbook.weighing import weighed
from putback.vehicle.ids import FluidId, PartId, Ref, StandingId, SupportId, fluid_ref, part_ref
from putback.vehicle.masses import Heft, Hefts, hefts_of
from putback.vehicle.part import PartKind, Point
from putback.vehicle.standing import Support
from putback.vehicle.vehicle import Vehicle

_NOTHING_KG = 1e-6
"""Below this a mass is what is left of sums and differences."""

_LITTLE_KG = 1e-3
"""Of less than that no centre is told by differences."""

_LESSENED_M = 1e-6
"""A margin that lessens by no more than this is kept."""

OneWith = Callable[[PartId], bool]
"""Whether a part is one with the vehicle: only then a support under it counts (12)."""


def counts_all(part: PartId) -> bool:
    """Take every part as one with the vehicle, where nobody looked how it hangs together."""
    return bool(part)


def is_overloaded(load_kg: float, rating_kg: float | None) -> bool:
    """Whether a support carries more than it is rated for [kg], rounding apart."""
    return rating_kg is not None and load_kg > rating_kg + _NOTHING_KG


@dataclass(frozen=True, slots=True)
class Footing:
    """What carries the vehicle in a standing: the supports that count, and what each carries.

    ``margin_m`` is ``None`` where nothing can be said, and ``-inf`` where nothing stands [m].
    ``loads_kg`` go with ``supports`` [kg], and are empty unless these hold it.
    """

    supports: tuple[Support, ...] = ()
    margin_m: float | None = None
    loads_kg: tuple[float, ...] = ()

    @property
    def overloaded(self) -> tuple[SupportId, ...]:
        """The supports that carry more than they are rated for."""
        return tuple(
            support.id
            for support, load in zip(self.supports, self.loads_kg, strict=False)
            if is_overloaded(load, support.rating_kg)
        )

    def is_wide(self, least_margin_m: float) -> bool:
        """Whether the margin is kept, or nothing can be said of it."""
        return self.margin_m is None or self.margin_m >= least_margin_m - ROUNDING

    def holds(self, least_margin_m: float) -> bool:
        """Whether the margin is kept and no support carries more than its rating (12)."""
        return self.is_wide(least_margin_m) and not self.overloaded


def must_add_support(
    before: Footing, after: Footing, least_margin_m: float, *, entered: bool = False
) -> bool:
    """Whether a step must say which support to add (12).

    Parameters
    ----------
    before, after : Footing
        In the standing of the step, before and after it.
    least_margin_m : float
        The margin that is to be kept, [m].
    entered : bool
        Whether the standing was changed for this step.
    """
    if after.holds(least_margin_m):
        return False
    if entered and not before.holds(least_margin_m):
        return True
    if not set(after.overloaded) <= set(before.overloaded):
        return True
    if after.is_wide(least_margin_m) or after.margin_m is None:
        return False
    was = inf if before.margin_m is None else before.margin_m
    return before.is_wide(least_margin_m) or after.margin_m < was - _LESSENED_M


@dataclass(frozen=True, slots=True)
class Burden:
    """What goes off in one go: its parts by their bits, mass [kg] and moments along x, y [kg·m].

    ``fluids`` may be in or out then: each by its bit, its holder's bit, mass and moments.
    """

    parts: int
    mass_kg: float
    mx: float
    my: float
    fluids: tuple[tuple[int, int, float, float, float], ...] = ()


class Poise:
    """What is on and in now, as one mass, its moments and what it can stand on."""

    __slots__ = ("_known", "_mass", "_mx", "_my", "_mz", "_on", "_out", "_places")

    def __init__(
        self,
        vehicle: Vehicle,
        off: Collection[PartId] = (),
        out: Collection[FluidId] = (),
        hefts: Hefts | None = None,
    ) -> None:
        """Begin with these parts off and these fluids out.

        ``hefts`` are the weights as a weighing corrected them; else as described or guessed.
        """
        self._known = _Known(vehicle, hefts if hefts is not None else hefts_of(vehicle))
        self._mass = self._mx = self._my = self._mz = 0.0
        self._on = 0
        self._out = 0
        self._places = 0
        for fluid in out:
            self.drain(fluid)
        for part in vehicle.parts:
            if part not in off:
                self.put_on(part)

    def copy(self) -> "Poise":
        """Make a copy to try something on."""
        twin = object.__new__(Poise)
        twin._known = self._known
        twin._mass, twin._mx, twin._my, twin._mz = self._mass, self._mx, self._my, self._mz
        twin._on, twin._out, twin._places = self._on, self._out, self._places
        return twin

    # -- changes ------------------------------------------------------------------------------

    def is_on(self, part: PartId) -> bool:
        """Whether a part is described and on."""
        bit = self._known.bit_of.get(part)
        return bit is not None and bool(self._on & bit)

    def is_in(self, fluid: FluidId) -> bool:
        """Whether a fluid is described and in a part that is on."""
        bit = self._known.fluid_bit_of.get(fluid)
        return bit is not None and not self._out & bit and self.is_on(self._known.holder_of[fluid])

    def take_off(self, part: PartId) -> None:
        """Take a part off, with what is in it; nothing happens if it is off or unknown."""
        if self.is_on(part):
            self._on ^= self._known.bit_of[part]
            self._part_moves(part, -1)

    def put_on(self, part: PartId) -> None:
        """Put a part on; nothing happens if it is on or unknown."""
        bit = self._known.bit_of.get(part)
        if bit is not None and not self._on & bit:
            self._on |= bit
            self._part_moves(part, 1)

    def drain(self, fluid: FluidId) -> None:
        """Let a fluid out; nothing happens if it is out or unknown."""
        bit = self._known.fluid_bit_of.get(fluid)
        if bit is not None and not self._out & bit:
            if self.is_on(self._known.holder_of[fluid]):
                self._fluid_moves(fluid, -1)
            self._out |= bit

    def fill(self, fluid: FluidId) -> None:
        """Fill a fluid in; nothing happens if it is in or unknown."""
        bit = self._known.fluid_bit_of.get(fluid)
        if bit is not None and self._out & bit:
            self._out ^= bit
            if self.is_on(self._known.holder_of[fluid]):
                self._fluid_moves(fluid, 1)

    def _part_moves(self, part: PartId, sign: int) -> None:
        known = self._known
        self._moves(part_ref(part), known.hefts.parts[part], sign)
        self._places += sign * known.has_place[part]
        for fluid in known.fluids_in.get(part, ()):
            if not self._out & known.fluid_bit_of[fluid]:
                self._fluid_moves(fluid, sign)

    def _fluid_moves(self, fluid: FluidId, sign: int) -> None:
        self._moves(fluid_ref(fluid), self._known.hefts.fluids[fluid], sign)

    def _moves(self, what: Ref, heft: Heft, sign: int) -> None:
        """Add a thing's mass and moments; ``what`` it is matters to who keeps up more."""
        mass, (x, y, z) = sign * heft.mass_kg, heft.cg_m
        self._mass += mass
        self._mx += mass * x
        self._my += mass * y
        self._mz += mass * z

    # -- answers ------------------------------------------------------------------------------

    @property
    def vehicle(self) -> Vehicle:
        """The vehicle whose parts these are."""
        return self._known.vehicle

    @property
    def hefts(self) -> Hefts:
        """What each part and fluid weighs, and where it lies."""
        return self._known.hefts

    def fluid_hefts(self, fluids: Iterable[FluidId]) -> list[Heft]:
        """Give the hefts of fluids; none of one of which nobody said what part holds it."""
        known = self._known.hefts.fluids
        return [known[fluid] for fluid in fluids if fluid in known]

    @property
    def mass_kg(self) -> float:
        """The mass of what is on and in [kg]."""
        return max(0.0, self._mass)

    @property
    def cg_m(self) -> Point | None:
        """Its centre of gravity [m]; ``None`` if there is no mass."""
        if self._mass <= _NOTHING_KG:
            return None
        return self._mx / self._mass, self._my / self._mass, self._mz / self._mass

    @property
    def anchor(self) -> PartId | None:
        """The part with which what stands is one (*the margin*); ``None`` if none is on."""
        return next((part for part in self._known.anchors if self.is_on(part)), None)

    def burden(self, parts: Collection[PartId], fluids: Collection[FluidId] = ()) -> Burden:
        """Weigh, once and for all, what goes off in one go: parts, and fluids beside theirs."""
        known = self._known
        parts = sorted(set(parts))  # in the same order always: sums are rounded
        hefts = [known.hefts.parts[part] for part in parts if part in known.bit_of]
        theirs = (fluid for part in parts for fluid in known.fluids_in.get(part, ()))
        let_out = (fluid for fluid in sorted(fluids) if fluid in known.fluid_bit_of)
        return Burden(
            sum(known.bit_of[part] for part in parts if part in known.bit_of),
            *_weight_of(hefts),
            tuple(
                (
                    known.fluid_bit_of[fluid],
                    known.bit_of.get(known.holder_of[fluid], 0),
                    *_weight_of([known.hefts.fluids[fluid]]),
                )
                for fluid in dict.fromkeys((*theirs, *let_out))
            ),
        )

    def without(self, burden: Burden) -> tuple[float, float, float] | None:
        """Tell mass [kg] and the centre over the floor [m] when a burden is gone.

        ``None`` if there is no mass left worth to speak of, or some of it is gone already.
        """
        if self._on & burden.parts != burden.parts:
            return None
        mass, mx, my = self._mass - burden.mass_kg, self._mx - burden.mx, self._my - burden.my
        for bit, holder, kg, along, across in burden.fluids:
            if not self._out & bit and self._on & holder:
                mass -= kg
                mx -= along
                my -= across
        return (mass, mx / mass, my / mass) if mass > _LITTLE_KG else None

    def feet(self, supports: Collection[Support]) -> Feet:
        """Give the polygon round some supports, worked out once."""
        return self._known.feet(tuple(each.at_m for each in supports))

    @property
    def is_placed(self) -> bool:
        """Whether at least one part that is on has a place that somebody described."""
        return self._places > 0

    def footing(
        self, standing: StandingId | None, one_with: OneWith = counts_all, *more: Support
    ) -> Footing:
        """Tell what carries it in a standing, with more supports beside those described.

        A support counts if the part it bears on is on, and one with the vehicle.
        """
        supports = self._known.supports_of.get(standing, ()) + more
        at = self.cg_m
        if not supports or at is None or not self.is_placed:
            return Footing()
        counting = tuple(
            each for each in supports if self.is_on(each.bears_on) and one_with(each.bears_on)
        )
        if not counting:
            return Footing((), -inf)
        places = tuple(each.at_m for each in counting)
        feet = Feet(places) if more else self._known.feet(places)
        above = at[:2]
        return Footing(counting, feet.margin_m(above), feet.loads_kg(self._mass, above))


def _weight_of(hefts: Collection[Heft]) -> tuple[float, float, float]:
    """Add up mass [kg] and the moments along x and y [kg·m]."""
    return (
        sum(heft.mass_kg for heft in hefts),
        sum(heft.mass_kg * heft.cg_m[0] for heft in hefts),
        sum(heft.mass_kg * heft.cg_m[1] for heft in hefts),
    )


def poise_of(vehicle: Vehicle, state: State) -> Poise:
    """Take up what is on and in now, with the weights as every weighing corrects them."""
    hefts = weighed(vehicle, state.weighings).hefts
    return Poise(vehicle, state.parts_off, fluids_out(vehicle, state), hefts)


class _Known:
    """What does not change while parts come and go; shared by all copies."""

    __slots__ = (
        "_feet",
        "anchors",
        "bit_of",
        "fluid_bit_of",
        "fluids_in",
        "has_place",
        "hefts",
        "holder_of",
        "supports_of",
        "vehicle",
    )

    def __init__(self, vehicle: Vehicle, hefts: Hefts) -> None:
        self.vehicle = vehicle
        self.hefts = hefts
        self.bit_of = {part: 1 << number for number, part in enumerate(vehicle.parts)}
        self.fluid_bit_of = {fluid: 1 << number for number, fluid in enumerate(hefts.fluids)}
        self.holder_of = {fluid: vehicle.fluids[fluid].part for fluid in hefts.fluids}
        self.fluids_in: dict[PartId, list[FluidId]] = {}
        for fluid, holder in self.holder_of.items():
            self.fluids_in.setdefault(holder, []).append(fluid)
        self.has_place = {p.id: p.cg_m is not None for p in vehicle.parts.values()}
        self.supports_of: dict[StandingId | None, tuple[Support, ...]] = {
            each.id: tuple(support for support in each.supports if not support.beside)
            for each in vehicle.standings.values()
        }
        self.anchors = tuple(_anchors(vehicle))
        self._feet: dict[tuple[tuple[float, float], ...], Feet] = {}

    def feet(self, places: tuple[tuple[float, float], ...]) -> Feet:
        """Give the polygon round these places, worked out once."""
        found = self._feet.get(places)
        if found is None:
            found = self._feet[places] = Feet(places)
        return found


def _anchors(vehicle: Vehicle) -> Iterator[PartId]:
    """Give what may be the anchor, the first that is on first: goals' datums, then by mass."""
    yield from (goal.datum for goal in vehicle.goals.values() if goal.datum in vehicle.parts)
    hefts = hefts_of(vehicle).parts
    by_mass = sorted(vehicle.parts.values(), key=lambda part: -hefts[part.id].mass_kg)
    yield from (part.id for part in by_mass if part.kind is PartKind.STRUCTURE)
    yield from (part.id for part in by_mass)
