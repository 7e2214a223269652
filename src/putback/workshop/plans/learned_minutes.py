"""Whether the minutes of a vehicle are learned, or somebody's guess."""

from putback.logbook.state import State

LEARNED = 10
"""Minutes count as learned once time was logged on so many things [things]; a convention."""


def are_learned(state: State) -> bool:
    """Whether time was logged on enough of what is done that one may go by the minutes."""
    commons = [
        *(part.common for part in state.parts.values()),
        *(joint.common for joint in state.joints.values()),
        *(job.common for job in state.jobs.values()),
        *state.others.values(),
    ]
    return sum(each.minutes > 0 for each in commons) >= LEARNED
