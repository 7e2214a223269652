"""The plan on hand: never planned, never older than it says, without what is done."""

from contextlib import suppress
from dataclasses import replace

from hypothesis import given, settings

from putback.errors import ImpossibleGoal
from putback.logbook.entries.describing import Described
from putback.logbook.entries.working import JointUndone, PartOff
from putback.planning.again.prospect import Prospect
from putback.planning.impossible.exhaust import NoOrderFound
from putback.planning.plan import USUAL, Action
from putback.planning.rebuild import plan_rebuild
from putback.planning.strip import plan_strip
from putback.workshop.desk import Stage, plan_on_hand
from putback.workshop.desk.on_hand import still_to_do
from putback.workshop.desk.put import CALENDAR, question
from putback.workshop.plans.how_far import Way
from putback.workshop.plans.plans import Followed, follow, goal_called, keep, pin
from tests.makers import vehicle
from tests.strategies.stories import stories
from tests.workshop.lines import CAR, Lines


def things(plan) -> list[str]:
    """What the steps are about."""
    return [step.what for step in plan.steps]


def test_nothing_is_on_hand_before_somebody_planned(bench):
    """No plan, no steps, and nothing is asked of anybody where no desk is given."""
    found = plan_on_hand(bench.workshop, CAR)
    assert (found.plan, found.steps, found.is_fresh, found.slip) == (None, (), False, None)
    assert found.goal is not None
    assert bench.desk.claim("two") is None


def test_without_a_goal_nothing_can_be_planned():
    """It says so, and asks nothing of the desk."""
    lines = Lines(vehicle("lid - frame"))
    found = plan_on_hand(lines.workshop, CAR)
    assert (found.goal, found.fault, found.slip) == (None, "no goal is described yet", None)


def test_a_fresh_plan_is_asked_for_and_comes(bench):
    """First it is coming; once a planner has been there, it is fresh and whole."""
    found = plan_on_hand(bench.workshop, CAR, bench.desk)
    assert found.is_coming
    assert bench.answered(found.slip).stage is Stage.ANSWERED
    found = plan_on_hand(bench.workshop, CAR, bench.desk)
    assert (found.is_fresh, found.slip) == (True, None)
    assert found.steps == found.plan.steps != ()


def test_the_plan_follows_the_logbook_step_by_step(bench):
    """What is done is left out at once, the rest keeps its order; then a fresh one is made."""
    bench.answered(plan_on_hand(bench.workshop, CAR, bench.desk).slip)
    before = plan_on_hand(bench.workshop, CAR, bench.desk)
    first = before.steps[0].what
    assert before.steps[0].action is Action.UNDO
    bench.log(JointUndone(joint=first.removeprefix("joint:")))
    after = plan_on_hand(bench.workshop, CAR, bench.desk)
    assert (after.is_fresh, after.is_coming) == (False, True)
    assert things(after) == things(before)[1:]
    bench.answered(after.slip)
    assert plan_on_hand(bench.workshop, CAR, bench.desk).is_fresh


def test_a_plan_of_yesterday_is_not_fresh(bench):
    """What was put off until today is not behind any more."""
    bench.answered(plan_on_hand(bench.workshop, CAR, bench.desk).slip)
    bench.lines.watch.put_on(days=1)
    found = plan_on_hand(bench.workshop, CAR, bench.desk)
    assert (found.is_fresh, found.is_coming) == (False, True)
    bench.answered(found.slip)
    assert plan_on_hand(bench.workshop, CAR, bench.desk).is_fresh


def test_why_it_cannot_be_planned_is_told(bench):
    """The planner's fault comes with the plan on hand, the last order stays."""
    bench.answered(plan_on_hand(bench.workshop, CAR, bench.desk).slip)
    for name, first, then in (("one", "part:a0", "part:b0"), ("two", "part:b0", "part:a0")):
        fields = {"first": first, "then": then, "phase": "strip"}
        bench.log(Described(table="befores", id=name, fields=fields))
    bench.answered(plan_on_hand(bench.workshop, CAR, bench.desk).slip)
    found = plan_on_hand(bench.workshop, CAR, bench.desk)
    assert found.fault.startswith("the goal")
    assert found.fault.endswith("cannot be reached")
    assert found.steps != ()


def test_who_stopped_planning_is_not_asked_again_by_looking(bench):
    """Not until something is logged."""
    slip = plan_on_hand(bench.workshop, CAR, bench.desk).slip
    bench.desk.cancel(slip.id)
    assert not plan_on_hand(bench.workshop, CAR, bench.desk).is_coming
    bench.lines("note 'tea'")
    assert plan_on_hand(bench.workshop, CAR, bench.desk).is_coming


def test_a_chosen_order_is_on_hand_at_once(bench):
    """Pinned, and fresh: nobody has to plan it."""
    goal = goal_called(bench.workshop.state(CAR), None)
    plan = follow(bench.workshop, CAR, goal).plan.plan
    pin(bench.workshop, CAR, plan)
    found = plan_on_hand(bench.workshop, CAR, bench.desk)
    assert (found.pinned, found.is_fresh, found.plan) == (True, True, plan)


def test_a_question_about_the_plan_rests_on_its_steps_alone(bench):
    """What is found out later of the same order asks for no other answer; another order does."""
    workshop = bench.workshop
    goal = goal_called(workshop.state(CAR), None)
    plan = follow(workshop, CAR, goal).plan.plan
    asked, position = question(workshop, CAR, CALENDAR), workshop.store.position(CAR)
    known = replace(plan, bound_minutes=1.0, unavoidable_minutes=1.0)
    prospect = Prospect.of(0.0, frozenset(), USUAL)
    before = workshop.store.kept_plan(CAR, goal.id)
    keep(workshop, CAR, Followed(known, prospect=prospect), position)
    assert workshop.store.kept_plan(CAR, goal.id) != before
    assert question(workshop, CAR, CALENDAR) == asked
    keep(workshop, CAR, Followed(replace(plan, steps=plan.steps[::-1])), position)
    assert question(workshop, CAR, CALENDAR).id != asked.id


def test_a_kept_plan_that_is_spoilt_is_none(bench):
    """It is asked for as if there were none."""
    from putback.workshop.logbooks.ports import KeptPlan

    goal = goal_called(bench.workshop.state(CAR), None)
    position = bench.workshop.store.position(CAR)
    bench.workshop.store.keep_plan(CAR, goal.id, KeptPlan(position, b"the who"))
    found = plan_on_hand(bench.workshop, CAR, bench.desk)
    assert (found.plan, found.is_coming) == (None, True)


def test_in_a_rebuild_its_plan_is_on_hand(bench):
    """The latest hand put something back: the rebuild is asked for, and comes."""
    for part in ("a0", "b0"):
        bench.log(JointUndone(joint=joint_of(bench, part)), PartOff(part=part))
    bench.lines("on a0")
    found = plan_on_hand(bench.workshop, CAR, bench.desk)
    assert (found.way, found.goal, found.slip.question.kind) == (Way.REBUILD, None, "rebuild")
    bench.answered(found.slip)
    found = plan_on_hand(bench.workshop, CAR, bench.desk)
    state = bench.workshop.state(CAR)
    assert found.is_fresh
    assert things(found) == things(plan_rebuild(state.vehicle, state))


def joint_of(bench, part: str) -> str:
    """The one joint of a part."""
    return bench.workshop.state(CAR).vehicle.joints_of[part][0]


@settings(max_examples=15)
@given(stories())
def test_nothing_is_taken_away_of_a_plan_made_now(story):
    """Whatever happened: of the steps of a fresh plan all are to be done, either way round."""
    state = story.state
    plans = []
    with suppress(ImpossibleGoal):
        plans.append((Way.REBUILD, plan_rebuild(state.vehicle, state)))
    for goal in state.vehicle.goals.values():
        with suppress(ImpossibleGoal, NoOrderFound):
            plans.append((Way.STRIP, plan_strip(state.vehicle, state, goal)))
    for way, plan in plans:
        assert still_to_do(state, plan.steps, way) == plan.steps
