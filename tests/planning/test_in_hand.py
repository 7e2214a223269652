"""What a strip lets go is not left in the air from one day to the next."""

from dataclasses import replace

import pytest

from putback.planning.check.timetable import check_blocks, check_timetable
from putback.planning.planned_days import Person
from putback.planning.timetable import blocks_of, make_timetable, read_hours
from putback.vehicle.part import Part
from tests.makers import ZONE, standing, vehicle
from tests.planning.hand_made import likely, state_of
from tests.planning.on_calendar import BEGIN, LEAD
from tests.planning.stripping import planned

ANN = Person("Ann", read_hours("Fri 18-20"))
BOB, CID = (Person(name, read_hours("Sat 9-12")) for name in ("Bob", "Cid"))


def on_days(people, minutes: float = 10, **more):
    """An axle of two people's weight under a frame on stands, put on the calendar."""
    axle = Part("axle", "axle", ZONE, minutes=likely(5), mass_kg=40.0)
    car = vehicle(axle, f"axle - frame; {minutes} min", standing("stands", "frame"), datum="frame")
    state = state_of(car, standing="stands", **more)
    goal = next(iter(car.goals.values()))
    plan = planned(car, goal, standing="stands", **more)
    work = blocks_of(car, state, plan, goal, LEAD, people)
    return state, plan, make_timetable(work, people, BEGIN, effort=0.1)[0]


def test_nobody_leaves_on_friday_what_two_lift_on_saturday():
    """One could undo it and goes home; two do both."""
    state, plan, made = on_days([ANN, BOB, CID])
    assert check_timetable(made) == check_blocks(state.vehicle, state, plan, made) == ()
    (booked,) = made.bookings
    assert booked.who == ("Bob", "Cid")
    assert booked.begins.strftime("%a") == "Sat"


def test_left_in_the_hand_is_a_fault():
    """Two blocks of it, whoever does them."""
    state, plan, made = on_days([ANN, BOB, CID])
    (whole,) = made.blocks
    parts = [replace(whole, steps=(n,), minutes=5.0) for n in whole.steps]
    left = replace(made, blocks=tuple(parts))
    (told,) = check_blocks(state.vehicle, state, plan, left)
    assert told == "block 0 leaves in the hand what block 1 takes off"


@pytest.mark.parametrize("minutes", [200, 10])
def test_what_no_session_holds_or_nobody_can_do_stays_apart(minutes):
    """Three hours of rust, or one who undoes and another who lifts."""
    people = [ANN, BOB, CID]
    if minutes < 120:
        people = [
            replace(ANN, skills=frozenset({"clip"})),
            replace(BOB, skills=frozenset({"lifting parts"})),
        ]
    state, plan, made = on_days(people, minutes)
    assert len(made.blocks) == 2
    assert check_blocks(state.vehicle, state, plan, made) == ()
