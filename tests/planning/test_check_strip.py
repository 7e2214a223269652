"""The checker of strips: a good plan passes; what the goal, the cost and the start ask for."""

from dataclasses import replace
from itertools import pairwise

import pytest

from putback.planning.check import Fault, StripRule, check_strip
from putback.planning.plan import PlanSettings
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import Joint
from tests.planning.checking_strip import only, told
from tests.planning.edits import all_of, changed, moved, with_more, without
from tests.planning.hand_made import BARE, GOOD_STRIP, buggy, likely, state_of, table, written


def test_a_good_plan_has_no_fault():
    """The plan that all the others are made from breaks no rule."""
    assert told(GOOD_STRIP) == ()


def test_the_minutes_are_those_worked_out_by_hand():
    """The good plan takes what one finds with pencil and paper."""
    plan = written(buggy(), GOOD_STRIP, state=state_of(buggy(), standing="wheels"))
    work = (30 + 2 + 2 + 1 + 4 + 1 + 7 + 0 + 6 + 3) + (12 + 8 + 2 + 20 + 25 + 15 + 5 + 8 + 4)
    # to the stands; under, bay, under, bay, under; brace, key, brace, socket
    setup = 30 + 4 * 5 + 3 * 2
    assert (plan.work_minutes, plan.setup_minutes) == (work, setup)
    assert told(GOOD_STRIP) == ()


def test_a_part_that_is_to_stay_on_stays_on():
    """A plan may not take off what the goal keeps."""
    goal = replace(BARE, on=("frame", "hood"))
    assert only(told(GOOD_STRIP, goal=goal), StripRule.GOAL) == "the hood is to stay on"


def test_the_datum_stays_on():
    """What everything is to be off from is not taken off itself, even where the rest goes."""
    bench = buggy().with_records(standings={}, temporary_supports={}, goals={})
    goal = replace(BARE, off=(), on=(), off_rest=True, jobs=())
    lines = [line.partition(" @ ")[0] + " @ -" for line in GOOD_STRIP]
    vehicle = bench.with_records(
        joints=table(
            *(replace(each, standings=(), crack_in=None) for each in bench.joints.values())
        ),
        parts=table(*(replace(each, standings=()) for each in bench.parts.values())),
        jobs=table(*(replace(each, standings=()) for each in bench.jobs.values())),
    )
    lines.remove("crack joint:nuts @ -")
    assert told(lines, vehicle, state_of(vehicle), goal) == ()
    faults = told([*lines, "take off part:frame @ -"], vehicle, state_of(vehicle), goal)
    assert only(faults, StripRule.GOAL) == "the frame is to stay on"


def test_off_rest_wants_everything_off_that_is_not_kept():
    """What nobody named stays on only if it is in the list."""
    goal = replace(BARE, off=(), on=("frame",), off_rest=True)
    assert told(GOOD_STRIP, goal=goal) == ()
    lines = without("undo joint:union", "take off part:pipe")(list(GOOD_STRIP))
    assert only(told(lines, goal=goal), StripRule.GOAL) == "the pipe is still on"


def test_a_job_of_the_goal_is_done():
    """A declared job that the goal names is missed."""
    goal = replace(BARE, jobs=("survey", "sketch"))
    lines = without("do job:sketch", "do job:listen")(list(GOOD_STRIP))
    assert only(told(lines, goal=goal), StripRule.GOAL) == "sketch the bay is not done"


def test_a_forgotten_tie_is_told():
    """An earth strap that still ties a part which somebody said is off has to be undone."""
    vehicle = buggy()
    strap = Joint("earth", "earth strap", ("hood", "cap", "frame"), minutes=likely(1))
    vehicle = vehicle.with_records(joints={**vehicle.joints, "earth": strap})
    state = state_of(vehicle, off=("hood",), undone=("hinge",), standing="wheels")
    goal = replace(BARE, off=("hood",), jobs=())
    assert only(told([], vehicle, state, goal), StripRule.GOAL) == (
        "earth strap still ties the hood, which is off"
    )
    assert told(["undo joint:earth @ wheels"], vehicle, state, goal) == ()


def test_a_plan_is_for_its_goal():
    """A plan for another goal is told."""
    vehicle = buggy()
    state = state_of(vehicle, standing="wheels")
    plan = written(vehicle, GOOD_STRIP, goal="hood off", state=state)
    assert only(check_strip(vehicle, state, BARE, plan), StripRule.GOAL) == (
        'this is a plan for "hood off"'
    )


# -- what the plan says it costs ------------------------------------------------------------------


def good_plan():
    """The good plan with its costs, and the state it starts from."""
    vehicle = buggy()
    state = state_of(vehicle, standing="wheels")
    return vehicle, state, written(vehicle, GOOD_STRIP, goal="bare", state=state)


@pytest.mark.parametrize(
    ("what", "change", "words"),
    [
        ("joint:strap", {"minutes": 3.0}, "takes 8 minutes, not 3"),
        ("job:drain", {"setup_minutes": 7.0}, "takes 37 minutes to get to, not 7"),
        ("joint:mount", {"zone": "under"}, "it is worked on in bay with socket"),
        ("joint:mount", {"tool": ""}, "it is worked on in bay with socket"),
        ("joint:mount", {"crew": 3}, "it wants a crew of 1, not 3"),
    ],
)
def test_a_wrong_cost_of_a_step_is_told(what, change, words):
    """Minutes, set-up, zone and tool of every step are worked out again."""
    vehicle, state, plan = good_plan()
    steps = [replace(each, **change) if each.what == what else each for each in plan.steps]
    spoilt = replace(
        plan,
        steps=tuple(steps),
        work_minutes=sum(step.minutes for step in steps),
        setup_minutes=sum(step.setup_minutes for step in steps),
    )
    faults = check_strip(vehicle, state, BARE, spoilt)
    assert only(faults, StripRule.COST) == words
    assert [fault.what for fault in faults] == [what]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"work_minutes": 100.0}, "says 100 minutes of work; its steps take 155"),
        ({"setup_minutes": 1.0}, "says 1 minutes of set-up; its steps take 56"),
        ({"bound_minutes": 300.0}, "no plan is shorter than 300 minutes, and takes 211"),
    ],
)
def test_a_wrong_sum_is_told(change, words):
    """Sums are those of the steps, and a lower bound is below what the plan takes."""
    vehicle, state, plan = good_plan()
    faults = check_strip(vehicle, state, BARE, replace(plan, **change))
    assert words in only(faults, StripRule.COST)
    assert faults[0].step is None


def test_settings_of_the_person_count():
    """Who needs no time to walk from zone to zone pays none."""
    vehicle, state, _ = good_plan()
    settings = PlanSettings(zone_minutes=0.0, tool_minutes=11.0)
    plan = written(vehicle, GOOD_STRIP, goal="bare", state=state, settings=settings)
    assert check_strip(vehicle, state, BARE, plan, settings) == ()
    assert only(check_strip(vehicle, state, BARE, plan), StripRule.COST)


def test_helpers_are_called_once_for_every_stretch_that_wants_them():
    """Two lifts one after another take one call; with a job of one person between, two."""
    vehicle, state, _ = good_plan()
    heavy = {p: replace(part, crew=2) for p, part in vehicle.parts.items() if p == "wheel"}
    pin = replace(vehicle.joints["union"], crew=3)
    vehicle = vehicle.with_records(
        parts={**vehicle.parts, **heavy}, joints={**vehicle.joints, "union": pin}
    )
    plan = written(vehicle, GOOD_STRIP, goal="bare", state=state)
    assert check_strip(vehicle, state, BARE, plan) == ()
    crews = [step.crew > 1 for step in plan.steps]
    calls = sum(now and not before for before, now in pairwise([False, *crews]))
    plain = written(*good_plan()[:1], GOOD_STRIP, goal="bare", state=state)
    assert plan.setup_minutes == plain.setup_minutes + calls * 10.0 > plain.setup_minutes
    assert only(check_strip(vehicle, state, BARE, plain), StripRule.COST)


def test_a_harder_job_costs_more():
    """With the wheel off there is nothing to lean on: the union takes two and a half times."""
    lines = all_of(
        without("undo joint:union", "take off part:pipe"),
        with_more("undo joint:union @ beam"),
        with_more("take off part:pipe @ beam"),
    )(list(GOOD_STRIP))
    vehicle, state, _ = good_plan()
    plan = written(vehicle, lines, goal="bare", state=state)
    assert plan.steps[-2].minutes == 10.0
    assert check_strip(vehicle, state, BARE, plan) == ()


# -- where it starts from -------------------------------------------------------------------------


def test_a_plan_goes_on_from_the_state():
    """What the logbook says is done is not done again, and counts as done."""
    vehicle = buggy()
    state = state_of(
        vehicle,
        off={"cap": None, "engine": "unit", "clutch": "unit", "gearbox": "unit", "hood": None},
        undone=("lug", "mount", "hinge"),
        done=("survey", "drain"),
        cracked=("nuts",),
        standing="stands",
    )
    lines = [
        "undo joint:bell @ stands",
        "undo joint:plate @ stands",
        "undo joint:nuts @ stands",
        "take off part:wheel @ stands",
        "undo joint:strap @ stands",
        "take off part:tank @ stands",
        "undo joint:union @ beam",
        "take off part:pipe @ beam",
    ]
    assert told(lines, vehicle, state) == ()
    swapped = [lines[1], lines[0], *lines[2:]]
    assert "on the bench" in only(told(swapped, vehicle, state), StripRule.UNDO)
    again = only(told(["undo joint:lug @ stands", *lines], vehicle, state), StripRule.ONCE)
    assert again == "undo cap lugs: it is done already"


def test_what_came_off_by_itself_has_no_joint_left():
    """Who logs only that parts are off has said that what joined them is undone."""
    vehicle = buggy()
    state = state_of(vehicle, off=("cap", "wheel"), undone=("nuts",), standing="stands")
    goal = replace(BARE, off=("cap", "wheel"), jobs=())
    assert told([], vehicle, state, goal) == ()
    faults = told(["undo joint:lug @ stands"], vehicle, state, goal)
    assert only(faults, StripRule.ONCE) == "undo cap lugs: it is done already"


def test_a_joint_parted_in_this_plan_is_not_undone_afterwards():
    """A joint that no longer joins anything on the vehicle is no work any more."""
    vehicle = buggy().with_records(harder_afters={})
    lines = all_of(without("undo joint:lug"), with_more("undo joint:lug @ stands"))(
        list(GOOD_STRIP)
    )
    faults = told(lines, vehicle)
    assert [fault.rule for fault in faults] == [StripRule.TAKE_OFF, StripRule.UNDO]
    assert faults[1].words == "all that cap lugs joined is off already"


def test_a_single_part_is_no_whole():
    """What is left of a whole comes off as one only if it is more than one part."""
    vehicle = buggy()
    state = state_of(
        vehicle,
        off=("gearbox", "clutch", "hood"),
        undone=("bell", "plate", "hinge"),
        standing="stands",
    )
    goal = replace(BARE, off=("engine",), jobs=())
    lines = ["undo joint:mount @ stands", "take off assembly:unit @ stands"]
    assert only(told(lines, vehicle, state, goal), StripRule.TAKE_OFF) == (
        "what is left of it is a single part"
    )


def test_a_whole_comes_off_as_what_is_left_of_it():
    """Parts that were off before do not keep the rest from coming off as one."""
    vehicle = buggy()
    state = state_of(vehicle, off=("gearbox", "hood"), undone=("bell", "hinge"), standing="stands")
    goal = replace(BARE, off=("engine", "clutch"), jobs=())
    lines = ["undo joint:mount @ stands", "take off assembly:unit @ stands"]
    assert told(lines, vehicle, state, goal) == ()


def test_work_goes_on_where_the_vehicle_stands():
    """However badly it stands already, a plan may begin there, and only there."""
    vehicle = buggy()
    state = state_of(vehicle, standing="lesson")
    goal = replace(BARE, off=("cap",), jobs=())
    lines = ["undo joint:lug @ lesson", "take off part:cap @ lesson"]
    assert told(lines, vehicle, state, goal) == ()
    assert "but it stands" in only(
        told(lines, vehicle, state, goal, start="wheels"), StripRule.ENTERING
    )


def test_where_nobody_said_the_plan_begins_where_it_may_stand():
    """A plan may choose its first standing, at no cost, but not a wrong one."""
    vehicle = buggy()
    goal = replace(BARE, off=("cap",), jobs=())
    for standing, words in (("stands", ""), ("lesson", "that is how not to stand it")):
        lines = [f"undo joint:lug @ {standing}", f"take off part:cap @ {standing}"]
        faults = told(lines, vehicle, state_of(vehicle), goal)
        assert [fault.words.partition("but ")[2] for fault in faults] == [words] * bool(words)


def test_no_way_leads_there():
    """A standing that no change leads to is not reached."""
    vehicle = buggy()
    lonely = replace(vehicle.standings["wheels"], change_minutes={})
    vehicle = vehicle.with_records(standings={**vehicle.standings, "wheels": lonely})
    faults = told(GOOD_STRIP, vehicle)
    assert only(faults, StripRule.ENTERING) == 'no way leads from "on its wheel" to "on stands"'


def test_the_way_over_other_standings_is_the_cheapest_that_may_be_stood():
    """From the wheels to the beam one goes over the stands, and not over the wrong standing."""
    vehicle = buggy()
    lesson = replace(vehicle.standings["lesson"], change_minutes={"beam": 1.0})
    wheels = replace(vehicle.standings["wheels"], change_minutes={"stands": 30.0, "lesson": 1.0})
    vehicle = vehicle.with_records(
        standings={**vehicle.standings, "lesson": lesson, "wheels": wheels}
    )
    goal = replace(BARE, off=("cap",), jobs=())
    lines = ["undo joint:lug @ beam", "take off part:cap @ beam"]
    faults = told(lines, vehicle, goal=goal)
    assert only(faults, StripRule.COST) == "takes 42 minutes to get to, not 2"


def test_a_joint_that_cannot_be_cracked_any_more_is_undone_uncracked():
    """Where the standing that it wants cracking in is gone for good, nobody asks for it."""
    vehicle = buggy()
    spare = replace(vehicle.joints["strap"], crack_in="wheels")
    vehicle = vehicle.with_records(joints={**vehicle.joints, "strap": spare})
    state = state_of(
        vehicle, off=("wheel", "cap"), undone=("nuts", "lug"), done=("drain",), standing="stands"
    )
    goal = replace(BARE, off=("tank",), jobs=())
    lines = ["undo joint:strap @ stands", "take off part:tank @ stands"]
    assert told(lines, vehicle, state, goal) == ()


def test_a_declared_job_cracks_its_joints():
    """A crack job in the right standing stands for the single steps; elsewhere it does not."""
    vehicle = buggy()
    job = Job("crack-all", "crack them all", JobKind.CRACK, joints=("nuts",), minutes=likely(9))
    vehicle = vehicle.with_records(jobs={**vehicle.jobs, job.id: job})
    lines = changed("crack joint:nuts @ wheels", "do job:crack-all @ wheels")(list(GOOD_STRIP))
    plan = written(vehicle, lines, goal="bare", state=state_of(vehicle, standing="wheels"))
    faults = told(lines, vehicle)
    assert only(faults, StripRule.COST) == "takes 8 minutes, not 10"
    late = moved("do job:crack-all", "undo joint:nuts")(lines)
    assert "was not cracked" in only(told(late, vehicle), StripRule.CRACK_FIRST)
    assert plan.work_minutes == 155 - 2 + 9 + 2
    state = state_of(vehicle, standing="wheels", done=("crack-all",))
    done = without("do job:crack-all")(lines)
    assert only(told(done, vehicle, state), StripRule.COST) == "takes 8 minutes, not 10"


def test_parts_that_are_only_named_come_off_too():
    """A part that a joint names and nobody described yet is something of the vehicle."""
    vehicle = buggy()
    vehicle = vehicle.with_records(
        parts={each: part for each, part in vehicle.parts.items() if each != "cap"}
    )
    goal = replace(BARE, off=("cap",), jobs=())
    assert (
        told(["undo joint:lug @ wheels", "take off part:cap @ wheels"], vehicle, goal=goal) == ()
    )


def test_a_fault_reads_as_a_sentence():
    """A fault says where it is, by which rule, and what is wrong."""
    faults = told(without("undo joint:strap")(list(GOOD_STRIP)))
    assert [str(fault) for fault in faults] == [
        "step 18 (strip 3): tank strap still holds the tank to the frame"
    ]
    whole = Fault(StripRule.GOAL, None, "goal:bare", "the tank is still on")
    assert str(whole) == "the plan (strip 10): the tank is still on"
