"""The strip plan on small vehicles made by hand: what comes first, wholes, set-up, goals."""

from dataclasses import replace

import pytest

from putback.planning.check import check_strip
from putback.planning.plan import Because, PlanSettings
from putback.planning.strip import plan_strip
from putback.planning.ties import ties
from putback.vehicle.assembly import Assembly
from putback.vehicle.goal import Goal
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import Does, WhenUndone
from putback.vehicle.opening import Fluid
from putback.vehicle.part import Part, PartKind
from putback.vehicle.usual_cautions import FUEL, GLASS, POURED
from tests.makers import joint, standing, vehicle
from tests.planning.hand_made import likely, state_of
from tests.planning.stripping import SETTINGS, lines, place, planned

# -- what comes first ---------------------------------------------------------------------------


def test_a_part_comes_off_after_its_joints_and_what_is_in_the_way():
    """The lid is in the way of the pump's joint, so it goes first, and the steps say so."""
    v = vehicle("lid - frame", "pump - frame", "lid blocks pump - frame: over it", datum="frame")
    plan = planned(v)
    assert lines(plan) == [
        "undo joint:lid-frame",
        "take off part:lid",
        "undo joint:pump-frame",
        "take off part:pump",
    ]
    (reason,) = plan.steps[2].reasons
    assert (reason.because, reason.first, reason.fact) == (Because.IN_THE_WAY, "part:lid", "o1")
    assert reason.words == "lid in the way: over it"
    assert {each.because for each in plan.steps[3].reasons} == {Because.GOAL, Because.HOLDS}


def test_nothing_is_planned_that_the_goal_does_not_need():
    """Only the pump is asked for, so the lid stays on."""
    v = vehicle("lid - frame", "pump - frame")
    plan = planned(v, Goal("g", "pump off", "frame", off=("pump",)))
    assert {step.what for step in plan.steps} == {"joint:pump-frame", "part:pump"}


def test_what_is_done_already_is_not_planned_again():
    """A joint undone and a part off, logged without its joints, count as done."""
    v = vehicle("lid - frame", "pump - frame", "hose - pump - frame", datum="frame")
    plan = planned(v, off=["lid"], undone=["pump-frame"])
    assert [step.what for step in plan.steps] == [
        "joint:hose-pump-frame",
        "part:pump",
        "part:hose",
    ]


def test_a_plan_for_what_is_reached_is_empty():
    """Nothing to do takes no steps, no time, and has a bound of nothing."""
    v = vehicle("lid - frame", datum="frame")
    plan = planned(v, off=["lid"], undone=["lid-frame"])
    assert (plan.steps, plan.total_minutes, plan.bound_minutes) == ((), 0, 0)


def test_the_cheaper_of_two_ways_is_taken():
    """One of two covers suffices to reach the pump: the one that is less work comes off."""
    v = vehicle(
        "lid - frame: 1 clip; 30 min",
        "door - frame: 1 clip; 4 min",
        "pump - frame",
        "lid or door blocks pump",
    )
    plan = planned(v, Goal("g", "pump off", "frame", off=("pump",)))
    assert "part:door" in {step.what for step in plan.steps}
    assert "part:lid" not in {step.what for step in plan.steps}


def test_a_part_that_nobody_described_a_joint_for_comes_off_freely():
    """A part of which only the name is known is simply taken off."""
    v = vehicle("lid - frame", datum="frame")
    box = replace(v.parts["lid"], id="box", name="box")
    plan = planned(v.with_records(parts={**v.parts, "box": box}))
    assert "take off part:box" in lines(plan)


def test_a_job_that_must_come_before_is_planned_with_its_reason():
    """Draining comes before the hose, for the reason that the fact gives."""
    drain = Job("drain", "drain it", JobKind.DRAIN, minutes=likely(10), cautions=("hot",))
    v = vehicle("hose - frame", drain, "drain before hose - frame: it drips", datum="frame")
    plan = planned(v)
    assert lines(plan)[0] == "do job:drain"
    assert plan.steps[0].cautions == ("hot",)
    assert plan.steps[1].reasons[0].words == "drain it comes first: it drips"


def test_jobs_that_the_goal_asks_for_are_planned():
    """A survey is done because the goal wants it."""
    survey = Job("survey", "survey", JobKind.SURVEY, minutes=likely(5))
    v = vehicle("lid - frame", survey)
    plan = planned(v, Goal("g", "surveyed", "frame", jobs=("survey",)))
    assert lines(plan) == ["do job:survey"]
    assert plan.steps[0].reasons[0].words == "“surveyed” asks for it"


# -- wholes -------------------------------------------------------------------------------------

UNIT = ("engine - frame: 2 bolt M8; 10 min", "gearbox - frame: 2 bolt M8; 10 min")


BELL = "engine - gearbox: 4 bolt M8; {} min"


@pytest.mark.parametrize(("bell_minutes", "whole_minutes", "as_one"), [(60, 20, 1), (2, 90, 0)])
def test_whole_or_piecewise_is_chosen_by_cost(bell_minutes, whole_minutes, as_one):
    """The unit comes out as one where parting it on the vehicle takes longer, else apart."""
    whole = Assembly("unit", "the unit", ("engine", "gearbox"), likely(whole_minutes), crew=2)
    v = vehicle(*UNIT, BELL.format(bell_minutes), whole, datum="frame")
    plan = planned(v)
    taken = {step.what for step in plan.steps}
    assert ("assembly:unit" in taken) == as_one
    assert ("joint:engine-gearbox" in taken) != as_one
    if as_one:
        step = plan.steps[place(plan, "assembly:unit")]
        asked = {r.first for r in step.reasons if r.because is Because.GOAL}
        assert (step.crew, asked) == (2, {"part:engine", "part:gearbox"})


def test_set_up_may_tip_the_balance_between_whole_and_piecewise():
    """Apart is less work, but wants another standing, which costs more than is saved."""
    whole = Assembly("unit", "the unit", ("engine", "gearbox"), likely(20))
    v = vehicle(
        *UNIT,
        "engine - gearbox: 4 bolt M8; 15 min; in stands",
        whole,
        standing("wheels", stands=30.0),
        standing("stands", wheels=30.0),
        datum="frame",
    )
    plan = planned(v, standing="wheels")
    assert "assembly:unit" in {step.what for step in plan.steps}
    assert plan.setup_minutes == 0


def test_what_is_left_of_a_whole_still_comes_out_as_one():
    """The starter is off already; engine and gearbox are lifted together."""
    whole = Assembly("unit", "the unit", ("starter", "engine", "gearbox"), likely(1))
    v = vehicle(*UNIT, BELL.format(60), "starter - engine", whole, datum="frame")
    plan = planned(v, off=["starter"], undone=["starter-engine"])
    assert lines(plan)[-1] == "take off assembly:unit"


def test_what_nobody_described_a_caution_of_is_told_what_is_usual():
    """By its kind, its name or the fluid in it, alone or in a whole."""
    keg, pane = Part("keg", "keg", "here"), Part("pane", "pane", "here", kind=PartKind.GLASS)
    petrol = Fluid("petrol", "petrol", "keg")
    held = ("keg - frame", "pane - frame", "keg - pane: 4 bolt M8; 60 min")
    v = vehicle(*held, keg, pane, petrol, datum="frame")
    plan = planned(v)
    assert FUEL in plan.steps[place(plan, "part:keg")].cautions
    assert GLASS in plan.steps[place(plan, "part:pane")].cautions
    whole = Assembly("unit", "the unit", ("keg", "pane"), likely(1))
    plan = planned(v.with_records(assemblies={"unit": whole}))
    assert {FUEL, GLASS} <= set(plan.steps[place(plan, "assembly:unit")].cautions)


def test_what_is_drained_says_what_it_can_do():
    """Of each fluid that the job lets out, as described, else of what burns."""
    drain = Job("drain", "drain it", JobKind.DRAIN)
    for hazard, told in (("", POURED), ("no pit", "no pit")):
        petrol = Fluid("petrol", "petrol", "keg", drained_by="drain", hazard=hazard)
        v = vehicle("keg - frame", petrol, drain, datum="frame")
        plan = planned(v)
        assert plan.steps[place(plan, "job:drain")].cautions == (told,)


def test_a_whole_that_comes_out_warns_of_all_that_is_in_it():
    """Each part's own caution, and once what several say; not of what is off already."""
    dust, gas = "dust: wet it", "gas strut under load"
    cautions = {"engine": (dust,), "gearbox": (dust,), "starter": (gas,)}
    whole = Assembly("unit", "the unit", ("starter", "engine", "gearbox"), cautions=("heavy",))
    v = vehicle(
        *UNIT, BELL.format(60), "starter - engine: 4 bolt M8; 60 min", whole, datum="frame"
    )
    v = v.with_records(
        parts={n: replace(p, cautions=cautions.get(n, ())) for n, p in v.parts.items()}
    )

    def told(**state):
        plan = planned(v, **state)
        step = plan.steps[place(plan, "assembly:unit")]
        return [each for each in step.cautions if each in ("heavy", dust, gas)]

    assert told() == ["heavy", gas, dust]  # in the order in which its parts are described
    assert told(off=["starter"], undone=["starter-engine"]) == ["heavy", dust]


def test_what_a_joint_lets_go_is_told_until_it_is_away():
    """A spring under load between two arms: off without its joint, it flies no more."""
    flies = WhenUndone(Does.FLIES, "the spring is loaded", "compress it")
    seat = replace(joint("seat = spring - arm - frame"), when_undone=flies)
    v = vehicle(seat, "arm - frame", "spring - frame", datum="frame")
    plan = planned(v)
    step = plan.steps[place(plan, "joint:seat")]
    assert (step.prop_first, step.cautions[0]) == ("compress it", "it flies: the spring is loaded")
    plan = planned(v, off=["spring"])
    step = plan.steps[place(plan, "joint:seat")]
    assert step.prop_first == ""
    assert not any("flies" in each for each in step.cautions)
    for off, does in (((), Does.FLIES), (("spring",), Does.STAYS)):
        found = ties(v, state_of(v, off=off), "part:arm").ties
        (tie,) = (each for each in found if each.joint == "seat")
        assert (tie.lets_go, bool(tie.prop_first)) == (does, does is Does.FLIES)


# -- set-up and harder after --------------------------------------------------------------------


def test_lifts_that_want_helpers_are_gathered_into_one_moment():
    """Three heavy parts whose joints one person undoes: the helpers are called once."""
    v = vehicle(*(f"p{n} - frame" for n in range(3)), datum="frame")
    heavy = {p: replace(part, crew=3) for p, part in v.parts.items() if p != "frame"}
    plan = planned(v.with_records(parts={**v.parts, **heavy}))
    assert plan.setup_minutes == SETTINGS.helper_minutes
    assert [step.crew for step in plan.steps] == [1, 1, 1, 3, 3, 3]


def test_a_zone_is_finished_before_it_is_left():
    """Six parts in two zones take one walk between them."""
    v = vehicle(
        *(f"p{n} - frame: 1 clip; zone {'left' if n % 2 else 'right'}" for n in range(6)),
        datum="frame",
    )
    zones = {"left": ("p1", "p3", "p5"), "right": ("p0", "p2", "p4")}
    parts = {
        p: replace(part, zone=next((z for z, ps in zones.items() if p in ps), "left"))
        for p, part in v.parts.items()
    }
    plan = planned(v.with_records(parts=parts))
    assert plan.setup_minutes == PlanSettings().zone_minutes
    assert plan.total_minutes == plan.bound_minutes


def test_what_gets_harder_is_done_first_and_says_so():
    """The rod takes three times as long once the lid is off, so it comes first."""
    v = vehicle("lid - frame", "rod - frame", "rod - frame harder after lid x 3", datum="frame")
    plan = planned(v)
    assert place(plan, "joint:rod-frame") < place(plan, "part:lid")
    reasons = plan.steps[place(plan, "part:lid")].reasons
    assert Because.HARDER_AFTER in {reason.because for reason in reasons}
    assert plan.work_minutes == 20.0


def test_what_gets_easier_waits_and_says_so():
    """The rod takes half as long once the lid is off, so it comes after."""
    v = vehicle("rod - frame", "lid - frame", "rod - frame harder after lid x 0.5", datum="frame")
    plan = planned(v)
    assert place(plan, "part:lid") < place(plan, "joint:rod-frame")
    assert plan.steps[place(plan, "joint:rod-frame")].minutes == 5.0
    assert plan.bound_minutes == plan.total_minutes


def test_what_cannot_be_done_any_more_comes_before():
    """A factor of none is an order, even where the other way saves a walk."""
    v = vehicle("lid - frame", "rod - frame", "rod never after lid", datum="frame")
    plan = planned(v)
    assert place(plan, "part:rod") < place(plan, "part:lid")


def test_what_the_state_made_harder_costs_more():
    """The lid is off already, so the rod takes three times as long, and the bound knows it."""
    v = vehicle("lid - frame", "rod - frame", "rod - frame harder after lid x 3", datum="frame")
    plan = planned(v, off=["lid"])
    assert plan.work_minutes == plan.bound_minutes == 30.0


def test_a_joint_is_worked_on_where_the_part_is_that_comes_away():
    """Nobody said where: a door comes off before one walks on, and is not held up meanwhile."""
    parts = [Part(each, each, f"at {each}", mass_kg=14.0) for each in ("left", "right")]
    car = vehicle("left - frame; 5 min", "right - frame; 5 min", *parts, datum="frame")
    (goal,) = car.goals.values()
    plan = plan_strip(car, state_of(car), goal)
    assert check_strip(car, state_of(car), goal, plan) == ()
    assert [step.zone for step in plan.steps] in (
        ["at left"] * 2 + ["at right"] * 2,
        ["at right"] * 2 + ["at left"] * 2,
    )
    elsewhere = replace(car.joints["left-frame"], zone="at right")
    assert replace(car, joints={"left-frame": elsewhere}).zone_of(elsewhere) == "at right"
