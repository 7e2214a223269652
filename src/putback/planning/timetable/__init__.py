"""A plan on the calendar: who does what when, when all will be done, and what to chase."""

from putback.planning.timetable.absences import (
    absence,
    check_year,
    read_absences,
    read_clock,
    read_day,
)
from putback.planning.timetable.arrivals import LEAD_DAYS, LeadTimes
from putback.planning.timetable.at_bench import BENCH
from putback.planning.timetable.blocks import UP, Work, blocks_of
from putback.planning.timetable.forecast import RUNS, Chase, Forecast, forecast
from putback.planning.timetable.hours import USUAL_HOURS, read_hours
from putback.planning.timetable.learned import LIFTING, kind_of
from putback.planning.timetable.on_jacks import left_overnight
from putback.planning.timetable.timetable import Made, leaving_nothing_up, make_timetable

__all__ = [
    "BENCH",
    "LEAD_DAYS",
    "LIFTING",
    "RUNS",
    "UP",
    "USUAL_HOURS",
    "Chase",
    "Forecast",
    "LeadTimes",
    "Made",
    "Work",
    "absence",
    "blocks_of",
    "check_year",
    "forecast",
    "kind_of",
    "leaving_nothing_up",
    "left_overnight",
    "make_timetable",
    "read_absences",
    "read_clock",
    "read_day",
    "read_hours",
]
