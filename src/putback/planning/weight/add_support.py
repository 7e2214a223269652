"""Which support to add, and where, when the vehicle would stand too near to tipping.

Known places come first: where some standing puts a support. Then the edge of a part that some
standing puts one under, then that of other structure; and where no part is known to reach, the
place alone, for a person to find a member.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import combinations, pairwise
from math import hypot

from putback.bench.statics import Feet, Place
from putback.planning.weight.poise import OneWith, Poise
from putback.vehicle.ids import PartId, StandingId, SupportId, part_ref
from putback.vehicle.part import Part, PartKind
from putback.vehicle.standing import Support

_SAME_PLACE_M = 0.05
"""Two supports no further apart than this are in one place."""

_STEP_M = 0.1
"""How far apart the places along a part's edge are that are tried, and those beyond an edge."""

_INSET_M = 0.04
"""How far inside its outline a support stands under a part."""

_FURTHEST_M = 3.0
"""How far beyond the supports a place is looked for."""

_MOST_KNOWN = 12
"""Of more known places only so many are tried in pairs."""


@dataclass(frozen=True, slots=True)
class AddedSupport:
    """One support to add; ``part`` is ``None`` where no part is known to reach there [m]."""

    kind: str
    at_m: Place
    part: PartId | None = None
    place_of: SupportId | None = None
    """The described support whose place it is."""


@dataclass(frozen=True, slots=True)
class SupportToAdd:
    """What to add; margins before and after [m], ``None`` where nothing stands or is known."""

    supports: tuple[AddedSupport, ...]
    margin_now_m: float | None
    margin_then_m: float | None
    words: str


def support_to_add(
    poise: Poise, standing: StandingId | None, one_with: OneWith, least_margin_m: float
) -> SupportToAdd | None:
    """Find which support to add so that the vehicle stands with margin and none is overloaded.

    Parameters
    ----------
    poise : Poise
        What is on after the step that would go too far.
    standing : StandingId or None
        How it stands then.
    one_with : OneWith
        Whether a part is one with the vehicle then.
    least_margin_m : float
        The margin to reach, [m].

    Returns
    -------
    SupportToAdd or None
        ``None`` where it stands well enough; the words tell it all to a person.
    """
    return _Search(poise, standing, one_with, least_margin_m).found()


class _Search:
    """One question: the vehicle as it would stand, and what it could stand on besides."""

    def __init__(
        self, poise: Poise, standing: StandingId | None, one_with: OneWith, least_m: float
    ) -> None:
        self.poise = poise
        self.vehicle = poise.vehicle
        self.standing = standing
        self.one_with = one_with
        self.least_m = least_m
        self.now = poise.footing(standing, one_with)

    def found(self) -> SupportToAdd | None:
        """Give the first sort of place that helps."""
        if self.now.holds(self.least_m):
            return None
        carrying, others = self._bearing_parts()
        best = (
            self._widest(self._known_choices())
            or self._widest(self._edge_choices(carrying))
            or self._widest(self._edge_choices(others))
            or self._nearest(self._open_choices())
        )
        if best is not None:
            return best
        wide = self.now.is_wide(self.least_m)
        otherwise = "set stronger supports, or more" if wide else "stand it otherwise"
        words = f"{otherwise}: {self._trouble()}, and no place that would do is known"
        return SupportToAdd((), _finite(self.now.margin_m), None, words)

    def _widest(self, choices: Iterable[tuple[Support, ...]]) -> SupportToAdd | None:
        """Of the choices of fewest supports that hold it, take the one of the widest margin."""
        best: tuple[float, tuple[Support, ...]] | None = None
        for choice in choices:
            if best is not None and len(choice) > len(best[1]):
                break
            margin = self._margin_with(choice)
            if margin is not None and (best is None or margin > best[0]):
                best = margin, choice
        return None if best is None else self._told(*best)

    def _nearest(self, choices: Iterable[tuple[Support, ...]]) -> SupportToAdd | None:
        """Take the first choice that holds it."""
        for choice in choices:
            margin = self._margin_with(choice)
            if margin is not None:
                return self._told(margin, choice)
        return None

    def _margin_with(self, choice: tuple[Support, ...]) -> float | None:
        """Give the margin with these supports besides [m]; ``None`` if that does not hold it."""
        places = {each.bears_on for each in choice}

        def counts(part: PartId) -> bool:
            return part in places or self.one_with(part)

        then = self.poise.footing(self.standing, counts, *choice)
        if then.margin_m is None or not then.holds(self.least_m):
            return None
        return round(then.margin_m, 3)

    # -- places -------------------------------------------------------------------------------

    def _known_choices(self) -> Iterator[tuple[Support, ...]]:
        """One known place, then two, then all of them."""
        known = list(self._known_places())
        yield from ((each,) for each in known)
        yield from combinations(known[:_MOST_KNOWN], 2)
        if len(known) > 2:
            yield tuple(known)

    def _known_places(self) -> Iterator[Support]:
        """Where some standing puts a support under what is on, and none is yet."""
        taken = [each.at_m for each in self.now.supports]
        for standing in self.vehicle.standings.values():
            for support in standing.supports if not standing.wrong else ():
                new = not any(_is_near(support.at_m, place) for place in taken)
                if new and not support.beside and self._can_bear(support.bears_on):
                    taken.append(support.at_m)
                    yield support

    def _can_bear(self, part: PartId) -> bool:
        record = self.vehicle.parts.get(part)
        is_wheel = record is not None and record.kind is PartKind.WHEEL
        return not is_wheel and self.poise.is_on(part) and self.one_with(part)

    def _edge_choices(self, parts: Iterable[Part]) -> Iterator[tuple[Support, ...]]:
        """One place along the side of a part that can carry it, then two abreast."""
        for abreast in (False, True):
            for part in parts:
                for x, y in _along(part):
                    if not abreast:
                        yield (_support(part.id, (x, y)),)
                    elif y > _SAME_PLACE_M:
                        yield _support(part.id, (x, y)), _support(part.id, (x, -y))

    def _bearing_parts(self) -> tuple[list[Part], list[Part]]:
        """Parts with a known outline: those that carry a support, and structure besides."""
        carrying = {
            support.bears_on
            for standing in self.vehicle.standings.values()
            for support in standing.supports
            if not support.beside
        }
        drawn = [p for p in self.vehicle.parts.values() if p.outline_plan and self._can_bear(p.id)]
        others = [p for p in drawn if p.kind is PartKind.STRUCTURE and p.id not in carrying]
        return [part for part in drawn if part.id in carrying], others

    def _open_choices(self) -> Iterator[tuple[Support, ...]]:
        """Places that no part is known to reach: beyond the nearest edge, one and then two."""
        at = self.poise.cg_m
        if at is None:
            return
        bearer = next((each.bears_on for each in self.now.supports), None)
        if bearer is None:
            return
        places = [each.at_m for each in self.now.supports]
        _, a, b = Feet(places).nearest_edge(at[:2])
        length = hypot(b[0] - a[0], b[1] - a[1])
        out = ((b[1] - a[1]) / length, (a[0] - b[0]) / length) if length else (1.0, 0.0)
        steps = [_STEP_M * count for count in range(1, round(_FURTHEST_M / _STEP_M) + 1)]
        for far in steps:
            yield (_support(bearer, _moved(at[:2], out, far)),)
        for far in steps:
            for way in (out, (-out[0], -out[1])):
                yield _support(bearer, _moved(a, way, far)), _support(bearer, _moved(b, way, far))

    # -- words --------------------------------------------------------------------------------

    def _told(self, margin_m: float, choice: tuple[Support, ...]) -> SupportToAdd:
        added = tuple(self._added(each) for each in choice)
        lost = "" if all(each.part for each in added) else "; find a sound member there"
        it = "it" if len(added) == 1 else "them"
        words = (
            f"add {self._where(added)}{lost}: {self._trouble()}; with {it} {margin_m:.2f} m inside"
        )
        return SupportToAdd(added, _finite(self.now.margin_m), margin_m, words)

    def _added(self, support: Support) -> AddedSupport:
        part = self.vehicle.parts.get(support.bears_on)
        if support.id:
            return AddedSupport(support.kind, support.at_m, support.bears_on, support.id)
        reaches = part is not None and any(_is_near(support.at_m, at) for at in _along(part))
        return AddedSupport(support.kind, support.at_m, support.bears_on if reaches else None)

    def _where(self, added: tuple[AddedSupport, ...]) -> str:
        """Say what to put where; a pair abreast in one breath."""
        if len(added) == 2 and _are_abreast(*added):
            (x, y), under = added[0].at_m, self._under(added[0])
            along = place_words((x, 0.0)).removesuffix(", in the middle")
            return f"a {added[0].kind} on each side{under} {along}, {abs(y):.2f} m from the middle"
        return " and ".join(
            f"a {each.kind}{self._under(each)} {place_words(each.at_m)}" for each in added
        )

    def _under(self, added: AddedSupport) -> str:
        return f" under {self.vehicle.name_of(part_ref(added.part))}" if added.part else ""

    def _trouble(self) -> str:
        margin = _finite(self.now.margin_m)
        if margin is None:
            return "nothing that it would stand on is one with the vehicle"
        if self.now.overloaded:
            loads = zip(self.now.supports, self.now.loads_kg, strict=True)
            return " and ".join(
                f"the {support.kind}{self._under(self._added(support))} "
                f"{place_words(support.at_m)} would carry {load:.0f} kg, "
                f"rated for {support.rating_kg:.0f}"
                for support, load in loads
                if support.id in self.now.overloaded
            )
        where = "inside" if margin >= 0 else "outside"
        return f"its weight would be {abs(margin):.2f} m {where} the supports"


def place_words(at_m: Place) -> str:
    """Say where a place of the floor is, so that it can be measured.

    Examples
    --------
    >>> place_words((1.98, 0.46))
    '1.98 m behind the front axle, 0.46 m to the right'
    >>> place_words((-0.4, 0.0))
    '0.40 m before the front axle, in the middle'
    """
    x, y = at_m
    along = f"{abs(x):.2f} m {'before' if x < 0 else 'behind'} the front axle"
    if abs(y) < 0.005:
        return f"{along}, in the middle"
    return f"{along}, {abs(y):.2f} m to the {'left' if y < 0 else 'right'}"


def _are_abreast(one: AddedSupport, other: AddedSupport) -> bool:
    """Whether two supports are alike, left and right of the middle."""
    mirrored = (one.at_m[0], -one.at_m[1])
    return (one.kind, one.part) == (other.kind, other.part) and _is_near(mirrored, other.at_m)


def _along(part: Part) -> Iterator[Place]:
    """Give places along the sides of a part as seen from above, a little inside its outline.

    Of a frame the rails run there; what is between them, or across its end, may be air.
    """
    outline = part.outline_plan
    if not outline:
        return
    middle = [sum(at[axis] for at in outline) / len(outline) for axis in (0, 1)]
    for (ax, ay), (bx, by) in pairwise([*outline, outline[0]]):
        if abs(bx - ax) < abs(by - ay):
            continue
        count = max(1, round(hypot(bx - ax, by - ay) / _STEP_M))
        for number in range(count + 1):
            x, y = ax + (bx - ax) * number / count, ay + (by - ay) * number / count
            away = hypot(middle[0] - x, middle[1] - y)
            share = min(1.0, _INSET_M / away) if away else 0.0
            yield round(x + (middle[0] - x) * share, 3), round(y + (middle[1] - y) * share, 3)


def _support(part: PartId, at_m: Place) -> Support:
    """A stand that nobody described."""
    return Support(SupportId(""), "stand", part, (round(at_m[0], 3), round(at_m[1], 3)))


def _moved(at: Place, way: Place, far: float) -> Place:
    return at[0] + way[0] * far, at[1] + way[1] * far


def _is_near(one: Place, other: Place) -> bool:
    return hypot(one[0] - other[0], one[1] - other[1]) <= _SAME_PLACE_M


def _finite(margin_m: float | None) -> float | None:
    return None if margin_m is None or margin_m == float("-inf") else margin_m
