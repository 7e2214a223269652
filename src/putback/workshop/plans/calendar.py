"""The plan at hand on the calendar: who does what when, and when all will be done."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from putback.errors import BadInput
from putback.logbook.entries.base import LogbookId
from putback.planning.plan import Plan
from putback.planning.planned_days import Person, Timetable
from putback.planning.timetable import (
    LEAD_DAYS,
    USUAL_HOURS,
    Forecast,
    LeadTimes,
    blocks_of,
    forecast,
    make_timetable,
    read_hours,
)
from putback.progress import NoProgress, Progress
from putback.vehicle.goal import Goal
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.workshop import Workshop
from putback.workshop.plans.at_hand import plan_at_hand
from putback.workshop.plans.plans import follow_rebuild

SECONDS = 5.0
"""How long an end sooner is looked for where nobody says [s]."""


@dataclass(frozen=True, slots=True)
class Wishes:
    """Who works when, and what else nobody wrote down; ``None`` for what is usual."""

    people: int | None = None
    hours: str | None = None
    persons: tuple[str, ...] = ()
    """As in ``Ann: Sat 9-17``; these instead of so many people with the same hours."""
    skills: tuple[str, ...] = ()
    """As in ``Ann: bleed, set``: kinds of work that only those named so do."""
    begin: date | None = None
    due: date | None = None
    lead_days: float | None = None
    hoists: int = 1


@dataclass(frozen=True, slots=True)
class Calendar:
    """A plan, its timetable, and, if it was asked for, when it will be done by many runs."""

    plan: Plan
    goal: Goal | None
    timetable: Timetable
    taken: tuple[str, ...]
    """What was taken for granted as nobody said it, in words, each with how to say it."""
    forecast: Forecast | None = None


def calendar(
    workshop: Workshop,
    logbook: LogbookId,
    wishes: Wishes = Wishes(),
    *,
    goal: Goal | None = None,
    rebuild: bool = False,
    runs: int | None = None,
    effort: float | None = None,
    seconds: float | None = SECONDS,
    progress: Progress = NoProgress(),
) -> Calendar:
    """Put the plan at hand on the calendar; with ``runs`` say when it will be done.

    Parameters
    ----------
    goal : Goal, optional
        The strip to this goal; else the way the work goes.
    rebuild : bool
        The rebuild, whichever way the work goes.
    runs : int, optional
        How many runs the forecast is made of; none without it.
    effort, seconds : float, optional
        How much work the search is worth, or how long it may take [s].

    Raises
    ------
    BadInput
        If hours, people or skills cannot be read.
    ImpossibleGoal
        If facts and goal contradict each other.
    Stopped
        If `progress` wants it to end.
    """
    people, taken = _people(wishes)
    now = workshop.clock.now().replace(tzinfo=None)
    begin = max(now, datetime.combine(wishes.begin, time())) if wishes.begin else now
    begin = begin.replace(second=0, microsecond=0) + timedelta(minutes=1)
    state = in_its_garage(workshop, logbook)
    if rebuild:
        plan = follow_rebuild(workshop, logbook, progress=progress, tells=False).plan.plan
        wanted = None
    else:
        at_hand = plan_at_hand(workshop, logbook, goal, progress)
        plan, wanted = at_hand.plan, at_hand.goal
    lead = LeadTimes(now.date(), LEAD_DAYS if wishes.lead_days is None else wishes.lead_days)
    work = blocks_of(state.vehicle, state, plan, wanted, lead)
    if any(not each.is_promised for each in work.arrivals) and wishes.lead_days is None:
        taken += (f"what nobody promised a day for takes {LEAD_DAYS:g} days (--lead-days)",)
    table, pieces, shifts = make_timetable(
        work,
        people,
        begin,
        hoists=wishes.hoists,
        effort=effort,
        seconds=seconds,
        progress=progress,
    )
    found = None
    if runs is not None:
        due = datetime.combine(wishes.due, time()) + timedelta(days=1) if wishes.due else None
        found = forecast(work, table, pieces, shifts, runs=runs, due=due, progress=progress)
    return Calendar(plan, wanted, table, taken, found)


def _people(wishes: Wishes) -> tuple[tuple[Person, ...], tuple[str, ...]]:
    """Who works, and what of it nobody said."""
    taken: list[str] = []
    hours = read_hours(wishes.hours or USUAL_HOURS)
    names: dict[str, tuple[tuple[int, int], ...]] = {}
    for each in wishes.persons:
        name, _, own = (word.strip() for word in each.partition(":"))
        if not name or name in names:
            raise BadInput(
                f"“{each}” names nobody new", mend='write --person "Ann: Sat 9-17", once for each'
            )
        names[name] = read_hours(own) if own else hours
    if not names:
        count = 1 if wishes.people is None else wishes.people
        names = {f"person {n}" if count > 1 else "you": hours for n in range(1, count + 1)}
        if wishes.people is None:
            taken.append("one person works (--people, --person)")
    if not names:
        raise BadInput("nobody works", mend="give --people 1 or more")
    if wishes.hours is None and hours in names.values():
        taken.append(f"the hours are {USUAL_HOURS} (--hours)")
    skills = _skills(wishes.skills, names)
    people = (Person(name, own, skills.get(name, frozenset())) for name, own in names.items())
    return tuple(people), tuple(taken)


def _skills(
    words: Sequence[str], names: dict[str, tuple[tuple[int, int], ...]]
) -> dict[str, frozenset[str]]:
    """Which kinds of work only those named so do."""
    found: dict[str, frozenset[str]] = {}
    for each in words:
        name, _, kinds = (word.strip() for word in each.partition(":"))
        if name not in names or not kinds:
            raise BadInput(
                f"“{each}” gives nobody a skill",
                mend=f'name one of {", ".join(names)}, as in: --skill "{min(names)}: bleed"',
            )
        these = frozenset(word.strip() for word in kinds.split(","))
        found[name] = found.get(name, frozenset()) | these
    return found
