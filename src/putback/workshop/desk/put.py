"""Putting a question: with the basis that its answer rests on."""

import json
from collections.abc import Mapping

from putback.logbook.entries.base import LogbookId
from putback.workshop.desk.port import Desk, Question, Slip
from putback.workshop.logbooks.workshop import Workshop
from putback.workshop.plans.how_far import Way, goal_in_hand, how_far
from putback.workshop.plans.plans import REBUILD, digest_of

STRIP, REBUILD_PLAN = "strip", "rebuild"
"""The two kinds of question whose answer is a plan that is followed."""
OTHER_REBUILDS = "other rebuilds"
"""Asks for other orders of the rebuild than the one followed."""
CALENDAR = "calendar"
"""Asks for the calendar of the plan followed, or of the rebuild, and when it will be done."""
ON_A_PLAN = frozenset({"alternatives", "why", "before", "cost", "stretch", "ahead", CALENDAR})
"""Kinds that are asked about the plan followed: another plan, another answer."""


def put(
    desk: Desk,
    workshop: Workshop,
    logbook: LogbookId,
    kind: str,
    args: Mapping[str, object] | None = None,
    *,
    again: bool = False,
) -> Slip:
    """Put a question about a logbook as it is now; asked twice, it is there once.

    Parameters
    ----------
    kind : str
        One of those in `putback.workshop.desk.questions`.
    args : mapping
        What the question is about, as JSON can hold it.
    again : bool
        Answer anew what was answered already.
    """
    return desk.ask(question(workshop, logbook, kind, args), again=again)


def question(
    workshop: Workshop, logbook: LogbookId, kind: str, args: Mapping[str, object] | None = None
) -> Question:
    """Word a question about a logbook as it is now."""
    said = json.dumps(dict(args or {}), sort_keys=True)
    basis = f"{workshop.store.position(logbook)} {workshop.clock.now().date().isoformat()}"
    if kind in ON_A_PLAN:
        named = REBUILD if (args or {}).get("rebuild") else (args or {}).get("goal")
        basis += f" {_plan_followed(workshop, logbook, str(named) if named else None)}"
    elif kind == OTHER_REBUILDS:
        basis += f" {_plan_followed(workshop, logbook, REBUILD)}"
    return Question(logbook, kind, said, basis)


def _plan_followed(workshop: Workshop, logbook: LogbookId, goal: str | None) -> str:
    """Digest of the plan that is followed; empty where none is."""
    if goal is None:
        state = workshop.state(logbook)
        in_hand = None if how_far(state).way is Way.REBUILD else goal_in_hand(state)
        goal = in_hand.id if in_hand else REBUILD
    kept = workshop.store.kept_plan(logbook, goal)
    return digest_of(kept.blob) if kept else ""
