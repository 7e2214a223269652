"""When it will be done: late parts, people away, estimates corrected, and runs that reckon so."""

from dataclasses import replace
from datetime import date, datetime

import pytest

from putback.logbook.common import Away, Common
from putback.logbook.state import JointState
from putback.planning.check.timetable import check_timetable
from putback.planning.plan import Action
from putback.planning.planned_days import (
    Arrival,
    Block,
    Person,
)
from putback.planning.rebuild import plan_rebuild
from putback.planning.timetable import (
    blocks_of,
    forecast,
    make_timetable,
    read_absences,
    read_hours,
)
from putback.planning.timetable.blocks import Work
from putback.planning.timetable.learned import learn
from putback.vehicle.ids import split_ref
from putback.vehicle.joint import Joint
from putback.vehicle.part import Part
from putback.vehicle.vehicle import About, Vehicle
from tests.planning.hand_made import likely, said, state_of, table
from tests.planning.on_calendar import BEGIN, LEAD, lamp


def test_a_part_that_is_late_holds_up_and_is_chased():
    """Nothing goes on before its day; of each day sooner about a day is won."""
    away = Away(said(), "the plater", due="2031-04-02")
    state = lamp(sent_out=away)
    plan = plan_rebuild(state.vehicle, state)
    work = blocks_of(state.vehicle, state, plan, None, LEAD)
    everyday = [Person("Ann", read_hours("daily 8-20"))]
    table, pieces, shifts = make_timetable(work, everyday, BEGIN, effort=0.1)
    assert check_timetable(table) == ()
    assert [each.expected for each in table.arrivals] == [date(2031, 4, 2)]
    assert table.arrivals[0].is_promised
    put_on = next(n for n, s in enumerate(plan.steps) if s.action is Action.PUT_ON)
    block = next(n for n, b in enumerate(table.blocks) if put_on in b.steps)
    assert min(b.begins for b in table.bookings if b.block == block) >= datetime.fromisoformat(
        "2031-04-03"
    )
    found = forecast(
        work, table, pieces, shifts, runs=2000, due=datetime.fromisoformat("2031-04-04")
    )
    assert found.p50 <= found.p80 <= found.p95
    assert found.p80 > table.finish  # late tails
    assert found.chase[0].holds_up == pytest.approx(1.0)
    assert found.chase[0].days_won == pytest.approx(1.0, abs=0.05)
    assert 0.4 < found.by_due < 0.65  # it comes on its day as often as not
    assert forecast(work, table, pieces, shifts, runs=2000).p95 == found.p95


def test_times_of_one_estimate_share_one_draw():
    """To make and to tighten one joint are long in the same run: nothing averages out."""
    state = lamp()
    v = replace(state.vehicle)
    wide = replace(v.joints["screw"], minutes=type(likely(1))(50, 200, 800))
    v = replace(v, joints={"screw": wide})
    state = replace(state, vehicle=v)
    plan = plan_rebuild(v, state)
    work = blocks_of(v, state, plan, None, LEAD)
    shares = [each for of in work.shares for each in of if split_ref(each.of)[1] == "screw"]
    assert len({each.of for each in shares}) == 1
    assert len(shares) >= 2
    always = [Person("Ann", ((0, 7 * 24 * 60),))]
    table, pieces, shifts = make_timetable(work, always, BEGIN, effort=0.1)
    found = forecast(work, table, pieces, shifts, runs=4000)
    spread = (found.p95 - found.p50).total_seconds() / 60
    total = sum(each.minutes for each in shares) / 200  # as a share of the estimate
    assert spread > 1.4 * 125 * total  # 125: the standard deviation (800 - 50) / 6


def test_what_was_logged_corrects_the_estimates():
    """Twelve things that took 1.4 times the estimate: 1.4 to the power of 12/18."""
    names = [f"j{n}" for n in range(12)]
    v = Vehicle(
        About("cart", "cart"),
        parts=table(Part("a", "a", "z"), Part("b", "b", "z")),
        joints=table(*(Joint(name, name, ("a", "b"), minutes=likely(10)) for name in names)),
    )
    joints = {name: JointState(name, Common(minutes=14.0), out=1) for name in names}
    (found,) = learn(v, replace(state_of(v), joints=joints))
    assert (found.things, found.ratio) == (12, pytest.approx(1.4))
    assert found.used == pytest.approx(1.4 ** (12 / 18))
    assert "took 1.4 times the estimate in 12 jobs; 1.25 used" in str(found)


def test_over_christmas_nobody_works_and_the_forecast_knows():
    """Whoever is away until a day begins on the day after it, in every run."""
    block = Block((), None, 60, 1, 1)
    work = Work((block,), ((),), (), (), 0)
    away = read_absences("2031-02-24 to 2031-03-12, 2031-03-15")
    people = [Person("Ann", read_hours("Sat 9-17, Wed 18-21"), away=away)]
    table, pieces, shifts = make_timetable(work, people, BEGIN, effort=0.1)
    assert check_timetable(table) == ()
    assert (table.finish, table.optimal) == (datetime.fromisoformat("2031-03-19T19:00"), True)
    assert forecast(work, table, pieces, shifts, runs=3).p95 == table.finish


def test_a_doctor_in_the_afternoon_takes_the_afternoon():
    """Away for part of a day: the morning is worked, the rest is on the next day; runs know it."""
    block = Block((), None, 30, 1, 1)
    work = Work((block,) * 10, ((),) * 10, (), (), 0)

    def ends(away: str) -> str:
        people = [Person("Ann", read_hours("daily 8-12"), away=read_absences(away))]
        table, pieces, shifts = make_timetable(work, people, BEGIN, effort=0.1)
        assert check_timetable(table) == ()
        assert table.optimal
        assert forecast(work, table, pieces, shifts, runs=3).p95 == table.finish
        return f"{table.finish:%d %H:%M}"

    assert ends("2031-02-01") == "04 09:00"
    assert ends("2031-03-03 10:30-24:00") == "04 10:30"
    assert ends("2031-03-03 10:30 to 2031-03-05 8:30") == "05 11:00"
    assert ends("2031-03-03 7-8:30") == "04 09:30"


def test_what_takes_no_time_waits_for_somebodys_hand():
    """A part without minutes comes on a Monday: it goes on when Ann is there, on Wednesday."""
    blocks = (Block((), None, 0, 1, 1, waits=(0,)), Block((), None, 0, 1, 1, before=(0,)))
    comes = Arrival("part:lid", "lid", date(2031, 3, 10), True, 0.0)
    work = Work(blocks, ((),) * 2, (comes,), (), 0)
    for hours, ends in (("Wed 18-21", "Wed 12 18:00"), ("daily 0-24", "Tue 11 00:00")):
        people = [Person("Ann", read_hours(hours), away=read_absences("2031-03-05"))]
        table, pieces, shifts = make_timetable(work, people, BEGIN, effort=0.1)
        assert check_timetable(table) == ()
        assert f"{table.finish:%a %d %H:%M}" == ends
        assert forecast(work, table, pieces, shifts, runs=3).p95 == table.finish
    at_night = tuple(replace(each, begins=BEGIN, ends=BEGIN) for each in table.bookings)
    asleep = replace(people[0], hours=read_hours("Wed 18-21"))
    early = replace(table, people=(asleep,), bookings=at_night, arrivals=())
    early = replace(
        early, blocks=(replace(blocks[0], waits=(), not_before=BEGIN.date()), blocks[1])
    )
    assert check_timetable(early) == ("nobody is there who would do block 0",)
