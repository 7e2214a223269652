"""The plan at hand on the calendar: who works when, what nobody said, and when it will be done."""

from dataclasses import replace
from datetime import date

import pytest

from putback.errors import BadInput
from putback.workshop.plans.calendar import calendar
from putback.workshop.plans.wishes import Wishes, keep_wishes, kept_wishes, kinds_of_work
from tests.makers import vehicle
from tests.workshop.lines import CAR, Lines

BOX = vehicle(
    "lid screws = lid - frame: 4 bolt M8 x 20; 30 min",
    "pump mounts = pump - frame: 2 bolt M6 x 16; 20 min",
    datum="frame",
)


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
        ({"persons": ("Ann", "Ann")}, "names nobody new"),
        ({"skills": ("Bob: bleed",)}, "gives nobody a skill"),
        ({"people": 1, "skills": ("you:",)}, "gives nobody a skill"),
        ({"hours": "whenever"}, "whenever"),
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
