"""Balance: what is still on, where its weight lies, and how far the vehicle is from tipping.

Pure sums over points. The formulas, their source and their limits are in
``docs/numbers-balance.md``; figures of a worked example check them.
"""

from collections.abc import Collection
from dataclasses import dataclass

from putback.logbook.state import State
from putback.planning.known import is_fluid_out
from putback.vehicle.ids import FluidId, PartId, StandingId, SupportId
from putback.vehicle.masses import hefts_of
from putback.vehicle.part import Point
from putback.vehicle.standing import Standing
from putback.vehicle.statics import Feet, centre
from putback.vehicle.vehicle import Vehicle


@dataclass(frozen=True, slots=True)
class SupportLoad:
    """What one support carries, and what it may [kg]."""

    support: SupportId
    load_kg: float
    rating_kg: float | None


@dataclass(frozen=True, slots=True)
class Balance:
    """Where the weight of what is on lies, and what carries it; masses [kg], lengths [m].

    ``front_share`` is the part of the weight on the front axle [-], ``None`` without a wheelbase.
    ``margin_m`` is how far the centre of gravity is from tipping: negative beyond the edge, and
    ``None`` where nothing stands under it; ``loads`` are empty unless the supports hold it.
    ``guessed`` are parts whose mass nobody knows, ``placed`` those of which nobody knows where
    it lies.
    """

    mass_kg: float
    cg_m: Point | None
    front_share: float | None = None
    loads: tuple[SupportLoad, ...] = ()
    margin_m: float | None = None
    guessed: tuple[PartId, ...] = ()
    placed: tuple[PartId, ...] = ()

    @property
    def overloaded(self) -> tuple[SupportId, ...]:
        """The supports that carry more than they are rated for."""
        return tuple(
            each.support
            for each in self.loads
            if each.rating_kg is not None and each.load_kg > each.rating_kg
        )


def balance(vehicle: Vehicle, state: State, standing: StandingId | None = None) -> Balance:
    """Work out the balance of what is on now, in a standing if one is given."""
    record = vehicle.standings.get(standing) if standing is not None else None
    return balance_of(vehicle, state.parts_off, fluids_out(vehicle, state), record)


def balance_of(
    vehicle: Vehicle,
    off: Collection[PartId],
    out: Collection[FluidId] = (),
    standing: Standing | None = None,
) -> Balance:
    """Work out the balance when these parts are off and these fluids out.

    A fluid leaves with the part that holds it; what stands ``beside`` carries nothing of it.
    """
    hefts = hefts_of(vehicle)
    on = [hefts.parts[part] for part in vehicle.parts if part not in off]
    fluids = [
        heft
        for fluid, heft in hefts.fluids.items()
        if vehicle.fluids[fluid].part not in off and fluid not in out
    ]
    mass_kg, cg_m = centre((each.mass_kg, each.cg_m) for each in (*on, *fluids))
    supports = [each for each in standing.supports if not each.beside] if standing else []
    margin: float | None = None
    loads: tuple[SupportLoad, ...] = ()
    if cg_m is not None and supports:
        above, feet = cg_m[:2], Feet([each.at_m for each in supports])
        margin = feet.margin_m(above)
        loads = tuple(
            SupportLoad(each.id, load, each.rating_kg)
            for each, load in zip(supports, feet.loads_kg(mass_kg, above), strict=False)
        )
    base = vehicle.about.wheelbase_m
    return Balance(
        mass_kg=mass_kg,
        cg_m=cg_m,
        front_share=1 - cg_m[0] / base if cg_m is not None and base else None,
        loads=loads,
        margin_m=margin,
        guessed=tuple(p for p, heft in hefts.parts.items() if heft.guessed and p not in off),
        placed=tuple(p for p, heft in hefts.parts.items() if heft.placed and p not in off),
    )


def fluids_out(vehicle: Vehicle, state: State) -> frozenset[FluidId]:
    """Give the fluids that are drained, or whose draining job is done, and not filled since."""
    return frozenset(fluid for fluid in vehicle.fluids if is_fluid_out(vehicle, state, fluid))
