"""The calendar: timetables of generated vehicles, replayed by the checkers, and the forecast."""

from dataclasses import replace
from datetime import date, datetime, timedelta
from functools import cache
from random import Random

import pytest

from putback.errors import BadInput
from putback.logbook.common import Away, Common
from putback.logbook.state import JointState, PartState
from putback.planning.check import RebuildRule, StripRule, check_rebuild, check_strip
from putback.planning.check.timetable import check_timetable, steps_in_order
from putback.planning.plan import Action
from putback.planning.planned_days import Arrival, Block, Person
from putback.planning.rebuild import plan_rebuild
from putback.planning.timetable import LeadTimes, blocks_of, forecast, make_timetable, read_hours
from putback.planning.timetable.blocks import HOIST, IN_THE_AIR, Work
from putback.planning.timetable.learned import learn
from putback.planning.timetable.timetable import PIECE
from putback.vehicle.ids import split_ref
from putback.vehicle.joint import Joint
from putback.vehicle.part import Part
from putback.vehicle.vehicle import About, Vehicle
from tests.planning.hand_made import likely, said, state_of, table
from tests.planning.test_check_generated_rebuild import stripped
from tests.planning.test_precede import strip_of

BEGIN = datetime.fromisoformat("2031-03-03T07:00")  # a Monday
LEAD = LeadTimes(BEGIN.date())
BOTH = [
    Person("Ann", read_hours("Sat 9-17, Wed 18-21")),
    Person("Bob", read_hours("Sat 10-15, Wed 18-21"), frozenset({"bleed"})),
]


@cache
def rebuild_of(parts: int, seed: int):
    """A generated vehicle in pieces, and the plan of its rebuild."""
    return stripped(parts, seed, 1.0)


@pytest.mark.parametrize("people", [BOTH[:1], BOTH], ids=["one", "two"])
def test_a_strip_on_the_calendar_breaks_no_rule(people):
    """Done in the order of its timetable, the strip is still a right one."""
    state, goal, plan, _ = strip_of(20, 2)
    work = blocks_of(state.vehicle, state, plan, goal, LEAD)
    table, _, _ = make_timetable(work, people, BEGIN, effort=0.3)
    assert check_timetable(table) == ()
    order = steps_in_order(table)
    assert sorted(order) == list(range(len(plan.steps)))
    again = replace(plan, steps=tuple(plan.steps[n] for n in order))
    faults = check_strip(state.vehicle, state, goal, again)
    assert {each.rule for each in faults} <= {StripRule.COST}, faults


@pytest.mark.parametrize("people", [BOTH[:1], BOTH], ids=["one", "two"])
def test_a_rebuild_on_the_calendar_breaks_no_rule(people):
    """Done in the order of its timetable, the rebuild is still a right one."""
    state, plan = rebuild_of(20, 2)
    work = blocks_of(state.vehicle, state, plan, None, LEAD)
    table, _, _ = make_timetable(work, people, BEGIN, effort=0.3)
    assert check_timetable(table) == ()
    assert table.bound <= table.finish
    order = steps_in_order(table)
    assert sorted(order) == list(range(len(plan.steps)))
    again = replace(plan, steps=tuple(plan.steps[n] for n in order))
    faults = check_rebuild(state.vehicle, state, again)
    assert {each.rule for each in faults} <= {RebuildRule.COST}, faults


def drawn_person(rnd: Random, number: int) -> Person:
    """Somebody with a few stretches of the week, of which two may touch, or always there."""
    cuts = sorted(60 * each for each in rnd.sample(range(7 * 24 + 1), 2 * rnd.randint(1, 4)))
    if len(cuts) > 2 and rnd.random() < 0.2:
        cuts[2] = cuts[1]
    hours = tuple(zip(cuts[::2], cuts[1::2], strict=True))
    skills = frozenset(rnd.sample(("bleed", "set"), rnd.randint(0, 2)))
    return Person(f"{number}", hours if rnd.random() < 0.8 else ((0, 7 * 24 * 60),), skills)


def drawn_work(rnd: Random) -> Work:
    """Blocks of which some wait for days or one another, and some for a change of standing."""
    day = BEGIN.date()
    arrivals = tuple(
        Arrival(f"part:{n}", "", day + timedelta(days=rnd.randint(-5, 40)), True, 3.0)
        for n in range(3)
    )
    blocks: list[Block] = []
    stands = change = 0
    for number in range(rnd.randint(1, 20)):
        before = {*rnd.sample(range(number), min(number, rnd.randint(0, 2))), *range(change)}
        if number and rnd.random() < 0.15:
            stands, change, before = stands + 1, number + 1, set(range(number))
        put_off = day + timedelta(days=rnd.randint(0, 20)) if rnd.random() < 0.1 else None
        crew = rnd.choice([0, 1, 1, 1, 2, 3])
        blocks.append(
            Block(
                (),
                f"stands {stands}",
                rnd.choice([0, 0.4, 5, 10, 33.3, 60, 130, 400]),
                crew,
                crew,
                tuple(sorted(before)),
                tuple(rnd.sample(range(3), rnd.choice([0, 0, 0, 1, 2]))),
                put_off,
                frozenset(rnd.sample(("bleed", "set"), rnd.choice([0, 0, 0, 1]))),
                frozenset(rnd.sample((HOIST, IN_THE_AIR), rnd.choice([0, 0, 1, 2]))),
            )
        )
    return Work(tuple(blocks), ((),) * len(blocks), arrivals, (), 0)


@pytest.mark.parametrize("seed", range(20))
def test_whoever_works_when_and_at_what_the_checker_finds_no_fault(seed):
    """Drawn people and blocks: skills, few hours, hoists, days to wait for, nights of curing."""
    rnd = Random(seed)
    people = [drawn_person(rnd, number) for number in range(rnd.randint(1, 4))]
    begin = BEGIN + timedelta(minutes=rnd.randrange(14 * 24 * 60))
    work = drawn_work(rnd)
    table, _, _ = make_timetable(work, people, begin, hoists=rnd.randint(1, 2), effort=0.1)
    assert check_timetable(table) == ()
    assert table.bound <= table.finish


def test_the_checker_sees_what_is_wrong():
    """Somebody else, another time, too short, before its turn, before it may: each is told."""
    state, goal, plan, _ = strip_of(20, 2)
    work = blocks_of(state.vehicle, state, plan, goal, LEAD)
    table, _, _ = make_timetable(work, BOTH[:1], BEGIN, effort=0.1)
    at = next(n for n, b in enumerate(table.bookings) if b.ends > b.begins and b.block)
    good = table.bookings[at]

    def told(**changes) -> str:
        bookings = list(table.bookings)
        bookings[at] = replace(good, **changes)
        return "; ".join(check_timetable(replace(table, bookings=tuple(bookings))))

    hour = timedelta(hours=1)
    assert "is done by ()" in told(who=())
    assert "not there" in told(begins=good.begins + 24 * hour, ends=good.ends + 24 * hour)
    assert "minutes, not" in told(ends=good.ends + timedelta(minutes=2))
    assert "before the beginning" in told(begins=BEGIN - hour, ends=BEGIN)
    last = table.bookings[-1]
    assert "things at once" in told(
        begins=last.begins, ends=last.begins + (good.ends - good.begins)
    )
    early = replace(table, finish=table.finish - hour)
    assert "after the end" in "; ".join(check_timetable(early))


def lamp(**common):
    """A frame and a lamp that is off, with whatever is known of the lamp."""
    v = Vehicle(
        About("cart", "cart"),
        parts=table(Part("frame", "frame", "z"), Part("lamp", "lamp", "z", minutes=likely(10))),
        joints=table(Joint("screw", "screw", ("frame", "lamp"), minutes=likely(200))),
    )
    parts = {"lamp": PartState("lamp", Common(**common), off=said())}
    joints = {"screw": JointState("screw", out=1, undone=said())}
    return replace(state_of(v), parts=parts, joints=joints)


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


def test_long_work_is_cut_and_helpers_are_called_in():
    """More hands than there are: as many as there are, and it is told."""
    state = lamp()
    v = replace(state.vehicle)
    v = replace(v, joints={"screw": replace(v.joints["screw"], minutes=likely(900), crew=3)})
    state = replace(state, vehicle=v)
    plan = plan_rebuild(v, state)
    table, pieces, _ = make_timetable(
        blocks_of(v, state, plan, None, LEAD), BOTH, BEGIN, effort=0.1
    )
    assert check_timetable(table) == ()
    assert {(b.crew, b.wants) for b in table.blocks if b.wants > 1} == {(2, 3)}
    assert len(pieces.site.jobs) > len(table.blocks)
    assert max(b.ends - b.begins for b in table.bookings) <= timedelta(minutes=max(480, PIECE))


@pytest.mark.parametrize(
    ("words", "stretches"),
    [
        ("Sat 9-17", ((5 * 1440 + 540, 5 * 1440 + 1020),)),
        ("Wed 18-21:30, mon 8:15-9", ((495, 540), (2 * 1440 + 1080, 2 * 1440 + 1290))),
        ("Mon 8-12, Mon 11-13", ((480, 780),)),
        (
            "Sat-Mon 10-11",
            ((600, 660), (5 * 1440 + 600, 5 * 1440 + 660), (8640 + 600, 8640 + 660)),
        ),
        ("Saturday 0-24, Sunday 0-24", ((5 * 1440, 7 * 1440),)),
        ("Mo 0-1, Di 1-2", ((0, 60), (1500, 1560))),
        ("Sa 9-17, so 0-24, Dienstag 1-2, Mi-Fr 3-4", "Sat 9-17, Sun 0-24, Tue 1-2, Wed-Fri 3-4"),
    ],
)
def test_hours_as_people_write_them(words, stretches):
    """Days, spans of days, hours and minutes; what touches is one; in German as in English."""
    same = read_hours(stretches) if isinstance(stretches, str) else stretches
    assert read_hours(words) == same


@pytest.mark.parametrize("words", ["", "Sat", "Sat 17-9", "Xyz 9-12", "Sat 9-25", "Sat 9:70-12"])
def test_hours_that_nobody_can_read_are_told(words):
    """One sentence, with how to write them."""
    with pytest.raises(BadInput, match="hours"):
        read_hours(words)
