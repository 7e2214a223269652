"""What a jack or a hoist bears in a strip, from the step that sets it to the one that frees it.

Nothing is left on a jack: the two and all that must come between them are one piece of work, as
in a rebuild what is put on is until it is fast, where that is short, or it would be left overnight
and somebody's hours are long enough for it. What the plan has between them and need not be there
is done before or after.
"""

from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from heapq import heapify, heappop, heappush

from putback.logbook.rings import components
from putback.planning.plan import Step
from putback.planning.planned_days import Timetable
from putback.planning.precede import Precedence
from putback.vehicle.ids import AssemblyId, Ref, SupportId, part_ref, split_ref
from putback.vehicle.standing import TemporarySupport
from putback.vehicle.vehicle import Vehicle


@dataclass(frozen=True, slots=True)
class Bearing:
    """A jack or hoist, and the steps that set it and free it."""

    support: TemporarySupport
    first: int
    last: int


@dataclass(frozen=True, slots=True)
class LeftUp:
    """What a jack or hoist bears from one day to another."""

    support: TemporarySupport
    begins: datetime
    ends: datetime


def in_one_go(
    bearings: Sequence[Bearing],
    precedence: Sequence[Precedence],
    fits: Callable[[Collection[int], SupportId], bool],
) -> tuple[Precedence, ...]:
    """Make a visit of what each jack bears and all that must be done meanwhile, where it ``fits``.

    Jacks of which one is set before the other is free may have to be one visit; where that does
    not fit, the one with less between is.
    """
    pairs: list[tuple[int, int]] = []
    visit_of: dict[int, int] = {}
    alone = [(len(_visit(precedence, [], each)), each.first, n) for n, each in enumerate(bearings)]
    for _, _, number in sorted(alone):
        each = bearings[number]
        visit = _visit(precedence, pairs, each)
        if len({precedence[n].stint for n in visit}) == 1 and fits(visit, each.support.id):
            pairs.append((each.first, each.last))
            visit_of.update(dict.fromkeys(visit, min(visit)))
    return tuple(replace(each, visit=visit_of.get(n)) for n, each in enumerate(precedence))


def left_overnight(
    vehicle: Vehicle, steps: Sequence[Step], table: Timetable
) -> tuple[LeftUp, ...]:
    """Tell what a timetable of a strip leaves on jacks from one day to another."""
    block_of = {n: at for at, each in enumerate(table.blocks) for n in each.steps}
    spans: dict[int, tuple[datetime, datetime]] = {}
    for booked in table.bookings:
        begins, ends = spans.get(booked.block, (booked.begins, booked.ends))
        spans[booked.block] = min(begins, booked.begins), max(ends, booked.ends)
    found = [
        LeftUp(each.support, spans[block_of[each.first]][0], spans[block_of[each.last]][1])
        for each in bearings_of(vehicle, steps)
    ]
    return tuple(each for each in found if each.begins.date() != each.ends.date())


def visit_by_visit(precedence: Sequence[Precedence]) -> tuple[int, ...]:
    """Order the steps so that those of one visit follow one another, else as they are planned."""
    begins: dict[int, int] = {}
    """Of each visit its first step."""
    unit = [
        n if each.visit is None else begins.setdefault(each.visit, n)
        for n, each in enumerate(precedence)
    ]
    members: dict[int, list[int]] = {}
    for n, of in enumerate(unit):
        members.setdefault(of, []).append(n)
    before = {
        of: {unit[f] for n in all_ for f in _needed(precedence, n)} - {of}
        for of, all_ in members.items()
    }
    after: dict[int, list[int]] = {of: [] for of in members}
    for of, others in before.items():
        for other in others:
            after[other].append(of)
    ready = [(precedence[of].stint, of) for of, others in before.items() if not others]
    heapify(ready)
    order: list[int] = []
    while ready:
        _, done = heappop(ready)
        order += members[done]
        for of in after[done]:
            before[of].discard(done)
            if not before[of]:
                heappush(ready, (precedence[of].stint, of))
    return tuple(order)


def _visit(
    precedence: Sequence[Precedence], pairs: Sequence[tuple[int, int]], bearing: Bearing
) -> tuple[int, ...]:
    """The steps that are one visit if nothing else comes between this pair, nor between others.

    Held together, each pair is a ring of precedence, and so is all that must be between.
    """
    ahead = [[str(first) for first in _needed(precedence, n)] for n in range(len(precedence))]
    for first, last in (*pairs, (bearing.first, bearing.last)):
        ahead[first].append(str(last))
        ahead[last].append(str(first))
    step = str(bearing.first)
    rings = components([step], lambda each: ahead[int(each)])
    return tuple(sorted(map(int, next(each for each in rings if step in each))))


def _needed(precedence: Sequence[Precedence], step: int) -> Iterator[int]:
    """What is done before a step; of several that would do, the plan's own first."""
    for clause in precedence[step].needs:
        first = min(clause, default=step)
        if first < step:
            yield first


def bearings_of(vehicle: Vehicle, steps: Sequence[Step]) -> tuple[Bearing, ...]:
    """From which step to which each jack or hoist bears; not where one of the two is not left."""
    done_by: dict[Ref, int] = {}
    for number, step in enumerate(steps):
        kind, identity = split_ref(step.what)
        whole = vehicle.assemblies.get(AssemblyId(identity)) if kind == "assembly" else None
        for ref in (step.what, *(map(part_ref, whole.parts) if whole else ())):
            done_by.setdefault(ref, number)
    found = [
        Bearing(each, done_by[each.first], done_by[each.last])
        for each in vehicle.temporary_supports.values()
        if each.first in done_by and each.last in done_by
    ]
    return tuple(each for each in found if each.first < each.last)
