"""Clauses of the rebuild where nothing else would keep the order: habit alone gets it wrong.

The order of the strip, turned round, is what a rebuild falls back on; so things came off here in
an order that is wrong the other way round.
"""

from dataclasses import replace

from putback.logbook.common import Away, Common
from putback.vehicle.facts import Before, Phase
from putback.vehicle.job import JobKind
from putback.vehicle.joint import FinalWhen
from putback.vehicle.part import PartKind
from putback.vehicle.run import Passage, Run, RunEnd
from tests.makers import standing, vehicle
from tests.planning.hand_made import said
from tests.planning.rebuilding import (
    OFF,
    apart,
    assert_order,
    job,
    lines,
    plan_of,
    rolling,
    step_in,
    unit,
    with_joint,
    with_part,
    with_states,
)


def test_one_of_two_ways_to_stand_is_kept_open_for_what_needs_either():
    """The lid shuts the pit and the door the lift; the job comes before the second of them."""
    car = vehicle(
        "lid - frame",
        "door - frame",
        job("seal", JobKind.SURVEY, standings=("pit", "lift")),
        standing("floor", "frame", pit=90.0, lift=90.0),
        standing("pit", "frame", floor=90.0, lift=90.0, needs_off=("lid",)),
        standing("lift", "frame", floor=90.0, pit=90.0, needs_off=("door",)),
        datum="frame",
    )
    state = apart(car, "lid-frame", "lid", "door-frame", "door", standing="floor")
    order = lines(plan_of(car, state))
    late = max(order.index("put on lid"), order.index("put on door"))
    assert order.index("do seal") < late


def test_on_the_bench_what_covers_a_joint_is_held_after_it_is_made():
    """The gearbox was parted last in the strip, so it would be the first to be made again."""
    car = unit()
    order = ("engine-frame", "unit=engine+clutch+gearbox", "clutch-engine", "gearbox-engine")
    plan = plan_of(car, apart(car, *order))
    assert_order(plan, "tighten clutch-engine", "make gearbox-engine")


def test_what_prepares_a_part_is_done_before_it_goes_on_though_the_way_there_is_long():
    """It takes another standing: left to set-up, it would wait till the end."""
    car = vehicle(
        "lid - frame",
        "pump - frame",
        job("fit", JobKind.REPAIR, standings=("ramps",), parts=("lid",)),
        job("chase", JobKind.PREPARE, standings=("ramps",), joints=("pump-frame",)),
        standing("floor", "frame", ramps=90.0),
        standing("ramps", "frame", floor=90.0),
        datum="frame",
    )
    state = apart(car, "lid-frame", "lid", "pump-frame", "pump", standing="floor")
    plan = plan_of(car, state)
    assert_order(plan, "do fit", "put on lid")
    assert_order(plan, "do chase", "make pump-frame")


def test_ends_of_a_pipe_that_stayed_on_are_both_started_first():
    """It never came off, so no part that is put on asks for it: the pipe itself does."""
    car = vehicle("pipe - frame", "pipe - box", "box - frame", datum="frame")
    car = with_part(car, "pipe", kind=PartKind.PIPE)
    car = with_joint(car, "pipe-box", zone="there", tool="pipe key")
    car = car.with_records(runs={"pipe": Run("pipe", (RunEnd("pipe-frame"), RunEnd("pipe-box")))})
    plan = plan_of(car, apart(car, "pipe-frame", "pipe-box"))
    assert_order(plan, "make pipe-frame", "tighten pipe-box")
    assert_order(plan, "make pipe-box", "tighten pipe-frame")


def test_a_loom_waits_for_what_it_is_drawn_through_though_it_came_off_after_it():
    """The bulkhead came off first and would go on last."""
    car = vehicle("bulkhead - frame", "loom - frame", datum="frame")
    run = Run("loom", (RunEnd("loom-frame"),), passages=(Passage("grommet", "bulkhead"),))
    car = car.with_records(runs={"loom": run})
    plan = plan_of(car, apart(car, "bulkhead-frame", "bulkhead", "loom-frame", "loom"))
    assert_order(plan, "put on bulkhead", "put on loom")


def test_the_weight_is_on_only_with_what_is_still_away():
    """The lid is at the plater: all else is done before it, but not the final tightening."""
    car = rolling()
    state = apart(car, *OFF, standing="stands")
    away = Common(sent_out=Away(said(), "part:lid", "plating", "to the plater"))
    state = with_states(state, "parts", [replace(state.parts["lid"], common=away)])
    plan = plan_of(car, state)
    assert step_in(plan, "put on lid").waits_for
    assert_order(plan, "put on lid", "finish bush")


def test_a_tightening_job_that_must_come_before_the_run_does_not_finish_what_waits_for_it():
    """It is tightened then all the same, and finished after the run by a step of its own."""
    car = vehicle(
        "head - block",
        job("round", JobKind.TIGHTEN, joints=("head-block",)),
        job("start", JobKind.RUN),
        Before("b", "job:round", "job:start", Phase.REBUILD, "tight before it runs"),
        datum="block",
    )
    car = with_joint(car, "head-block", final_when=FinalWhen.AFTER_FIRST_RUN)
    plan = plan_of(car, apart(car, "head-block", "head"))
    assert_order(plan, "tighten head-block", "do round", "do start", "finish head-block")


def test_what_a_standing_rests_on_is_named_as_the_reason():
    """And what it needs off: a person reads why the order is so."""
    car = vehicle(
        "wheel - frame",
        "lid - frame; in wheels",
        "pipe - frame; in bare",
        "body - frame",
        standing("wheels", "wheel", bare=10.0, stands=10.0),
        standing("stands", "frame", bare=10.0, wheels=10.0),
        standing("bare", "frame", stands=10.0, wheels=10.0, needs_off=("body",)),
        datum="frame",
    )
    order = (
        "lid-frame",
        "lid",
        "pipe-frame",
        "pipe",
        "body-frame",
        "body",
        "wheel-frame",
        "wheel",
    )
    plan = plan_of(car, apart(car, *order, standing="stands"))

    def why(line: str) -> set[str]:
        return {reason.words for reason in step_in(plan, line).reasons}

    assert "it stands on the wheel while this is done" in why("make lid-frame")
    assert "it can only be done as the vehicle stands without it" in why("put on body")


def test_a_part_does_not_go_on_where_a_stand_is_in_its_place():
    """Somebody says it stands on the hubs, and one of these is off: it goes on elsewhere."""
    car = vehicle(
        "hub - frame",
        standing("hubs", "hub", blocks=10.0),
        standing("blocks", "frame", hubs=10.0),
        datum="frame",
    )
    plan = plan_of(car, apart(car, "hub-frame", "hub", standing="hubs"))
    assert step_in(plan, "put on hub").standing == "blocks"


def test_a_part_goes_on_in_a_standing_of_its_own():
    """It names one, its joint none: the vehicle is put there for it."""
    car = vehicle(
        "tank - frame",
        standing("ramps", "frame", floor=10.0),
        standing("floor", "frame", ramps=10.0),
        datum="frame",
    )
    car = with_part(car, "tank", standings=("ramps",))
    plan = plan_of(car, apart(car, "tank-frame", "tank", standing="floor"))
    assert step_in(plan, "put on tank").standing == "ramps"
