"""The plan at hand on the calendar: who does what when, and when all will be done."""

from collections.abc import Collection
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta

from putback.logbook.entries.base import LogbookId
from putback.planning.plan import Plan
from putback.planning.planned_days import Timetable
from putback.planning.sittings import has_no_minutes
from putback.planning.timetable import (
    BENCH,
    LEAD_DAYS,
    Forecast,
    LeadTimes,
    Made,
    blocks_of,
    forecast,
    leaving_nothing_up,
    make_timetable,
)
from putback.progress import NoProgress, Progress
from putback.vehicle.goal import Goal
from putback.vehicle.ids import SupportId, split_ref
from putback.vehicle.minutes import TIMED
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.workshop import Workshop
from putback.workshop.plans.at_hand import plan_at_hand
from putback.workshop.plans.plans import follow_rebuild
from putback.workshop.plans.wishes import (
    Taken,
    Wishes,
    hoist_lent_of,
    kept_wishes,
    people_of,
)

SECONDS = 5.0
"""How long an end sooner is looked for where nobody says [s]."""


@dataclass(frozen=True, slots=True)
class Calendar:
    """A plan, its timetable, and, if it was asked for, when it will be done by many runs."""

    plan: Plan
    goal: Goal | None
    timetable: Timetable
    taken: tuple[Taken, ...]
    """What was taken for granted as nobody said it."""
    forecast: Forecast | None = None
    due: date | None = None
    """The day it should be done by."""

    @property
    def is_late(self) -> bool | None:
        """Whether all ends after the day it is due, if all goes as reckoned."""
        return None if self.due is None else self.timetable.finish.date() > self.due

    @property
    def is_timed(self) -> bool:
        """Whether any step has minutes: else all would be done at once, and no day can be told."""
        return not self.timetable.no_minutes or any(step.minutes > 0 for step in self.plan.steps)

    @property
    def to_time(self) -> tuple[str, str] | None:
        """Table and identity of the first thing of which nobody estimated the minutes."""
        for kind, identity in (split_ref(e.what) for e in self.plan.steps if has_no_minutes(e)):
            if kind in TIMED:
                return TIMED[kind], identity
        return None


def calendar(
    workshop: Workshop,
    logbook: LogbookId,
    wishes: Wishes | None = None,
    *,
    goal: Goal | None = None,
    rebuild: bool = False,
    runs: int | None = None,
    effort: float | None = None,
    seconds: float | None = SECONDS,
    progress: Progress = NoProgress(),
) -> Calendar:
    """Put the plan at hand on the calendar; with ``runs`` say when it will be done.

    Where no step has minutes (`Calendar.is_timed`) the days of its timetable say nothing, and no
    forecast is made.

    Parameters
    ----------
    wishes : Wishes, optional
        Who works when; else what is kept with the vehicle.
    goal : Goal, optional
        The strip to this goal; else the way the work goes.
    rebuild : bool
        The rebuild, whichever way the work goes.
    runs : int, optional
        How many runs the forecast is made of; none without it.
    effort, seconds : float, optional
        How much work the search is worth, or how long it may take [s]; again for each time that
        it leaves something on a jack which it need not.

    Raises
    ------
    BadInput
        If hours, people, skills or days cannot be read.
    ImpossibleGoal
        If facts and goal contradict each other.
    Stopped
        If `progress` wants it to end.
    """
    if wishes is None:
        wishes = kept_wishes(workshop, logbook)
    people, taken = people_of(wishes)
    hoist_lent = hoist_lent_of(wishes)
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

    def made(held: Collection[SupportId] = ()) -> Made:
        work = blocks_of(state.vehicle, state, plan, wanted, lead, people, held)
        return work, *make_timetable(
            work,
            people,
            begin,
            hoists=wishes.hoists or 1,
            benches=wishes.benches,
            hoist_lent=hoist_lent,
            effort=effort,
            seconds=seconds,
            progress=progress,
        )

    is_strip = wanted is not None
    work, table, pieces, shifts = (
        leaving_nothing_up(state.vehicle, plan, made) if is_strip else made()
    )
    if any(not each.is_promised for each in work.arrivals) and wishes.lead_days is None:
        usual = f"what nobody promised a day for takes {LEAD_DAYS:g} days"
        taken += (Taken(usual, "--lead-days"),)
    if wishes.benches is None and any(BENCH in each.uses and each.minutes for each in work.blocks):
        taken += (Taken("there is a bench for each job that is done at one", "--benches"),)
    found = Calendar(plan, wanted, table, taken, due=wishes.due)
    if runs is not None and found.is_timed:
        due = datetime.combine(wishes.due, time()) + timedelta(days=1) if wishes.due else None
        told = forecast(work, table, pieces, shifts, runs=runs, due=due, progress=progress)
        found = replace(found, forecast=told)
    return found
