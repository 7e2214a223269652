"""Pose a problem: turn vehicle, state and goal into nodes, clauses and orders.

The rules are those of ``docs/planning-rules.md``; their numbers stand in brackets.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from math import prod
from types import MappingProxyType

from putback.logbook.fluids import fluids_in
from putback.logbook.state import State
from putback.planning.known import Known, bears_on, with_why
from putback.planning.plan import Because
from putback.planning.posing.clauses import Clauses
from putback.planning.posing.drained import with_draining
from putback.planning.posing.fact import Fact, Sort
from putback.planning.posing.nodes import Nodes
from putback.planning.posing.problem import (
    CRACK_SHARE,
    Cause,
    Clause,
    Harder,
    Order,
    Problem,
    Span,
)
from putback.planning.weight.poise import poise_of
from putback.vehicle.goal import Goal
from putback.vehicle.ids import PartId, job_ref, joint_ref, part_ref
from putback.vehicle.vehicle import Vehicle


def pose(vehicle: Vehicle, state: State, kept: Iterable[PartId] = ()) -> Problem:
    """Pose what can be done with the vehicle as it is, if the parts of ``kept`` stay on."""
    known = Known(vehicle, state)
    nodes = Nodes(known, frozenset(kept))
    clauses = Clauses(nodes)
    asked = with_draining(nodes, [tuple(clauses.of(index)) for index in range(len(nodes.all))])
    harder = tuple(_harder(nodes))
    least = _least_factors(nodes, harder)
    return Problem(
        vehicle=vehicle,
        nodes=tuple(
            replace(node, clauses=asked[index], least=node.minutes * least[index])
            for index, node in enumerate(nodes.all)
        ),
        providers=MappingProxyType({ref: tuple(by) for ref, by in nodes.providers.items()}),
        orders=(
            *_before_the_bench(nodes),
            *_in_time(nodes, clauses),
            *_never_after(nodes, clauses),
        ),
        harder=harder,
        spans=tuple(_spans(nodes)),
        start=known.start,
        usable=known.usable,
        parts_off=known.off,
        cracking=nodes.cracking,
        kept=nodes.kept,
        fluids=fluids_in(vehicle, state),
        poise=poise_of(vehicle, state),
    )


def targets_of(problem: Problem, state: State, goal: Goal) -> tuple[Clause, ...]:
    """Give what the goal asks for (10), as clauses that the end of the plan fulfils."""
    known = Known(problem.vehicle, state)
    parts = goal.wanted_off(problem.vehicle.parts)
    wanted = dict.fromkeys((*map(part_ref, parts), *map(job_ref, goal.jobs)))
    asked = f"“{goal.name}” asks for it"
    targets = [
        Clause(
            problem.providers.get(ref, ()),
            Cause(Because.GOAL, asked, source=Fact(Sort.ASKED, ref)),
        )
        for ref in wanted
        if not known.is_cleared(ref)
    ]
    for joint in known.made:
        source = Fact(Sort.HOLDS, joint)
        tied = Cause(Because.HOLDS, "it still ties a part that is off", source=source)
        on = sorted(known.on_of(joint))
        if len(on) < len(known.vehicle.joints[joint].parts):
            undone = problem.providers[joint_ref(joint)]
            targets += [Clause(undone + problem.providers[part_ref(p)], tied) for p in on]
    return tuple(dict.fromkeys(targets))


def _before_the_bench(nodes: Nodes) -> Iterator[Order]:
    """A joint that is not undone on the bench is undone before its parts are all off (2)."""
    cause = Cause(Because.HOLDS, "it is undone while its parts are on")
    for index, units in nodes.benching.items():
        for unit in sorted(units):
            yield Order(index, nodes.taking[unit], cause)


def _in_time(nodes: Nodes, clauses: Clauses) -> Iterator[Order]:
    """A standing is entered before a part that its supports bear on is off (6)."""
    known = nodes.known
    for standing, index in nodes.stands.items():
        for part in sorted(bears_on(known.vehicle.standings[standing])):
            ref = part_ref(part)
            words = f"{clauses.standing_name(standing)} bears on {known.name(ref)}"
            for then in nodes.by(ref):
                source = Fact(Sort.BEARS, standing, part)
                yield Order(index, then, Cause(Because.STANDING, words, source=source))


def _never_after(nodes: Nodes, clauses: Clauses) -> Iterator[Order]:
    """A job that cannot be done any more after another comes before it (9)."""
    for fact in nodes.known.vehicle.harder_afters.values():
        if fact.factor is None:
            for first in nodes.speaking_of(fact.job):
                for then in nodes.by(fact.after):
                    if then != first:
                        yield Order(first, then, clauses.too_late(fact))


def _harder(nodes: Nodes) -> Iterator[Harder]:
    """What changes the minutes of what (9)."""
    for fact in nodes.known.vehicle.harder_afters.values():
        jobs, after = nodes.speaking_of(fact.job), nodes.by(fact.after)
        if fact.factor is not None and jobs and after:
            job, first = nodes.known.name(fact.job), nodes.known.name(fact.after)
            words = with_why(f"{job} takes {fact.factor:g} times as long after {first}", fact.why)
            yield Harder(jobs, after, fact.factor, Cause(Because.HARDER_AFTER, words, fact.id))


def _least_factors(nodes: Nodes, harder: Sequence[Harder]) -> list[float]:
    """The least factors that facts and cracking allow each node (9) [-]."""
    eased: dict[int, list[float]] = {}
    for fact in harder:
        for index in fact.jobs:
            eased.setdefault(index, []).append(min(fact.factor, 1.0))
    return [
        prod(eased.get(index, ())) * (1 - CRACK_SHARE if node.what in nodes.cracking else 1.0)
        for index, node in enumerate(nodes.all)
    ]


def _spans(nodes: Nodes) -> Iterator[Span]:
    """What stays on a jack or in one sitting (8)."""
    vehicle, name = nodes.known.vehicle, nodes.known.name
    for support in vehicle.temporary_supports.values():
        if support.first != support.last:
            words = f"{name(part_ref(support.bears_on))} is on a {support.kind}"
            source = Fact(Sort.SPAN, support.id)
            yield Span(nodes.by(support.first), nodes.by(support.last), words, source)
    for job in vehicle.jobs.values():
        if job.same_sitting_as is not None:
            other = job_ref(job.same_sitting_as)
            words = f"{job.name} and {name(other)} are of one sitting"
            one, two = nodes.by(job_ref(job.id)), nodes.by(other)
            source = Fact(Sort.SAME_SITTING, job.id)
            yield from (Span(one, two, words, source), Span(two, one, words, source))
