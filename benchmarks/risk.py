"""When the demo will be done: the calendar of its rebuild, 10,000 runs of it, and its strips."""

from collections.abc import Collection, Iterator
from datetime import datetime

from benchmarks.measure import Figure, figure, timed
from benchmarks.planning import everything_apart, state_described
from putback.logbook.state import State
from putback.planning.planned_days import Person
from putback.planning.rebuild import plan_rebuild
from putback.planning.strip import plan_strip
from putback.planning.timetable import (
    RUNS,
    USUAL_HOURS,
    Forecast,
    LeadTimes,
    Made,
    blocks_of,
    forecast,
    leaving_nothing_up,
    left_overnight,
    make_timetable,
    read_hours,
)
from putback.vehicle.demo import demo_vehicle
from putback.vehicle.goal import Goal
from putback.vehicle.ids import SupportId

BEGIN = datetime.fromisoformat("2031-03-03T08:00")
EFFORT = 0.5
"""What the search for an earlier end is worth, deterministic."""


def run() -> Iterator[Figure]:
    """Measure the calendar of two people, its runs, and what strips leave on jacks overnight."""
    state = everything_apart()
    plan = plan_rebuild(state.vehicle, state)
    people = [Person(name, read_hours(USUAL_HOURS)) for name in ("one", "other")]
    work = blocks_of(state.vehicle, state, plan, None, LeadTimes(BEGIN.date()))
    tables = []
    spent = timed(lambda: tables.append(make_timetable(work, people, BEGIN, effort=EFFORT)))
    table, pieces, shifts = tables[0]
    yield figure(
        f"calendar of the demo's rebuild, {len(table.bookings)} pieces of work",
        spent,
        limit_s=10.0,
        note=f"done {table.finish:%d %b %Y}, none before {table.bound:%d %b}, gap {table.gap:.1%}",
    )
    found: list[Forecast] = []
    spent = timed(lambda: found.append(forecast(work, table, pieces, shifts)), runs=3)
    last = found[-1]
    yield figure(
        f"{RUNS:,} runs of the demo's rebuild",
        spent,
        limit_s=2.0,
        note=f"P50 {last.p50:%d %b %Y}, P80 {last.p80:%d %b %Y}, P95 {last.p95:%d %b %Y}",
    )
    state = state_described(demo_vehicle())
    for goal in state.vehicle.goals.values():
        yield _left_on_jacks(state, goal)


def _left_on_jacks(state: State, goal: Goal) -> Figure:
    """What one person leaves on jacks overnight, and what it costs not to."""
    plan = plan_strip(state.vehicle, state, goal)
    people = [Person("one", read_hours(USUAL_HOURS))]

    def made(held: Collection[SupportId] = ()) -> Made:
        lead = LeadTimes(BEGIN.date())
        work = blocks_of(state.vehicle, state, plan, goal, lead, people, held)
        return work, *make_timetable(work, people, BEGIN, effort=EFFORT)

    found: list[Made] = []
    spent = timed(lambda: found.append(leaving_nothing_up(state.vehicle, plan, made)))
    words = [
        f"{len(left_overnight(state.vehicle, plan.steps, table))} left, done {table.finish:%d %b}"
        for _, table, *_ in (made(), found[0])
    ]
    return figure(
        f"calendar of the demo's strip, {goal.name}",
        spent,
        limit_s=20.0,
        note=f"overnight on jacks {words[1]}; without holding any {words[0]}",
    )
