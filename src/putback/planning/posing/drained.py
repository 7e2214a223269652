"""What waits for a fluid to be drained, though no fact says so: petrol and brake fluid (4).

Who described what is in a tank, and the job that drains it, need not have thought of the order.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence

from putback.logbook.fluids import is_fluid_out, pours_of
from putback.planning.known import Known
from putback.planning.let_out import let_out_by
from putback.planning.plan import Because
from putback.planning.posing.nodes import Nodes
from putback.planning.posing.problem import Cause, Clause
from putback.vehicle.circuit import bled_fluids
from putback.vehicle.facts import Phase
from putback.vehicle.ids import FluidId, JobId, job_ref, part_ref
from putback.vehicle.opening import Fluid

Clauses = Sequence[tuple[Clause, ...]]
"""What each node asks for."""


def with_draining(nodes: Nodes, clauses: Clauses) -> Clauses:
    """Let what would let out petrol or brake fluid wait for the job that drains it.

    Not where that job waits for the very thing itself, by what is described.
    """
    more = tuple(_draining(nodes))
    if not more:
        return clauses
    can = _can_be_done(clauses)
    together = _added(clauses, more)
    if _can_be_done(together) == can:
        return together
    for each in more:
        added = _added(clauses, (each,))
        if _can_be_done(added) == can:
            clauses = added
    return clauses


def _draining(nodes: Nodes) -> Iterator[tuple[int, Clause]]:
    """Give the nodes that wait for a fluid to be drained, each with what it asks for."""
    vehicle = nodes.known.vehicle
    said = {(fact.first, fact.then) for fact in vehicle.befores.values()}
    for fluid, jobs in _drained_by(nodes.known).items():
        record, ways = vehicle.fluids[fluid], list(map(job_ref, jobs))
        by = tuple(node for way in ways for node in nodes.by(way))
        clause = Clause(by, Cause(Because.BEFORE, _words(record)))
        for ref in dict.fromkeys((part_ref(record.part), *let_out_by(vehicle, fluid))):
            if said.isdisjoint((way, ref) for way in ways):
                yield from ((node, clause) for node in nodes.by(ref))


def _drained_by(known: Known) -> Mapping[FluidId, list[JobId]]:
    """The petrol and brake fluid that is in, and the jobs of the strip that drain it."""
    vehicle = known.vehicle
    bled = bled_fluids(vehicle)
    found: dict[FluidId, list[JobId]] = {}
    for job, fluids in pours_of(vehicle).drains.items():
        record = vehicle.jobs.get(job)
        if record is not None and record.phase is not Phase.REBUILD and job not in known.done:
            for fluid in fluids:
                hurts = vehicle.fluids.get(fluid)
                if hurts is not None and (hurts.burns or fluid in bled):
                    found.setdefault(fluid, []).append(job)
    return {f: jobs for f, jobs in found.items() if not is_fluid_out(vehicle, known.state, f)}


def _words(fluid: Fluid) -> str:
    hazard = f" ({fluid.hazard})" if fluid.hazard else ""
    return f"{fluid.name} would run out{hazard}: it is drained first"


def _added(clauses: Clauses, more: Iterable[tuple[int, Clause]]) -> Clauses:
    added = list(clauses)
    for node, clause in more:
        added[node] = (*added[node], clause)
    return added


def _can_be_done(clauses: Clauses) -> frozenset[int]:
    """The nodes that can be done one after the other, if nothing but clauses is asked for."""
    waiting: dict[int, list[tuple[int, int]]] = {}
    for node, asked in enumerate(clauses):
        for number, clause in enumerate(asked):
            for by in clause.any_of:
                waiting.setdefault(by, []).append((node, number))
    missing = [set(range(len(asked))) for asked in clauses]
    ready = [node for node, numbers in enumerate(missing) if not numbers]
    for by in ready:
        for node, number in waiting.get(by, ()):
            if number in missing[node]:
                missing[node].discard(number)
                if not missing[node]:
                    ready.append(node)
    return frozenset(ready)
