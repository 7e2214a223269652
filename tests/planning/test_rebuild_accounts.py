"""A job that accounts for closures comes when they can be out: rule 11 of the rebuild."""

from dataclasses import replace

import pytest

from putback.planning.check import RebuildRule, check_rebuild
from putback.vehicle.job import JobKind
from putback.vehicle.opening import Opening
from tests.makers import vehicle
from tests.planning.rebuilding import apart, assert_order, job, lines, plan_of


def plugged(*more, openings=("in", "out")):
    """A pump with two openings, each closed while its pipe is off; somebody counts the plugs."""
    return vehicle(
        "inlet = intake - pump: 1 union M10",
        "outlet = drain - pump: 1 union M10",
        "pump - frame: 2 bolt M8x1.25x20",
        Opening("in", "inlet", "pump", ("inlet",), closed_with="plug"),
        Opening("out", "outlet", "pump", ("outlet",), closed_with="plug"),
        job("count", JobKind.CHECK, openings=openings),
        *more,
        datum="frame",
    )


def in_pieces(of):
    """All of it is off."""
    return apart(of, "inlet", "intake", "outlet", "drain", "pump-frame", "pump")


def test_it_comes_after_the_last_joint_of_its_openings_is_made():
    """Both plugs are out by then; without the openings it would be the first thing done."""
    of = plugged()
    plan = plan_of(of, in_pieces(of))
    assert_order(plan, "make inlet", "do count")
    assert_order(plan, "make outlet", "do count")
    of = plugged(openings=())
    assert_order(plan_of(of, in_pieces(of)), "do count", "make inlet")


@pytest.mark.parametrize("opening", ["in", "out"])
def test_it_waits_for_no_other_opening(opening):
    """Each is accounted for by itself; a joint that is made already asks for nothing."""
    of = plugged(openings=(opening,))
    joint = {"in": "inlet", "out": "outlet"}[opening]
    assert_order(plan_of(of, in_pieces(of)), f"make {joint}", "do count")
    assert "do count" not in lines(plan_of(of, apart(of)))


def test_facts_go_before_it():
    """Who wants it counted before the inlet is made has a reason."""
    of = plugged("count before inlet: to see the plug (rebuild)")
    assert_order(plan_of(of, in_pieces(of)), "make outlet", "do count", "make inlet")


def test_the_checker_tells_an_account_that_comes_too_early():
    """Counted first of all, while both are in."""
    of, state = plugged(), in_pieces(plugged())
    plan = plan_of(of, state)
    count = [step for step in plan.steps if step.what == "job:count"]
    rest = [step for step in plan.steps if step.what != "job:count"]
    faults = check_rebuild(of, state, replace(plan, steps=(*count, *rest)))
    told = [fault.words for fault in faults if fault.rule is RebuildRule.TEMPORARY]
    assert told == ["count: inlet is closed still", "count: outlet is closed still"]
