"""How many people a lift wants, alone or as a whole, coming off or going on."""

from dataclasses import replace

import pytest

from putback.planning.ahead import look_ahead
from putback.planning.ahead.line import Sort
from putback.planning.crew import people_for
from putback.planning.plan import Action, Plan, Step
from putback.planning.stretch.best import best_stretch
from putback.vehicle.assembly import Assembly
from putback.vehicle.job import Job, JobKind
from putback.vehicle.part import Part
from tests.makers import vehicle
from tests.planning.hand_made import state_of

UNIT = Assembly("unit", "engine and gearbox", ("engine", "gearbox"))
CAR = vehicle(
    "engine - frame",
    "engine - gearbox",
    "hood - frame",
    Part("engine", "engine", "here", mass_kg=120.0),
    Part("gearbox", "gearbox", "here", mass_kg=15.0),
    Part("seats", "seats", "here", mass_kg=40.0, quantity=2),
    UNIT,
    Job("look", "look at it", kind=JobKind.SECOND_CHECK),
    datum="frame",
)


def people(action: Action, what: str, *off: str, of=CAR, crew: int = 1) -> int:
    """How many one step wants."""
    return people_for(of, Step(action, what, crew=crew), off)


@pytest.mark.parametrize("action", [Action.TAKE_OFF, Action.PUT_ON])
def test_a_heavy_whole_wants_two(action):
    """135 kg in one lift: two at least, though nobody said so; more if somebody did."""
    assert people(action, "assembly:unit") == 2
    assert people(action, "assembly:unit", crew=4) == 4


def test_light_parts_can_make_a_heavy_whole():
    """Two of 15 kg are lifted by one person each, and as one by two."""
    light = replace(CAR.parts["engine"], mass_kg=15.0)
    of = CAR.with_records(parts={**CAR.parts, light.id: light})
    assert people(Action.TAKE_OFF, "part:engine", of=of) == 1
    assert people(Action.TAKE_OFF, "assembly:unit", of=of) == 2


def test_a_hoist_lifts_a_whole():
    """What hangs on the crane is no lift by hand."""
    of = CAR.with_records(assemblies={"unit": replace(UNIT, hoist="crane")})
    assert people(Action.TAKE_OFF, "assembly:unit", of=of) == 1


def test_of_a_whole_only_what_moves_is_lifted():
    """The engine is off: what comes off is the gearbox, what goes on the engine, and so turned."""
    assert people(Action.TAKE_OFF, "assembly:unit", "engine") == 1
    assert people(Action.PUT_ON, "assembly:unit", "engine") == 2
    assert people(Action.TAKE_OFF, "assembly:unit", "gearbox") == 2
    assert people(Action.PUT_ON, "assembly:unit", "gearbox") == 1


def test_of_a_set_one_piece_is_lifted_at_a_time():
    """A pair of seats of 40 kg together."""
    assert people(Action.TAKE_OFF, "part:seats") == 1


def test_a_second_look_wants_two_and_a_spanner_one():
    """Masses matter to lifts alone; unknown parts weigh nothing that anybody knows."""
    assert people(Action.DO, "job:look") == people(Action.CHECK, "joint:engine-frame") == 2
    assert people(Action.UNDO, "joint:engine-frame") == 1
    assert people(Action.CRACK, "assembly:unit") == 1
    assert people(Action.TAKE_OFF, "part:nobody-knows") == 1


def test_a_stretch_and_what_is_asked_ahead_know_the_whole():
    """One person has no stretch with the unit in it, and people are asked for."""
    plan = Plan(None, (Step(Action.TAKE_OFF, "assembly:unit", minutes=5.0),), 5.0, 0.0)
    state = state_of(CAR, undone=("engine-frame",))
    alone = best_stretch(CAR, state, plan, 60.0, people=1)
    assert (alone.stretch, alone.out_of_reach) == (None, 1)
    assert [line.people for line in look_ahead(CAR, state, plan).of(Sort.ASK)] == [2]
