"""The calendar: timetables of generated vehicles, replayed by the checkers, and the forecast."""

from dataclasses import replace
from datetime import date, datetime, time, timedelta
from functools import cache
from random import Random

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from putback.errors import ImpossibleGoal
from putback.logbook.common import Away, Common
from putback.logbook.state import JointState, PartState, State
from putback.planning.check import RebuildRule, StripRule, check_rebuild, check_strip
from putback.planning.check.timetable import check_blocks, check_timetable, steps_in_order
from putback.planning.plan import Action, Plan, Step
from putback.planning.planned_days import (
    Absence,
    Absences,
    Arrival,
    Block,
    Booking,
    Lent,
    Person,
    Timetable,
)
from putback.planning.rebuild import plan_rebuild
from putback.planning.strip import plan_strip
from putback.planning.timetable import (
    BENCH,
    UP,
    LeadTimes,
    blocks_of,
    forecast,
    make_timetable,
    read_absences,
    read_hours,
)
from putback.planning.timetable.arrivals import find_arrivals
from putback.planning.timetable.at_bench import lie_on_benches, steps_at_bench
from putback.planning.timetable.blocks import HOIST, IN_THE_AIR, Work
from putback.planning.timetable.learned import learn
from putback.planning.timetable.timetable import PIECE
from putback.vehicle.goal import Goal
from putback.vehicle.ids import split_ref
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import Joint
from putback.vehicle.part import Part
from putback.vehicle.standing import TemporarySupport
from putback.vehicle.vehicle import About, Vehicle
from tests.planning.hand_made import likely, said, state_of, table
from tests.planning.test_check_generated_rebuild import stripped
from tests.planning.test_precede import strip_of
from tests.strategies.planning import cases

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
    assert check_blocks(state.vehicle, state, plan, table) == ()
    assert sum(BENCH in each.uses for each in table.blocks) == 5
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
    hours = hours if rnd.random() < 0.8 else ((0, 7 * 24 * 60),)
    return Person(f"{number}", hours, skills, drawn_absences(rnd))


def drawn_absences(rnd: Random) -> Absences:
    """None to two times away, in any order; they may overlap, or be over, or part of a day."""
    found = []
    for _ in range(rnd.randint(0, 2)):
        begins = midnight(BEGIN) + timedelta(days=rnd.randint(-9, 25))
        lasts = timedelta(days=rnd.choice([1, 1, 2, 10]))
        if rnd.random() < 0.4:
            begins += timedelta(minutes=rnd.randrange(24 * 60))
            lasts = timedelta(minutes=rnd.randint(1, 2000))
        found.append(Absence(begins, begins + lasts))
    return tuple(found)


def midnight(moment: datetime) -> datetime:
    """When its day begins."""
    return datetime.combine(moment.date(), time())


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
                frozenset(rnd.sample((HOIST, IN_THE_AIR, BENCH), rnd.choice([0, 0, 1, 2]))),
            )
        )
    parts = [frozenset(rnd.sample("abcd", rnd.randint(1, 2))) for _ in blocks]
    return Work(lie_on_benches(blocks, parts, UP), ((),) * len(blocks), arrivals, (), 0)


@pytest.mark.parametrize("seed", range(20))
def test_whoever_works_when_and_at_what_the_checker_finds_no_fault(seed):
    """Drawn people and blocks: skills, few hours, days away, hoists, benches, late parts."""
    rnd = Random(seed)
    people = [drawn_person(rnd, number) for number in range(rnd.randint(1, 4))]
    begin = BEGIN + timedelta(minutes=rnd.randrange(14 * 24 * 60))
    work = drawn_work(rnd)
    lent = drawn_absences(rnd)
    table, pieces, shifts = make_timetable(
        work,
        people,
        begin,
        hoists=len(lent) + rnd.randint(0, 1) or 1,
        benches=rnd.choice([None, 1, 2]),
        hoist_lent=lent,
        effort=0.1,
    )
    assert check_timetable(table) == ()
    assert table.bound <= table.finish
    # What is late by nothing, and takes what is likely, ends no later where it may be put down.
    prompt = replace(work, arrivals=tuple(replace(e, late_days=0.0) for e in work.arrivals))
    assert forecast(prompt, table, pieces, shifts, runs=2).p95 <= table.finish


def timed(work: Work) -> Work:
    """The same, where what nobody estimated the minutes of at a bench takes half an hour."""
    blocks = (
        replace(each, minutes=30.0) if BENCH in each.uses and not each.minutes else each
        for each in work.blocks
    )
    return replace(work, blocks=tuple(blocks))


@settings(max_examples=8)
@given(st.randoms(use_true_random=False), st.sampled_from([7, 20]), st.integers(1, 8))
def test_on_generated_vehicles_nobody_works_who_is_away_and_benches_are_not_full(rnd, parts, seed):
    """Whatever is away or out: the checker finds no fault, nor do the rules in the new order."""
    state = sent_out(rebuild_of(parts, seed)[0], rnd)
    plan = plan_rebuild(state.vehicle, state)
    work = timed(blocks_of(state.vehicle, state, plan, None, LEAD))
    people = [drawn_person(rnd, number) for number in range(2)]
    lent = drawn_absences(rnd)[:1]
    table, _, _ = make_timetable(work, people, BEGIN, benches=1, hoist_lent=lent, effort=0.02)
    assert check_timetable(table) == ()
    assert check_blocks(state.vehicle, state, plan, table) == ()
    again = replace(plan, steps=tuple(plan.steps[n] for n in steps_in_order(table)))
    faults = check_rebuild(state.vehicle, state, again)
    assert {each.rule for each in faults} <= {RebuildRule.COST}, faults


def sent_out(state: State, rnd: Random) -> State:
    """The same, where a few of the parts that are off are out for work or on order."""
    out = dict(state.parts)
    for part in rnd.sample(sorted(state.parts_off), min(3, len(state.parts_off))):
        away = Away(said(), "the plater", due=rnd.choice(("", "2031-03-20")))
        common = Common(sent_out=away) if rnd.random() < 0.5 else Common(ordered=(away,))
        out[part] = replace(out[part], common=common)
    return replace(state, parts=out)


@settings(max_examples=10)
@given(cases(), st.randoms(use_true_random=False))
def test_what_is_worked_on_off_the_vehicle_lies_on_a_bench(case, rnd):
    """Of drawn strips, wholes out already and jobs among them; and what is away is waited for."""
    case = replace(case, state=sent_out(case.state, rnd))
    try:
        plan = plan_strip(case.vehicle, case.state, case.goal)
    except ImpossibleGoal:
        assume(False)
    work = blocks_of(case.vehicle, case.state, plan, case.goal, LEAD)
    table, _, _ = make_timetable(work, BOTH[:1], BEGIN, benches=1, effort=0.01)
    assert check_blocks(case.vehicle, case.state, plan, table) == ()
    assert check_timetable(table) == ()


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


def test_the_checker_sees_absences_lent_hoists_and_full_benches():
    """Each fault planted alone is told, and nothing else is."""
    state, plan = rebuild_of(20, 2)
    work = timed(blocks_of(state.vehicle, state, plan, None, LEAD))
    table, _, _ = make_timetable(work, BOTH, BEGIN, benches=1, effort=0.1)
    at = next(n for n, each in enumerate(table.blocks) if BENCH in each.uses and each.minutes)
    booked = next(each for each in table.bookings if each.block == at)
    day = Absence(midnight(booked.begins), midnight(booked.begins) + timedelta(days=1))

    def told(**changes) -> set[str]:
        return {each.split(" ", 2)[-1] for each in check_timetable(replace(table, **changes))}

    minute = timedelta(minutes=1)
    for away in (
        day,
        Absence(booked.begins - minute, booked.begins + minute),
        Absence(booked.ends - minute, booked.ends + minute),
    ):
        faults = told(people=[replace(each, away=(away,)) for each in BOTH])
        assert faults
        assert all("is away during" in f"is {each}" for each in faults)
    for gone in (
        Absence(midnight(BEGIN) - timedelta(days=9), midnight(BEGIN)),
        Absence(booked.begins - minute, booked.begins),
    ):
        assert not told(people=[replace(each, away=(gone,)) for each in BOTH])
    assert any("× bench" in each for each in told(few={**table.few, BENCH: 0}))
    assert any("× bench" in each for each in told(lent=(Lent(BENCH, day.begins, day.ends),)))
    assert not told(
        lent=(Lent(HOIST, day.begins.replace(year=2040), day.ends.replace(year=2040)),)
    )
    blocks = list(table.blocks)
    blocks[at] = replace(blocks[at], uses=frozenset())
    faults = check_blocks(state.vehicle, state, plan, replace(table, blocks=tuple(blocks)))
    assert faults == (f"block {at} takes no bench",)
    other = next(n for n, each in enumerate(table.blocks) if BENCH not in each.uses)
    blocks = [*table.blocks]
    blocks[other] = replace(blocks[other], uses=blocks[other].uses | {BENCH})
    faults = check_blocks(state.vehicle, state, plan, replace(table, blocks=tuple(blocks)))
    assert faults == (f"block {other} wants no bench",)


def at_once(uses: str, **given):
    """Two hours of work of each of two people: when both are done; and the forecast of it."""
    skills = [frozenset({each}) for each in ("bleed", "set")]
    blocks = tuple(Block((), None, 120, 1, 1, kinds=e, uses=frozenset({uses})) for e in skills)
    work = Work(blocks, ((), ()), (), (), 0)
    hours = read_hours("daily 8-18")
    people = [Person(f"{n}", hours, each) for n, each in enumerate(skills)]
    table, pieces, shifts = make_timetable(work, people, BEGIN, effort=0.5, **given)
    assert check_timetable(table) == ()
    assert table.optimal
    found = forecast(work, table, pieces, shifts, runs=3)
    assert found.p50 == found.p95 == table.finish
    return table.finish


def test_one_bench_is_one_after_another_and_a_lent_hoist_is_waited_for():
    """Two people, two jobs: at once or not; on the day after, where both hoists are lent."""
    ten, noon = (datetime.fromisoformat(f"2031-03-03T{hour}:00") for hour in (10, 12))
    assert at_once(BENCH) == at_once(BENCH, benches=2) == at_once(HOIST, hoists=2) == ten
    assert at_once(BENCH, benches=1) == at_once(HOIST, hoists=1) == noon
    monday = read_absences("2031-03-03")
    assert at_once(HOIST, hoists=2, hoist_lent=monday) == noon
    tuesday = timedelta(days=1)
    assert at_once(HOIST, hoists=2, hoist_lent=monday * 2) == ten + tuesday
    assert (
        at_once(HOIST, hoists=1, hoist_lent=read_absences("2031-03-01 to 2031-03-03"))
        == noon + tuesday
    )


def gearbox_and_pump(**changes):
    """Two jobs on a gearbox at the bench, the second Bob's, who comes on Wednesdays; a pump's."""
    bench = frozenset({BENCH})
    ann, bob = (
        Block((), None, 60, 1, 1, kinds=frozenset({e}), uses=bench) for e in ("set", "bleed")
    )
    pump = replace(ann, minutes=40, before=(0,))
    blocks = [replace(ann, minutes=180), pump, replace(bob, **{"before": (0,), **changes})]
    parts = [frozenset(each) for each in ({"gearbox", "cover"}, {"pump"}, {"gearbox"})]
    blocks = lie_on_benches(blocks, parts, UP)
    away = (Arrival("part:seal", "seal", date(2031, 3, 4), True, 0.0),)
    work = Work(blocks, ((),) * 3, away, (), 0)
    ann, bob = (read_hours(each) for each in ("Mon-Fri 18-20", "Wed 18-21"))
    people = [Person("Ann", ann, frozenset({"set"})), Person("Bob", bob, frozenset({"bleed"}))]
    return work, people


def test_what_lies_on_the_bench_half_worked_on_keeps_it_overnight():
    """The pump waits until the gearbox is done, on Wednesday; with two benches it does not."""
    work, people = gearbox_and_pump()
    assert [each.lies for each in work.blocks] == [0, 1, 0]

    def days(benches: int | None):
        table, pieces, shifts = make_timetable(work, people, BEGIN, benches=benches, effort=0.3)
        assert check_timetable(table) == ()
        assert table.optimal
        assert forecast(work, table, pieces, shifts, runs=3).p95 <= table.finish
        return table, f"{table.finish:%a %H:%M}"

    one, ends = days(1)
    assert ends == "Wed 19:40"
    assert days(2)[1] == days(None)[1] == "Wed 19:00"
    # While nobody works at it, the checker sees what lies there.
    gearbox = [each for each in one.bookings if each.block == 0]
    night = datetime.fromisoformat("2031-03-03T21:00")
    pump = Booking(1, night, night + timedelta(hours=1), ("Ann",))
    rest = [each for each in one.bookings if each.block != 1]
    planted = replace(one, bookings=(*rest, pump))
    assert gearbox[0].ends < pump.begins < gearbox[-1].begins
    assert [each for each in check_timetable(planted) if "bench" in each] == [
        f"more than 1 × bench at {night}"
    ]


def test_a_unit_that_waits_for_a_part_is_put_away():
    """Nobody keeps a bench for weeks: what waits for a seal leaves it to the pump meanwhile."""
    for changes in ({"waits": (0,)}, {"not_before": date(2031, 3, 5)}, {"before": (0, 1)}):
        work, people = gearbox_and_pump(**changes)
        assert len({each.lies for each in work.blocks}) == 3
        table, _, _ = make_timetable(work, people, BEGIN, benches=1, effort=0.3)
        assert check_timetable(table) == ()
        assert f"{table.finish:%a %H:%M}" == "Wed 19:00"


def test_the_checker_sees_what_leaves_its_bench_too_early_and_what_stays_too_long():
    """Two joints of a unit that is off, one after the other: they lie there together."""
    joints = (Joint(each, each, ("block", "head"), minutes=likely(30)) for each in "ab")
    v = Vehicle(
        About("cart", "cart"),
        parts=table(*(Part(name, name, "z") for name in ("block", "head"))),
        joints=table(*joints),
    )
    parts = {each: PartState(each, off=said()) for each in ("block", "head")}
    state = replace(state_of(v), parts=parts)
    plan = Plan(None, (Step(Action.UNDO, "joint:a"), Step(Action.UNDO, "joint:b")), 60, 0)
    block = Block((0,), None, 30, 1, 1, uses=frozenset({BENCH}), lies=0)
    then = replace(block, steps=(1,), before=(0,))

    def told(*blocks: Block) -> tuple[str, ...]:
        days = Timetable((), BEGIN, blocks, (), (), {}, BEGIN, BEGIN)
        return check_blocks(v, state, plan, days)

    assert told(block, then) == ()
    assert told(block, replace(then, lies=1)) == ("block 1 leaves the bench of block 0",)
    assert told(block, replace(then, lies=None)) == ("block 1 lies nowhere",)
    late = date(2031, 3, 5)
    assert told(block, replace(then, not_before=late)) == ("block 1 lies where it cannot lie yet",)
    assert told(block, replace(then, not_before=late, lies=1)) == ()
    between = Block((), None, 10, 1, 1, before=(0,))
    assert told(block, between, replace(then, before=(1,))) == (
        "block 2 lies where it cannot lie yet",
    )


def test_what_is_up_is_not_left_where_the_hours_are_long_enough():
    """Five hours at the hoist: in one go on a Saturday; in evenings none takes it between."""
    up = Block((), None, 300, 1, 1, uses=frozenset({HOIST}))
    short = replace(up, minutes=60)
    work = Work((short, up, short), ((),) * 3, (), (), 0)

    def days(hours: str, **given) -> Timetable:
        people = [Person(name, read_hours(hours)) for name in ("Ann", "Bob")]
        found = make_timetable(work, people, BEGIN, effort=0.2, **given)[0]
        assert check_timetable(found) == ()
        return found

    assert len(days("Sat 9-17, Wed 18-21").bookings) == 3
    evenings = days("Mon-Fri 18-21")
    assert [each.block for each in evenings.bookings] == [0, 1, 1, 2]
    lent = days("Mon-Fri 18-21", hoist_lent=read_absences("2031-03-04"))
    assert min(each.begins for each in lent.bookings if each.block == 1).day == 5
    saturday = [replace(each, hours=read_hours("Sat 9-17")) for each in evenings.people]
    told = "; ".join(check_timetable(replace(evenings, people=tuple(saturday))))
    assert "block 1 is left hanging, though there are hours enough" in told
    between = replace(evenings.bookings[1], block=2)
    told = check_timetable(replace(evenings, bookings=(*evenings.bookings[:3], between)))
    assert any("more than 1 × hoist" in each for each in told)


EVENINGS = [Person("Ann", read_hours("Mon-Fri 18-20"))]


def hoisted(minutes: float):
    """An engine on two mountings, slung before the first; the strip of it, and its blocks."""
    v = Vehicle(
        About("cart", "cart"),
        parts=table(
            Part("engine", "engine", "z", minutes=likely(minutes)), Part("bed", "bed", "z")
        ),
        joints=table(
            *(Joint(e, e, ("engine", "bed"), minutes=likely(minutes)) for e in ("front", "rear"))
        ),
        temporary_supports=table(
            TemporarySupport("x", "engine hoist", "engine", "joint:front", "part:engine")
        ),
    )
    state, goal = state_of(v), Goal("bare", "bare", "bed", off=("engine",))
    plan = plan_strip(v, state, goal)
    return state, plan, goal, blocks_of(v, state, plan, goal, LEAD)


def test_what_is_slung_is_lifted_in_one_go_where_a_session_is_enough():
    """Nobody goes home while the engine hangs; what takes longer is many jobs, and is told."""
    state, plan, _, work = hoisted(25)
    assert [len(each.steps) for each in work.blocks] == [len(plan.steps)]
    assert IN_THE_AIR in work.blocks[0].uses
    days, _, _ = make_timetable(work, EVENINGS, BEGIN, effort=0.1)
    assert len({each.begins.date() for each in days.bookings}) == 1
    assert check_blocks(state.vehicle, state, plan, days) == ()
    one, steps = work.blocks[0], range(len(plan.steps))
    apart = tuple(replace(one, steps=(n,), minutes=25.0) for n in steps)
    booked = tuple(replace(days.bookings[0], block=n) for n in steps)
    told = check_blocks(state.vehicle, state, plan, replace(days, blocks=apart, bookings=booked))
    assert told == (f"block 0 leaves something on the engine hoist until block {steps[-1]}",)
    loose = replace(days, blocks=(replace(one, uses=frozenset()),))
    assert check_blocks(state.vehicle, state, plan, loose) == (
        "block 0 may be left with something on the engine hoist",
    )
    state, plan, _, work = hoisted(50)
    assert [len(each.steps) for each in work.blocks] == [1] * len(plan.steps)
    days, _, _ = make_timetable(work, EVENINGS, BEGIN, effort=0.1)
    assert check_blocks(state.vehicle, state, plan, days) == ()


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


def test_a_job_on_what_is_off_is_done_at_a_bench():
    """A repair of a lamp that is off; not while it is on, nor where the vehicle has to stand."""
    state = lamp()
    for job, lies in [
        (Job("fix", "fix", JobKind.REPAIR, parts=("lamp",)), True),
        (Job("fix", "fix", JobKind.REPAIR, joints=("screw",)), False),
        (Job("fix", "fix", JobKind.REPAIR, parts=("lamp",), standings=("wheels",)), False),
        (Job("fix", "fix", JobKind.CURE, parts=("lamp",)), False),
        (Job("fix", "fix", JobKind.REPAIR), False),
    ]:
        vehicle = replace(state.vehicle, jobs=table(job))
        step = Step(Action.DO, "job:fix", None, None, "", 5.0, 0.0, 1)
        back = replace(step, action=Action.PUT_ON, what="part:lamp")
        assert steps_at_bench(vehicle, state, [step, back, step]) == (lies, False, False)


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


def test_what_is_worked_on_off_the_vehicle_is_waited_for_in_a_strip_too():
    """A head is at the machinist's: what ties it to its block is undone once it is back."""
    v = Vehicle(
        About("cart", "cart"),
        parts=table(*(Part(name, name, "z") for name in ("block", "head"))),
        joints=table(Joint("studs", "studs", ("block", "head"), minutes=likely(30))),
        jobs=table(Job("skim", "skim", JobKind.REPAIR, parts=("head",), minutes=likely(40))),
    )
    out = Common(sent_out=Away(said(), "the machinist", due="2031-03-20"))
    parts = {"block": PartState("block", off=said()), "head": PartState("head", out, off=said())}
    state = replace(state_of(v), parts=parts)
    steps = (Step(Action.UNDO, "joint:studs"), Step(Action.DO, "job:skim"))
    found, waits = find_arrivals(v, state, steps, LEAD)
    assert [(each.what, each.expected) for each in found] == [("part:head", date(2031, 3, 20))]
    assert waits == ((0,), (0,))
    back = replace(state, parts={**parts, "head": PartState("head", off=said())})
    assert find_arrivals(v, back, steps, LEAD) == ((), ((), ()))
    on = replace(state, parts={"head": parts["head"]})  # the joint is undone, and not logged
    assert find_arrivals(v, on, steps, LEAD)[1] == ((), (0,))
    bench = frozenset({BENCH})
    blocks = tuple(Block((n,), None, 30, 1, 1, waits=(0,), uses=bench, lies=0) for n in range(2))
    days = Timetable((), BEGIN, blocks, (), found, {}, BEGIN, BEGIN)
    plan = Plan(None, steps, 60, 0)
    assert check_blocks(v, state, plan, days) == ()
    hasty = replace(days, blocks=(blocks[0], replace(blocks[1], waits=(), lies=1)))
    assert check_blocks(v, state, plan, hasty) == ("block 1 does not wait for head",)


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
