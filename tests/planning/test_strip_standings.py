"""The strip plan and how the vehicle stands: changes, cracking first, what is on a jack."""

from dataclasses import replace

import pytest

from putback.planning.plan import Action, Because
from putback.planning.posing.pose import pose, targets_of
from putback.planning.search.choose import cheapest
from putback.vehicle.assembly import Assembly
from putback.vehicle.goal import Goal
from putback.vehicle.job import Job, JobKind
from putback.vehicle.part import Part
from putback.vehicle.standing import Support, TemporarySupport
from tests.makers import ZONE, standing, vehicle
from tests.planning.hand_made import likely, state_of
from tests.planning.stripping import STANDS, WHEELS, lines, place, planned, refusal


def test_the_standing_is_changed_as_rarely_as_may_be():
    """Both halves of the work are done with one change between them."""
    v = vehicle(
        *(f"a{n} - frame: 1 clip; in wheels" for n in range(3)),
        *(f"b{n} - frame: 1 clip; in stands" for n in range(3)),
        "wheel - frame: 1 clip; in stands",
        WHEELS,
        STANDS,
        datum="frame",
    )
    plan = planned(v, standing="wheels")
    standings = [step.standing for step in plan.steps]
    assert standings == sorted(standings, reverse=True)
    assert plan.setup_minutes == 30.0


def test_wheel_nuts_are_cracked_while_the_wheels_carry():
    """They are undone on stands, but broken loose before; together the usual minutes."""
    v = vehicle(
        "wheel - frame: 4 nut M12; 10 min; in stands; crack in wheels",
        WHEELS,
        STANDS,
        datum="frame",
    )
    plan = planned(v, standing="wheels")
    assert lines(plan) == [
        "crack joint:wheel-frame @ wheels",
        "undo joint:wheel-frame @ stands",
        "take off part:wheel @ stands",
    ]
    assert [step.minutes for step in plan.steps] == [2.0, 8.0, 0.0]
    assert plan.steps[1].reasons[-1].because is Because.CRACK_FIRST


def test_nobody_goes_back_to_crack_where_the_wheels_are_off_already():
    """The standing to crack in cannot be entered any more, so it is undone as it is."""
    v = vehicle(
        "wheel - frame", "hub - frame: 1 nut M12; in stands; crack in wheels", WHEELS, STANDS,
        datum="frame",
    )  # fmt: skip
    plan = planned(v, standing="stands", off=["wheel"])
    assert lines(plan) == ["undo joint:hub-frame @ stands", "take off part:hub @ stands"]


def test_a_crack_job_cracks_the_joints_it_names():
    """Done on the wheels, it spares the crack steps, and undoing is quicker for it."""
    crack = Job("loosen", "loosen", JobKind.CRACK, minutes=likely(5), standings=("wheels",),
                joints=("wheel-frame",))  # fmt: skip
    v = vehicle(
        "wheel - frame: 4 nut M12; 10 min; in stands; crack in wheels",
        crack,
        "loosen before wheel - frame: tight",
        WHEELS,
        STANDS,
        datum="frame",
    )
    plan = planned(v, standing="wheels")
    assert [step.action for step in plan.steps] == [Action.DO, Action.UNDO, Action.TAKE_OFF]
    assert plan.steps[1].minutes == 8.0


def test_a_part_that_carries_the_vehicle_waits_until_nothing_needs_it():
    """The sump is undone on the wheels, so the wheel stays on until then."""
    v = vehicle(
        "wheel - frame: 1 clip; in stands",
        "rod - frame: 1 clip; in stands",
        "rod before sump - frame: it hides it",
        "sump - frame: 1 clip; in wheels",
        WHEELS,
        STANDS,
        datum="frame",
    )
    plan = planned(v, standing="stands")
    assert place(plan, "joint:sump-frame") < place(plan, "part:wheel")


def test_a_support_hides_what_it_stands_against():
    """On stands the pipe is hidden, so it is taken off on the wheels, without being told where."""
    saddle = Support("s", "stand", "frame", (0, 0), hides=("pipe",))
    stands = replace(STANDS, supports=(saddle,))
    v = vehicle("pipe - frame", "wheel - frame: 1 clip; in stands", WHEELS, stands, datum="frame")
    plan = planned(v, standing="wheels")
    assert plan.steps[place(plan, "part:pipe")].standing == "wheels"


def test_the_standing_does_not_change_while_something_is_on_a_jack():
    """The jack bears from the first job to the last, so both are done in one standing."""
    v = vehicle(
        "tank - frame: 1 clip",
        "strap - frame: 1 clip",
        "wheel - frame: 1 clip; in wheels",
        "clip - frame: 1 clip; in stands",
        "clip before tank - frame: behind it",
        TemporarySupport("x", "jack", "tank", "joint:strap-frame", "joint:tank-frame"),
        standing("wheels", stands=30.0),
        standing("stands", wheels=30.0),
        datum="frame",
    )
    plan = planned(v, standing="wheels")
    assert (
        plan.steps[place(plan, "joint:strap-frame")].standing
        == plan.steps[place(plan, "joint:tank-frame")].standing
        == "stands"
    )


@pytest.mark.parametrize("crack", ["", "; crack in high"])
def test_a_jack_is_not_let_go_later_so_that_an_arm_hangs_on_it_when_it_is_stood_otherwise(crack):
    """With the wedge out nothing is on the jack; put in sequence by zones, it came out last."""
    v = vehicle(
        "one = arm - frame",
        "two = arm - frame; in high",
        f"cup - arm; in low{crack}",
        Part("wedge", "wedge", ZONE),
        standing("high", low=4.0),
        standing("low", high=4.0),
        TemporarySupport("jack", "jack", "frame", "joint:one", "part:wedge"),
        datum="frame",
    )
    plan = planned(v, standing="high")
    assert place(plan, "part:wedge") < place(plan, "joint:two")


UNIT = Assembly("unit", "the unit", ("engine", "gearbox"), likely(5))
GEARBOX = Part("gearbox", "gearbox", ZONE, standings=("wheels",))
ON_A_JACK = (
    "engine - frame: 1 clip; 5 min; in stands",
    "engine - gearbox: 1 clip; 300 min",
    standing("wheels", stands=30.0),
    standing("stands", wheels=30.0),
)


def test_what_hangs_on_a_jack_between_two_standings_goes_another_way():
    """Let go on stands, the unit could come off on wheels only, and is on a jack: in pieces."""
    jack = TemporarySupport("x", "jack", "engine", "joint:engine-frame", "part:engine")
    v = vehicle(*ON_A_JACK, GEARBOX, UNIT, jack, datum="frame")
    (goal,), state = v.goals.values(), state_of(v, standing="wheels")
    problem = pose(v, state, ["frame"])
    ((first, last),) = problem.never_both
    pair = problem.nodes[first].what, problem.nodes[last].what
    assert pair == ("joint:engine-frame", "assembly:unit")
    targets = targets_of(problem, state, goal)
    chosen = cheapest(problem, targets, minutes=lambda node: node.minutes)
    assert not {first, last} <= set(chosen.nodes)
    plan = planned(v, standing="wheels")
    assert "part:gearbox" in {step.what for step in plan.steps}
    assert plan.total_minutes == 335.0
    as_one = planned(v.with_records(temporary_supports={}), standing="wheels")
    assert "assembly:unit" in {step.what for step in as_one.steps}


@pytest.mark.parametrize("first", ["part:pump", "joint:engine-frame"])
def test_where_a_jack_may_be_gone_before_or_one_standing_will_do_nothing_is_barred(first):
    """The pump need not come off before the unit does; and the unit on stands comes off there."""
    jack = TemporarySupport("x", "jack", "engine", first, "part:engine")
    gearbox = GEARBOX if first == "part:pump" else replace(GEARBOX, standings=())
    pump = Part("pump", "pump", ZONE, standings=("stands",))
    v = vehicle(
        *ON_A_JACK, "pump - frame: 1 clip; 1 min", pump, gearbox, UNIT, jack, datum="frame"
    )
    assert pose(v, state_of(v, standing="wheels"), ["frame"]).never_both == ()
    assert "assembly:unit" in {step.what for step in planned(v, standing="wheels").steps}


def test_a_goal_that_is_impossible_for_a_jack_alone_is_refused_with_the_facts():
    """No piece comes off by itself: what the jack asks for is among the reasons."""
    jack = TemporarySupport("x", "jack", "engine", "joint:engine-frame", "part:engine")
    engine = Part("engine", "engine", ZONE, standings=("wheels",))
    v = vehicle(*ON_A_JACK, engine, jack, datum="frame")
    told = refusal(v, standing="wheels")
    assert any("jack" in each for each in told.reasons)


def test_jobs_of_one_sitting_see_no_change_of_standing():
    """The second job is reached on stands only, so the first waits for them."""
    one = Job("one", "one", JobKind.PREPARE)
    two = Job("two", "two", JobKind.PREPARE, standings=("stands",), same_sitting_as="one")
    v = vehicle("lid - frame", one, two, standing("wheels", stands=9.0), standing("stands"))
    plan = planned(v, Goal("g", "both", "frame", jobs=("one", "two")), standing="wheels")
    assert {step.standing for step in plan.steps} == {"stands"}


def test_where_nobody_said_how_it_stands_the_plan_begins_where_it_costs_nothing():
    """The first standing is free."""
    v = vehicle("lid - frame: 1 clip; in stands", WHEELS, STANDS, "wheel - frame", datum="frame")
    plan = planned(v)
    assert (plan.start, plan.setup_minutes) == ("stands", 0.0)
