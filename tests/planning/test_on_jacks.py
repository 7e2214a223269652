"""What a jack or a hoist bears is not left overnight where somebody's hours are long enough."""

from dataclasses import replace
from itertools import pairwise, product
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.planning.check import StripRule, check_strip
from putback.planning.check.timetable import check_blocks, check_timetable, steps_in_order
from putback.planning.planned_days import Block, Person, Timetable
from putback.planning.precede import Precedence
from putback.planning.strip import plan_strip
from putback.planning.timetable import (
    blocks_of,
    leaving_nothing_up,
    left_overnight,
    make_timetable,
    read_absences,
    read_hours,
)
from putback.planning.timetable.blocks import HOIST, IN_THE_AIR, Work
from putback.planning.timetable.on_jacks import Bearing, in_one_go, visit_by_visit
from putback.vehicle.goal import Goal
from putback.vehicle.joint import Joint
from putback.vehicle.part import Part
from putback.vehicle.standing import TemporarySupport
from putback.vehicle.vehicle import About, Vehicle
from tests.planning.hand_made import likely, state_of, table
from tests.planning.on_calendar import BEGIN, LEAD
from tests.planning.test_precede import strip_of

WEEK = [Person("Ann", read_hours("Mon-Fri 18-20, Sat 9-17"))]
EVENINGS = [Person("Ann", read_hours("Mon-Fri 18-20"))]
ENGINE_HOIST = TemporarySupport("x", "engine hoist", "engine", "joint:front", "part:engine")
JACK = TemporarySupport("y", "trolley jack", "box", "joint:bell", "part:box")


def slung(*supports, minutes: float = 50):
    """An engine with a gearbox behind it, on a bed; the strip of it."""
    joints = {"front": ("engine", "bed"), "bell": ("engine", "box"), "rear": ("box", "bed")}
    v = Vehicle(
        About("cart", "cart"),
        parts=table(
            *(Part(each, each, "z", minutes=likely(minutes)) for each in ("engine", "box")),
            Part("bed", "bed", "z"),
        ),
        joints=table(
            *(Joint(e, e, parts, minutes=likely(minutes)) for e, parts in joints.items())
        ),
        temporary_supports=table(*supports),
    )
    state, goal = state_of(v), Goal("bare", "bare", "bed", off=("engine", "box"))
    return state, goal, plan_strip(v, state, goal)


def timed(state, goal, plan, people, held=()):
    """The blocks, with these jacks held, and their timetable."""
    work = blocks_of(state.vehicle, state, plan, goal, LEAD, people, held)
    return work, *make_timetable(work, people, BEGIN, effort=0.1)


def closed(state, goal, plan, people):
    """The timetable that leaves nothing up, and what it leaves all the same."""
    made = leaving_nothing_up(
        state.vehicle, plan, lambda held: timed(state, goal, plan, people, held)
    )[1]
    return made, left_overnight(state.vehicle, plan.steps, made)


def breaks_no_rule(state, goal, plan, made) -> bool:
    """Whether the timetable and the strip in its order are right, by both checkers."""
    again = replace(plan, steps=tuple(plan.steps[n] for n in steps_in_order(made)))
    faults = {each.rule for each in check_strip(state.vehicle, state, goal, again)}
    told = (*check_timetable(made), *check_blocks(state.vehicle, state, plan, made))
    assert told == ()
    return faults <= {StripRule.COST}


@pytest.mark.parametrize("supports", [(ENGINE_HOIST,), (JACK,), (ENGINE_HOIST, JACK)])
def test_what_would_hang_overnight_is_taken_down_on_a_day_that_is_long_enough(supports):
    """Left by evenings it is a fault, of each of two that bear at once; so it is Saturday's."""
    state, goal, plan = slung(*supports)
    loose = timed(state, goal, plan, WEEK)[1]
    left = left_overnight(state.vehicle, plan.steps, loose)
    assert left
    told = check_blocks(state.vehicle, state, plan, loose)
    assert [each.split(" the ")[1].split(" until")[0] for each in told] == [
        each.support.kind for each in left
    ]
    made, still = closed(state, goal, plan, WEEK)
    assert still == ()
    assert breaks_no_rule(state, goal, plan, made)
    assert made.finish.strftime("%a") == "Sat"


def test_what_fits_into_no_hours_is_left_and_told():
    """Whoever has evenings alone is not asked for what they cannot do."""
    state, goal, plan = slung(ENGINE_HOIST, JACK)
    made, left = closed(state, goal, plan, EVENINGS)
    assert {each.support for each in left} == {ENGINE_HOIST, JACK}
    assert breaks_no_rule(state, goal, plan, made)


def test_what_is_not_left_stays_as_many_jobs():
    """Two share what is done in a day: nothing is made one piece of work for nothing."""
    state, goal, plan = slung(ENGINE_HOIST)
    saturdays = [Person(name, read_hours("Sat 9-17")) for name in ("Ann", "Bob")]
    made, left = closed(state, goal, plan, saturdays)
    assert left == ()
    assert made == timed(state, goal, plan, saturdays)[1]
    assert len(made.blocks) == len(plan.steps)


def test_of_a_generated_strip_no_rule_is_broken_and_nothing_is_left():
    """What hung overnight is one piece of work; both checkers find nothing in the new order."""
    state, goal, plan, _ = strip_of(40, 4)
    people = [Person("Ann", read_hours("Sat 9-17, Wed 18-21"))]
    assert left_overnight(state.vehicle, plan.steps, timed(state, goal, plan, people)[1])
    made, left = closed(state, goal, plan, people)
    assert left == ()
    assert breaks_no_rule(state, goal, plan, made)


# -- visits, by brute force ------------------------------------------------------------


def drawn(rnd: Random) -> tuple[tuple[Precedence, ...], list[Bearing]]:
    """A few steps in two stints at most, what precedes what, and what one jack or two bear."""
    size, turns = rnd.randint(3, 8), rnd.randint(2, 9)
    precedence = tuple(
        Precedence(
            int(n >= turns),
            tuple((first,) for first in range(n) if rnd.random() < 0.3)
            + (((rnd.randrange(n), size), (n,)) if n and rnd.random() < 0.2 else ()),
        )
        for n in range(size)
    )
    spans = [sorted(rnd.sample(range(size), 2)) for _ in range(rnd.randint(1, 3))]
    return precedence, [
        Bearing(replace(ENGINE_HOIST, id=f"{number}"), *span) for number, span in enumerate(spans)
    ]


def preceding(precedence) -> set[tuple[int, int]]:
    """All pairs of which the one is done before the other, however far."""
    found = {(min(c), n) for n, each in enumerate(precedence) for c in each.needs if min(c) < n}
    while more := {(a, d) for (a, b), (c, d) in product(found, found) if b == c} - found:
        found |= more
    return found


@settings(max_examples=150)
@given(st.randoms(use_true_random=False))
def test_visits_hold_what_must_be_between_and_the_order_keeps_to_all_of_it(rnd):
    """One jack: just what must be between. Several: each whole or left, nothing in between."""
    precedence, bearings = drawn(rnd)
    before = preceding(precedence)
    for one in bearings:
        visits = in_one_go([one], precedence, lambda *_: True)
        must = {n for n in range(len(precedence)) if {(one.first, n), (n, one.last)} <= before}
        is_one = precedence[one.first].stint == precedence[one.last].stint
        held = {n for n, each in enumerate(visits) if each.visit is not None}
        assert held == (must | {one.first, one.last} if is_one else set())
    for most in (2, 3, 8):
        visits = in_one_go(bearings, precedence, lambda these, _, most=most: len(these) <= most)
        order = visit_by_visit(visits)
        assert sorted(order) == list(range(len(precedence)))
        place = {n: at for at, n in enumerate(order)}
        assert all(place[first] < place[then] for first, then in before)
        stints = [precedence[n].stint for n in order]
        assert stints == sorted(stints)
        for visit in {each.visit for each in visits} - {None}:
            mine = sorted(place[n] for n, each in enumerate(visits) if each.visit == visit)
            assert all(b == a + 1 for a, b in pairwise(mine))
            assert len(mine) <= most
        for each in bearings:  # whole, or another of the same steps is
            if most == 8 and precedence[each.first].stint == precedence[each.last].stint:
                assert visits[each.first].visit == visits[each.last].visit is not None
    none = in_one_go(bearings, precedence, lambda *_: False)
    assert visit_by_visit(none) == tuple(range(len(precedence)))


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
