"""A fresh plan before its cards are printed, where one may wait for it: not in a request."""

from putback.progress import NoProgress, Progress
from putback.workshop.plans.how_far import Way, how_far
from putback.workshop.plans.plans import follow, follow_rebuild, goal_called
from putback.workshop.printing.documents import Document, Option
from putback.workshop.printing.wanted import Wanted


def plan_first(document: Document, wanted: Wanted, progress: Progress = NoProgress()) -> None:
    """Make the plan that a document is about, close to the one that is followed, and keep it.

    Nothing is done for a document that is about no plan. What changed in the plan is left to be
    told by whoever asks for it.

    Raises
    ------
    ImpossibleGoal, Stopped, BadInput
        As `follow` and `follow_rebuild` do, or if no goal is described.
    """
    if not document.options & {Option.PLAN, Option.REBUILD}:
        return
    state = wanted.state()
    is_back = wanted.goal is None and how_far(state).way is Way.REBUILD
    workshop, logbook = wanted.workshop, wanted.logbook
    if wanted.is_rebuild or is_back:
        follow_rebuild(workshop, logbook, progress=progress, tells=False)
    else:
        goal = wanted.goal or goal_called(state, None)
        follow(workshop, logbook, goal, progress=progress, tells=False)
