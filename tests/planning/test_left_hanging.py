"""Wholes of which a piece would hang whatever the order, and what goes by itself instead."""

import pytest

from putback.planning.held.left_hanging import left_hanging
from putback.planning.ordering.task import set_task
from putback.planning.ordering.way import find_way
from putback.planning.plan import USUAL
from putback.planning.posing.problem import Kind
from putback.planning.reach import reach
from putback.planning.search.choose import Chosen
from putback.vehicle.assembly import Assembly
from putback.vehicle.generate import generate
from putback.vehicle.part import Part
from putback.vehicle.standing import TemporarySupport
from tests.makers import ZONE, standing, vehicle
from tests.planning.hand_made import likely, state_of
from tests.planning.stripping import planned

PAIR = Assembly("pair", "both as one", ("a", "b"), likely(1))
A, B = (Part(each, each, ZONE, minutes=likely(10)) for each in "ab")
STOOD = (standing("wheels", "frame", stands=30.0), standing("stands", "frame", wheels=30.0))


def of_a_pair(*joints, more=()):
    """Two parts that may come off as one, which is less work."""
    return vehicle(*joints, *more, A, B, PAIR, *STOOD, datum="frame")


def hanging(v, but=()) -> set[str]:
    """What would hang if the pair came off as one, and all joints ``but`` some were undone."""
    (goal,) = v.goals.values()
    problem = set_task(v, state_of(v, standing="wheels"), goal, USUAL).problem
    chosen = [
        index
        for index, node in enumerate(problem.nodes)
        if node.kind is Kind.WHOLE
        or (node.kind is Kind.UNDO and node.what.removeprefix("joint:") not in but)
    ]
    return {problem.nodes[index].what for index in left_hanging(problem, chosen)}


def test_parts_let_go_in_two_standings_come_off_by_themselves():
    """One is let go on stands, the other on wheels: as one, whichever is let go first hangs."""
    v = of_a_pair("a - frame: 1 clip; 5 min; in stands", "b - frame: 1 clip; 5 min; in wheels")
    assert hanging(v) == {"assembly:pair"}
    plan = planned(v, standing="wheels")
    assert {"part:a", "part:b"} <= {step.what for step in plan.steps}
    assert not any(step.prop_first for step in plan.steps)


@pytest.mark.parametrize(
    "joints",
    [
        ("a - frame: 1 clip; in stands", "b - frame: 1 clip; in stands, wheels"),
        ("a - frame: 1 clip; in stands", "b - frame: 1 clip; in wheels", "a - b: 1 bolt M8"),
        (
            "a - frame: 1 clip; in stands",
            "two = b - frame: 1 clip; in wheels",
            "b - frame: 1 clip",
        ),
    ],
    ids=["let go in one standing", "bolted to each other", "held by another joint"],
)
def test_what_can_be_held_goes_as_one(joints):
    """A joint that can be undone last where it is lifted is enough, and so is one in between."""
    v = of_a_pair(*joints)
    assert hanging(v, but=["a-b"]) == set()
    assert "assembly:pair" in {step.what for step in planned(v, standing="wheels").steps}


def test_what_a_jack_bears_on_does_not_hang():
    """It bears on the one from when that is let go; where it stands then it stays."""
    jack = TemporarySupport("x", "jack", "a", "joint:a-frame", "part:a")
    joints = ("a - frame: 1 clip; in stands", "b - frame: 1 clip")
    assert hanging(of_a_pair(*joints, more=[jack])) == set()


def test_to_reach_a_thing_the_least_work_is_told_all_the_same():
    """What hangs is propped, and told: reach is the least work there is."""
    v = of_a_pair("a - frame: 1 clip; 5 min; in stands", "b - frame: 1 clip; 5 min; in wheels")
    state = state_of(v, standing="wheels")
    task = set_task(v, state, next(iter(v.goals.values())), USUAL)
    least = find_way(task.problem, task.stages, USUAL)
    assert "assembly:pair" in {task.problem.nodes[index].what for index in least.rules.steps}
    assert reach(v, state, "part:a").minutes <= 15.0


def test_where_the_other_way_gets_stuck_the_least_work_is_taken_after_all(monkeypatch):
    """Whatever else is chosen cannot be put in order: the pair goes as one, and is propped."""
    v = of_a_pair("a - frame: 1 clip; 5 min; in stands", "b - frame: 1 clip; 5 min; in wheels")
    task = set_task(v, state_of(v, standing="wheels"), next(iter(v.goals.values())), USUAL)
    nodes = task.problem.nodes
    alone = next(i for i, node in enumerate(nodes) if node.what == "part:a")
    stuck = [Chosen((alone,), 10.0, 10.0, optimal=True)]
    monkeypatch.setattr("putback.planning.ordering.way._held", lambda *_: stuck)
    way = find_way(task.problem, task.stages, USUAL, held=True)
    assert "assembly:pair" in {nodes[index].what for index in way.rules.steps}
    assert way.chosen  # arranged, not found by trying


def test_a_generated_vehicle_is_planned_without_a_prop():
    """Of the wholes that are least work two would hang; apart, nothing has to be let pass."""
    v = generate(400, 19)
    task = set_task(v, state_of(v), v.goals["rolling"], USUAL)
    way = find_way(task.problem, task.stages, USUAL, held=True)
    assert way.rules.waived == frozenset()
    assert way.rules.spared == frozenset()
