"""What a rebuild must do before what, pair by pair: rules 5 and 10, and the hose end of rule 6."""

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass

from putback.logbook.came_off import came_off
from putback.planning.check.due import PREPARING, Due
from putback.planning.check.fault import RebuildRule
from putback.planning.check.when import When, forced_order, leads_to, ways_round
from putback.vehicle.facts import Phase
from putback.vehicle.ids import (
    JobId,
    JointId,
    PartId,
    Ref,
    job_ref,
    joint_ref,
    part_ref,
    split_ref,
)

_ONLY_KNOWN = "it came off later, and nobody knows more"


@dataclass(frozen=True, slots=True)
class Order:
    """``first`` is done before ``then`` is begun."""

    rule: RebuildRule
    first: Ref
    then: Ref
    why: str


def orders_of(due: Due, when: When) -> tuple[Order, ...]:
    """Give every pair whose order is asked for.

    It depends on the plan only where the proven order has to give way to one of several facts.
    """
    return (*_befores(due), *_preparing(due), *_turning_ends(due), *_proven_order(due, when))


def bound_order(due: Due, orders: Iterable[Order]) -> Mapping[Ref, frozenset[Ref]]:
    """Give what facts, joints and the proven order put directly after each thing (2, 4, 5, 10)."""
    proven = (each for each in orders if each.rule is RebuildRule.PROVEN_ORDER)
    return forced_order(due, [(each.first, each.then) for each in proven])


def _befores(due: Due) -> Iterator[Order]:
    for fact in due.vehicle.befores.values():
        kind, identity = split_ref(fact.first)
        unknown = kind == "job" and identity not in due.vehicle.jobs
        as_one = _come_together(due, fact.first, fact.then)
        says_nothing = unknown or as_one or (kind == "job" and _is_not_needed(due, identity))
        if fact.phase is not Phase.STRIP and not says_nothing:
            yield Order(RebuildRule.BEFORE, fact.first, fact.then, fact.why)


def _is_not_needed(due: Due, job: str) -> bool:
    """Whether it is a job of the rebuild on what was never touched (1)."""
    left = job not in due.jobs | due.state.jobs_done and f"job:{job}" not in due.waiting
    return left and due.vehicle.jobs[JobId(job)].phase is not Phase.STRIP


def _preparing(due: Due) -> Iterator[Order]:
    for job in (due.vehicle.jobs[JobId(each)] for each in due.jobs):
        if job.kind in PREPARING:
            for then in (*map(joint_ref, job.joints), *map(part_ref, job.parts)):
                yield Order(RebuildRule.BEFORE, job_ref(job.id), then, f"{job.kind} comes first")


def _turning_ends(due: Due) -> Iterator[Order]:
    """Give the hose ends that go first, but where facts alone have the other end on before."""
    after: Mapping[Ref, frozenset[Ref]] = {}
    if any(end.turns for run in due.vehicle.runs.values() for end in run.ends):
        after = forced_order(due)
    for run in due.vehicle.runs.values():
        ends = [end for end in run.ends if end.joint in due.make]
        for turning in (end.joint for end in ends if end.turns):
            for other in (end.joint for end in ends if not end.turns):
                first, then = joint_ref(turning), joint_ref(other)
                if first != then and first not in leads_to(after, then):
                    why = "the hose turns with that end"
                    yield Order(RebuildRule.LOOSE_FIRST, first, then, why)


def _proven_order(due: Due, when: When) -> tuple[Order, ...]:
    """Turn the strip round for what nobody described, unless facts want it otherwise.

    Where it puts all of several parts before what they are in the way of, one has to wait: the
    plan says which. Then that is a fact.
    """
    waits: dict[Ref, Ref] = {}
    while True:
        found = tuple(_turned_round(due, waits.items()))
        after = bound_order(due, found)
        stuck = (
            (of, max(ways, key=when.done))
            for of, ways in ways_round(due)
            if of not in waits and all(of in leads_to(after, way) for way in ways)
        )
        one = next(stuck, None) if found else None
        if one is None:
            return found
        waits |= dict([one])


def _turned_round(due: Due, facts: Collection[tuple[Ref, Ref]]) -> Iterator[Order]:
    off = [ref for ref in came_off(due.state) if _goes_back(due, ref)]
    unknown = {ref for ref in off if _is_unknown(due, ref)}
    after = forced_order(due, facts) if unknown else {}
    led_to: set[Ref] = set()
    """What facts put after this thing, or after what came off before it."""
    for at, earlier in enumerate(off):
        led_to |= leads_to(after, earlier)
        for later in off[at + 1 :]:
            binds = {earlier, later} & unknown and not _come_together(due, earlier, later)
            if binds and later not in led_to:
                yield Order(RebuildRule.PROVEN_ORDER, later, earlier, _ONLY_KNOWN)


def _goes_back(due: Due, ref: Ref) -> bool:
    kind, identity = split_ref(ref)
    return JointId(identity) in due.make if kind == "joint" else PartId(identity) in due.back


def _is_unknown(due: Due, ref: Ref) -> bool:
    kind, identity = split_ref(ref)
    if kind == "joint":
        described = due.vehicle.joints.get(JointId(identity))
        return described is None or not described.parts
    return identity not in due.vehicle.parts or not due.vehicle.joints_of.get(PartId(identity))


def _come_together(due: Due, one: Ref, other: Ref) -> bool:
    """Whether both are parts of one whole."""
    return any({one, other} <= set(map(part_ref, parts)) for parts in due.wholes.values())
