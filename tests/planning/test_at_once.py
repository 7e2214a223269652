"""What a strip lets go comes off at once, where that costs nothing."""

import pytest

from putback.planning.check import StripRule, check_strip
from putback.planning.plan import Action
from putback.vehicle.goal import Goal
from putback.vehicle.ids import split_ref
from putback.vehicle.part import RUN_KINDS, Part
from putback.vehicle.standing import Zone
from tests.makers import ZONE, standing, vehicle
from tests.planning.hand_made import likely, written
from tests.planning.stripping import lines, place, planned
from tests.planning.test_precede import strip_of

SHELL = standing("stands", "shell")
SEAT = f"seat - shell; zone {ZONE}; tool spanner"


def test_nobody_holds_a_door_while_the_next_is_undone():
    """To zone, tool and helpers any order of these is one: not to whoever holds the door."""
    doors = [f"door{n} - shell; tool spanner" for n in range(6)]
    heavy = [Part(f"door{n}", f"door{n}", "z", minutes=likely(5), mass_kg=15.0) for n in range(6)]
    plan = planned(vehicle(*heavy, *doors, SHELL, datum="shell"))
    for n in range(6):
        undone = place(plan, f"joint:door{n}-shell")
        assert plan.steps[undone + 1].what == f"part:door{n}"


def test_a_walk_is_not_made_for_it():
    """A seat that is lifted out elsewhere waits until there is more to do there."""
    far = Part("seat", "seat", "far", minutes=likely(5), mass_kg=15.0)
    car = vehicle(
        far, SEAT, f"lamp - shell; zone {ZONE}; tool spanner",
        "mat - shell; zone far; tool spanner",
        "seat-shell before lamp-shell", "lamp-shell before mat-shell",
        SHELL, Zone("far", "far"), datum="shell",
    )  # fmt: skip
    plan = planned(car)
    assert plan.steps[place(plan, "joint:seat-shell") + 1].what != "part:seat"


def test_what_makes_other_work_harder_stays_where_it_is():
    """With the seat out the mat takes longer: it is held, or let go later, as the minutes say."""
    part = Part("seat", "seat", "z", minutes=likely(5), mass_kg=15.0)
    car = vehicle(
        part, SEAT, "mat - shell", "mat-shell harder after seat x 3", SHELL, datum="shell"
    )
    plan = planned(car)
    assert place(plan, "joint:mat-shell") < place(plan, "part:seat")


@pytest.mark.parametrize("size", [(20, 2), (40, 4), (40, 7)])
def test_nothing_in_the_air_could_come_off_sooner_for_nothing(size):
    """Moved by hand to right behind what let it go, it costs more, or breaks a rule."""
    state, goal, plan, _ = strip_of(*size)
    vehicle_, text = state.vehicle, lines(plan)
    moody = {ref for fact in vehicle_.harder_afters.values() for ref in (fact.job, fact.after)}
    at_once = 0
    for at, step in enumerate(plan.steps):
        kind, name = split_ref(step.what)
        if step.action is not Action.TAKE_OFF or kind != "part" or step.what in moody:
            continue
        own = {f"joint:{each}" for each in vehicle_.joints_of[name]}
        last = max((n for n, each in enumerate(plan.steps[:at]) if each.what in own), default=at)
        here = {each.standing for each in plan.steps[last : at + 1]}
        if vehicle_.parts[name].kind in RUN_KINDS or len(here) > 1:
            continue
        if last >= at - 1:
            at_once += 1
            continue
        sooner = [*text[: last + 1], text[at], *text[last + 1 : at], *text[at + 1 :]]
        again = written(vehicle_, sooner, goal=goal.id, state=state, start=plan.start)
        faults = {each.rule for each in check_strip(vehicle_, state, goal, again)}
        costs = again.setup_minutes > plan.setup_minutes + 1e-6
        let_go = bool(plan.steps[last].prop_first)
        assert costs or faults - {StripRule.COST} or not let_go, step.what
    assert at_once


def test_what_no_step_takes_off_is_told_where_it_is_let_go():
    """The shell is all that is asked for: the battery in it is parted from it, and lifted too."""
    battery = Part("battery", "battery", ZONE, mass_kg=16.0)
    car = vehicle(
        battery, "shell - frame", "battery - shell", standing("stands", "frame"), datum="frame"
    )
    only = Goal("g", "shell off", "frame", off=("shell",))
    plan = planned(car, only)
    notes = [note for step in plan.steps for note in step.notes]
    assert notes == ["no step of this plan takes the battery off: lift it away as well"]
    everything = planned(car)
    assert not any(step.notes for step in everything.steps)
