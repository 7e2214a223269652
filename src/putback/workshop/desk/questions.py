"""The questions that planners know: by name, how each is answered, and what its answer is.

An answer travels as JSON: `answer_of` reads it back into the record it was.
"""

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from pydantic import TypeAdapter, ValidationError

from putback.errors import BadInput, NotFound
from putback.logbook.entries.base import LogbookId
from putback.planning.ahead import LookAhead, look_ahead
from putback.planning.alternatives import Alternative
from putback.planning.not_now import Cost
from putback.planning.reach import Reach, reach
from putback.planning.stretch import BestStretch, best_stretch
from putback.planning.timetable import RUNS
from putback.planning.why import Asked, why_before
from putback.progress import Progress
from putback.vehicle.goal import Goal
from putback.vehicle.ids import GoalId, Ref
from putback.workshop.desk.port import Question, Slip
from putback.workshop.desk.put import CALENDAR, OTHER_REBUILDS, REBUILD_PLAN, STRIP
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.workshop import Workshop
from putback.workshop.plans.at_hand import plan_at_hand
from putback.workshop.plans.calendar import Calendar, calendar
from putback.workshop.plans.how_far import Way, goal_in_hand, how_far
from putback.workshop.plans.plans import (
    Continued,
    alternatives,
    alternatives_of_rebuild,
    cost_of_putting_off,
    follow,
    goal_called,
)
from putback.workshop.plans.rebuild import Rebuild, rebuild
from putback.workshop.plans.supposed import Supposed, what_would_follow
from putback.workshop.plans.why import WhyThere, why_there
from putback.workshop.plans.wishes import from_json

Args = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of question: how it is answered, and the type of its answer."""

    answer: Callable[[Workshop, LogbookId, Args, Progress], Any]
    result: Any


def answer(workshop: Workshop, question: Question, progress: Progress) -> bytes:
    """Answer a question, as JSON.

    Raises
    ------
    NotFound
        If no such kind of question is known.
    PutbackError
        Whatever the question leads to.
    """
    kind = _kind(question.kind)
    found = kind.answer(workshop, question.logbook, json.loads(question.args), progress)
    return adapter(question.kind).dump_json(found)


def answer_of(slip: Slip) -> Any:
    """Read an answer; ``None`` if there is none, or it is of another version of the program."""
    if slip.answer is None or slip.question.kind not in KINDS:
        return None
    try:
        return adapter(slip.question.kind).validate_json(slip.answer)
    except ValidationError:
        return None


@cache
def adapter(kind: str) -> TypeAdapter[Any]:
    """Give what reads and writes the answers of a kind."""
    return TypeAdapter(_kind(kind).result)


def _kind(name: str) -> Kind:
    if name not in KINDS:
        raise NotFound("kind of question", name, tuple(KINDS))
    return KINDS[name]


# -- each kind ------------------------------------------------------------------------------------


def _goal(workshop: Workshop, logbook: LogbookId, args: Args) -> Goal:
    """The goal that is named by its identity, else that in hand."""
    goals = workshop.state(logbook).vehicle.goals
    named = args.get("goal")
    if named is None:
        return goal_called(workshop.state(logbook), None)
    if named not in goals:
        raise NotFound("goal", str(named), tuple(goals))
    return goals[GoalId(named)]


def _ref(args: Args, name: str = "what") -> Ref:
    if not isinstance(args.get(name), str):
        raise BadInput(f"the question does not say {name}", mend="name a part, joint or job")
    return Ref(args[name])


def _strip(workshop: Workshop, logbook: LogbookId, args: Args, progress: Progress) -> Continued:
    goal = _goal(workshop, logbook, args)
    return follow(workshop, logbook, goal, progress=progress)


def _rebuild(workshop: Workshop, logbook: LogbookId, args: Args, progress: Progress) -> Rebuild:
    del args
    return rebuild(workshop, logbook, progress)


def _alternatives(
    workshop: Workshop, logbook: LogbookId, args: Args, progress: Progress
) -> tuple[Alternative, ...]:
    return alternatives(workshop, logbook, _goal(workshop, logbook, args), progress)


def _other_rebuilds(
    workshop: Workshop, logbook: LogbookId, args: Args, progress: Progress
) -> tuple[Alternative, ...]:
    del args
    return alternatives_of_rebuild(workshop, logbook, progress)


def _why(workshop: Workshop, logbook: LogbookId, args: Args, progress: Progress) -> WhyThere:
    state = in_its_garage(workshop, logbook)
    work = plan_at_hand(workshop, logbook, _named_goal(workshop, logbook, args), progress)
    return why_there(state, work, _ref(args), progress)


def _before(workshop: Workshop, logbook: LogbookId, args: Args, progress: Progress) -> Asked:
    state = in_its_garage(workshop, logbook)
    work = plan_at_hand(workshop, logbook, _named_goal(workshop, logbook, args), progress)
    first, then = _ref(args), _ref(args, "then")
    return why_before(
        state.vehicle, state, work.plan, work.goal, first, then, progress, work.settings
    )


def _named_goal(workshop: Workshop, logbook: LogbookId, args: Args) -> Goal | None:
    return _goal(workshop, logbook, args) if args.get("goal") else None


def _reach(workshop: Workshop, logbook: LogbookId, args: Args, progress: Progress) -> Reach:
    state = in_its_garage(workshop, logbook)
    return reach(state.vehicle, state, _ref(args), progress=progress)


def _cost(workshop: Workshop, logbook: LogbookId, args: Args, progress: Progress) -> Cost:
    state = workshop.state(logbook)
    goal = None if how_far(state).way is Way.REBUILD else goal_in_hand(state)
    if goal is None and how_far(state).way is not Way.REBUILD:
        goal = goal_called(state, None)  # says that none is described
    return cost_of_putting_off(workshop, logbook, goal, _ref(args), progress)


def _what_if(workshop: Workshop, logbook: LogbookId, args: Args, progress: Progress) -> Supposed:
    return what_would_follow(workshop, logbook, list(args.get("lines", ())), progress)


def _stretch(
    workshop: Workshop, logbook: LogbookId, args: Args, progress: Progress
) -> BestStretch:
    state = in_its_garage(workshop, logbook)
    work = plan_at_hand(workshop, logbook, progress=progress)
    people = args.get("people")
    return best_stretch(
        state.vehicle,
        state,
        work.plan,
        float(args.get("minutes", 60)),
        people=int(people) if people is not None else None,
        settings=work.settings,
        progress=progress,
    )


def _ahead(workshop: Workshop, logbook: LogbookId, args: Args, progress: Progress) -> LookAhead:
    del args
    state = in_its_garage(workshop, logbook)
    return look_ahead(
        state.vehicle, state, plan_at_hand(workshop, logbook, progress=progress).plan
    )


def _calendar(workshop: Workshop, logbook: LogbookId, args: Args, progress: Progress) -> Calendar:
    wishes = from_json(args.get("wishes", {}))
    rebuild = bool(args.get("rebuild"))
    return calendar(workshop, logbook, wishes, rebuild=rebuild, runs=RUNS, progress=progress)


KINDS: Mapping[str, Kind] = {
    STRIP: Kind(_strip, Continued),  # goal
    REBUILD_PLAN: Kind(_rebuild, Rebuild),
    "alternatives": Kind(_alternatives, tuple[Alternative, ...]),  # goal
    OTHER_REBUILDS: Kind(_other_rebuilds, tuple[Alternative, ...]),
    "why": Kind(_why, WhyThere),  # what, goal
    "before": Kind(_before, Asked),  # what, then, goal
    "reach": Kind(_reach, Reach),  # what
    "cost": Kind(_cost, Cost),  # what
    "what_if": Kind(_what_if, Supposed),  # lines
    "stretch": Kind(_stretch, BestStretch),  # minutes, people
    "ahead": Kind(_ahead, LookAhead),
    CALENDAR: Kind(_calendar, Calendar),  # wishes, rebuild
}
"""Every kind, with what its arguments may name."""
