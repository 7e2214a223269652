"""A calendar laid out by days: sessions, what they are, bars, and what all waits for."""

from dataclasses import replace
from datetime import date, datetime, time

import pytest

from putback.language import reteller
from putback.planning.plan import Action, Plan, Step
from putback.planning.planned_days import Block, Booking, Person, Timetable
from putback.planning.timetable import BENCH, Forecast
from putback.vehicle.assembly import Assembly
from putback.vehicle.goal import Goal
from putback.vehicle.ids import AssemblyId, PartId
from putback.vehicle.standing import TemporarySupport
from putback.workshop.plans.calendar import Calendar
from putback.workshop.plans.calendar_told import (
    MOST_NAMED,
    bars_of,
    days_of,
    left_hanging,
    left_on_jacks,
    most_critical,
    short_of_hands,
    without_a_second,
    work_of,
)
from tests.makers import standing, vehicle
from tests.workshop.lines import CAR, Lines

BOX = vehicle(
    "lid screws = lid - frame: 4 bolt M8 x 20; 30 min",
    standing("wheels", "frame"),
    datum="frame",
)
SATURDAY = date(2032, 1, 10)


def at(hour: float, day: int = 10) -> datetime:
    """A moment of that Saturday, or of another day of January."""
    return datetime.combine(SATURDAY.replace(day=day), time(int(hour), round(hour % 1 * 60)))


@pytest.fixture
def state():
    """The box, of which nothing is off."""
    return Lines(BOX).workshop.state(CAR)


@pytest.fixture
def found() -> Calendar:
    """A change of standing, a lid in two pieces and on another day, and something that cures."""
    steps = (
        Step(Action.PUT_ON, "part:lid", 30),
        *(Step(Action.MAKE, "joint:lid screws", 5) for _ in range(3)),
        Step(Action.DO, "joint:lid screws", 60),
    )
    blocks = (
        Block((), "wheels", 10, 2, 2),
        Block((0, 1, 2, 3), "wheels", 150, 1, 2, uses=frozenset({BENCH})),
        Block((4,), "wheels", 60, 0, 0),
    )
    bookings = (
        Booking(0, at(9), at(9.5), ("Ann", "Bob")),
        Booking(1, at(9.5), at(10.5), ("Ann",)),
        Booking(1, at(10.5), at(11.5), ("Ann",)),
        Booking(2, at(11.5), at(11.5), ()),
        Booking(1, at(13), at(13.5), ("Ann",)),
        Booking(1, at(18, 14), at(18.5, 14), ("Bob",)),
        Booking(2, at(23, 14), at(1, 15), ()),
    )
    table = Timetable((), at(9), blocks, bookings, (), {}, at(1, 15), at(1, 15))
    chances = Forecast(100, at(1, 15), at(1, 15), at(1, 15), (0.2, 0.9, 0.001), (), None)
    return Calendar(Plan(None, steps, 0, 0, None), None, table, (), chances)


def test_days_hold_sessions_and_pieces_that_follow_each_other_are_one(state, found):
    """What takes no time is left away, and what cures is nobody's."""
    saturday, wednesday = days_of(state, found)
    assert saturday.day == SATURDAY
    told = [(f"{each.begins:%H:%M}", f"{each.ends:%H:%M}", each.who) for each in saturday.sessions]
    assert told == [
        ("09:00", "09:30", ("Ann", "Bob")),
        ("09:30", "11:30", ("Ann",)),
        ("13:00", "13:30", ("Ann",)),
    ]
    assert [each.who for each in wednesday.sessions] == [("Bob",), ()]


def test_a_session_says_what_is_done_and_a_change_how_it_stands_then(state, found):
    """Each step by name; where a block is only mentioned the first three, and how many besides."""
    first, second = days_of(state, found)[0].sessions[:2]
    assert (str(first.work), first.work.is_change) == ("Stand it: wheels", True)
    three = "Put on: lid; Make, loose: lid screws; Make, loose: lid screws"
    assert str(second.work).startswith(f"{three}; ")
    assert (len(second.work.pieces), second.work.more) == (4, 0)
    assert days_of(state, found)[0].jobs == 1 + 4  # the second goes on after noon
    block = next(n for n, each in enumerate(found.timetable.blocks) if len(each.steps) == 4)
    assert str(work_of(state, found, block, MOST_NAMED)) == f"{three}; 1 more"
    assert second.work.pieces[0].what == "part:lid"
    assert (first.is_short, second.is_short) == (False, True)
    assert (first.is_at_bench, second.is_at_bench) == (False, True)
    assert short_of_hands(found) == 1


def test_what_is_signed_by_whoever_did_it_is_counted(found):
    """By the same person, by the only one there, or by one of two who do not meet; else not."""
    table = found.timetable
    done, look = Block((0,), None, 10, 1, 1), Block((4,), None, 5, 1, 1, is_second_look=True)

    seen = replace(look, not_by=0)

    def told(by: str, look: Block = seen, people: str = "AB") -> int:
        bookings = (Booking(0, at(9), at(9.5), ("A",)), Booking(1, at(10), at(10.5), (*by,)))
        given = tuple(Person(each, ()) for each in people)
        made = replace(table, people=given, blocks=(done, look), bookings=bookings)
        assert short_of_hands(replace(found, timetable=made)) == 0
        return without_a_second(replace(found, timetable=made))

    assert (told("A"), told("B")) == (1, 0)
    assert (told("A", look, "A"), told("B", look)) == (1, 0)
    assert (told("B", replace(look, wants=2)), told("AB", replace(look, crew=2, wants=2))) == (
        1,
        0,
    )


def test_what_is_left_with_something_up_is_counted(found):
    """On the hoist on two days: one job; where it only waits, or is done in a day, none."""
    assert left_hanging(found) == 0
    blocks = tuple(replace(each, uses=frozenset({"hoist"})) for each in found.timetable.blocks)
    assert left_hanging(replace(found, timetable=replace(found.timetable, blocks=blocks))) == 1


def test_what_stays_on_a_jack_from_one_day_to_another_is_named(state, found):
    """Of a strip; not where it is let down on the same day, nor where the plan has but one end."""
    jack = TemporarySupport("x", "trolley jack", "lid", "joint:lid screws", "part:lid")
    parts = (PartId("lid"), PartId("frame"))
    whole = Assembly(AssemblyId("unit"), "unit", parts)
    v = replace(state.vehicle, temporary_supports={jack.id: jack}, assemblies={whole.id: whole})
    state = replace(state, vehicle=v)
    steps = (Step(Action.UNDO, "joint:lid screws", 5), Step(Action.TAKE_OFF, "assembly:unit", 5))
    blocks = (Block((0,), "wheels", 5, 1, 1), Block((1,), "wheels", 5, 1, 1))

    bare = Goal("bare", "bare", "frame")

    def told(day: int, goal: Goal | None = bare, steps=steps):
        bookings = (Booking(0, at(9), at(9.5), ("Ann",)), Booking(1, at(9, day), at(10, day), ()))
        table = replace(found.timetable, blocks=blocks[: len(steps)], bookings=bookings)
        plan = replace(found.plan, steps=steps)
        return left_on_jacks(state, replace(found, goal=goal, timetable=table, plan=plan))

    assert told(14) == (
        "lid hangs on the trolley jack from Saturday, 10 Jan 2032 to Wednesday, 14 Jan 2032: give "
        "longer hours, or set it down on what stands; nothing is left on a jack",
    )
    assert told(10) == told(14, goal=None) == told(14, steps=steps[:1]) == ()
    german = reteller("de").tell(told(14)[0])
    assert german == (
        "lid hängt von Samstag, 10. Jan. 2032 bis Mittwoch, 14. Jan. 2032 am Heber (trolley "
        "jack): längere Stunden angeben oder auf etwas absetzen, das steht; nichts bleibt am Heber"
    )


def test_bars_share_the_hours_of_all_days(state, found):
    """A row for each who works, between the first hour and the last; nobody's has none."""
    bars = bars_of(days_of(state, found))
    assert (bars.opens, bars.closes) == (9, 19)
    assert [(day.day.day, [row.name for row in day.rows]) for day in bars.days] == [
        (10, ["Ann", "Bob"]),
        (14, ["Bob"]),
    ]
    second = bars.days[0].rows[0].bars[1]
    assert (second.at, second.width) == pytest.approx((0.05, 0.2))
    assert second.words.startswith("09:30-11:30 · Put on: lid")
    idle = replace(found, timetable=replace(found.timetable, bookings=()))
    assert bars_of(days_of(state, idle)) is None


def test_what_all_waits_for_most_often_comes_first(state, found):
    """What hardly ever does is not worth saying."""
    told = most_critical(state, found)
    assert [each.share for each in told] == [0.9, 0.2]
    assert told[1].work.is_change
    assert most_critical(state, replace(found, forecast=None)) == ()
