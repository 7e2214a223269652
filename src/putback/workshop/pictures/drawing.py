"""The vehicle drawn: from the left and from above, each part where it is, as far as that is known.

A pure function of the state. It gives shapes in units of a hundredth of a metre, in the axes of an
SVG (x to the right, y down): the front is at the left of both views. From above, the vehicle's
right is at the top, as for somebody who stands at its left and looks down on it.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from putback.logbook.state import State
from putback.planning.balance import Balance, balance
from putback.vehicle.ids import NO_ZONE, PartId, StandingId, part_ref
from putback.vehicle.part import Outline, Part, Point, Side
from putback.vehicle.standing import Support
from putback.workshop.things.condition import Condition, condition_of
from putback.workshop.things.parts_list import ListedPart

UNITS_A_METRE = 100.0
FIT = 10.0
"""Edge of the square that stands for something fitted for now [hundredths of a metre]."""
MARGIN = 18.0
"""Around everything [hundredths of a metre]."""

Place = tuple[float, float]
"""x and y of the drawing [hundredths of a metre]."""


class View(StrEnum):
    """From where one looks."""

    SIDE = "side"  # from the left
    PLAN = "plan"  # from above


@dataclass(frozen=True, slots=True)
class Shape:
    """One part: its outline, or a dot where only its place is known; [hundredths of a metre]."""

    part: PartId
    name: str
    condition: Condition
    middle: Place
    outline: tuple[Place, ...] = ()

    @property
    def label(self) -> str:
        """What it is and what became of it, in words."""
        return f"{self.name}, {self.condition}"

    @property
    def look(self) -> str:
        """What became of it, in one word, for its fill and line."""
        return self.condition.name.lower()

    @property
    def x(self) -> str:
        """Its middle as SVG writes it."""
        return f"{self.middle[0]:.1f}"

    @property
    def y(self) -> str:
        """Its middle as SVG writes it."""
        return f"{self.middle[1]:.1f}"

    @property
    def points(self) -> str:
        """The outline as SVG writes it; empty for a dot."""
        return written(self.outline)

    @property
    def tick(self) -> str:
        """A tick in its middle, as SVG writes a line."""
        x, y = self.middle
        return written(((x - 5, y), (x - 1.5, y + 4), (x + 5, y - 5)))

    @property
    def cross(self) -> str:
        """A line across its middle, as SVG writes it."""
        x, y = self.middle
        return written(((x - 6, y + 6), (x + 6, y - 6)))


@dataclass(frozen=True, slots=True)
class Fit:
    """Something temporary that is fitted; where it is [hundredths of a metre]."""

    what: str
    middle: Place

    @property
    def left(self) -> float:
        """Left edge of its square [hundredths of a metre]."""
        return round(self.middle[0] - FIT / 2, 1)

    @property
    def top(self) -> float:
        """Upper edge of its square [hundredths of a metre]."""
        return round(self.middle[1] - FIT / 2, 1)


@dataclass(frozen=True, slots=True)
class Stand:
    """A support of the present standing, and what it carries."""

    name: str
    middle: Place
    outline: tuple[Place, ...]
    load: str
    """In words; empty where nobody can say."""
    is_over: bool = False
    """It carries more than it may, or nothing at all."""

    @property
    def label_y(self) -> float:
        """Where its load is written: outside of it [hundredths of a metre]."""
        y = self.middle[1]
        return y - 12 if y < 0 else y + 22

    @property
    def points(self) -> str:
        """The outline as SVG writes it."""
        return written(self.outline)


@dataclass(frozen=True, slots=True)
class Drawing:
    """One view; the largest shapes first, so that the small lie on top of them."""

    view: View
    box: tuple[float, float, float, float]
    """x, y, width and height of what is drawn [hundredths of a metre]."""
    shapes: tuple[Shape, ...]
    fits: tuple[Fit, ...]
    stands: tuple[Stand, ...]
    footprint: tuple[Place, ...]
    """From above: the supports that carry it, going round."""
    weight_at: Place | None
    """Where the centre of gravity is."""

    @property
    def view_box(self) -> str:
        """The box as SVG writes it."""
        return " ".join(f"{each:.1f}" for each in self.box)

    @property
    def footprint_points(self) -> str:
        """The footprint as SVG writes it."""
        return written(self.footprint)

    @property
    def bottom(self) -> float:
        """The lower edge [hundredths of a metre]."""
        return self.box[1] + self.box[3]

    @property
    def right(self) -> float:
        """The right edge [hundredths of a metre]."""
        return self.box[0] + self.box[2]


@dataclass(frozen=True, slots=True)
class Drawn:
    """Both views, and the balance that they show; no view where no part has a place."""

    views: tuple[Drawing, ...]
    stands: tuple[Stand, ...]
    """As from above."""
    balance: Balance
    standing: StandingId | None
    placeless: int
    """Parts of which nobody knows where they are: they are in the list alone."""


@dataclass(frozen=True, slots=True)
class ZoneParts:
    """The parts of one zone, by name."""

    zone: str
    parts: tuple[ListedPart, ...]


def by_zone(parts: Iterable[ListedPart]) -> tuple[ZoneParts, ...]:
    """Sort listed parts into their zones; what has none comes last."""
    zones: dict[str, list[ListedPart]] = {}
    for part in sorted(parts, key=lambda each: each.name):
        zones.setdefault(part.zone or NO_ZONE, []).append(part)
    ordered = sorted(zones, key=lambda zone: (zone == NO_ZONE, zone))
    return tuple(ZoneParts(zone, tuple(zones[zone])) for zone in ordered)


def draw(state: State) -> Drawn:
    """Draw the vehicle as it is now."""
    stood = state.standing.standing
    found = balance(state.vehicle, state, stood)
    views = tuple(each for view in View if (each := _view(state, view, found)) is not None)
    seen = {shape.part for drawing in views for shape in drawing.shapes}
    stands = tuple(_stands(state, View.PLAN, found))
    return Drawn(views, stands, found, stood, len(state.vehicle.parts.keys() - seen))


def written(points: Iterable[Place]) -> str:
    """Write points as SVG does."""
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in points)


def _view(state: State, view: View, found: Balance) -> Drawing | None:
    shapes = [
        shape
        for part in state.vehicle.parts.values()
        if (shape := _shape(state, part, view)) is not None
    ]
    if not shapes:
        return None
    by_id = state.vehicle.parts

    def depth(shape: Shape) -> tuple[float, bool]:
        """Large ones lie beneath; from the left, what is on the right beneath its like."""
        far = view is View.SIDE and by_id[shape.part].side is Side.RIGHT
        return -_area(shape.outline), not far

    shapes.sort(key=depth)
    stands = tuple(_stands(state, view, found))
    weight_at = _flat(found.cg_m, view) if found.cg_m is not None else None
    points = [point for each in shapes for point in (each.outline or (each.middle,))]
    points += [point for each in stands for point in each.outline]
    points += [weight_at] if weight_at else []
    points += [(shapes[0].middle[0], 0.0)] if view is View.SIDE else []
    return Drawing(
        view=view,
        box=_box(points),
        shapes=tuple(shapes),
        fits=tuple(_fits(state, shapes)),
        stands=stands,
        footprint=_around([s.middle for s in stands if s.load]) if view is View.PLAN else (),
        weight_at=weight_at,
    )


def _flat(at: Point, view: View) -> Place:
    x, y, z = (UNITS_A_METRE * each for each in at)
    return (x, -z) if view is View.SIDE else (x, -y)


def _shape(state: State, part: Part, view: View) -> Shape | None:
    drawn: Outline = part.outline_side if view is View.SIDE else part.outline_plan
    outline = tuple((UNITS_A_METRE * x, -UNITS_A_METRE * up) for x, up in drawn)
    if len(outline) < 3 and part.cg_m is None:
        return None
    middle = _middle(outline) if len(outline) >= 3 else _flat(part.cg_m or (0, 0, 0), view)
    condition = condition_of(state, part.id)
    name = state.name_of(part_ref(part.id))
    return Shape(part.id, name, condition, middle, outline if len(outline) >= 3 else ())


def _fits(state: State, shapes: Sequence[Shape]) -> Iterator[Fit]:
    """Give what is fitted for now, at the part that it is on."""
    at: Mapping[str, Place] = {part_ref(each.part): each.middle for each in shapes}
    for fit in state.fits.values():
        if fit.off is None and fit.on is not None and fit.on in at:
            yield Fit(fit.what or fit.fit, at[fit.on])


def _stands(state: State, view: View, found: Balance) -> Iterator[Stand]:
    stood = state.standing.standing
    record = state.vehicle.standings.get(stood) if stood else None
    loads = {each.support: each for each in found.loads}
    for support in record.supports if record else ():
        if support.beside:
            continue
        load = loads.get(support.id)
        name = f"{support.kind} under {state.name_of(part_ref(support.bears_on))}"
        x, y = (UNITS_A_METRE * each for each in support.at_m)
        outline = _foot(state, support, x) if view is View.SIDE else _square(x, -y)
        yield Stand(
            name=name,
            middle=(x, 0.0 if view is View.SIDE else -y),
            outline=outline,
            load=f"{load.load_kg:.0f} kg" if load else "",
            is_over=support.id in (*found.overloaded, *found.loose),
        )


def _foot(state: State, support: Support, x: float) -> tuple[Place, ...]:
    """A support from the left: from the ground up to the part that it bears on."""
    part = state.vehicle.parts.get(support.bears_on)
    heights = [z for _, z in part.outline_side] if part else []
    top = max(UNITS_A_METRE * min(heights), 6.0) if heights else 20.0
    return ((x - 14, 0.0), (x + 14, 0.0), (x + 7, -top), (x - 7, -top))


def _square(x: float, y: float) -> tuple[Place, ...]:
    return ((x - 8, y - 8), (x + 8, y - 8), (x + 8, y + 8), (x - 8, y + 8))


def _middle(outline: Sequence[Place]) -> Place:
    xs, ys = [x for x, _ in outline], [y for _, y in outline]
    return (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2


def _area(outline: Sequence[Place]) -> float:
    """What an outline encloses: the shoelace formula."""
    return abs(sum(x * b - a * y for (x, y), (a, b) in _pairs(outline))) / 2


def _pairs(outline: Sequence[Place]) -> Iterator[tuple[Place, Place]]:
    return zip(outline, (*outline[1:], *outline[:1]), strict=True)


def _box(points: Sequence[Place]) -> tuple[float, float, float, float]:
    xs, ys = [x for x, _ in points], [y for _, y in points]
    left, top = min(xs) - MARGIN, min(ys) - MARGIN
    return left, top, max(xs) + MARGIN - left, max(ys) + MARGIN - top


def _around(points: Sequence[Place]) -> tuple[Place, ...]:
    """Put a line around points: the convex hull, by A. M. Andrew's monotone chain (1979)."""

    def half(ordered: Sequence[Place]) -> list[Place]:
        kept: list[Place] = []
        for x, y in ordered:
            while len(kept) > 1:
                (ax, ay), (bx, by) = kept[-2:]
                if (bx - ax) * (y - ay) - (by - ay) * (x - ax) > 0:
                    break
                kept.pop()
            kept.append((x, y))
        return kept[:-1]

    ordered = sorted(set(points))
    return (*half(ordered), *half(ordered[::-1])) if len(ordered) > 2 else tuple(ordered)
