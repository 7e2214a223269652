"""How far the work is, and towards which goal."""

from dataclasses import replace

from putback.logbook.entries.judging import WayChosen, WayRound
from putback.vehicle.goal import Goal
from putback.vehicle.ids import GoalId, PartId
from putback.vehicle.job import Job, JobKind
from putback.workshop.plans.how_far import Way, goal_in_hand, how_far, wanted_off
from tests.makers import vehicle
from tests.stores import ANN, PHONE
from tests.workshop.lines import CAR as BOOK
from tests.workshop.lines import Lines

FRAME = PartId("frame")


def goal(identity: str, *off: str, after: str | None = None, rest: bool = False) -> Goal:
    """A goal on the way to a bare frame."""
    return Goal(
        GoalId(identity),
        identity,
        FRAME,
        off=tuple(map(PartId, off)),
        on=(FRAME,) if rest else (),
        off_rest=rest,
        after=GoalId(after) if after else None,
    )


CAR = vehicle(
    "lid - frame: 4 bolt M8 x 20",
    "pump - frame: 2 bolt M6 x 16",
    goal("bare", rest=True, after="lid off"),
    goal("lid off", "lid"),
)


def test_nothing_begun():
    """No hand was laid on anything."""
    far = how_far(Lines(CAR).state)
    assert (far.way, far.parts, far.parts_off, far.joints_undone) == (Way.NOT_BEGUN, 3, 0, 0)


def test_counts_and_what_is_half_done():
    """A joint with some fixings out, or one stuck, was left half done."""
    lines = Lines(CAR)
    lines("undone lid-frame 3/4")
    lines("undone pump-frame 2/2")
    lines("off pump")
    far = how_far(lines.state)
    assert (far.way, far.parts_off, far.joints_undone) == (Way.STRIP, 1, 1)
    assert [each.joint for each in far.half_done] == ["lid-frame"]
    lines("undone lid-frame 0/4 stuck=4")
    assert [each.joint for each in how_far(lines.state).half_done] == ["lid-frame"]


def test_the_latest_hand_tells_which_way_it_goes():
    """Off is a strip, on again a rebuild, and off once more a strip."""
    lines = Lines(CAR)
    ways = []
    for line in ("off lid", "on lid", "undone pump-frame 2/2", "made pump-frame final"):
        lines(line)
        ways.append(how_far(lines.state).way)
    assert ways == [Way.STRIP, Way.REBUILD, Way.STRIP, Way.REBUILD]
    assert how_far(lines.state).joints_made_again == 1


def test_goals_are_taken_in_turn():
    """The nearest that is not reached; with all of them reached, the last; without any, none."""
    lines = Lines(CAR)
    assert goal_in_hand(lines.state).id == "lid off"
    lines("off lid")
    assert goal_in_hand(lines.state).id == "bare"
    lines("off pump")
    assert goal_in_hand(lines.state).id == "bare"
    assert goal_in_hand(Lines().state) is None


def test_a_goal_wants_what_goals_before_it_want():
    """And, where it says so, all the rest."""
    state = Lines(
        vehicle("lid - frame", "pump - frame", goal("a", "lid"), goal("b", "pump", after="a"))
    ).state
    goals = state.vehicle.goals
    assert wanted_off(state, goals[GoalId("a")]) == {"lid"}
    assert wanted_off(state, goals[GoalId("b")]) == {"lid", "pump"}
    bare = Lines(CAR).state
    assert wanted_off(bare, bare.vehicle.goals[GoalId("bare")]) == {"lid", "pump"}


def test_a_goal_is_reached_when_its_jobs_are_done_too():
    """One of jobs alone comes before those that want parts off, until they are done."""
    ready = replace(goal("ready"), jobs=("survey",))
    lid_off = replace(goal("lid off", "lid"), jobs=("brace",))
    lines = Lines(
        vehicle(
            "lid - frame",
            "pump - frame",
            Job("survey", "survey", JobKind.SURVEY),
            Job("brace", "brace", JobKind.PREPARE),
            goal("bare", rest=True),
            lid_off,
            ready,
        )
    )
    in_hand = [goal_in_hand(lines.state).id]
    for line in ("done survey", "off lid", "done brace", "off pump"):
        lines(line)
        in_hand.append(goal_in_hand(lines.state).id)
    assert in_hand == ["ready", "lid off", "lid off", "bare", "bare"]


def test_goals_that_come_after_one_another_in_a_ring_want_the_same():
    """A fault of the description is no end of the program."""
    state = Lines(
        vehicle(
            "lid - frame",
            "pump - frame",
            goal("a", "lid", after="b"),
            goal("b", "pump", after="a"),
        )
    ).state
    assert all(wanted_off(state, each) == {"lid", "pump"} for each in state.vehicle.goals.values())
    assert goal_in_hand(state).id == "a"


def test_a_goal_that_was_chosen_is_the_one_in_hand_until_it_is_reached():
    """A nearer one waits; once it is there, or the choice is struck out, they go in turn again."""
    lines = Lines(CAR)
    lines("goal bare")
    assert (goal_in_hand(lines.state).id, how_far(lines.state).way) == ("bare", Way.STRIP)
    lines("goal 'lid off'")
    assert goal_in_hand(lines.state).id == "lid off"
    lines("goal bare")
    lines("off pump")
    assert goal_in_hand(lines.state).id == "bare"
    lines("off lid")
    assert goal_in_hand(lines.state).id == "bare"
    fresh = Lines(CAR)
    act = fresh("goal bare")
    fresh.workshop.strike(BOOK, act.id, who=ANN, device=PHONE)
    assert (goal_in_hand(fresh.state).id, how_far(fresh.state).way) == ("lid off", Way.NOT_BEGUN)


def test_a_way_that_was_chosen_holds_until_nothing_is_left_of_it():
    """A trial fit undone, or a bolt put back, turns nothing; done, the latest hand tells again."""
    lines = Lines(CAR)
    for line in ("undone lid-frame", "off lid", "rebuild", "undone pump-frame", "off pump"):
        lines(line)
    assert how_far(lines.state).way is Way.REBUILD
    for line in ("on pump", "made pump-frame final", "goal bare", "on lid"):
        lines(line)
    assert (how_far(lines.state).way, goal_in_hand(lines.state).id) == (Way.STRIP, "bare")
    lines("off lid")
    lines("off pump")
    lines("made lid-frame final")
    assert how_far(lines.state).way is Way.REBUILD
    for line in ("rebuild", "on lid", "on pump", "made lid-frame final", "made pump-frame final"):
        lines(line)
    lines("undone pump-frame")
    assert how_far(lines.state).way is Way.REBUILD
    lines("made pump-frame final")
    lines("cracked lid-frame")
    assert how_far(lines.state).way is Way.REBUILD


def test_a_chosen_goal_that_nobody_describes_is_passed_over():
    """It may yet arrive; until then the goals go in turn."""
    lines = Lines(CAR)
    body = WayChosen(way=WayRound.STRIP, goal=GoalId("not here"))
    lines.workshop.log(BOOK, [body], who=ANN, device=PHONE)
    assert goal_in_hand(lines.state).id == "lid off"
