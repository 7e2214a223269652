"""Goals that no strip reaches: what stands against them is named."""

from putback.vehicle.facts import Phase
from putback.vehicle.goal import Goal
from putback.vehicle.job import Job, JobKind
from tests.makers import standing, vehicle
from tests.planning.stripping import STANDS, WHEELS, refusal


def test_a_kept_part_in_the_way_is_named():
    """The goal keeps the lid on, and the pump cannot pass it."""
    v = vehicle("lid - frame", "pump - frame", "lid blocks pump: no room")
    goal = Goal("g", "pump off", "frame", off=("pump",), on=("lid",))
    assert str(refusal(v, goal)) == (
        "the goal 'pump off' cannot be reached:\n"
        "  - pump is to be off\n"
        "  - lid in the way of pump: no room\n"
        "  - lid is to stay on\n"
        "it could be, if one of these were so:\n"
        "  - pump could come off without lid off first (obstruction o1)\n"
        "  - lid need not stay on"
    )


def test_a_circle_is_named_fact_by_fact():
    """Each is in the way of the other: both facts are told, and what asks for one of the two."""
    v = vehicle(
        "lid - frame", "pump - frame", "lid blocks pump: a", "pump blocks lid: b", datum="frame"
    )
    *asked, one, other = refusal(v).reasons
    assert {one, other} == {"lid in the way of pump: a", "pump in the way of lid: b"}
    assert asked in (["lid is to be off"], ["pump is to be off"])


def test_a_job_that_is_too_late_is_named():
    """The state has done what makes the job impossible."""
    v = vehicle("lid - frame", "rod - frame", "rod never after lid", datum="frame")
    assert refusal(v, off=["lid"]).reasons == (
        "rod is to be off",
        "rod cannot be done any more after lid",
    )


def test_a_goal_that_contradicts_itself_is_refused():
    """Off and on at once cannot be."""
    v = vehicle("lid - frame")
    goal = Goal("g", "both", "frame", off=("lid",), on=("lid",))
    assert refusal(v, goal).reasons == ("lid is to be off", "lid is to stay on")


def test_two_that_may_each_not_follow_the_other_are_named():
    """Neither can be done after the other, and both are asked for."""
    v = vehicle("a - frame", "b - frame", "a never after b", "b never after a", datum="frame")
    words = "a cannot be done any more after b", "b cannot be done any more after a"
    assert {*words, "a is to be off", "b is to be off"} == set(refusal(v).reasons)


def test_standings_that_shut_each_other_out_are_named():
    """The axle wants the wheels under it and comes after the wheel: every order was tried."""
    v = vehicle(
        "wheel - frame: 1 clip; in stands",
        "axle - frame: 1 clip; in wheels",
        "wheel before axle - frame: so",
        WHEELS,
        STANDS,
        datum="frame",
    )
    reasons = refusal(v, standing="wheels").reasons
    assert set(reasons) == {
        "axle is to be off",
        "axle-frame holds axle and frame together",
        "axle-frame is done only “wheels”",
        "wheel comes before axle-frame: so",
        "“wheels” bears on wheel",
    }


def test_a_job_of_the_rebuild_cannot_be_waited_for():
    """A fact of the strip that asks for a job of the rebuild asks for too much."""
    job = Job("fill", "fill", JobKind.FILL, phase=Phase.REBUILD)
    v = vehicle("lid - frame", job, "fill before lid: so", datum="frame")
    assert refusal(v).reasons == ("lid is to be off", "fill comes before lid: so")


FLOOR = standing("floor", "frame", brick=30.0)


def test_a_standing_that_is_marked_wrong_is_named():
    """The lid comes off on the bricks alone, and that is how not to stand it."""
    wrong = standing("brick", "frame", floor=30.0, wrong=True)
    v = vehicle("lid - frame; in brick", FLOOR, wrong, datum="frame")
    refused = refusal(v, standing="floor")
    assert "“brick” is marked as how not to stand it" in refused.reasons
    assert refused.smallest
    assert "“brick” were made sound and no longer marked wrong" in refused.changes


def test_one_that_is_wrong_and_rests_on_what_is_off_is_named_once_and_mended_twice():
    """Either shuts it, so the smallest set has one of the two; to mend it takes both."""
    both = standing("brick", "axle", floor=30.0, wrong=True)
    v = vehicle("lid - frame; in brick", "axle - frame", FLOOR, both, datum="frame")
    refused = refusal(v, standing="floor", off=["axle"], undone=["axle-frame"])
    shut = {"“brick” is marked as how not to stand it", "“brick” bears on what is off now"}
    assert len(shut.intersection(refused.reasons)) == 1
    assert not any(each.startswith("“brick”") for each in refused.changes)
