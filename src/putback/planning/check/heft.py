"""What parts and fluids weigh and where they lie, for the checker: read from the rules alone.

Weighings are taken in by conjugate gradients on the normal equations (Hestenes and Stiefel 1952),
with the loads that statics leave open projected out (Gram and Schmidt). What the usual mass of a
kind is off by is one unknown for all parts guessed by it. `docs/numbers-balance.md`
has the words; the planners solve them otherwise.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from math import sqrt
from statistics import mean, median, stdev

from putback.logbook.state import Weighing
from putback.vehicle import masses as conventions
from putback.vehicle.ids import FluidId, PartId, StandingId
from putback.vehicle.part import Part, PartKind
from putback.vehicle.vehicle import Vehicle

_SMALL = 1e-9
_LEAST_SCALES_KG, _UNSAID_SHARE = 0.1, 0.02
_AXLES = ("front axle", "rear axle")

Vector = list[float]


@dataclass(slots=True)
class Thing:
    """A part or a fluid: mass [kg], place [m], and how far each may be out."""

    mass: float
    at: Vector
    mass_sigma: float
    at_sigma: Vector
    usual: PartKind | None = None
    """The kind by which its mass is guessed, where nobody knows it."""
    change: Vector = field(default_factory=lambda: [0.0, 0.0, 0.0])
    """What the weighings add to its mass, and to its moments along x and y."""

    @property
    def corrected(self) -> tuple[float, Vector]:
        """Its mass after the weighings, and its place."""
        mass = self.mass + self.change[0]
        if mass <= 0:
            return 0.0, self.at
        x, y, z = self.at
        return mass, [x + self.change[1] / mass, y + self.change[2] / mass, z]


class Things:
    """All parts and fluids of a vehicle, with the weighings taken in."""

    def __init__(self, vehicle: Vehicle, weighings: Sequence[Weighing]) -> None:
        self.vehicle = vehicle
        self.parts = {part.id: self._part(part) for part in vehicle.parts.values()}
        self.fluids = {
            fluid.id: Thing(
                fluid.mass_kg,
                list(fluid.cg_m or self.parts[fluid.part].at),
                fluid.mass_kg * conventions.DESCRIBED_SHARE,
                [conventions.DESCRIBED_PLACE_M] * 3
                if fluid.cg_m
                else self.parts[fluid.part].at_sigma,
            )
            for fluid in vehicle.fluids.values()
            if fluid.part in self.parts
        }
        rows = [row for weighing in weighings for row in self._rows(weighing)]
        if rows:
            self._take_in(rows)

    def _part(self, part: Part) -> Thing:
        own = conventions.DESCRIBED_PLACE_M
        mass, share, usual = part.mass_kg, conventions.DESCRIBED_SHARE, None
        if mass is None:
            mass, share = self._usual(part) * part.quantity, conventions.GUESSED_SHARE
            usual = part.kind
        if part.cg_m is not None:
            return Thing(mass, list(part.cg_m), mass * share, [own] * 3, usual)
        everywhere = [p.cg_m for p in self.vehicle.parts.values() if p.cg_m is not None]
        near = [
            p.cg_m
            for p in self.vehicle.parts.values()
            if p.cg_m is not None and p.zone == part.zone
        ]
        known = near or everywhere
        spread = next((each for each in (near, everywhere) if len(each) > 1), [])
        return Thing(
            mass,
            [mean(at[axis] for at in known) for axis in range(3)] if known else [0.0] * 3,
            mass * share,
            [max(own, stdev(at[axis] for at in spread)) for axis in range(3)]
            if spread
            else [conventions.UNKNOWN_PLACE_M] * 3,
            usual,
        )

    def _usual(self, part: Part) -> float:
        known = [
            p.mass_kg / p.quantity
            for p in self.vehicle.parts.values()
            if p.kind is part.kind and p.mass_kg
        ]
        enough = len(known) >= conventions.ENOUGH_TO_JUDGE
        return median(known) if enough else conventions.USUAL_MASS_KG[part.kind]

    # -- weighings ----------------------------------------------------------------------------

    def _rows(self, weighing: Weighing) -> Iterator[tuple[float, Vector, set[PartId | FluidId]]]:
        """Give what a weighing says of total mass and moments: a load, their factors, what stood.

        Each row is divided by its own uncertainty; the rows of one weighing do not go together.
        """
        feet, under = self._feet(weighing)
        if not feet and sorted(weighing.loads_kg) == sorted(_AXLES):
            total = sum(weighing.loads_kg.values())
            doubt = sqrt(
                sum(
                    max(_LEAST_SCALES_KG, self._sigma(weighing, axle)) ** 2
                    for axle in weighing.loads_kg
                )
            )
            yield total / doubt, [1 / doubt, 0.0, 0.0], self._there(weighing)
        if not feet or any(not feet_of for feet_of in under.values()):
            return
        names = list(under)
        weights = [1 / max(_LEAST_SCALES_KG, self._sigma(weighing, name)) for name in names]
        read = [weighing.loads_kg[name] * w for name, w in zip(names, weights, strict=True)]
        sums = [
            [w * (at in under[name]) for at in range(len(feet))]
            for name, w in zip(names, weights, strict=True)
        ]
        planes = _orthonormal([[1.0] * len(feet), [x for x, _ in feet], [y for _, y in feet]])
        free = _complement(planes, len(feet))
        least = _SMALL * max(sqrt(_dot(row, row)) for row in sums)
        hidden = _orthonormal([[_dot(row, way) for row in sums] for way in free], least)
        there = self._there(weighing)
        for way in _complement(hidden, len(names)):
            by_foot = [_dot(way, [row[at] for row in sums]) for at in range(len(feet))]
            plane = _plane_through(feet, by_foot)
            yield _dot(way, read), plane, there

    def _there(self, weighing: Weighing) -> set[PartId | FluidId]:
        """What stood on the scales."""
        off, out = set(weighing.off), set(weighing.fluids_out)
        there: set[PartId | FluidId] = {part for part in self.parts if part not in off}
        there |= {
            fluid
            for fluid in self.fluids
            if fluid not in out and self.vehicle.fluids[fluid].part not in off
        }
        return there

    def _sigma(self, weighing: Weighing, name: str) -> float:
        said = weighing.uncertainty_kg
        return said if said is not None else _UNSAID_SHARE * weighing.loads_kg[name]

    def _feet(self, weighing: Weighing) -> tuple[list[tuple[float, float]], dict[str, list[int]]]:
        base = self.vehicle.about.wheelbase_m
        if base and all(name in _AXLES for name in weighing.loads_kg):
            feet = [(0.0, -1.0), (0.0, 1.0), (base, -1.0), (base, 1.0)]
            axles = {_AXLES[0]: [0, 1], _AXLES[1]: [2, 3]}
            return feet, {name: axles[name] for name in weighing.loads_kg}
        record = self.vehicle.standings.get(weighing.standing or StandingId(""))
        supports = [each for each in record.supports if not each.beside] if record else []
        if not supports:
            return [], {}
        feet = [each.at_m for each in supports]
        middle = mean(x for x, _ in feet)
        under = {each.id: [at] for at, each in enumerate(supports)}
        found: dict[str, list[int]] = {}
        for name in weighing.loads_kg:
            if name in under:
                found[name] = under[next(each.id for each in supports if each.id == name)]
            else:
                side = {_AXLES[0]: -1, _AXLES[1]: 1}.get(name, 0)
                found[name] = [at for at, (x, _) in enumerate(feet) if side * (x - middle) > 0]
        return feet, found

    def _take_in(self, rows: list[tuple[float, Vector, set[PartId | FluidId]]]) -> None:
        """Solve for the changes, in units of each unknown's uncertainty."""
        things = [*self.parts.items(), *self.fluids.items()]
        column: dict[int | PartKind, int] = {}
        mass_at = [
            column.setdefault(at if thing.usual is None else thing.usual, len(column))
            for at, (_, thing) in enumerate(things)
        ]
        places = len(column)
        width = places + 2 * len(things)
        matrix: list[Vector] = []
        missed: Vector = []
        for load, (total, along, across), there in rows:
            row = [0.0] * width
            for at, (name, thing) in enumerate(things):
                if name in there:
                    here = total + along * thing.at[0] + across * thing.at[1]
                    load -= here * thing.mass
                    row[mass_at[at]] += here * thing.mass_sigma
                    row[places + 2 * at] = along * thing.mass * thing.at_sigma[0]
                    row[places + 2 * at + 1] = across * thing.mass * thing.at_sigma[1]
            matrix.append(row)
            missed.append(load)
        found = _conjugate_gradients(matrix, missed)
        for at, (_, thing) in enumerate(things):
            x, y = found[places + 2 * at : places + 2 * at + 2]
            thing.change = [
                found[mass_at[at]] * thing.mass_sigma,
                x * thing.mass * thing.at_sigma[0],
                y * thing.mass * thing.at_sigma[1],
            ]


def _conjugate_gradients(matrix: list[Vector], right: Vector) -> Vector:
    """Find x of the least x·x + (M·x - right)², in as many steps as there are rows, and some."""
    x = [0.0] * len(matrix[0])
    rest = _back(matrix, right)
    way, size = rest, _dot(rest, rest)
    first = size
    for _ in range(4 * len(matrix) + 8):
        if size <= 1e-26 * first or not size:
            break
        image = [_dot(row, way) for row in matrix]
        bent = [a + b for a, b in zip(way, _back(matrix, image), strict=True)]
        far = size / _dot(way, bent)
        x = [a + far * b for a, b in zip(x, way, strict=True)]
        rest = [a - far * b for a, b in zip(rest, bent, strict=True)]
        was, size = size, _dot(rest, rest)
        way = [a + size / was * b for a, b in zip(rest, way, strict=True)]
    return x


def _back(matrix: list[Vector], vector: Vector) -> Vector:
    """Multiply by the matrix turned over."""
    total = [0.0] * len(matrix[0])
    for row, value in zip(matrix, vector, strict=True):
        total = [a + value * b for a, b in zip(total, row, strict=True)]
    return total


def _plane_through(feet: list[tuple[float, float]], values: Vector) -> Vector:
    """Find a, b and c so that a + b·x + c·y is nearest the values at the feet."""
    rows = [[1.0, x, y] for x, y in feet]
    return solve(
        [
            [sum(row[i] * row[j] for row in rows) for j in range(3)]
            + [sum(row[i] * value for row, value in zip(rows, values, strict=True))]
            for i in range(3)
        ]
    )


def solve(augmented: list[Vector]) -> Vector:
    """Solve equations, each with its right side last, by Gauss; an undecided unknown is nought."""
    rows = [row[:] for row in augmented]
    count = len(rows)
    largest = max((abs(value) for row in rows for value in row[:-1]), default=0.0)
    at = 0
    pivots: list[int] = []
    for column in range(count):
        best = max(range(at, count), key=lambda row: abs(rows[row][column]), default=at)
        if at >= count or abs(rows[best][column]) <= _SMALL * largest:
            continue
        rows[at], rows[best] = rows[best], rows[at]
        for other in range(count):
            if other != at:
                share = rows[other][column] / rows[at][column]
                rows[other] = [a - share * b for a, b in zip(rows[other], rows[at], strict=True)]
        pivots.append(column)
        at += 1
    found = [0.0] * count
    for row, column in enumerate(pivots):
        found[column] = rows[row][-1] / rows[row][column]
    return found


def _orthonormal(vectors: list[Vector], least: float = _SMALL) -> list[Vector]:
    """Give unit vectors at right angles that span the same (Gram and Schmidt, done twice)."""
    found: list[Vector] = []
    for vector in vectors:
        left = _without(_without(vector, found), found)
        length = sqrt(_dot(left, left))
        if length > max(least, 1e-7 * sqrt(_dot(vector, vector))):
            found.append([value / length for value in left])
    return found


def _complement(basis: list[Vector], count: int) -> list[Vector]:
    """Give unit vectors at right angles to a basis and to each other, that fill up the space."""
    found: list[Vector] = []
    for at in range(count):
        unit = [float(other == at) for other in range(count)]
        left = _without(_without(unit, [*basis, *found]), [*basis, *found])
        length = sqrt(_dot(left, left))
        if length > 1e-6:
            found.append([value / length for value in left])
    return found


def _without(vector: Vector, basis: list[Vector]) -> Vector:
    """Take away what a vector has along each of a basis."""
    for other in basis:
        share = _dot(vector, other)
        vector = [a - share * b for a, b in zip(vector, other, strict=True)]
    return vector


def _dot(one: Vector, other: Vector) -> float:
    return sum(a * b for a, b in zip(one, other, strict=True))
