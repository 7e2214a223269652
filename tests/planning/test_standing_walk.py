"""What changes of standing cost at least: forced returns count, avoidable ones do not."""

from putback.planning.bounds.bound import lower_bound
from putback.planning.plan import PlanSettings
from putback.planning.posing.pose import pose, targets_of
from tests.makers import standing, vehicle
from tests.planning.hand_made import state_of

WALKS_ONLY = PlanSettings(zone_minutes=0.0, tool_minutes=0.0, helper_minutes=0.0)


def set_up_at_least(v) -> float:
    """The bound less the work of it."""
    goal = next(iter(v.goals.values()))
    now = state_of(v, standing="ground")
    problem = pose(v, now, {*goal.on, goal.datum})
    bound = lower_bound(problem, targets_of(problem, now, goal), WALKS_ONLY)
    return bound.minutes - sum(joint.minutes.likely for joint in v.joints.values())


def two_standings(*more: str):
    """Two standings, twenty minutes apart; ``a`` and ``c`` on the ground, ``b`` up."""
    return vehicle(
        "a - frame: 1 clip; in ground",
        "b - frame: 1 clip; in up",
        "c - frame: 1 clip; in ground",
        *more,
        standing("ground", up=20.0),
        standing("up", ground=20.0),
        datum="frame",
    )


def test_a_standing_that_precedence_makes_one_come_back_to_counts_again():
    """Down, up and down again: the last joint waits for the one in between."""
    assert (
        set_up_at_least(two_standings("a before b - frame: so", "b before c - frame: so")) == 40.0
    )


def test_a_return_that_some_order_avoids_does_not_count():
    """Both joints on the ground may come first."""
    assert set_up_at_least(two_standings("a before b - frame: so")) == 20.0


def test_of_two_ways_the_one_without_a_return_counts():
    """Either of two covers frees the last joint, and one of them is on the ground."""
    v = two_standings("b or a blocks c - frame")
    assert set_up_at_least(v) == 20.0
