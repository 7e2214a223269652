"""Balance: what is still on, where its weight lies, and how far the vehicle is from tipping.

Sums over points, each with what it is known to. The formulas, their sources and their limits are
in ``docs/numbers-balance.md``; figures of worked examples check them.
"""

from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace
from math import atan2, hypot, inf

from putback.bench.statics import Feet, Place
from putback.logbook.fluids import fluids_out
from putback.logbook.state import State
from putback.logbook.weighing import Four, Weighed, weighed
from putback.planning.known import made_joints
from putback.planning.plan import USUAL, PlanSettings
from putback.planning.weight.add_support import SupportToAdd, support_to_add
from putback.planning.weight.anchored import Anchored
from putback.planning.weight.doubt import Doubt, Doubtful
from putback.planning.weight.poise import Footing, Poise, is_overloaded
from putback.vehicle.ids import FluidId, JointId, PartId, Ref, StandingId, SupportId
from putback.vehicle.masses import Heft
from putback.vehicle.part import Point
from putback.vehicle.vehicle import Vehicle

SURELY = 2.0
"""A margin is sure if it is kept so many standard uncertainties away from what it is."""

_WORTH_NAMING = 0.05
_MOST_NAMED = 3
"""Guesses are named that make this share of the variance at least [-], and so many at most."""


@dataclass(frozen=True, slots=True)
class SupportLoad:
    """What one support carries, and what it may [kg]; ``sigma_kg`` is its standard uncertainty."""

    support: SupportId
    load_kg: float
    rating_kg: float | None
    sigma_kg: float = 0.0


@dataclass(frozen=True, slots=True)
class Balance:
    """Where the weight of what is on lies, and what carries it; masses [kg], lengths [m].

    ``cg_m`` is ``None`` if nothing on has a mass, or if no place of anything on is described and
    no weighing tells where the weight lies; nothing that rests on it is told then.
    ``front_share`` is the part of the weight that the front axle carries on its wheels, however it
    stands [-]; ``None`` without a wheelbase.
    ``margin_m`` is how far the centre of gravity is from tipping: negative beyond the edge, and
    ``None`` where nothing stands under it; ``tips_at_rad`` is the slope that would tip it then.
    ``loads`` are empty unless the supports hold it; ``loose`` are supports that carry nothing of
    it, as their part is off or not one with the vehicle. Every ``sigma`` is one standard
    uncertainty. ``guessed`` are parts whose mass nobody knows, ``placed`` those of which nobody
    knows where it lies.
    """

    mass_kg: float
    cg_m: Point | None
    front_share: float | None = None
    loads: tuple[SupportLoad, ...] = ()
    margin_m: float | None = None
    guessed: tuple[PartId, ...] = ()
    placed: tuple[PartId, ...] = ()
    mass_sigma_kg: float = 0.0
    cg_sigma_m: Point | None = None
    margin_sigma_m: float | None = None
    tips_at_rad: float | None = None
    loose: tuple[SupportId, ...] = ()
    doubtful: tuple[Doubtful, ...] = ()
    """Where the margin may be too small for all that is known: the guesses that matter most."""

    @property
    def overloaded(self) -> tuple[SupportId, ...]:
        """The supports that carry more than they are rated for."""
        return tuple(
            each.support for each in self.loads if is_overloaded(each.load_kg, each.rating_kg)
        )

    def is_surely_wide(self, least_margin_m: float) -> bool:
        """Whether the margin is kept even if it is less by twice its uncertainty."""
        if self.margin_m is None:
            return not self.loose
        return self.margin_m - SURELY * (self.margin_sigma_m or 0.0) >= least_margin_m


def balance(
    vehicle: Vehicle,
    state: State,
    standing: StandingId | None = None,
    settings: PlanSettings = USUAL,
) -> Balance:
    """Work out the balance of what is on now, in a standing if one is given."""
    return reckoning_of(vehicle, state).balance(standing, settings)


def support_now(
    vehicle: Vehicle,
    state: State,
    standing: StandingId | None = None,
    settings: PlanSettings = USUAL,
) -> SupportToAdd | None:
    """Say which support to add as it stands in a standing now; ``None`` where it stands well."""
    return reckoning_of(vehicle, state).support_to_add(standing, settings)


def balance_of(
    vehicle: Vehicle,
    off: Collection[PartId],
    out: Collection[FluidId] = (),
    standing: StandingId | None = None,
) -> Balance:
    """Work out the balance when these parts are off and these fluids out, and all else holds.

    A fluid leaves with the part that holds it; what stands ``beside`` carries nothing of it.
    """
    return Reckoning(vehicle, off, out, weighed(vehicle)).balance(standing)


def reckoning_of(vehicle: Vehicle, state: State) -> "Reckoning":
    """Take up what is on now, corrected by every weighing, and what is one with the vehicle."""
    known = weighed(vehicle, state.weighings)
    made = made_joints(vehicle, state)
    return Reckoning(vehicle, state.parts_off, fluids_out(vehicle, state), known, made)


class _DoubtingPoise(Poise):
    """A poise that keeps up how sure it is as well."""

    __slots__ = ("doubt",)

    def __init__(
        self, vehicle: Vehicle, off: Collection[PartId], out: Collection[FluidId], known: Weighed
    ) -> None:
        self.doubt = Doubt(known)
        super().__init__(vehicle, off, out, known.hefts)

    def _moves(self, what: Ref, heft: Heft, sign: int) -> None:
        super()._moves(what, heft, sign)
        self.doubt.count(what, sign)


class Reckoning:
    """What is on, how sure that is, and what is one with the vehicle; kept up step by step."""

    def __init__(
        self,
        vehicle: Vehicle,
        off: Collection[PartId],
        out: Collection[FluidId],
        known: Weighed,
        made: Iterable[JointId] | None = None,
    ) -> None:
        """Begin with these parts off, these fluids out and these joints made (else all)."""
        self.vehicle = vehicle
        self.known = known
        self.poise = _DoubtingPoise(vehicle, off, out, known)
        joints = vehicle.joints if made is None else made
        self.anchored = Anchored(vehicle, joints, off, self.poise.anchor)

    def take_off(self, part: PartId) -> None:
        """Take a part off, with what is in it."""
        self.poise.take_off(part)
        self.anchored.take_off(part)
        self.anchored.hold_to(self.poise.anchor)

    def put_on(self, part: PartId) -> None:
        """Put a part on."""
        self.poise.put_on(part)
        self.anchored.put_on(part)
        self.anchored.hold_to(self.poise.anchor)

    def footing(self, standing: StandingId | None) -> Footing:
        """Tell what carries it in a standing."""
        return self.poise.footing(standing, self.anchored)

    def support_to_add(
        self, standing: StandingId | None, settings: PlanSettings = USUAL
    ) -> SupportToAdd | None:
        """Say which support to add in a standing; ``None`` where it stands well."""
        return support_to_add(self.poise, standing, self.anchored, settings.least_margin_m)

    def balance(
        self, standing: StandingId | None = None, settings: PlanSettings = USUAL
    ) -> Balance:
        """Work out the balance of what is on, in a standing if one is given."""
        vehicle, doubt, at = self.vehicle, self.poise.doubt, self.poise.cg_m
        hefts = self.known.hefts.parts
        on = [part for part in hefts if self.poise.is_on(part)]
        mass_kg, base = self.poise.mass_kg if at else 0.0, vehicle.about.wheelbase_m
        tells_place = any(each.tells_place for each in self.known.verdicts)
        if not self.poise.is_placed and not tells_place:
            at = None
        found = Balance(
            mass_kg=mass_kg,
            cg_m=at,
            front_share=1 - at[0] / base if at is not None and base else None,
            guessed=tuple(part for part in on if hefts[part].guessed),
            placed=tuple(part for part in on if hefts[part].placed),
            mass_sigma_kg=doubt.sigma((1.0, 0.0, 0.0, 0.0)),
        )
        if at is None:
            return found
        x, y, z = (doubt.sigma(_along(axis, at, mass_kg)) for axis in _AXES)
        found = replace(found, cg_sigma_m=(x, y, z))
        return self._standing(found, self.footing(standing), standing, at, settings)

    def _standing(
        self,
        found: Balance,
        footing: Footing,
        standing: StandingId | None,
        at: Point,
        settings: PlanSettings,
    ) -> Balance:
        """Add what carries it."""
        record = self.vehicle.standings.get(standing) if standing is not None else None
        supports = [each for each in record.supports if not each.beside] if record else []
        if footing.margin_m is None:
            return found
        counting = {each.id for each in footing.supports}
        loose = tuple(each.id for each in supports if each.id not in counting)
        if footing.margin_m == -inf:
            return replace(found, loose=loose)
        feet = Feet([each.at_m for each in footing.supports])
        margin, a, b = feet.nearest_edge(at[:2])
        gradient = _along(_outward(at[:2], margin, a, b), at, found.mass_kg)
        sigma = self.poise.doubt.sigma(gradient)
        found = replace(
            found,
            loose=loose,
            margin_m=margin,
            margin_sigma_m=sigma,
            tips_at_rad=atan2(margin, at[2]) if at[2] > 0 else None,
            loads=tuple(
                SupportLoad(
                    support.id, load, support.rating_kg, self.poise.doubt.sigma((*rates, 0.0))
                )
                for support, load, rates in zip(
                    footing.supports,
                    footing.loads_kg,
                    feet.load_rates(at[:2]),
                    strict=False,
                )
            ),
        )
        if found.is_surely_wide(settings.least_margin_m):
            return found
        guesses = self.poise.doubt.guesses(gradient)
        worth = tuple(each for each in guesses if each.share >= _WORTH_NAMING)
        return replace(found, doubtful=worth[:_MOST_NAMED])


_AXES: tuple[Point, ...] = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))


def _along(way: Point, at: Point, mass_kg: float) -> Four:
    """Say how the centre of gravity moves along a way with the mass and with each moment."""
    here = sum(w * a for w, a in zip(way, at, strict=True))
    x, y, z = (w / mass_kg for w in way)
    return -here / mass_kg, x, y, z


def _outward(above: Place, margin: float, a: Place, b: Place) -> Point:
    """Give the way on which the margin is measured; across the edge where it is nought."""
    along = (b[0] - a[0], b[1] - a[1])
    length = hypot(*along)
    if margin >= 0 and length:
        return along[1] / length, -along[0] / length, 0.0
    to = (above[0] - a[0], above[1] - a[1])
    share = (to[0] * along[0] + to[1] * along[1]) / length**2 if length else 0.0
    share = min(1.0, max(0.0, share))
    off = (to[0] - share * along[0], to[1] - share * along[1])
    far = hypot(*off)
    if far:
        return off[0] / far, off[1] / far, 0.0
    return (along[1] / length, -along[0] / length, 0.0) if length else (1.0, 0.0, 0.0)
