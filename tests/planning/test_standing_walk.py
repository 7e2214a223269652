"""What changes of standing cost at least: forced returns count, avoidable ones do not."""

from dataclasses import replace

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


def test_a_standing_for_a_crack_is_left_again_for_the_undoing():
    """Cracked up, undone on the ground, where the vehicle stands already."""
    v = vehicle(
        "b - frame: 1 nut M12; in ground; crack in up",
        standing("ground", up=20.0),
        standing("up", ground=20.0),
        datum="frame",
    )
    assert set_up_at_least(v) == 40.0


def test_of_two_standings_the_one_nearer_to_what_follows_counts():
    """The middle joint may be undone up or on ramps; from the ramps it is less far down."""
    v = vehicle(
        "a - frame: 1 clip; in ground",
        "b - frame: 1 clip; in up",
        "c - frame: 1 clip; in ground",
        "a before b - frame: so",
        "b before c - frame: so",
        standing("ground", up=20.0, ramps=7.0),
        standing("up", ground=20.0, ramps=30.0),
        standing("ramps", ground=7.0, up=30.0),
        datum="frame",
    )
    either = replace(v.joints["b-frame"], standings=("up", "ramps"))
    v = v.with_records(joints={**v.joints, "b-frame": either})
    assert set_up_at_least(v) == 14.0


def test_two_returns_that_one_walk_does_not_serve_both_count():
    """Each chain alone goes up and down once; but one ends up there and the other begins so."""
    v = vehicle(
        "a - frame: 1 clip; in ground",
        "b - frame: 1 clip; in up",
        "c - frame: 1 clip; in up",
        "d - frame: 1 clip; in ground",
        "a before b - frame: so",
        "c before d - frame: so",
        standing("ground", up=20.0),
        standing("up", ground=20.0),
        datum="frame",
    )
    assert set_up_at_least(v) == 40.0


def test_a_standing_is_not_entered_before_what_it_needs_off_is_off():
    """Before the lid is off the middle joint cannot be undone near by, only far away."""
    bare = standing("bare", ground=5.0, up=40.0, far=40.0)
    v = vehicle(
        "lid - frame: 1 clip; in up",
        "b - frame: 1 clip; in far",
        "b before lid - frame: so",
        standing("ground", up=20.0, far=30.0, bare=5.0),
        standing("up", ground=20.0, far=30.0, bare=40.0),
        standing("far", ground=30.0, up=30.0, bare=40.0),
        replace(bare, needs_off=("lid",)),
        datum="frame",
    )
    either = replace(v.joints["b-frame"], standings=("bare", "far"))
    assert set_up_at_least(v.with_records(joints={**v.joints, "b-frame": either})) == 60.0


def test_what_gets_further_for_more_is_not_left_out():
    """On the ramps less can be done than up, for less; but up there is what the rest waits for."""
    v = vehicle(
        "a - frame: 1 clip; in ramps",
        "b - frame: 1 clip; in up",
        "c - frame: 1 clip; in ramps",
        "b before c - frame: so",
        standing("ground", up=20.0, ramps=7.0),
        standing("up", ground=20.0, ramps=20.0),
        standing("ramps", ground=7.0, up=20.0),
        datum="frame",
    )
    both = replace(v.joints["a-frame"], standings=("up", "ramps"))
    assert set_up_at_least(v.with_records(joints={**v.joints, "a-frame": both})) == 40.0
