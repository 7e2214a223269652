"""How surely the vehicle stands while it is put back: rule 14 of the rebuild."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.planning.check import RebuildRule, check_rebuild
from putback.planning.plan import Action, PlanSettings
from putback.planning.rebuild import plan_rebuild
from putback.vehicle.part import PartKind
from putback.vehicle.standing import Standing, Support
from tests.makers import vehicle
from tests.planning.rebuilding import apart, line_of, plan_of, step_in, with_part
from tests.planning.test_rebuild_random import half_stripped


def stood(identity: str, *at_m: tuple[float, float], **more) -> Standing:
    """A standing on stands under the frame at these places [m]."""
    supports = tuple(
        Support(f"{identity}{n}", "stand", "frame", at, rating_kg=more.get("rating_kg"))
        for n, at in enumerate(at_m)
    )
    return Standing(identity, identity, supports, more.get("to", {}))


SQUARE = ((0.0, -0.5), (0.0, 0.5), (2.0, -0.5), (2.0, 0.5))
SHORT = ((0.0, -0.5), (0.0, 0.5), (1.2, -0.5), (1.2, 0.5))


def car(*standings: Standing):
    """A light frame and a heavy engine behind its middle."""
    made = vehicle("engine - frame: 4 bolt M10x1.5x40; 10 min", *standings, datum="frame")
    made = with_part(made, "frame", kind=PartKind.STRUCTURE, mass_kg=50.0, cg_m=(1.0, 0.0, 0.4))
    return with_part(made, "engine", mass_kg=200.0, cg_m=(1.4, 0.0, 0.5))


def out(of, at: str):
    """The engine is out, and it stands so."""
    return apart(of, "engine-frame", "engine", standing=at)


def test_a_step_that_would_tip_it_says_what_to_add():
    """The engine goes on behind the last stands: one more is wanted, and where."""
    of = car(stood("short", *SHORT))
    plan = plan_of(of, out(of, "short"))
    assert step_in(plan, "put on engine").add_support
    assert [line_of(step) for step in plan.steps if step.add_support] == ["put on engine"]


def test_where_it_stands_well_nothing_is_added():
    """On a square under all of it, no step says so."""
    of = car(stood("square", *SQUARE))
    assert not any(step.add_support for step in plan_of(of, out(of, "square")).steps)


def test_an_overloaded_stand_is_told():
    """Four stands rated for 30 kg each do not carry 250 kg."""
    of = car(stood("square", *SQUARE, rating_kg=30.0))
    assert step_in(plan_of(of, out(of, "square")), "put on engine").add_support


def test_of_two_standings_the_one_that_holds_is_entered():
    """The other is cheaper to get to, and does not carry it."""
    start = stood("start", *SQUARE, to={"a": 1.0, "b": 30.0})
    of = car(start, stood("a", (0.9, 0.0), (1.0, 0.1), (1.0, -0.1)), stood("b", *SQUARE))
    joint = replace(of.joints["engine-frame"], standings=("a", "b"))
    of = of.with_records(joints={joint.id: joint})
    plan = plan_of(of, out(of, "start"))
    assert step_in(plan, "make engine-frame").standing == "b"


def test_the_first_step_in_a_standing_that_does_not_hold_it_says_what_to_add():
    """The lamp weighs nothing, and can be fitted on the short stands only: the rest is as ever."""
    start = stood("start", *SQUARE, to={"short": 1.0})
    made = vehicle("lamp - frame", "engine - frame", start, stood("short", *SHORT), datum="frame")
    made = with_part(made, "frame", kind=PartKind.STRUCTURE, mass_kg=50.0, cg_m=(1.0, 0.0, 0.4))
    made = with_part(made, "engine", mass_kg=200.0, cg_m=(1.4, 0.0, 0.5))
    made = with_part(made, "lamp", mass_kg=0.0, standings=("start",))
    lamp = replace(made.joints["lamp-frame"], standings=("short",))
    made = made.with_records(joints={lamp.id: lamp})
    plan = plan_of(made, apart(made, "lamp-frame", "lamp", standing="start"))
    told = [line_of(step) for step in plan.steps if step.add_support]
    assert told == ["make lamp-frame"]


def test_the_margin_to_keep_is_the_persons():
    """An engine to one side leaves 42 cm: who wants 45 is told, who wants 40 is not."""
    of = with_part(car(stood("square", *SQUARE)), "engine", cg_m=(1.4, 0.1, 0.5))
    state = out(of, "square")
    for margin_m, is_told in ((0.40, False), (0.45, True)):
        wanted = PlanSettings(least_margin_m=margin_m)
        plan = plan_rebuild(of, state, wanted)
        assert check_rebuild(of, state, plan, wanted) == ()
        assert any(step.add_support for step in plan.steps) == is_told


def test_the_checker_tells_a_step_that_says_nothing():
    """The plan without its support to add."""
    of = car(stood("short", *SHORT))
    state = out(of, "short")
    plan = plan_of(of, state)
    steps = tuple(replace(step, add_support="") for step in plan.steps)
    faults = check_rebuild(of, state, replace(plan, steps=steps))
    assert {fault.rule for fault in faults} == {RebuildRule.STANDS}


@pytest.mark.slow
@settings(max_examples=max(8, settings().max_examples // 10))
@given(
    st.sampled_from([(12, 1), (20, 2), (30, 6)]),
    st.sampled_from([1.0, 0.6, 0.3]),
    st.floats(0.0, 0.6),
)
def test_whatever_margin_is_asked_for_the_checker_agrees(size, share, margin_m):
    """Generated vehicles, every margin: what must be added is said, and only there."""
    of, state = half_stripped(*size, share)
    wanted = PlanSettings(least_margin_m=margin_m)
    plan = plan_rebuild(of, state, wanted)
    assert check_rebuild(of, state, plan, wanted) == ()
    told = [at for at, step in enumerate(plan.steps) if step.add_support]
    if told:
        at = told[len(told) // 2]
        silent = replace(plan.steps[at], add_support="")
        steps = (*plan.steps[:at], silent, *plan.steps[at + 1 :])
        faults = check_rebuild(of, state, replace(plan, steps=steps), wanted)
        assert {(fault.rule, fault.step) for fault in faults} == {(RebuildRule.STANDS, at)}
    assert not any(step.add_support for step in plan.steps if step.action is Action.CHECK)
