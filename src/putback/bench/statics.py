"""Statics of a vehicle at rest: its centre of gravity, its tipping margin, what each foot carries.

Pure formulas; ``docs/numbers-balance.md`` names their sources and limits.
"""

from collections.abc import Iterable, Iterator, Sequence
from itertools import combinations, pairwise
from math import fsum, hypot
from typing import NamedTuple

LEAST_MARGIN_M = 0.10
"""How far inside its supports the centre of gravity stays [m]; a convention of this project."""

ROUNDING = 1e-9
"""Below this a length [m], an area [m²] or a share of the weight [-] is rounding."""

Place = tuple[float, float]
"""A point of the floor: x rearwards, y to the right [m]."""

Point = tuple[float, float, float]
"""A point of the vehicle: x rearwards, y to the right, z up [m]."""

Weight = tuple[float, Point]
"""A mass [kg] and where it lies [m]."""

_Plane = tuple[float, float, float]
"""a, b and c of the share a + b·x + c·y of the weight at each foot."""


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
    return Feet(feet).margin_m(above)


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
    return Feet(feet).loads_kg(mass_kg, above)


class Edge(NamedTuple):
    """An edge of the polygon round some feet, from ``a`` to ``b`` with the inside on the left."""

    a: Place
    b: Place
    length_m: float

    def inside_m(self, of: Place) -> float:
        """Give how far a point is on the inner side of its line, negative outside [m]."""
        return _turn(self.a, self.b, of) / self.length_m


class Feet:
    """Where supports stand [m], read once and then asked for many centres of gravity."""

    __slots__ = ("_edges", "_sharings", "_todo", "is_flat", "places")

    def __init__(self, places: Sequence[Place]) -> None:
        """Find the polygon round them; one place at least."""
        self.places = tuple(places)
        corners = _hull(self.places)
        self.is_flat = len(corners) < 3
        """Whether they stand in a line or a point, and so hold nothing."""
        self._edges = [
            Edge(a, b, hypot(b[0] - a[0], b[1] - a[1]))
            for a, b in pairwise([*corners, corners[0]])
        ]
        self._sharings: list[_Sharing] = []
        self._todo = _sharings_of(self.places)

    @property
    def edges(self) -> tuple[Edge, ...]:
        """The edges of the polygon; none where the feet stand in a line or a point."""
        return () if self.is_flat else tuple(self._edges)

    def margin_m(self, above: Place) -> float:
        """Give the distance to the nearest edge, negative outside [m]."""
        return self.nearest_edge(above)[0]

    def nearest_edge(self, above: Place) -> tuple[float, Place, Place]:
        """Give the margin [m], and the edge it is measured to."""
        if not self.is_flat:
            inside = min((_turn(a, b, above) / length, a, b) for a, b, length in self._edges)
            if inside[0] >= 0:
                return inside
        out, a, b = min((_distance(above, a, b), a, b) for a, b, _ in self._edges)
        return -out, a, b

    def loads_kg(self, mass_kg: float, above: Place) -> tuple[float, ...]:
        """Share a weight among them; nothing if they cannot hold it [kg]."""
        found = self._pressing(above)
        return tuple(max(0.0, share) * mass_kg for share in found[1]) if found else ()

    def load_rates(self, above: Place) -> tuple[tuple[float, float, float], ...]:
        """Say how the load of each grows with the mass [-] and with its moments [1/m].

        As long as the same feet press: in small, a load is a plain sum of the three.
        """
        found = self._pressing(above)
        if found is None:
            return ()
        sharing = found[0]
        at_origin, along, across = map(sharing.plane, ((0.0, 0.0), (1.0, 0.0), (0.0, 1.0)))
        rates = []
        for number, (x, y) in enumerate(self.places):
            own, by_x, by_y = (a + b * x + c * y for a, b, c in (at_origin, along, across))
            presses = number in sharing.standing
            rates.append((own, by_x - own, by_y - own) if presses else (0.0, 0.0, 0.0))
        return tuple(rates)

    def _pressing(self, above: Place) -> "tuple[_Sharing, list[float]] | None":
        """Find the feet that press, and the share at each foot; none if it is outside them."""
        for sharing in self._each_sharing():
            a, b, c = sharing.plane(above)
            shares = [a + b * x + c * y for x, y in self.places]
            pressing = tuple(at for at, share in enumerate(shares) if share >= -ROUNDING)
            if pressing == sharing.standing:  # the frame has risen off the others
                return sharing, shares
        return None

    def _each_sharing(self) -> "Iterator[_Sharing]":
        """Go through the sets of feet that may carry it, the larger first."""
        yield from self._sharings
        for sharing in self._todo:
            self._sharings.append(sharing)
            yield sharing


class _Sharing:
    """A set of feet that carry all of it: the plane of their loads, for any centre of gravity."""

    __slots__ = ("count", "det", "middle", "standing", "xx", "xy", "yy")

    def __init__(self, standing: tuple[int, ...], places: Sequence[Place]) -> None:
        self.standing = standing
        self.count = len(places)
        self.middle = middle = (
            fsum(x for x, _ in places) / self.count,
            fsum(y for _, y in places) / self.count,
        )
        spread = [(x - middle[0], y - middle[1]) for x, y in places]
        self.xx = fsum(x * x for x, _ in spread)
        self.xy = fsum(x * y for x, y in spread)
        self.yy = fsum(y * y for _, y in spread)
        self.det = self.xx * self.yy - self.xy * self.xy

    @property
    def is_flat(self) -> bool:
        """Whether they are in a line."""
        return self.det <= ROUNDING * (self.xx + self.yy) ** 2

    def plane(self, above: Place) -> _Plane:
        """Give the share of the weight at each foot as a plane over the floor."""
        x, y = above[0] - self.middle[0], above[1] - self.middle[1]
        along = (self.yy * x - self.xy * y) / self.det
        across = (self.xx * y - self.xy * x) / self.det
        at_origin = 1 / self.count - along * self.middle[0] - across * self.middle[1]
        return at_origin, along, across


def _sharings_of(places: Sequence[Place]) -> Iterator[_Sharing]:
    for count in range(len(places), 2, -1):
        for standing in combinations(range(len(places)), count):
            sharing = _Sharing(standing, [places[at] for at in standing])
            if not sharing.is_flat:
                yield sharing


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
