"""The calendar: timetables of drawn and generated vehicles, replayed by the checkers."""

from dataclasses import replace
from datetime import datetime, timedelta
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.logbook.state import JointState, PartState
from putback.planning.check import RebuildRule, StripRule, check_rebuild, check_strip
from putback.planning.check.timetable import check_blocks, check_timetable, steps_in_order
from putback.planning.planned_days import (
    Absence,
    Arrival,
    Block,
    Lent,
    Person,
)
from putback.planning.rebuild import plan_rebuild
from putback.planning.timetable import (
    BENCH,
    UP,
    blocks_of,
    forecast,
    make_timetable,
    read_absences,
    read_hours,
)
from putback.planning.timetable.at_bench import lie_on_benches
from putback.planning.timetable.blocks import HOIST, IN_THE_AIR, Work
from putback.planning.timetable.timetable import PIECE
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import Joint
from putback.vehicle.part import Part
from putback.vehicle.vehicle import About, Vehicle
from tests.planning.hand_made import likely, said, state_of, table
from tests.planning.on_calendar import (
    BEGIN,
    BOTH,
    LEAD,
    drawn_absences,
    lamp,
    midnight,
    rebuild_of,
    sent_out,
    timed,
)
from tests.planning.test_precede import strip_of


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


@settings(max_examples=max(8, settings().max_examples // 10))
@given(st.randoms(use_true_random=False), st.sampled_from([7, 12]), st.integers(1, 4))
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


def signed(*people: Person, **given):
    """Two critical joints on the calendar: who did and who signed each; and what is wrong."""
    joints = (
        Joint(each, each, ("frame", each), minutes=likely(30), critical=True) for each in "ab"
    )
    parts = (Part("frame", "frame", "z"), Part("a", "a", "z"), Part("b", "b", "z"))
    v = Vehicle(About("cart", "cart"), parts=table(*parts), joints=table(*joints), **given)
    state = replace(
        state_of(v),
        parts={each: PartState(each, off=said()) for each in "ab"},
        joints={each: JointState(each, out=1, undone=said()) for each in "ab"},
    )
    plan = plan_rebuild(v, state)
    work = blocks_of(v, state, plan, None, LEAD)
    made, _, _ = make_timetable(work, people, BEGIN, effort=0.2)
    assert check_timetable(made) == ()
    who = [
        (
            {name for each in made.bookings if each.block == block.not_by for name in each.who},
            {name for each in made.bookings if each.block == number for name in each.who},
        )
        for number, block in enumerate(made.blocks)
        if block.is_second_look
    ]
    return who, check_blocks(v, state, plan, made), (v, state, plan, made)


ANN, BOB = (Person(name, read_hours("daily 8-18")) for name in ("Ann", "Bob"))


def test_whoever_tightened_a_critical_joint_does_not_sign_it():
    """Of two it is the other; whoever alone has the skill to look leaves the work to the other."""
    sat = Person("Cat", read_hours("Sat 9-12"))
    only_ann = replace(ANN, skills=frozenset({"second check"}))
    only_bob = replace(BOB, skills=frozenset({"joint"}))
    for people in ([ANN, BOB], [ANN, sat], [only_ann, BOB], [ANN, only_bob], [ANN, BOB, sat]):
        who, faults, _ = signed(*people)
        assert faults == ()
        assert len(who) == 2
        assert all(did and looked and did.isdisjoint(looked) for did, looked in who), who


def test_one_person_alone_signs_and_the_checker_finds_it_where_there_are_two():
    """Nobody else is there: the timetable is made all the same; for two it would be wrong."""
    who, faults, (v, state, plan, made) = signed(ANN)
    assert who == [({"Ann"}, {"Ann"})] * 2
    assert faults == ()
    two = replace(made, people=(ANN, BOB))
    assert len(check_blocks(v, state, plan, two)) == 2


def test_a_described_second_check_of_several_jobs_wants_two():
    """Each looks at what the other did; of one joint alone it is somebody else."""
    look = Job("look", "second eyes", JobKind.SECOND_CHECK, "rebuild", minutes=likely(10))
    who, faults, (*_, made) = signed(ANN, BOB, jobs=table(look))
    assert faults == ()
    assert who == [(set(), {"Ann", "Bob"})]
    one = replace(look, joints=("a",))
    who, faults, (*_, made) = signed(ANN, BOB, jobs=table(one))
    assert faults == ()
    assert sorted(block.wants for block in made.blocks if block.is_second_look) == [1, 1]
    assert all(did and did.isdisjoint(looked) for did, looked in who)


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
