"""Whether one thing goes back before another in every rebuild, by which facts, what frees it."""

from putback.logbook.state import State
from putback.planning.always import Always, Thing, Wait
from putback.planning.impossible.andor import smallest_change, smallest_proof
from putback.planning.posing.fact import Fact
from putback.planning.rebuild.backwards import Backwards, label
from putback.planning.rebuild.planner import what_orders
from putback.progress import NoProgress, Progress
from putback.vehicle.ids import Ref
from putback.vehicle.vehicle import Vehicle


def standing_facts(vehicle: Vehicle, state: State) -> Backwards:
    """Turn round what orders a rebuild, without what had to give way.

    Raises
    ------
    ImpossibleGoal
        If the facts contradict each other.
    """
    work, settled = what_orders(vehicle, state)
    given_way = frozenset(settled.given_way)
    edges = [edge for edge in settled.facts.edges if edge not in given_way]
    return Backwards(work, edges, settled.facts.eithers)


def always_before_in_rebuild(
    vehicle: Vehicle, state: State, first: Ref, then: Ref, progress: Progress = NoProgress()
) -> Always | None:
    """Say why one thing is begun before another in every rebuild; ``None`` if nothing says so.

    Begun is a part that is put on, a joint that is made, or a job that is done. The order of the
    strip, turned round, and what is usual count as facts where they did not have to give way.
    """
    backwards = standing_facts(vehicle, state)
    work = backwards.work
    one, other = work.begin(first), work.begin(then)
    if one is None or other is None:
        return None
    start, never = backwards.node_of[one], (backwards.node_of[other],)
    proof = smallest_proof(backwards.graph, start, never=never, progress=progress)
    if proof is None:
        return None
    change = smallest_change(backwards.graph, start, never=never, progress=progress)
    ends = Thing(first, label(work, one)), Thing(then, label(work, other))
    return Always(
        *ends,
        tuple(Wait(ends[1], (ends[0],), words) for words in backwards.words(proof)),
        proof.smallest,
        tuple(map(_otherwise, sorted(change.facts))) if change else (),
        change.smallest if change else True,
    )


def _otherwise(fact: Fact) -> str:
    return f"it were not so that {fact.of}{f' ({fact.by})' if fact.by else ''}"
