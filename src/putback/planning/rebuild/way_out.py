"""What would have to be otherwise for a rebuild that cannot be put in order.

Only what was tried is told: without these facts, and with all others, an order was found.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace

from putback.planning.impossible.hitting import smallest_hitting_set
from putback.planning.plan import Action, Because
from putback.planning.posing.fact import Fact, Sort
from putback.planning.rebuild.edges import Edge
from putback.planning.rebuild.stands import Stands
from putback.planning.rebuild.work import Node, Work
from putback.progress import NoProgress, Progress
from putback.vehicle.ids import (
    FactId,
    JobId,
    JointId,
    PartId,
    Ref,
    StandingId,
    part_ref,
    split_ref,
)
from putback.vehicle.vehicle import Vehicle

_MOST_TRIED = 24
"""So often it is tried without some of the facts, at most."""


class NoOrder(Exception):
    """Nothing puts a rebuild in order; ``facts`` are those described that do their part in it."""

    def __init__(self, reasons: tuple[str, ...], facts: Iterable[Fact], smallest: bool) -> None:
        """Take why, in words, and whether no fewer facts say so."""
        super().__init__(reasons)
        self.reasons = reasons
        self.facts = frozenset(facts)
        self.smallest = smallest


def ways_out(
    vehicle: Vehicle,
    facts: frozenset[Fact],
    bars: Callable[[Vehicle], frozenset[Fact] | None],
    progress: Progress = NoProgress(),
) -> tuple[tuple[Fact, ...], ...]:
    """Give smallest sets of facts without which the rebuild can be put in order.

    All facts of which any alone would do, where one would; else one set; none where none is found.

    Parameters
    ----------
    vehicle : Vehicle
        What the vehicle is made of.
    facts : frozenset of Fact
        Some that bar it.
    bars : callable
        Gives some of the facts that bar a vehicle's rebuild; ``None`` if an order is found.
    progress : Progress
        Asked whether to go on.
    """
    tries = iter(range(_MOST_TRIED))
    barring = [facts]
    alone: list[tuple[Fact, ...]] = []
    for fact in sorted(facts):
        if next(tries, None) is None:
            return tuple(alone)
        more = bars(without(vehicle, [fact]))
        if more is None:
            alone.append((fact,))
        else:
            barring.append(more)
    while not alone and all(barring):
        change = smallest_hitting_set(barring, progress)
        if not change.smallest or next(tries, None) is None:
            break
        more = bars(without(vehicle, change.facts))
        if more is None:
            return (tuple(sorted(change.facts)),)
        if not more.isdisjoint(change.facts):
            break  # it is barred by something else that nobody can name
        barring.append(more)
    return tuple(alone)


def without(vehicle: Vehicle, facts: Iterable[Fact]) -> Vehicle:
    """Give the vehicle as it would be if some facts were not so.

    Raises
    ------
    ValueError
        If one is of a sort that `described` and `shut_out` never give.
    """
    for fact in facts:
        match fact.sort:
            case Sort.BEFORE:
                befores = {**vehicle.befores}
                del befores[FactId(fact.of)]
                vehicle = vehicle.with_records(befores=befores)
            case Sort.IN_THE_WAY:
                obstructions = {**vehicle.obstructions}
                del obstructions[FactId(fact.of)]
                vehicle = vehicle.with_records(obstructions=obstructions)
            case Sort.HOLDS:
                joint = vehicle.joints[JointId(fact.of)]
                less = replace(joint, parts=tuple(part for part in joint.parts if part != fact.by))
                vehicle = vehicle.with_records(joints={**vehicle.joints, less.id: less})
            case Sort.WHERE:
                vehicle = _done_anywhere(vehicle, Ref(fact.of))
            case Sort.NO_CHANGE:
                to = StandingId(fact.of)
                standings = {
                    each.id: replace(each, change_minutes={to: 0.0, **each.change_minutes})
                    for each in vehicle.standings.values()
                    if each.id != to
                }
                vehicle = vehicle.with_records(standings={**vehicle.standings, **standings})
            case _:
                raise ValueError(fact.sort)
    return vehicle


def _done_anywhere(vehicle: Vehicle, what: Ref) -> Vehicle:
    kind, identity = split_ref(what)
    match kind:
        case "joint":
            joint = replace(vehicle.joints[JointId(identity)], standings=())
            return vehicle.with_records(joints={**vehicle.joints, joint.id: joint})
        case "part":
            part = replace(vehicle.parts[PartId(identity)], standings=())
            return vehicle.with_records(parts={**vehicle.parts, part.id: part})
        case _:
            job = replace(vehicle.jobs[JobId(identity)], standings=())
            return vehicle.with_records(jobs={**vehicle.jobs, job.id: job})


def described(work: Work, edge: Edge) -> Iterator[Fact]:
    """The facts that an edge rests on which a person could find to be otherwise."""
    if edge.reason is None:
        return
    if edge.reason.fact:
        is_before = edge.reason.because is Because.BEFORE
        yield Fact(Sort.BEFORE if is_before else Sort.IN_THE_WAY, edge.reason.fact)
    elif edge.reason.because is Because.HOLDS and edge.then.action is Action.MAKE:
        yield from _held_by(work, edge)
    elif edge.reason.because is Because.STANDING:
        yield from bound_to(work, edge.first)
        yield from bound_to(work, edge.then)


def _held_by(work: Work, edge: Edge) -> Iterator[Fact]:
    """That a joint holds the part that has to be there; of others it holds something all the same.

    A joint that no other part is described of would hold nothing then.
    """
    kind, identity = split_ref(edge.then.what)
    joint = work.vehicle.joints.get(JointId(identity)) if kind == "joint" else None
    if joint is None or edge.first.action is not Action.PUT_ON:
        return
    on = set(work.unit_parts(edge.first.what)).intersection(joint.parts)
    if len(on) == 1 and len(joint.parts) > 1:
        yield Fact(Sort.HOLDS, joint.id, *on)


def bound_to(work: Work, node: Node) -> Iterator[Fact]:
    """Which things of a step are done only in standings that are named."""
    vehicle = work.vehicle
    kind, identity = split_ref(node.what)
    match kind:
        case "joint" if (joint := vehicle.joints.get(JointId(identity))) and joint.standings:
            yield Fact(Sort.WHERE, node.what)
        case "job" if vehicle.jobs[JobId(identity)].standings:
            yield Fact(Sort.WHERE, node.what)
        case "part" | "assembly":
            for each in work.unit_parts(node.what):
                if (part := vehicle.parts.get(each)) and part.standings:
                    yield Fact(Sort.WHERE, part_ref(part.id))


def shut_out(work: Work, stands: Stands, ready: Iterable[Node]) -> frozenset[Fact]:
    """Give why steps that wait for nothing else have no standing that they could be done in."""
    found: set[Fact] = set()
    for node in ready:
        found.update(bound_to(work, node))
        found.update(Fact(Sort.NO_CHANGE, each) for each in stands.allowed(node) or ())
    return frozenset(found)
