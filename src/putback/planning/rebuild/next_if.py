"""What would have to be otherwise for a thing to go back before all else."""

from putback.logbook.state import State
from putback.planning.impossible.andor import smallest_change
from putback.planning.rebuild.always import standing_facts
from putback.progress import NoProgress, Progress
from putback.vehicle.ids import Ref
from putback.vehicle.vehicle import Vehicle


def freed_now_in_rebuild(
    vehicle: Vehicle, state: State, what: Ref, progress: Progress = NoProgress()
) -> tuple[str, ...]:
    """Say what would have to be otherwise for a thing to be begun before all else.

    No fewer facts would be enough; none where it can be, or where facts alone do not free it.
    """
    backwards = standing_facts(vehicle, state)
    begun = backwards.work.begin(what)
    if begun is None:
        return ()
    own = backwards.node_of[begun]
    all_else = backwards.graph.add()
    for node in backwards.node_of.values():
        if node != own:
            backwards.graph.demand(all_else, (node,))
    # Taken back first are all others: so it is this one that goes back before them.
    change = smallest_change(backwards.graph, all_else, never=(own,), progress=progress)
    facts = sorted(change.facts) if change else ()
    words = dict.fromkeys(backwards.why[each] for each in facts)
    return tuple(f"it were not so that {each}" for each in words)
