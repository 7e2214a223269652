"""The plan at hand on the calendar: who works when, what nobody said, and when it will be done."""

from dataclasses import replace
from datetime import date

import pytest

from putback.errors import BadInput
from putback.planning.timetable import BENCH, Forecast, read_absences
from putback.vehicle.facts import Phase
from putback.vehicle.ids import JobId, PartId
from putback.vehicle.job import Job, JobKind
from putback.vehicle.minutes import Minutes
from putback.workshop.plans.calendar import calendar
from putback.workshop.plans.calendar_told import away_meanwhile
from putback.workshop.plans.wishes import Wishes, keep_wishes, kept_wishes, kinds_of_work
from tests.makers import vehicle
from tests.workshop.lines import CAR, Lines

BOX = vehicle(
    "lid screws = lid - frame: 4 bolt M8 x 20; 30 min",
    "pump mounts = pump - frame: 2 bolt M6 x 16; 20 min",
    datum="frame",
)


HOUR, PUMP = Minutes(50.0, 60.0, 90.0), (PartId("pump"),)


@pytest.fixture
def lines() -> Lines:
    """A box whose lid is off, and goes back."""
    lines = Lines(BOX)
    for line in ("undone lid-screws", "off lid"):
        lines(line)
    return lines


def days_of(lines: Lines, **wishes):
    """Its rebuild on the calendar."""
    return calendar(lines.workshop, CAR, Wishes(**wishes), rebuild=True, effort=1.0, seconds=None)


def test_what_nobody_said_is_taken_for_granted_in_words(lines):
    """One person, the usual hours; each with how to say it otherwise."""
    found = days_of(lines)
    assert [each.name for each in found.timetable.people] == ["you"]
    assert "one person works (--people, --person)" in map(str, found.taken)
    assert any(each.words.startswith("the hours are") for each in found.taken)
    assert found.forecast is None


def test_what_is_said_is_not_taken_for_granted(lines):
    """People by name with hours of their own, skills, and the day on which it begins."""
    begin = date(2032, 1, 5)
    found = days_of(
        lines,
        persons=("Ann: Sat 9-12", "Bob"),
        hours="Mon-Fri 8-12",
        skills=("Ann: bleed, set",),
        begin=begin,
        lead_days=3.0,
    )
    ann, bob = found.timetable.people
    assert (ann.name, bob.name) == ("Ann", "Bob")
    assert ann.skills == {"bleed", "set"}
    assert not found.taken
    assert found.timetable.begin.date() == begin
    assert found.timetable.finish.date() >= begin


def test_days_away_are_kept_from_the_calendar(lines):
    """The workshop shut, one away, a hoist lent: each by the days that were said."""
    shut, ann = date(2032, 1, 5), date(2032, 1, 7)
    found = days_of(
        lines,
        persons=("Ann", "Bob"),
        hours="daily 8-12",
        begin=shut,
        due=shut,
        shut=("2032-01-05 to 2032-01-06",),
        away=("Ann: 2032-01-07 7:30-12", "Ann: 2032-02-01, 2031-12-24 to 2032-01-02"),
        hoist_lent=("2032-01-07",),
    )
    both = read_absences("2032-01-05 to 2032-01-06")
    own = "2031-12-24 to 2032-01-02, 2032-01-05 to 2032-01-06, 2032-01-07 7:30-12, 2032-02-01"
    assert [person.away for person in found.timetable.people] == [read_absences(own), both]
    assert [(e.thing, e.begins.date()) for e in found.timetable.lent] == [("hoist", ann)]
    assert found.timetable.finish.date() == ann
    assert {name for each in found.timetable.bookings for name in each.who} == {"Bob"}
    assert (found.due, found.is_late) == (shut, True)
    assert away_meanwhile(found) == (
        "nobody works from Monday, 5 Jan 2032 to Tuesday, 6 Jan 2032",
        "1 hoist less is there on Wednesday, 7 Jan 2032",
        "Ann is away on Wednesday, 7 Jan 2032, 07:30 to 12:00",
    )
    late = found.timetable.finish.replace(month=2)
    chances = Forecast(9, late, late, late, (), (), None)
    assert away_meanwhile(replace(found, forecast=chances))[-1] == (
        "Ann is away on Sunday, 1 Feb 2032"
    )


def test_a_bench_is_asked_for_where_one_is_wanted():
    """Nobody said how many there are: it is told that enough are reckoned with."""
    box = vehicle(
        "pump mounts = pump - frame: 2 bolt M6 x 16; 20 min",
        Job(JobId("overhaul"), "overhaul", JobKind.REPAIR, Phase.REBUILD, HOUR, parts=PUMP),
        datum="frame",
    )
    lines = Lines(box)
    for line in ("undone pump-mounts", "off pump"):
        lines(line)
    told = "there is a bench for each job that is done at one (--benches)"
    found = days_of(lines)
    assert told in map(str, found.taken)
    assert BENCH not in found.timetable.few
    found = days_of(lines, benches=2)
    assert told not in map(str, found.taken)
    assert found.timetable.few[BENCH] == 2


def test_names_are_meant_in_whatever_case_they_are_said(lines):
    """On a phone the first letter is a capital, at a prompt it is not."""
    found = days_of(lines, persons=("Ann", "Bob"), away=("ANN: 2032-01-05",), skills=("bob: set",))
    ann, bob = found.timetable.people
    assert (ann.name, len(ann.away), bob.skills) == ("Ann", 1, {"set"})


def test_two_people_without_names_are_told_apart(lines):
    """And a forecast is made where runs are asked for."""
    wishes = Wishes(people=2, due=date(2040, 1, 1))
    found = calendar(lines.workshop, CAR, wishes, rebuild=True, runs=50, effort=1.0, seconds=None)
    assert [each.name for each in found.timetable.people] == ["person 1", "person 2"]
    assert found.forecast is not None
    assert found.forecast.runs == 50


@pytest.mark.parametrize(
    ("wishes", "said"),
    [
        ({"people": 0}, "nobody works"),
        ({"persons": ("Ann", "ann: Sat 9-12")}, "names nobody new"),
        ({"persons": ("Ann Sat 9-17",)}, "has no colon before the hours"),
        ({"persons": ("Ann", "Bob"), "people": 3}, "3 work, and 2 are named"),
        ({"hoists": 0}, "cannot be how many hoists"),
        ({"benches": 100}, "cannot be how many benches"),
        ({"lead_days": float("nan")}, "cannot be read as so many days"),
        ({"begin": date(9999, 12, 31)}, "the year 9999 is too far off"),
        ({"due": date(9999, 12, 31)}, "the year 9999 is too far off"),
        ({"skills": ("Bob: bleed",)}, "gives nobody a skill"),
        ({"people": 1, "skills": ("you:",)}, "gives nobody a skill"),
        ({"hours": "whenever"}, "whenever"),
        ({"away": ("Ann: 2032-01-05",)}, "says of nobody when they are away"),
        ({"away": ("you",)}, "says of nobody when they are away"),
        ({"away": ("you: Christmas",)}, "are no days"),
        ({"shut": ("2032-01-05 to 2031-01-05",)}, "before the first"),
        ({"shut": ("2032-01-05 12-11",)}, "ends before it begins"),
        ({"hoist_lent": ("2032-01-05", "2032-01-04 to 2032-01-06")}, "more hoists are lent"),
    ],
)
def test_what_makes_no_sense_is_refused(lines, wishes, said):
    """With what to write instead."""
    with pytest.raises(BadInput, match=said) as refused:
        days_of(lines, **wishes)
    assert refused.value.remedy()


def test_what_is_kept_with_the_vehicle_is_gone_by_until_somebody_says_otherwise(lines):
    """Who works when is one saying: whoever names one person names all of them."""
    kept = Wishes(persons=("Ann: Sat 9-12",), skills=("Ann: bleed",), hoists=2, lead_days=3.0)
    assert kept_wishes(lines.workshop, CAR) == Wishes()
    about = lines.workshop.state(CAR).vehicle
    assert kinds_of_work(about, Wishes()) == ("lifting parts",)
    assert kinds_of_work(about, kept) == ("lifting parts", "bleed")
    keep_wishes(lines.workshop, CAR, kept)
    assert kept_wishes(lines.workshop, CAR) == kept
    found = calendar(lines.workshop, CAR, rebuild=True, effort=1.0, seconds=None)
    assert [each.name for each in found.timetable.people] == ["Ann"]
    assert found.timetable.few["hoist"] == 2
    said = Wishes(people=2, due=date(2040, 1, 1)).over(kept)
    assert said == Wishes(people=2, due=date(2040, 1, 1), hoists=2, lead_days=3.0)
    assert Wishes(hoists=1).over(kept) == replace(kept, hoists=1)
    days = replace(kept, benches=1, away=("Ann: 2032-01-05",), shut=("2032-01-06",))
    assert Wishes(shut=("2032-01-07",)).over(days) == replace(days, shut=("2032-01-07",))
    assert Wishes(away=("none",), shut=("none",)).over(days) == replace(kept, benches=1)
    assert Wishes(people=2).over(days) == replace(
        Wishes(people=2), benches=1, shut=days.shut, hoists=2, lead_days=3.0
    )
    with pytest.raises(BadInput, match="more hoists are lent"):
        keep_wishes(lines.workshop, CAR, replace(kept, hoist_lent=("2032-01-05",) * 3))
    with pytest.raises(BadInput, match="are no hours of work"):
        keep_wishes(lines.workshop, CAR, Wishes(persons=("Ann: whenever",)))
    assert kept_wishes(lines.workshop, CAR) == kept


def test_without_any_minutes_there_is_no_forecast():
    """What nobody estimated takes no time: no run of it says anything; one estimate is enough."""
    for minutes, is_timed in (("0 min", False), ("30 min", True)):
        box = vehicle(f"lid screws = lid - frame: 4 bolt M8 x 20; {minutes}", datum="frame")
        lines = Lines(box)
        for line in ("undone lid-screws", "off lid"):
            lines(line)
        wishes = Wishes(due=date(2040, 1, 1))
        found = calendar(
            lines.workshop, CAR, wishes, rebuild=True, runs=50, effort=1.0, seconds=None
        )
        assert found.is_timed is is_timed
        assert (found.forecast is not None) is is_timed
        assert found.to_time == ("parts", "lid")
