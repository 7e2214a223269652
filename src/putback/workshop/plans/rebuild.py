"""The rebuild with all that belongs beside its plan: what to have, to look for and to finish."""

from dataclasses import dataclass

from putback.logbook.entries.base import LogbookId
from putback.planning.again.changes import Change
from putback.planning.plan import Plan
from putback.planning.rebuild import (
    Difference,
    HeldUp,
    OpenFinal,
    ToHave,
    Unseen,
    UsedUp,
    differences_from_reversed_strip,
    held_up,
    open_finals,
    to_have,
    unseen,
    used_up,
)
from putback.progress import NoProgress, Progress
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.workshop import Workshop
from putback.workshop.plans.plans import follow_rebuild


@dataclass(frozen=True, slots=True)
class Rebuild:
    """The plan of the rebuild, and what to see to before, beside and after it."""

    plan: Plan
    differences: tuple[Difference, ...]
    """Where it is not the strip turned round, and why."""
    finals: tuple[OpenFinal, ...]
    to_have: tuple[ToHave, ...]
    used_up: tuple[UsedUp, ...]
    lay_hands_on: tuple[Unseen, ...]
    not_here: tuple[HeldUp, ...]
    changes: tuple[Change, ...] = ()
    """What is different from the plan that was followed until now, and why."""
    pinned: bool = False
    """Whether a person chose this order."""


def rebuild(
    workshop: Workshop,
    logbook: LogbookId,
    progress: Progress = NoProgress(),
    *,
    afresh: bool = False,
) -> Rebuild:
    """Plan the rebuild, keep its plan, and gather what belongs beside it.

    ``afresh`` forgets the order that was followed until now. Raises as `plan_rebuild` does.
    """
    continued = follow_rebuild(workshop, logbook, progress=progress, afresh=afresh)
    found = continued.plan
    plan = found.plan
    state = in_its_garage(workshop, logbook)
    return Rebuild(
        plan=plan,
        differences=tuple(differences_from_reversed_strip(plan, state, state.vehicle)),
        finals=tuple(open_finals(state.vehicle, state)),
        to_have=tuple(to_have(plan, state)),
        used_up=tuple(used_up(plan, state)),
        lay_hands_on=tuple(unseen(state.vehicle, state, workshop.clock.now().date())),
        not_here=tuple(held_up(plan)),
        changes=found.changes,
        pinned=continued.pinned,
    )
