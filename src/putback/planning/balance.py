"""Balance: what is still on, where its weight lies, and how far the vehicle is from tipping.

Pure sums over points. The formulas, their source and their limits are in
``docs/numbers-balance.md``; figures of a worked example check them.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise
from math import fsum, hypot
from statistics import median

from putback.logbook.state import State
from putback.planning.known import is_fluid_out
from putback.vehicle.ids import FluidId, PartId, StandingId, SupportId, ZoneId
from putback.vehicle.part import Part, PartKind, Point
from putback.vehicle.standing import Standing
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

_NOTHING = 1e-9
"""Below this a length [m], an area [m²] or a share of the weight [-] is rounding."""

Place = tuple[float, float]
"""A point of the floor: x rearwards, y to the right [m]."""

Weight = tuple[float, Point]
"""A mass [kg] and where it lies [m]."""


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
    guess = _Guess(vehicle)
    on = [part for part in vehicle.parts.values() if part.id not in off]
    weights = [(guess.mass_kg(part), guess.cg_m(part)) for part in on]
    for fluid in vehicle.fluids.values():
        holder = vehicle.parts.get(fluid.part)
        if holder is not None and holder.id not in off and fluid.id not in out:
            weights.append((fluid.mass_kg, fluid.cg_m or guess.cg_m(holder)))
    mass_kg, cg_m = centre(weights)
    supports = [each for each in standing.supports if not each.beside] if standing else []
    margin: float | None = None
    loads: tuple[SupportLoad, ...] = ()
    if cg_m is not None and supports:
        above, feet = cg_m[:2], [each.at_m for each in supports]
        margin = margin_m(above, feet)
        loads = tuple(
            SupportLoad(each.id, load, each.rating_kg)
            for each, load in zip(supports, loads_kg(mass_kg, above, feet), strict=False)
        )
    base = vehicle.about.wheelbase_m
    return Balance(
        mass_kg=mass_kg,
        cg_m=cg_m,
        front_share=1 - cg_m[0] / base if cg_m is not None and base else None,
        loads=loads,
        margin_m=margin,
        guessed=tuple(part.id for part in on if part.mass_kg is None),
        placed=tuple(part.id for part in on if part.cg_m is None and part.mass_kg != 0),
    )


def fluids_out(vehicle: Vehicle, state: State) -> frozenset[FluidId]:
    """Give the fluids that are drained, or whose draining job is done, and not filled since."""
    return frozenset(fluid for fluid in vehicle.fluids if is_fluid_out(vehicle, state, fluid))


# -- formulas -------------------------------------------------------------------------------------


def centre(weights: Iterable[Weight]) -> tuple[float, Point | None]:
    """Add up masses, and find their centre of gravity.

    Returns
    -------
    tuple of float and Point or None
        Their mass, [kg], and its centre, [m]; ``None`` if there is none.
    """
    known = [(mass, at) for mass, at in weights if mass > 0]
    mass_kg = fsum(mass for mass, _ in known)
    if not known:
        return 0.0, None
    x, y, z = (fsum(mass * at[axis] for mass, at in known) / mass_kg for axis in range(3))
    return mass_kg, (x, y, z)


def margin_m(above: Place, feet: Sequence[Place]) -> float:
    """Measure how far a point of the floor is inside the polygon of the feet.

    Parameters
    ----------
    above : Place
        The point under the centre of gravity, [m].
    feet : sequence of Place
        Where the supports stand, one at least, [m].

    Returns
    -------
    float
        Distance to the nearest edge, negative outside, and on a line or a point, [m].
    """
    corners = _hull(feet)
    edges = list(pairwise([*corners, corners[0]]))
    nearest = min(_distance(above, a, b) for a, b in edges)
    inside = len(corners) > 2 and all(_turn(a, b, above) >= 0 for a, b in edges)
    return nearest if inside else -nearest


def loads_kg(mass_kg: float, above: Place, feet: Sequence[Place]) -> tuple[float, ...]:
    """Share a weight among feet as a rigid frame on equally stiff feet does; none can pull.

    Parameters
    ----------
    mass_kg : float
        What stands on the feet, [kg].
    above : Place
        The point under its centre of gravity, [m].
    feet : sequence of Place
        Where they stand, [m].

    Returns
    -------
    tuple of float
        What each carries, [kg]; empty if they cannot hold it.
    """
    for count in range(len(feet), 2, -1):
        for standing in combinations(range(len(feet)), count):
            plane = _plane(above, [feet[index] for index in standing])
            if plane is None:
                continue
            shares = [plane[0] + plane[1] * x + plane[2] * y for x, y in feet]
            pressing = tuple(at for at, share in enumerate(shares) if share >= -_NOTHING)
            if pressing == standing:  # the frame has risen off the others
                return tuple(max(0.0, share) * mass_kg for share in shares)
    return ()


def _plane(above: Place, feet: Sequence[Place]) -> tuple[float, float, float] | None:
    """Find a + b·x + c·y, the share of the weight at each foot; nothing if they are in a line."""
    count = len(feet)
    middle_x, middle_y = (fsum(foot[axis] for foot in feet) / count for axis in (0, 1))
    from_middle = [(x - middle_x, y - middle_y) for x, y in feet]
    xx = fsum(x * x for x, _ in from_middle)
    xy = fsum(x * y for x, y in from_middle)
    yy = fsum(y * y for _, y in from_middle)
    det = xx * yy - xy * xy
    if det <= _NOTHING * (xx + yy) ** 2:
        return None
    x, y = above[0] - middle_x, above[1] - middle_y
    slope_x, slope_y = (yy * x - xy * y) / det, (xx * y - xy * x) / det
    return 1 / count - slope_x * middle_x - slope_y * middle_y, slope_x, slope_y


def _hull(points: Iterable[Place]) -> list[Place]:
    """Give the corners of the polygon round points, turning from x to y (Andrew 1979)."""
    ordered = sorted(set(points))
    corners: list[Place] = []
    for row in (ordered, ordered[::-1]):
        side: list[Place] = []
        for point in row:
            while len(side) > 1 and _turn(side[-2], side[-1], point) <= 0:
                side.pop()
            side.append(point)
        corners += side[:-1]
    return corners or ordered


def _turn(a: Place, b: Place, point: Place) -> float:
    """Twice the area of the triangle: positive where the way a, b, point turns from x to y."""
    return (b[0] - a[0]) * (point[1] - a[1]) - (b[1] - a[1]) * (point[0] - a[0])


def _distance(point: Place, a: Place, b: Place) -> float:
    """From a point to a stretch of line [m]."""
    along = (b[0] - a[0], b[1] - a[1])
    length = along[0] ** 2 + along[1] ** 2
    to = (point[0] - a[0], point[1] - a[1])
    share = (to[0] * along[0] + to[1] * along[1]) / length if length else 0.0
    share = min(1.0, max(0.0, share))
    return hypot(to[0] - share * along[0], to[1] - share * along[1])


class _Guess:
    """What stands for a mass or a place that nobody knows."""

    def __init__(self, vehicle: Vehicle) -> None:
        masses: dict[PartKind, list[float]] = {}
        places: dict[ZoneId | None, list[Weight]] = {}
        for part in vehicle.parts.values():
            if part.mass_kg:
                masses.setdefault(part.kind, []).append(part.mass_kg / part.quantity)
            if part.cg_m is not None:
                for where in (part.zone, None):
                    places.setdefault(where, []).append((1.0, part.cg_m))
        self._each_kg = dict(USUAL_MASS_KG) | {
            kind: median(known) for kind, known in masses.items() if len(known) >= ENOUGH_TO_JUDGE
        }
        self._middle_m = {where: centre(known)[1] for where, known in places.items()}

    def mass_kg(self, part: Part) -> float:
        """Give its mass if known, else what others of its kind weigh [kg]."""
        if part.mass_kg is not None:
            return part.mass_kg
        return self._each_kg[part.kind] * part.quantity

    def cg_m(self, part: Part) -> Point:
        """Give its place if known, else the middle of its zone, else of the vehicle [m]."""
        middle = self._middle_m.get(part.zone) or self._middle_m.get(None) or (0.0, 0.0, 0.0)
        return part.cg_m or middle
