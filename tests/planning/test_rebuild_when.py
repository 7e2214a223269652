"""When a rebuild can finish: laden, by a job, after the first run; filled, bled and checked."""

from dataclasses import replace

import pytest

from putback.logbook.state import FluidState
from putback.planning.plan import Because
from putback.planning.rebuild.bleeding import bleeding_notes
from putback.vehicle.circuit import circuit_joints
from putback.vehicle.ids import NOT_SAID
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import FinalWhen, Tightening
from putback.vehicle.opening import Fluid, Opening
from putback.vehicle.part import Part, PartKind
from putback.vehicle.run import Run, RunEnd
from tests.makers import ZONE, vehicle
from tests.planning.hand_made import likely, said
from tests.planning.rebuilding import (
    OFF,
    apart,
    assert_order,
    job,
    lines,
    plan_of,
    rolling,
    step_in,
    with_joint,
    with_states,
)

# -- when it can be -------------------------------------------------------------------------------


def test_rubber_is_tightened_for_good_with_the_weight_on_the_wheels():
    """Nipped on stands; finished on the wheels once everything with a mass is on."""
    car = rolling()
    plan = plan_of(car, apart(car, *OFF, standing="stands"))
    assert_order(plan, "tighten bush", "put on wheel", "finish bush")
    assert_order(plan, "put on lid", "finish bush")
    assert step_in(plan, "finish bush").standing == "wheels"
    assert step_in(plan, "tighten bush").torque == "nip only; for good at laden height"


def test_a_weighing_says_when_the_weight_is_on():
    """With a declared weighing, ballast stands in for what is not on yet."""
    car = rolling(job("weigh", JobKind.WEIGH, standings=("wheels",)))
    plan = plan_of(car, apart(car, *OFF, standing="stands"))
    assert_order(plan, "put on wheel", "do weigh", "finish bush")


def test_a_declared_job_finishes_the_joints_it_names():
    """No finish step is written beside it, and it is done where they may be finished."""
    car = rolling(job("torque", JobKind.TIGHTEN, joints=("bush",), target="all at once"))
    car = with_joint(car, "bush", tightening=Tightening(60.0))
    plan = plan_of(car, apart(car, *OFF, standing="stands"))
    assert "finish bush" not in lines(plan)
    assert_order(plan, "tighten bush", "put on wheel", "do torque")
    step = step_in(plan, "do torque")
    assert step.standing == "wheels"
    assert step.notes == ("all at once", "bush: 60 N·m (44 lbf·ft), origin not said")


def test_a_job_that_cannot_be_done_on_the_wheels_does_not_finish_what_waits_for_them():
    """A setting on the stands names it, and it is finished on the wheels all the same."""
    car = rolling(job("set", JobKind.SET, joints=("bush",), standings=("stands",)))
    plan = plan_of(car, apart(car, *OFF, standing="stands"))
    assert_order(plan, "do set", "finish bush")


def test_closing_by_position_needs_no_finish():
    """Where the maker allows it, the arm is propped at its laden angle and tightened there."""
    car = rolling(by_position=True)
    plan = plan_of(car, apart(car, *OFF, standing="stands"))
    assert "finish bush" not in lines(plan)
    note = "closed by position: propped at its laden angle while it is tightened"
    assert note in step_in(plan, "tighten bush").notes


def test_gaps_are_set_last_of_the_part():
    """A hinge is tightened for good when every other joint of its door is tight."""
    car = vehicle("hinge = door - frame", "stay = door - frame", "lamp - door", datum="frame")
    car = with_joint(car, "hinge", final_when=FinalWhen.GAPS_SET)
    plan = plan_of(car, apart(car, "lamp-door", "lamp", "hinge", "stay", "door"))
    assert lines(plan)[-1] == "finish hinge"


def test_what_waits_for_the_first_run_is_finished_and_checked_after_it():
    """All else, its checks too, comes before the engine is started."""
    car = vehicle(
        "manifold - frame; critical",
        "lid - frame; critical",
        job("look", JobKind.SECOND_CHECK),
        job("start", JobKind.RUN),
        job("drive", JobKind.RUN),
        "start before drive: on stands first (rebuild)",
        datum="frame",
    )
    car = with_joint(car, "manifold-frame", final_when=FinalWhen.RENIPPED_HOT)
    plan = plan_of(car, apart(car, "lid-frame", "lid", "manifold-frame", "manifold"))
    assert_order(plan, "tighten lid-frame", "do look", "do start", "finish manifold-frame")
    assert_order(plan, "finish manifold-frame", "check manifold-frame")
    assert "check lid-frame" not in lines(plan)


def test_of_two_finishing_jobs_the_first_one_counts_for_the_check():
    """Wheel nuts are checked before the road test, though they are tightened again after it."""
    car = vehicle(
        "wheel - frame; critical",
        job("retorque", JobKind.TIGHTEN, joints=("wheel-frame",)),
        job("torque", JobKind.TIGHTEN, joints=("wheel-frame",)),
        job("drive", JobKind.RUN),
        "drive before retorque: after 80 km (rebuild)",
        datum="frame",
    )
    car = with_joint(car, "wheel-frame", final_when=FinalWhen.ON_WHEELS)
    plan = plan_of(car, apart(car, "wheel-frame", "wheel"))
    assert_order(plan, "do torque", "check wheel-frame", "do drive", "do retorque")


def test_a_second_person_checks_what_is_critical():
    """After it is tight; by a step of its own unless a declared second check names it."""
    car = vehicle("hub - frame; critical", datum="frame")
    state = apart(car, "hub-frame", "hub")
    plan = plan_of(car, state)
    assert_order(plan, "tighten hub-frame", "check hub-frame")
    assert step_in(plan, "check hub-frame").reasons[0].because is Because.SECOND_CHECK
    look = job("look", JobKind.SECOND_CHECK, joints=("hub-frame",))
    named = car.with_records(jobs={"look": look})
    assert lines(plan_of(named, state))[-1] == "do look"


def test_preparing_comes_before_what_it_names():
    """Paint is dry and threads are chased before anything is clamped on them."""
    car = vehicle(
        "lid - frame",
        "pump - frame",
        job("paint", JobKind.REPAIR, parts=("lid",)),
        job("trial", JobKind.PROVE, joints=("pump-frame",)),
        datum="frame",
    )
    plan = plan_of(car, apart(car, "lid-frame", "lid", "pump-frame", "pump"))
    assert_order(plan, "do paint", "put on lid")
    assert_order(plan, "do trial", "make pump-frame")


# -- fluids ---------------------------------------------------------------------------------------


def braked(*more):
    """A master cylinder, two callipers, a long and a short pipe."""
    car = vehicle(
        "master - frame",
        "near - frame",
        "far - frame",
        "short - master",
        "short - near",
        "long - master",
        "long - far",
        Fluid("brake", "brake fluid", "master"),
        Opening("seats", "seats", "master", ("short-master", "long-master"), fluid="brake"),
        Opening("ends", "ends", "near", ("short-near", "long-far"), ends=2, fluid="brake"),
        *more,
        datum="frame",
    )
    runs = {
        name: Run(name, (RunEnd(f"{name}-master"), RunEnd(f"{name}-{to}")), length_m=metres)
        for name, to, metres in (("short", "near", 0.5), ("long", "far", 3.0))
    }
    return car.with_records(runs=runs)


def test_a_fluid_is_filled_when_nothing_leaks_and_bled_when_it_is_full():
    """Longest pipe first, where the maker did not say."""
    car = braked(job("bleed", JobKind.BLEED, fluid="brake", minutes=likely(40)))
    state = apart(car, "long-far", "long-master", "long")
    state = with_states(state, "fluids", [FluidState("brake", drained=said())])
    plan = plan_of(car, state)
    assert lines(plan)[-2:] == ["fill brake", "do bleed"]
    assert step_in(plan, "do bleed").notes == (
        "longest pipe first: far (3000 mm), then near (500 mm)",
    )


def unioned(*more):
    """A pipe that goes on as a hose at a bracket; only its seat in the master is described."""
    car = vehicle(
        "master - frame",
        "caliper - frame",
        "near - master",
        "near - hose",
        "bracket = hose - frame",
        "hose - caliper",
        "clip = near - frame",
        *PIPED,
        Fluid("brake", "brake fluid", "master"),
        Opening("seat", "seat", "master", ("near-master",), fluid="brake"),
        *more,
        datum="frame",
    )
    runs = {
        "near": Run("near", (RunEnd("near-master"), RunEnd("near-hose")), clips=("clip",)),
        "hose": Run("hose", (RunEnd("bracket"), RunEnd("hose-caliper"))),
    }
    return car.with_records(runs=runs)


def test_a_union_that_no_opening_names_is_of_the_circuit_all_the_same():
    """Where the pipe goes on as a hose: it is tight before anything is filled, and then bled."""
    car = unioned(job("bleed", JobKind.BLEED, fluid="brake"))
    assert lines(plan_of(car, apart(car, "near-hose")))[-1] == "do bleed"
    assert lines(plan_of(car, apart(car, "clip"))) == ["make clip", "tighten clip"]
    for union in ("near-hose", "hose-caliper"):
        state = apart(car, union)
        state = with_states(state, "fluids", [FluidState("brake", drained=said())])
        assert_order(plan_of(car, state), f"tighten {union}", "fill brake", "do bleed")


def test_what_runs_through_a_hose_opens_the_circuit_at_both_ends():
    """Of what is not bled it has to be said of one of its ends: a capillary is an empty pipe."""
    coolant = Fluid("coolant", "coolant", "block")
    for of, leaks in (("hose", True), ("block", False)):
        car = vehicle(
            "block - frame",
            "hose - block",
            "hose - heater",
            Part("hose", "hose", ZONE, kind=PartKind.HOSE),
            coolant,
            Opening("stub", "stub", of, ("hose-block",), fluid="coolant"),
            datum="frame",
        ).with_records(runs={"hose": Run("hose", (RunEnd("hose-block"), RunEnd("hose-heater")))})
        assert ("hose-heater" in circuit_joints(car, "coolant")) is leaks


@pytest.mark.parametrize("name", ["brake fluid", "DOT 4", "dot-5.1", "Bremsflüssigkeit"])
def test_brake_fluid_is_filled_when_what_is_named_so_is_shut(name):
    """Of the reservoir alone somebody said that it holds the fluid: the pipe is open all the same.

    Where the pipe is lost, and no new one in sight, the fluid waits for it.
    """
    pipe, hose = Part("p", "brake pipe, left", ZONE), Part("h", "clutch hose", ZONE)
    car = vehicle("can - frame", "p - frame", "lid - frame", pipe, hose, datum="frame")
    torn = ("h", "lid-frame", "lid", "p-frame", "p", "can-frame", "can")

    def planned(what: str, **more):
        known = replace(car, fluids={"f": Fluid("f", what, "can")})
        out = FluidState("f", drained=said(1))
        state = with_states(apart(known, *torn, **more), "fluids", [out])
        return plan_of(known, state)

    plan = planned(name)
    assert_order(plan, "tighten p-frame", "fill f")
    assert_order(plan, "put on h", "fill f")
    plan = planned(name, gone=["p"])
    assert "fill f" not in lines(plan)
    whys = {each.what: each.why for each in plan.waiting}
    assert whys["fluid:f"] == "the brake pipe, left waits"
    assert "fill f" in lines(planned("engine oil", gone=["p"]))


def test_a_fluid_that_only_the_logbook_knows_is_filled_when_all_is_back():
    """Nobody said what holds it: in a radiator that is still off it could not be."""
    coolant = Fluid("coolant", "coolant", NOT_SAID)
    car = vehicle("radiator - frame: 2 nut M8", "lamp - frame: 2 nut M8", coolant, datum="frame")
    state = apart(car, "radiator-frame", "radiator", "lamp-frame", "lamp")
    state = with_states(state, "fluids", [FluidState("coolant", drained=said())])
    assert lines(plan_of(car, state))[-1] == "fill coolant"


def test_the_makers_order_of_bleeding_wins():
    """A declared job that says how keeps its own words."""
    car = braked(job("bleed", JobKind.BLEED, fluid="brake", target="near side first"))
    plan = plan_of(car, apart(car, "long-far"))
    assert step_in(plan, "do bleed").notes == ("near side first",)


PIPED = (
    Fluid("brake", "brake fluid", "master"),
    Part("master", "master", ZONE),
    *(Part(name, name, ZONE, kind=PartKind.PIPE) for name in ("near", "far", "tee")),
    Part("hose", "hose", ZONE, kind=PartKind.HOSE),
)


def ends_of(*joints: str, **lengths: float) -> tuple[str, ...]:
    """What is said of the ends of a circuit of these joints and runs of these lengths [m]."""
    car = vehicle(*joints, *PIPED, datum="frame")
    seats = Opening("seats", "seats", "master", tuple(car.joints), fluid="brake")
    runs = {
        name: Run(
            name,
            tuple(RunEnd(joint) for joint, each in car.joints.items() if name in each.parts),
            length_m=metres or None,
        )
        for name, metres in lengths.items()
    }
    return bleeding_notes(car.with_records(openings={"seats": seats}, runs=runs), "brake")


def test_where_a_pipe_goes_on_as_a_hose_the_end_is_behind_the_hose():
    """No hose is bled, no bracket that holds a union, no block, nothing without a pipe to it."""
    told = ends_of(
        "a = master - near",
        "b = near - block",
        "c = block - far",
        "d = far - hose - bracket",
        "e = hose - left",
        "f = block - tee",
        "g = tee - elbow",
        "h = elbow - right",
        "i = master - reservoir",
        near=1.0,
        far=3.0,
        hose=0.25,
        tee=0.5,
    )
    assert told == ("longest pipe first: left (4250 mm), then right (1500 mm)",)


def test_of_a_run_with_three_ends_nobody_knows_how_much_lies_on_which_way():
    """The ends are told all the same, and that they are so far at least."""
    told = ends_of(
        "a = master - near",
        "b = near - tee",
        "c = tee - left",
        "d = tee - far",
        "e = far - right",
        near=1.0,
        tee=2.0,
        far=0.5,
    )
    assert told == ("longest pipe first: right (at least 1500 mm), then left (at least 1000 mm)",)


def test_an_end_to_which_nobody_gave_a_length_is_told():
    """It may stand too late; a caliper fed by two hoses, or with a pipe across, is one end."""
    told = ends_of(
        "a = master - near",
        "b = near - left",
        "c = master - hose",
        "d = hose - left",
        "e = master - far",
        "f = far - right",
        "g = right - tee",
        "h = tee - right",
        near=2.0,
        hose=1.0,
        far=0,
        tee=0.25,
    )
    assert told == ("longest pipe first: left (1000 mm), then right (nobody gave the length)",)


def test_bleeding_on_the_bench_is_not_the_bleeding():
    """A bleed job that facts put before the circuit is closed does not empty it of air."""
    car = braked(
        job("bench", JobKind.BLEED, fluid="brake", minutes=likely(30)),
        "bench before master: it goes in full (rebuild)",
    )
    state = apart(car, "short-master", "long-master", "master-frame", "master")
    plan = plan_of(car, state)
    assert_order(plan, "do bench", "put on master", "tighten long-master", "bleed brake")
    assert step_in(plan, "bleed brake").minutes == 30
    assert step_in(plan, "bleed brake").notes


def test_what_was_filled_and_never_bled_is_bled():
    """The last sitting ended with the reservoir full."""
    car = braked(job("bleed", JobKind.BLEED, fluid="brake"))
    state = with_states(apart(car), "fluids", [FluidState("brake", filled=said(3))])
    assert lines(plan_of(car, state)) == ["do bleed"]
    bled = with_states(state, "fluids", [FluidState("brake", filled=said(3), bled=said(4))])
    assert plan_of(car, bled).steps == ()


def test_what_a_job_drained_is_filled_in_as_long():
    """Nobody wrote that it was drained, but the job that drains it is done."""
    car = vehicle(
        "sump - frame",
        "filter - sump",
        Fluid("oil", "oil", "sump", drained_by="drain", leaks_if_off=("filter",)),
        Job("drain", "drain", JobKind.DRAIN, minutes=likely(12)),
        datum="frame",
    )
    plan = plan_of(car, apart(car, "filter-sump", "filter", done=["drain"]))
    assert_order(plan, "put on filter", "fill oil")
    assert step_in(plan, "fill oil").minutes == 12


def test_nobody_drives_on_nuts_that_are_only_nipped():
    """A job that tightens again after the drive is not the one that tightens them for good."""
    car = rolling(
        job("drive", JobKind.RUN),
        job("again", JobKind.TIGHTEN, joints=("nuts",)),
        "drive before again: 80 km (rebuild)",
    )
    car = with_joint(car, "nuts", final_when=FinalWhen.ON_WHEELS, critical=True)
    plan = plan_of(car, apart(car, *OFF, standing="stands"))
    assert_order(plan, "tighten nuts", "finish nuts", "check nuts", "do drive", "do again")
