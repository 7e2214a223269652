"""Weighings correct what was described or guessed: least squares, weighted by how sure each is.

The unknowns are, for every part and fluid, its mass and the three moments by which its place is
off: then a load on the ground is a plain sum of them, and one step solves it. Masses guessed as
one kind are off together, all else is off on its own. The formulas and their sources are in
``docs/numbers-balance.md``.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import fsum, sqrt
from types import MappingProxyType

from putback.logbook.linear import cholesky, forward, null_space
from putback.logbook.state import FRONT_AXLE, REAR_AXLE, Weighing
from putback.vehicle.ids import Ref, StandingId, fluid_ref, part_ref
from putback.vehicle.masses import Heft, Hefts, hefts_of
from putback.vehicle.part import PartKind
from putback.vehicle.vehicle import Vehicle

UNSAID_SHARE = 0.02
LEAST_SCALES_KG = 0.1
"""Standard uncertainty of a load where nobody said how good the scales are, as a share of it [-],
and what it is at least [kg]; conventions of this project."""

TOO_FAR = 3.0
"""A weighing that is off by more than so many standard uncertainties contradicts what is known."""

_HALF_TRACK_M = 0.7
"""Any will do: an axle's load does not tell left from right [m]."""

Four = tuple[float, float, float, float]
"""A mass [kg] and moments along x, y and z [kg·m]."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """What became of one weighing: how far it is off, and words for a person.

    ``off_by`` is the largest normalised residual, as if nothing had been weighed before it [-];
    ``None`` where the weighing could not be used.
    """

    weighing: Weighing
    off_by: float | None
    words: str
    difference: str = ""
    """What was read where it is furthest off, and what was expected [kg]."""
    tells_place: bool = False
    """Whether it says anything of where the weight lies, and not of the mass alone."""

    @property
    def contradicts(self) -> bool:
        """Whether it is further off than what was described and guessed can explain."""
        return self.off_by is not None and self.off_by > TOO_FAR


@dataclass(frozen=True, slots=True)
class Weighed:
    """Masses and places as the weighings correct them.

    ``prior`` is what was known without them. ``ties`` are, for each part and fluid, how its four
    unknowns go with each thing that was weighed: the covariance afterwards is the prior one less
    the products of these.
    """

    prior: Hefts
    hefts: Hefts
    ties: Mapping[Ref, tuple[Four, ...]]
    verdicts: tuple[Verdict, ...] = ()


def verdicts_of(vehicle: Vehicle, weighings: Sequence[Weighing]) -> tuple[Verdict, ...]:
    """Judge each weighing by itself, against what is described or guessed."""
    if not weighings:
        return ()
    prior = hefts_of(vehicle)
    return tuple(
        _verdict(prior, _Scales(vehicle, weighing, number))
        for number, weighing in enumerate(weighings)
    )


def weighed(vehicle: Vehicle, weighings: Sequence[Weighing] = ()) -> Weighed:
    """Correct what is described or guessed of a vehicle by its weighings, each in its state."""
    prior, verdicts = hefts_of(vehicle), verdicts_of(vehicle, weighings)
    readings = [
        reading
        for number, weighing in enumerate(weighings)
        for reading in _Scales(vehicle, weighing, number).readings()
    ]
    if not readings:
        return Weighed(prior, prior, MappingProxyType({}), verdicts)
    lower, missed = _expected(prior, readings)
    whitened = forward(lower, missed)
    together = [_together(prior, reading) for reading in readings]
    ties: dict[Ref, tuple[Four, ...]] = {}
    corrected: dict[Ref, Heft] = {}
    for ref, heft in prior.items():
        rates = [reading.rates(ref, heft) for reading in readings]
        rows = [
            forward(lower, [spread * each[at] for each in rates])
            for at, spread in enumerate(own_variances(heft))
        ]
        if heft.guessed_as is not None:
            shared = [heft.mass_sigma_kg * each[heft.guessed_as] for each in together]
            rows[0] = forward(lower, shared)
        change = [fsum(a * b for a, b in zip(row, whitened, strict=True)) for row in rows]
        m, x, y, z = rows
        ties[ref] = tuple(zip(m, x, y, z, strict=True))
        corrected[ref] = _corrected(heft, change, [fsum(e * e for e in row) for row in rows])
    hefts = Hefts(
        MappingProxyType({part: corrected[Ref(f"part:{part}")] for part in prior.parts}),
        MappingProxyType({fluid: corrected[fluid_ref(fluid)] for fluid in prior.fluids}),
    )
    return Weighed(prior, hefts, MappingProxyType(ties), verdicts)


# -- what a weighing says -------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Reading:
    """A sum of loads that statics alone decide: ``plane`` times mass and moments of what stood.

    ``noise`` is what the uncertainty of each scale adds to it [kg], by weighing and scale.
    """

    load_kg: float
    plane: tuple[float, float, float]
    noise: Mapping[tuple[int, str], float]
    there: frozenset[Ref]

    def rates(self, ref: Ref, heft: Heft) -> Four:
        """Give how it grows with the mass of a thing, and with its three moments."""
        if ref not in self.there:
            return 0.0, 0.0, 0.0, 0.0
        total, along, across = self.plane
        return total + along * heft.cg_m[0] + across * heft.cg_m[1], along, across, 0.0


class _Scales:
    """One weighing: the feet it stood on, and the feet under which each load was read."""

    def __init__(self, vehicle: Vehicle, weighing: Weighing, number: int) -> None:
        self.weighing = weighing
        self.number = number
        self.feet: list[tuple[float, float]] = []
        self.under: dict[str, tuple[int, ...]] = {}
        self.is_whole = False
        """Whether all stood on the scales, and nobody knows how far apart these were."""
        self.trouble = self._read(vehicle)
        off, out = set(weighing.off), set(weighing.fluids_out)
        parts = {part_ref(part) for part in vehicle.parts if part not in off}
        fluids = {
            fluid_ref(fluid.id)
            for fluid in vehicle.fluids.values()
            if fluid.id not in out and fluid.part not in off
        }
        self.there = frozenset(parts | fluids)
        """The parts and fluids that stood on the scales."""

    def _read(self, vehicle: Vehicle) -> str:
        """Find feet and scales; give the trouble, if there is one."""
        named, base = self.weighing.loads_kg, vehicle.about.wheelbase_m
        axles = (FRONT_AXLE, REAR_AXLE)
        if base and set(named) <= set(axles):
            self.feet = [(x, y) for x in (0.0, base) for y in (-_HALF_TRACK_M, _HALF_TRACK_M)]
            self.under = {
                axle: (2 * axles.index(axle), 2 * axles.index(axle) + 1) for axle in named
            }
            return ""
        standing = vehicle.standings.get(self.weighing.standing or StandingId(""))
        supports = [each for each in standing.supports if not each.beside] if standing else []
        if not supports and set(named) == set(axles):
            self.is_whole = True
            return ""
        if not supports:
            return "nobody said on which supports it stood, nor the wheelbase"
        self.feet = [each.at_m for each in supports]
        places = {each.id: (at,) for at, each in enumerate(supports)}
        known = {FRONT_AXLE: self._half(0, 1), REAR_AXLE: self._half(0, -1)} | places
        strange = [place for place in named if not known.get(place)]
        if strange:
            return f"it does not stand on {strange[0]} there"
        self.under = {place: known[place] for place in named}
        return ""

    def _half(self, axis: int, sign: int) -> tuple[int, ...]:
        """Name the feet before or behind the middle, or left or right of it."""
        middle = fsum(foot[axis] for foot in self.feet) / len(self.feet)
        return tuple(n for n, foot in enumerate(self.feet) if sign * (middle - foot[axis]) > 0)

    def readings(self) -> list[_Reading]:
        """Give all that statics say of the loads, whatever the stiffness of the feet."""
        if self.is_whole:
            return [self._total()]
        return self._decided({scale: (scale,) for scale in self.under})

    def sums(self) -> Iterator[tuple[str, _Reading]]:
        """Give sums of loads that a person can compare, with their names."""
        if self.is_whole:
            yield "in all", self._total()
            return
        scales = tuple(self.under)
        groups: dict[str, tuple[str, ...]] = {scale: (scale,) for scale in scales}
        for name, half in (
            ("in front", self._half(0, 1)),
            ("behind", self._half(0, -1)),
            ("on the left", self._half(1, 1)),
            ("on the right", self._half(1, -1)),
        ):
            groups[name] = tuple(s for s in scales if set(self.under[s]) <= set(half))
        groups["in all"] = scales
        for name, group in groups.items():
            for reading in self._decided({name: group}) if group else ():
                yield name, reading

    def _total(self) -> _Reading:
        """Give the sum of all loads: the mass of what stood on them, wherever it lies."""
        return self._reading((1.0, 0.0, 0.0), dict.fromkeys(self.weighing.loads_kg, 1.0))

    def _decided(self, groups: Mapping[str, tuple[str, ...]]) -> list[_Reading]:
        """Give the sums of groups of loads that do not depend on how stiff the feet are.

        Such a sum, each group times its d, is known from mass and centre of gravity alone if a
        plane over the floor is d at each foot of a group and nought at every other foot.
        """
        weights = [
            [float(sum(at in self.under[scale] for scale in group)) for group in groups.values()]
            for at, _ in enumerate(self.feet)
        ]
        system = [
            [1.0, x, y, *(-weight for weight in row)]
            for (x, y), row in zip(self.feet, weights, strict=True)
        ]
        found = []
        for vector in null_space(system, 3 + len(groups)):
            if any(vector[3:]):
                shares = {
                    scale: share
                    for share, group in zip(vector[3:], groups.values(), strict=True)
                    for scale in group
                }
                found.append(self._reading((vector[0], vector[1], vector[2]), shares))
        return found

    def _reading(self, plane: tuple[float, float, float], shares: Mapping[str, float]) -> _Reading:
        loads, number = self.weighing.loads_kg, self.number
        return _Reading(
            fsum(share * loads[scale] for scale, share in shares.items()),
            plane,
            {(number, scale): share * self._sigma_kg(scale) for scale, share in shares.items()},
            self.there,
        )

    def _sigma_kg(self, scale: str) -> float:
        said = self.weighing.uncertainty_kg
        sigma = said if said is not None else UNSAID_SHARE * self.weighing.loads_kg[scale]
        return max(LEAST_SCALES_KG, sigma)


def _verdict(prior: Hefts, scales: _Scales) -> Verdict:
    """Compare a weighing with what was described and guessed, sum by sum."""
    if scales.trouble or not scales.readings():
        alone = "these loads alone decide nothing: weigh the supports beside them as well"
        return Verdict(scales.weighing, None, scales.trouble or alone)
    worst: tuple[float, str] = (-1.0, "")
    for name, reading in scales.sums():
        lower, missed = _expected(prior, [reading])
        off_by = abs(missed[0]) / lower[0][0]
        if off_by > worst[0]:
            expected = reading.load_kg - missed[0]
            words = (
                f"{name} {reading.load_kg:.0f} kg, {expected:.0f} ± {2 * lower[0][0]:.0f} expected"
            )
            worst = off_by, words
    off_by, said = worst
    words = (
        f"it contradicts what is described: {said}; read the scales again, or mend a mass"
        if off_by > TOO_FAR
        else said
    )
    if scales.is_whole:
        words = f"{words}; without the wheelbase they tell the mass alone, not where it lies"
    tells_place = any(any(each.plane[1:]) for each in scales.readings())
    return Verdict(scales.weighing, off_by, words, said, tells_place)


# -- least squares --------------------------------------------------------------------------------


def _expected(prior: Hefts, readings: Sequence[_Reading]) -> tuple[list[list[float]], list[float]]:
    """Give the root of the readings' covariance, before they were read, and what was missed."""
    hefts = list(prior.items())
    rates = [[reading.rates(ref, heft) for ref, heft in hefts] for reading in readings]
    spreads = [own_variances(heft) for _, heft in hefts]
    together = [_together(prior, reading) for reading in readings]
    covariance = [
        [
            fsum(
                spread[at] * a[at] * b[at]
                for spread, a, b in zip(spreads, ones, others, strict=True)
                for at in range(3)
            )
            + fsum(off * shared[kind] for kind, off in one_together.items())
            + fsum(share * other.noise.get(key, 0.0) for key, share in one.noise.items())
            for other, others, shared in zip(readings, rates, together, strict=True)
        ]
        for one, ones, one_together in zip(readings, rates, together, strict=True)
    ]
    missed = [
        reading.load_kg
        - fsum(each[0] * heft.mass_kg for each, (_, heft) in zip(row, hefts, strict=True))
        for reading, row in zip(readings, rates, strict=True)
    ]
    return cholesky(covariance), missed


def variances(heft: Heft) -> Four:
    """Give the variances of a thing's unknowns: its mass, and the moments it may be off by."""
    x, y, z = ((heft.mass_kg * sigma) ** 2 for sigma in heft.cg_sigma_m)
    return heft.mass_sigma_kg**2, x, y, z


def own_variances(heft: Heft) -> Four:
    """Give what of them is its own: of a guessed mass nothing, as its kind is off together."""
    mass, x, y, z = variances(heft)
    return 0.0 if heft.guessed else mass, x, y, z


def _together(prior: Hefts, reading: _Reading) -> Mapping[PartKind, float]:
    """Give what one standard uncertainty of each kind's usual mass adds to a reading [kg]."""
    found = dict.fromkeys(PartKind, 0.0)
    for ref, heft in prior.items():
        if heft.guessed_as is not None:
            found[heft.guessed_as] += heft.mass_sigma_kg * reading.rates(ref, heft)[0]
    return found


def _corrected(heft: Heft, change: Sequence[float], less: Sequence[float]) -> Heft:
    """Give a thing's mass and place after the change, and what is left of their uncertainty."""
    left = [sqrt(max(0.0, was - gone)) for was, gone in zip(variances(heft), less, strict=True)]
    mass = heft.mass_kg + change[0]
    if mass <= 0:  # a weighing that contradicts so much has its verdict
        return replace(heft, mass_kg=0.0, mass_sigma_kg=left[0])
    x, y, z = (at + moved / mass for at, moved in zip(heft.cg_m, change[1:], strict=True))
    sx, sy, sz = (each / mass for each in left[1:])
    return replace(
        heft, mass_kg=mass, cg_m=(x, y, z), mass_sigma_kg=left[0], cg_sigma_m=(sx, sy, sz)
    )
