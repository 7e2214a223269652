"""The guard: a strip keeps the vehicle standing, by another order or by a support to add."""

import pytest

from putback.planning.check import check_strip
from putback.planning.ordering.task import set_task
from putback.planning.ordering.way import find_way
from putback.planning.plan import USUAL
from putback.planning.strip import plan_strip
from putback.progress import NoProgress
from putback.vehicle.part import Part, PartKind
from putback.vehicle.standing import Standing, Support
from tests.makers import vehicle
from tests.planning.hand_made import state_of


def weight(name: str, mass_kg: float, x_m: float, kind: PartKind = PartKind.PART) -> Part:
    """A weight in the middle, somewhere along the vehicle."""
    return Part(name, name, "here", kind=kind, mass_kg=mass_kg, cg_m=(x_m, 0.0, 0.5))


FEET = tuple(
    Support(f"s{n}", "stand", "frame", at)
    for n, at in enumerate([(1.0, -0.5), (1.0, 0.5), (2.0, -0.5), (2.0, 0.5)])
)
FRAME = weight("frame", 200.0, 1.5, PartKind.STRUCTURE)


def on_stands(*said):
    """A vehicle to be stripped on four stands; how it is now, and the goal."""
    v = vehicle(FRAME, *said, Standing("stands", "on stands", FEET), datum="frame")
    return v, state_of(v, standing="stands"), v.goals["bare"]


def planned(*said):
    """A strip on four stands that the checker finds nothing wrong with."""
    v, now, goal = on_stands(*said)
    plan = plan_strip(v, now, goal)
    assert check_strip(v, now, goal, plan) == ()
    return plan


def test_what_would_tip_it_waits_for_something_else():
    """Engine first, its weight would be 7 cm inside the rear stands; a box first, 23 cm."""
    plan = planned(
        weight("engine", 150.0, 0.5),
        weight("rack", 75.0, 2.5),
        weight("tank", 75.0, 2.5),
        "engine - frame",
        "rack - frame",
        "tank - frame",
    )
    off = [step.what for step in plan.steps if step.what.startswith("part:")]
    assert off[0] != "part:engine"
    assert not any(step.add_support for step in plan.steps)


def test_where_every_order_tips_it_the_step_says_which_support_to_add():
    """One weight before and one behind: whichever goes first, the other pulls it over."""
    plan = planned(
        weight("engine", 300.0, 0.0),
        weight("tank", 300.0, 3.0),
        "engine - frame",
        "tank - frame",
    )
    told = [step.add_support for step in plan.steps if step.add_support]
    assert len(told) == 1
    assert told[0].startswith("add ")


ON_A_HOSE = (
    weight("pump", 20.0, 1.5),
    weight("hose", 0.5, 1.5, PartKind.HOSE),
    "pump - frame",
    "near = hose - pump",
    "far = hose - frame",
)


@pytest.mark.parametrize("first", ["near", "far"])
def test_nothing_is_left_on_a_hose_whose_end_could_come_first(first):
    """The other end comes only after the pump is loose, so this one comes before."""
    (other,) = {"near", "far"} - {first}
    undone = [step.what for step in planned(*ON_A_HOSE, f"pump - frame before {other}").steps]
    assert undone.index(f"joint:{first}") < undone.index("joint:pump-frame")


def test_no_end_is_waited_for_that_never_comes_first():
    """Both ends come only after the pump is loose: nothing is waived, and the pump is held."""
    said = (*ON_A_HOSE, "pump - frame before near", "pump - frame before far")
    v, now, goal = on_stands(*said)
    task = set_task(v, now, goal, USUAL)
    assert not find_way(task.problem, task.stages, USUAL, NoProgress()).rules.waived
    (step,) = (each for each in planned(*said).steps if each.what == "joint:pump-frame")
    assert "hangs on the hose" in step.prop_first
