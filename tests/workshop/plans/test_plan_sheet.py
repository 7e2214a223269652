"""A plan laid out to read: nothing lost, nothing twice, and its bound in plain words."""

from dataclasses import replace

import pytest

from putback.planning.sittings import sittings
from putback.planning.strip import plan_strip
from putback.vehicle.goal import Goal
from putback.vehicle.ids import PartId
from putback.vehicle.part import Part
from putback.workshop.plans.plan_sheet import harder_after, plan_sheet
from tests.makers import ZONE, standing, vehicle
from tests.workshop.lines import Lines


@pytest.fixture
def lines():
    """Twenty lids in two zones, a pump with a harder-after, and two standings."""
    return Lines(
        vehicle(
            *(f"{zone}{n} - frame; zone {zone}; 5 min" for n in range(10) for zone in "ab"),
            "pump - frame; 5 min; in stands",
            "a3 harder after pump x 3",
            "b3 never after pump",
            standing("wheels", "frame", stands=10.0),
            standing("stands", "frame", wheels=10.0),
            datum="frame",
        )
    )


def planned(lines):
    state = lines.state
    (goal,) = state.vehicle.goals.values()
    return state, plan_strip(state.vehicle, state, goal)


def test_every_job_is_on_the_sheet_once(lines):
    """Opening one sitting after another shows the whole plan, numbered in its order."""
    state, plan = planned(lines)
    laid = sittings(plan.steps)
    shown = []
    for at in range(len(laid)):
        sheet = plan_sheet(state, plan.steps, plan, opened=at, everything=True)
        assert [bool(each.jobs) for each in sheet.sittings] == [n == at for n in range(len(laid))]
        shown += [(job.number, job.card.what) for job in sheet.sittings[at].jobs]
    assert shown == [(n, step.what) for n, step in enumerate(plan.steps, 1)]
    assert sheet.jobs == len(plan.steps)
    assert sum(each.minutes for each in sheet.sittings) == pytest.approx(plan.total_minutes)


def test_of_a_long_sitting_a_dozen_jobs_are_shown_at_once(lines):
    """How many more there are is told."""
    state, plan = planned(lines)
    counts = [each.count for each in plan_sheet(state, plan.steps).sittings]
    assert max(counts) > 12
    for at, count in enumerate(counts):
        sitting = plan_sheet(state, plan.steps, opened=at).sittings[at]
        assert len(sitting.jobs) == min(count, 12)
        assert sitting.more == max(count - 12, 0)


def test_the_bound_is_said_in_plain_words(lines):
    """What it takes, what no order can beat, and what could be saved at the most."""
    state, plan = planned(lines)
    bounded = replace(plan, work_minutes=105.0, setup_minutes=20.0, bound_minutes=110.0)
    figures = plan_sheet(state, plan.steps, bounded).figures
    assert "No order can be shorter than 1 h 50 min." in figures
    assert "So at most 15 min could be saved by another order, and maybe none." in figures
    best = replace(bounded, bound_minutes=125.0)
    figures = plan_sheet(state, plan.steps, best).figures
    assert figures[-1] == "So no order is better than this one."
    assert not any("shorter" in each for each in plan_sheet(state, plan.steps).figures)


def test_when_a_goal_on_the_way_is_reached_is_said():
    """After how long, and with which job; not of a plan that is out of date."""
    first = Goal("lid", "lid off", "frame", off=("lid",))
    last = Goal("all", "all off", "frame", off=("lid", "pump"), after="lid")
    v = vehicle("lid - frame: 1 clip; 90 min", "pump - frame: 1 clip; 5 min", first, last)
    state = Lines(v).state
    plan = plan_strip(v, state, last)
    told = "On the way lid off is reached after 1 h 30 min, with job 2."
    assert told in plan_sheet(state, plan.steps, plan).figures
    assert told not in plan_sheet(state, plan.steps).figures


def test_where_nobody_estimated_no_sum_of_nothing_is_told():
    """Steps without minutes are counted, and prove nothing."""
    lines = Lines(vehicle("lid - frame; 0 min", datum="frame"))
    state, plan = planned(lines)
    figures = plan_sheet(state, plan.steps, plan).figures
    assert figures == ("2 jobs; nobody estimated the minutes yet.",)


def test_what_gets_harder_is_told_as_long_as_it_is_not_done(lines):
    """With how much, and only of what comes after; once it is done nothing is told."""
    told = harder_after(lines.state, {"part:pump"})
    assert told == (
        "a3 takes 3 times as long after pump",
        "b3 cannot be done any more after pump",
    )
    assert harder_after(lines.state, {"part:a1"}) == ()
    assert harder_after(lines.state, {"part:pump"}, {"part:a3"}) == (told[1],)
    lines("undone a3-frame 1/1")
    lines("off a3")
    assert harder_after(lines.state, {"part:pump"}) == (told[1],)


def test_a_change_of_standing_is_marked(lines):
    """The sitting for which it is stood otherwise says so, and how often is told."""
    lines("standing wheels")
    state, plan = planned(lines)
    sheet = plan_sheet(state, plan.steps, plan)
    stood = [step.standing for step in plan.steps if step.standing]
    assert sheet.changes == sum(
        one != two for one, two in zip(["wheels", *stood], stood, strict=False)
    )
    assert [each.is_change for each in sheet.sittings].count(True) == sheet.changes


def test_that_nobody_knows_what_holds_a_part_is_said_above_its_place_in_the_order():
    """Where some joints are described the order looks as if it knew."""
    lines = Lines(vehicle("lid - frame", Part(PartId("box"), "box", ZONE), datum="frame"))
    state, plan = planned(lines)
    words = "Of 1 part that comes off, no joint is described: what holds it is not known."
    assert plan_sheet(state, plan.steps, plan).figures[0] == words
