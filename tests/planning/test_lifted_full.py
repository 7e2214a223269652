"""What a part weighs as it is lifted: with what is still in it, everywhere the same."""

from dataclasses import replace

import pytest

from putback.logbook.state import FluidState
from putback.planning.ahead import look_ahead
from putback.planning.ahead.line import Sort
from putback.planning.crew import Crews
from putback.planning.drops import drops_along, what_drops
from putback.planning.plan import USUAL, Action, Plan
from putback.planning.stretch.ending import Ending
from putback.planning.stretch.walk import Walk
from putback.planning.ties import ties
from putback.vehicle.job import Job, JobKind
from putback.vehicle.masses import lifted_of
from putback.vehicle.opening import Fluid
from putback.vehicle.part import Part
from tests.makers import ZONE, standing, vehicle
from tests.planning.hand_made import said, state_of
from tests.planning.stripping import place, planned

FLUID = Fluid("fluid", "oil", "tank", mass_kg=18.0, drained_by="drain")
EMPTY = "hold the tank (12 kg): nothing else holds it"
FULL = "two people hold the tank (30 kg): nothing else holds it"
WHY = "two lift it: 30 kg, and one person lifts 23 kg"


def tank(*more, fluid=FLUID):
    """A tank of 12 kg with 18 kg of something in it."""
    return vehicle(
        "tank - frame",
        Part("tank", "tank", ZONE, mass_kg=12.0),
        fluid,
        Job("drain", "drain it", JobKind.DRAIN),
        standing("stands", "frame"),
        *more,
        datum="frame",
    )


def steps(v, **state):
    """The steps that undo the tank and take it off."""
    plan = planned(v, standing="stands", **state)
    return plan, plan.steps[place(plan, "joint:tank-frame")], plan.steps[place(plan, "part:tank")]


def test_what_is_in_it_is_held_and_lifted_with_it():
    """By two, on either step, and people are asked for; the cost stays that of an empty one."""
    v = tank()
    plan, undo, off = steps(v)
    assert (undo.prop_first, undo.people) == (FULL, 2)
    assert (off.crew, off.people) == (1, 2)
    assert WHY in off.cautions
    assert plan.setup_minutes == 0.0
    (line,) = look_ahead(v, state_of(v, standing="stands"), plan).of(Sort.ASK)
    assert (line.people, line.steps) == (2, ("joint:tank-frame", "part:tank"))


@pytest.mark.parametrize(
    ("v", "state"),
    [
        (tank("drain before tank - frame: oil out"), {}),
        (tank(fluid=replace(FLUID, name="petrol")), {}),
        (tank(), {"done": ["drain"]}),
        (tank(), {"fluids": {"fluid": FluidState("fluid", drained=said(1))}}),
    ],
    ids=["a fact", "petrol", "done", "logged"],
)
def test_what_is_drained_by_then_weighs_nothing(v, state):
    """By the plan or before it."""
    _, undo, off = steps(v, **state)
    assert (undo.prop_first, undo.people, off.people) == (EMPTY, 1, 1)
    assert WHY not in off.cautions


def test_what_was_filled_again_weighs():
    """Drained, and filled since."""
    seen = FluidState("fluid", drained=said(1), filled=said(2))
    assert steps(tank(), fluids={"fluid": seen})[1].prop_first == FULL


def test_ties_drops_and_plan_tell_one_mass():
    """What the lift weighs is what one is told to hold."""
    v = tank()
    now = state_of(v, standing="stands")
    drop = what_drops(v, now, "tank-frame")
    assert drop.pieces[0].mass_kg == ties(v, now, "part:tank").mass_kg == 30.0
    assert Crews(v, {"fluid"}).by_hand_kg(["tank"]) == 30.0
    assert Crews(v).by_hand_kg(["tank"]) == 12.0


def test_along_a_plan_it_is_empty_once_it_is_drained():
    """The next steps of a strip are told as things then are."""
    v = tank("drain before tank - frame: oil out")
    plan, *_ = steps(v)
    now = state_of(v, standing="stands")
    (drop,) = drops_along(v, now, plan.steps)
    assert drop.pieces[0].mass_kg == 12.0


def test_a_stretch_tells_it_as_it_is_by_then():
    """One that drains it first, and one that does not; asked in turn, neither minds the other."""
    v = tank("drain before tank - frame: oil out")
    plan, *_ = steps(v)
    now = state_of(v, standing="stands")
    bare = tuple(replace(step, prop_first="", prop_people=1) for step in plan.steps)
    plan = Plan("bare", bare, 0.0, 0.0)
    drain, undo = place(plan, "job:drain"), place(plan, "joint:tank-frame", Action.UNDO)
    ending = Ending(v, now, Walk(v, now, plan, USUAL), USUAL)
    for _ in range(2):
        assert ending.props([drain, undo]) == {undo: (EMPTY, 1)}
        assert ending.props([undo]) == {undo: (FULL, 2)}


def test_of_a_set_each_is_lifted_with_its_share():
    """Two tanks of 12 kg together, 18 kg in both."""
    v = tank()
    pair = replace(v.parts["tank"], quantity=2)
    v = v.with_records(parts={**v.parts, "tank": pair})
    assert lifted_of(v, {"fluid"})["tank"].mass_kg == 15.0
    assert lifted_of(v)["tank"].mass_kg == 6.0
