"""The checker of rebuilds: a good plan passes; costs, and rebuilds taken up half way."""

from dataclasses import replace

import pytest

from putback.logbook.entries.rebuilding import Tightness
from putback.logbook.state import Check, JobState, JointState
from putback.planning.check import RebuildRule, check_rebuild
from putback.planning.plan import PlanSettings, Waiting
from putback.vehicle.facts import Phase
from putback.vehicle.job import Job, JobKind
from tests.planning.checking_rebuild import only, told
from tests.planning.hand_made import said, state_of
from tests.planning.hand_made_rebuild import GOOD_REBUILD, WAITING, barrow, in_pieces, put_back


def test_a_good_plan_has_no_fault():
    """The plan that all the others are made from breaks no rule."""
    assert told(GOOD_REBUILD) == ()


def test_the_minutes_are_those_worked_out_by_hand():
    """The good plan takes what one finds with pencil and paper."""
    plan = put_back(barrow(), GOOD_REBUILD)
    joints = 10 + 6 + 2 + 5 + 7 + 9 + 12 + 3 + 14 + 3 * 4 + 1 + 4 + 2 + 2 + 2 + 2 + 2
    finished = 10 / 2 + 5 / 2 + 3 / 2 + 4 / 2
    work = joints + finished + 2 / 5 + (3 + 8 + 25) + (20 + 15 + 5)
    # to the wheels; top, under, top, under, top; socket, brace, socket, brace, key
    setup = 30 + 4 * 5 + 4 * 2 + 10  # and a lift of more than one person's 23 kg
    assert (plan.work_minutes, plan.setup_minutes) == (pytest.approx(work), setup)


# -- what is told of the whole plan ---------------------------------------------------------------


def test_what_waits_is_listed():
    """A part that is gone and the joint that hangs on it are named, and nothing else is."""
    assert only(told(GOOD_REBUILD, waiting=WAITING[:1]), RebuildRule.COMPLETE) == (
        "badge pin waits, and is not listed"
    )
    more = (*WAITING, Waiting("part:lamp", "no mood"))
    assert "lamp need not wait" in only(told(GOOD_REBUILD, waiting=more), RebuildRule.COMPLETE)


def test_every_step_says_why():
    """A step without a reason is told."""
    plan = put_back(barrow(), GOOD_REBUILD)
    steps = (*plan.steps[:5], replace(plan.steps[5], reasons=()), *plan.steps[6:])
    faults = told(GOOD_REBUILD, steps=steps)
    assert only(faults, RebuildRule.RENEW) == "nothing says why clutch plate is done here"
    assert faults[0].step == 5


@pytest.mark.parametrize(
    ("what", "change", "words"),
    [
        ("joint:strap", {"minutes": 3.0}, "takes 1 minutes, not 3"),
        ("job:weigh", {"setup_minutes": 7.0}, "takes 30 minutes to get to, not 7"),
        ("joint:em", {"zone": "under"}, "it is worked on in top with no tool"),
        ("joint:nuts", {"tool": ""}, "it is worked on in under with brace"),
        ("joint:nuts", {"crew": 2}, "it wants a crew of 1, not 2"),
    ],
)
def test_a_wrong_cost_of_a_step_is_told(what, change, words):
    """Minutes, set-up, zone and tool of every step are worked out again."""
    plan = put_back(barrow(), GOOD_REBUILD)
    steps = tuple(replace(each, **change) if each.what == what else each for each in plan.steps)
    faults = told(
        GOOD_REBUILD,
        steps=steps,
        work_minutes=sum(step.minutes for step in steps),
        setup_minutes=sum(step.setup_minutes for step in steps),
    )
    assert words in only(faults, RebuildRule.COST)


def test_a_wrong_sum_is_told():
    """The sums of a plan are those of its steps."""
    assert "minutes of work" in only(told(GOOD_REBUILD, work_minutes=1.0), RebuildRule.COST)


def test_settings_of_the_person_count():
    """Who needs no time to change tools pays none."""
    vehicle = barrow()
    settings = PlanSettings(zone_minutes=3.0, tool_minutes=0.0)
    plan = put_back(vehicle, GOOD_REBUILD, settings=settings)
    assert check_rebuild(vehicle, in_pieces(vehicle), plan, settings) == ()
    assert only(check_rebuild(vehicle, in_pieces(vehicle), plan), RebuildRule.COST)


def test_a_plan_begins_where_the_vehicle_stands():
    """A plan that starts elsewhere is told."""
    assert "but it stands" in only(told(GOOD_REBUILD, start="beam"), RebuildRule.STANDINGS)


def test_nothing_to_do_asks_for_nothing():
    """A vehicle that is together needs no plan, whatever jobs it declares."""
    vehicle = barrow()
    assert told([], vehicle, state_of(vehicle, standing="stands"), waiting=()) == ()


# -- taken up where it stands ---------------------------------------------------------------------


def test_a_rebuild_is_taken_up_where_it_stands():
    """What is cracked, slack, nipped or tightened goes on from there, and is not made again."""
    vehicle = barrow().with_records(jobs={}, fluids={}, openings={})
    together = state_of(vehicle, standing="wheels")

    def seen(joint, tightness, **more):
        return JointState(joint, made=said(1), tightness=tightness, **more)

    state = replace(
        together,
        joints={
            "mount": JointState("mount", cracked=said()),
            "strap": seen("strap", Tightness.FINGER_TIGHT),
            "push": seen("push", Tightness.NIPPED),
            "nuts": seen("nuts", Tightness.NIPPED),
            "bush1": seen("bush1", Tightness.TIGHTENED),
            "turn": seen("turn", Tightness.FINAL),
            "screw": seen("screw", Tightness.TIGHTENED),
            "flare1": seen("flare1", Tightness.FINAL),
            "flare2": JointState("flare2", of=2, out=1, undone=said(2)),
        },
    )
    lines = [
        "tighten joint:mount @ wheels",
        "tighten joint:strap @ wheels",
        "tighten joint:push @ wheels",
        "make joint:flare2 @ wheels",
        "tighten joint:flare2 @ wheels",
        "check joint:flare1 @ wheels",
        "finish joint:nuts @ wheels",
        "finish joint:bush1 @ wheels",
        "check joint:bush1 @ wheels",
    ]
    plan = put_back(vehicle, lines, start="wheels", waiting=())
    assert check_rebuild(vehicle, state, plan) == ()
    for place, rule in ((0, "COMPLETE"), (5, "CHECK"), (6, "FINAL"), (8, "CHECK")):
        left = [*lines[:place], *lines[place + 1 :]]
        faults = check_rebuild(vehicle, state, put_back(vehicle, left, start="wheels", waiting=()))
        assert only(faults, RebuildRule[rule])


def test_a_check_that_found_it_wrong_is_made_again():
    """Only a look that found the joint right counts; a right one is enough."""
    vehicle = barrow().with_records(jobs={}, fluids={}, openings={})
    for right, lines in ((False, ["check joint:flare1 @ stands"]), (True, [])):
        joint = JointState(
            "flare1",
            made=said(1),
            tightness=Tightness.FINAL,
            checks=(Check(said(2), right, True, ""),),
        )
        state = replace(state_of(vehicle, standing="stands"), joints={"flare1": joint})
        assert told(lines, vehicle, state, waiting=()) == ()
        other = [] if lines else ["check joint:flare1 @ stands"]
        assert told(other, vehicle, state, waiting=())


def test_a_tightening_job_done_since_has_finished_the_joint():
    """A joint nipped before its job was done is finished; one nipped after it is not."""
    job = Job("hot", "tighten hot", JobKind.TIGHTEN, Phase.REBUILD, joints=("nuts",))
    vehicle = barrow().with_records(jobs={"hot": job}, fluids={}, openings={})
    for made, lines in ((1, []), (3, ["finish joint:nuts @ wheels"])):
        joint = JointState("nuts", made=said(made), tightness=Tightness.NIPPED)
        state = replace(
            state_of(vehicle, standing="wheels"),
            joints={"nuts": joint},
            jobs={"hot": JobState("hot", done=said(2))},
        )
        plan = put_back(vehicle, lines, start="wheels", waiting=())
        assert check_rebuild(vehicle, state, plan) == ()
