"""When the rebuild of the demo will be done: the calendar, and 10,000 runs of it."""

from collections.abc import Iterator
from datetime import datetime

from benchmarks.measure import Figure, figure, timed
from benchmarks.planning import everything_apart
from putback.planning.planned_days import Person
from putback.planning.rebuild import plan_rebuild
from putback.planning.timetable import (
    RUNS,
    USUAL_HOURS,
    Forecast,
    LeadTimes,
    blocks_of,
    forecast,
    make_timetable,
    read_hours,
)

BEGIN = datetime.fromisoformat("2031-03-03T08:00")
EFFORT = 0.5
"""What the search for an earlier end is worth, deterministic."""


def run() -> Iterator[Figure]:
    """Measure the calendar of two people, and its runs."""
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
