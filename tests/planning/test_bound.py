"""The simple bound: unavoidable things and set-up, on small vehicles and against networkx."""

from dataclasses import replace

import networkx as nx
import pytest

from putback.planning.bounds.bound import lower_bound, setup_bound
from putback.planning.bounds.landmarks import unavoidable
from putback.planning.plan import PlanSettings
from putback.planning.posing.pose import pose, targets_of
from putback.planning.strip import plan_strip
from putback.vehicle.assembly import Assembly
from putback.vehicle.facts import HarderAfter
from putback.vehicle.generate import generate
from putback.vehicle.goal import Goal
from putback.vehicle.ids import AssemblyId, PartId
from putback.vehicle.job import Job, JobKind
from putback.vehicle.part import Part
from tests.makers import standing, vehicle
from tests.planning.hand_made import likely, state_of

USUAL = PlanSettings()


def problem_of(v, goal=None, **state):
    """The problem and what the goal asks of it."""
    goal = goal or next(iter(v.goals.values()))
    now = state_of(v, **state)
    problem = pose(v, now, {*goal.on, goal.datum})
    return problem, targets_of(problem, now, goal)


def test_work_counts_the_cheaper_of_two_ways_and_the_least_factor():
    """Ten minutes for the pump's joint and four for the door, at half once the door is off."""
    v = vehicle(
        "lid - frame: 1 clip; 30 min",
        "door - frame: 1 clip; 4 min",
        "pump - frame: 1 clip; 10 min",
        "lid or door blocks pump",
        "pump - frame harder after door x 0.5",
    )
    goal = Goal("g", "pump off", "frame", off=("pump",))
    assert lower_bound(*problem_of(v, goal), USUAL).minutes == pytest.approx(9.0)


def test_every_zone_and_tool_of_unavoidable_things_is_visited_once():
    """Three zones take two walks, two tools one change."""
    v = vehicle(
        "a - frame: 1 clip; zone front; tool bar",
        "b - frame: 1 clip; zone rear; tool key",
        "c - frame: 1 clip; zone rear; tool bar",
        datum="frame",
    )
    assert setup_bound(*problem_of(v), USUAL) == 2 * 5.0 + 2.0


def test_what_can_be_avoided_adds_no_set_up():
    """Either cover will do, so neither's zone is sure to be visited."""
    v = vehicle(
        "lid - frame: 1 clip; zone front",
        "door - frame: 1 clip; zone rear",
        "pump - frame: 1 clip; zone here",
        "lid or door blocks pump",
    )
    goal = Goal("g", "pump off", "frame", off=("pump",))
    problem, targets = problem_of(v, goal)
    sure = {problem.nodes[index].what for index in unavoidable(problem, targets)}
    assert sure == {"part:pump", "joint:pump-frame"}
    assert setup_bound(problem, targets, USUAL) == 0.0


def test_the_cheapest_walk_through_the_standings_that_must_be_entered_is_counted():
    """From a, over b to c, costs less than to c at once, and b must be entered anyhow."""
    v = vehicle(
        "x - frame: 1 clip; in b",
        "y - frame: 1 clip; in c",
        standing("a", b=10.0, c=25.0),
        standing("b", a=10.0, c=12.0),
        standing("c", a=25.0, b=12.0),
        datum="frame",
    )
    assert setup_bound(*problem_of(v, standing="a"), USUAL) == 22.0
    assert setup_bound(*problem_of(v), USUAL) == 12.0


def test_a_joint_to_crack_wants_its_standing_entered():
    """It is cracked on the wheels, wherever it is undone then."""
    v = vehicle(
        "hub - frame: 1 nut M12; crack in wheels",
        standing("stands", wheels=30.0),
        standing("wheels", stands=30.0),
        datum="frame",
    )
    assert setup_bound(*problem_of(v, standing="stands"), USUAL) == 30.0


def test_of_very_many_standings_the_dearest_single_one_counts():
    """Seven standings must be entered; the bound stays a bound without ordering them all."""
    names = [f"s{n}" for n in range(8)]
    v = vehicle(
        *(f"p{n} - frame: 1 clip; in s{n}" for n in range(8)),
        *(standing(s, **{o: 1.0 + n for n, o in enumerate(names) if o != s}) for s in names),
        datum="frame",
    )
    assert setup_bound(*problem_of(v, standing="s0"), USUAL) == 8.0
    assert setup_bound(*problem_of(v), USUAL) == 0.0


def test_a_way_that_is_open_twice_is_one_way():
    """Lid or rim is in the way, and a whole takes off both: no bound is infinite for that."""
    v = vehicle(
        "lid - rim",
        "lid blocks lid",
        "lid or rim blocks rod",
        Part("rod", "rod", "here"),
        Part("frame", "frame", "here"),
        Assembly(AssemblyId("cap"), "cap", (PartId("lid"), PartId("rim"))),
        standing("stands", "frame"),
        datum="frame",
    )
    assert plan_strip(v, state_of(v), v.goals["bare"]).bound_minutes == 0.0


def again(v, goal=None, settings=USUAL, **state) -> float:
    """What the bound counts beyond the unavoidable [min]."""
    bound = lower_bound(*problem_of(v, goal, **state), settings)
    return bound.minutes - bound.unavoidable_minutes


def test_a_chain_that_leaves_a_zone_makes_one_come_back():
    """Front, rear, front, one after another: a second walk, and the helpers are not wanted."""
    v = vehicle(
        "a - frame: 1 clip; zone front",
        "b - frame: 1 clip; zone rear",
        "c - frame: 1 clip; zone front",
        "a - frame before b - frame: so",
        "b - frame before c - frame: so",
        datum="frame",
    )
    v = v.with_records(parts={p: replace(part, zone=None) for p, part in v.parts.items()})
    assert again(v) == 5.0


def test_zones_that_wait_for_each_other_make_one_come_back_to_either():
    """Neither zone is left and come back to by a chain, yet one of the two is visited twice."""
    v = vehicle(
        "a - frame: 1 clip; zone front",
        "b - frame: 1 clip; zone rear",
        "c - frame: 1 clip; zone rear",
        "d - frame: 1 clip; zone front",
        "a - frame before b - frame: so",
        "c - frame before d - frame: so",
        datum="frame",
    )
    v = v.with_records(parts={p: replace(part, zone=None) for p, part in v.parts.items()})
    assert again(v) == 5.0


def test_three_tools_that_wait_in_a_circle_take_one_of_them_up_again():
    """Each waits for the next, by other joints: no two of them for each other."""
    tools = ("bar", "key", "pin")
    v = vehicle(
        *(f"{t}{n} - frame: 1 clip; tool {t}" for t in tools for n in "12"),
        *(
            f"{one}1 - frame before {other}2 - frame: so"
            for one, other in zip(tools, tools[1:] + tools[:1], strict=True)
        ),
        datum="frame",
    )
    assert again(v) == 2.0


def test_a_zone_worked_in_in_two_standings_is_left_in_between_unless_it_is_the_last():
    """Three zones in two standings: one of them is worked in on both sides of the change."""
    v = vehicle(
        *(f"a{n} - frame: 1 clip; zone z{n}; in a" for n in range(3)),
        *(f"b{n} - frame: 1 clip; zone z{n}; in b" for n in range(3)),
        standing("a", b=10.0),
        standing("b", a=10.0),
        datum="frame",
    )
    v = v.with_records(parts={p: replace(part, zone=None) for p, part in v.parts.items()})
    assert again(v) == 2 * 5.0


def test_a_zone_is_worked_in_each_time_that_a_standing_is_come_back_to():
    """Two zones, each on the ground, up and on the ground again: three changes at least."""
    v = vehicle(
        *(
            f"{part}{n} - frame: 1 clip; zone z{n}; in {where}"
            for n in range(2)
            for part, where in (("a", "ground"), ("b", "up"), ("c", "ground"))
        ),
        *(f"a{n} - frame before b{n} - frame: so" for n in range(2)),
        *(f"b{n} - frame before c{n} - frame: so" for n in range(2)),
        standing("ground", up=20.0),
        standing("up", ground=20.0),
        datum="frame",
    )
    v = v.with_records(parts={p: replace(part, zone=None) for p, part in v.parts.items()})
    assert again(v, standing="ground") == 20.0 + 2 * 5.0


def test_lifts_between_other_work_call_the_helpers_again():
    """A lift, a joint that it uncovers, and the lift of what that held."""
    v = vehicle("a - frame", "b - frame", "a blocks b - frame", datum="frame")
    heavy = {p: replace(part, crew=2) for p, part in v.parts.items() if p != "frame"}
    assert again(v.with_records(parts={**v.parts, **heavy})) == 10.0


def in_one_zone(*facts: str):
    """Joints whose parts lie in no zone."""
    v = vehicle(*facts, datum="frame")
    return v.with_records(parts={p: replace(part, zone=None) for p, part in v.parts.items()})


def test_a_zone_and_a_tool_that_wait_for_each_other_make_one_come_back_to_either():
    """The front is a circle with the key elsewhere: the cheaper of the two is taken up again."""
    v = in_one_zone(
        "a - frame: 1 clip; zone front; tool bar",
        "b - frame: 1 clip; zone rear; tool key",
        "c - frame: 1 clip; zone under; tool key",
        "d - frame: 1 clip; zone front; tool bar",
        "a - frame before b - frame: so",
        "c - frame before d - frame: so",
    )
    # Of front (bar), rear and under (key): rear first or under last would be out of turn.
    assert again(v) == 2.0


def test_a_stretch_of_which_it_is_sure_which_it_is_takes_part_in_circles():
    """The bar is taken up twice by a chain; what is in its second stretch waits for the pin."""
    v = in_one_zone(
        *(f"{each} - frame: 1 clip; tool bar" for each in ("a", "c")),
        "b - frame: 1 clip; tool key",
        *(f"{each} - frame: 1 clip; tool pin" for each in ("p", "q")),
        "a - frame before b - frame: so",
        "b - frame before c - frame: so",
        "c - frame before p - frame: so",
        "q - frame before b - frame: so",
    )
    # Bar, key, bar, and then the pin, of which something comes before the key: once more.
    assert again(v) == 2 * 2.0


def test_a_crack_is_a_stretch_of_its_own_standing():
    """Cracked on the wheels, between them work in the rear: the front is worked in twice."""
    v = vehicle(
        "a - frame: 1 nut M12; zone front; in stands; crack in wheels",
        "b - frame: 1 clip; zone rear; in wheels",
        "c - frame: 1 clip; zone rear; in stands",
        standing("wheels", stands=30.0),
        standing("stands", wheels=30.0),
        datum="frame",
    )
    v = v.with_records(parts={p: replace(part, zone=None) for p, part in v.parts.items()})
    assert again(v, standing="wheels") == 5.0


def test_a_thing_that_may_be_in_either_stretch_takes_part_in_no_circle():
    """The bar is taken up twice; what waits for the pin can be left to the second time."""
    v = in_one_zone(
        *(f"{each} - frame: 1 clip; tool bar" for each in ("a", "c", "f")),
        "b - frame: 1 clip; tool key",
        *(f"{each} - frame: 1 clip; tool pin" for each in ("p", "q")),
        "a - frame before b - frame: so",
        "b - frame before c - frame: so",
        "a - frame before q - frame: so",
        "p - frame before f - frame: so",
    )
    assert again(v) == 2.0


def test_what_may_be_in_either_stretch_is_in_none_before_the_first():
    """The bar is taken up twice; one thing with it, whenever, is before what waits for the pin."""
    v = in_one_zone(
        *(f"{each} - frame: 1 clip; tool bar" for each in ("a", "c", "f")),
        "b - frame: 1 clip; tool key",
        *(f"{each} - frame: 1 clip; tool pin" for each in ("p", "q")),
        "a - frame before b - frame: so",
        "b - frame before c - frame: so",
        "f - frame before p - frame: so",
        "q - frame before a - frame: so",
    )
    # Bar, pin, bar, key, bar; or the pin first and once more.
    assert again(v) == 2 * 2.0


def test_what_a_job_may_crack_is_no_stretch_of_its_own():
    """A job in the rear cracks it on the wheels; the front is worked in on the stands alone."""
    job = Job(
        "t", "crack it", JobKind.CRACK, zone="rear", joints=("a-frame",), standings=("wheels",)
    )
    v = vehicle(
        "a - frame: 1 nut M12; zone front; in stands; crack in wheels",
        "b - frame: 1 clip; zone rear; in wheels",
        "c - frame: 1 clip; zone rear; in stands",
        job,
        standing("wheels", stands=30.0),
        standing("stands", wheels=30.0),
        datum="frame",
    )
    v = v.with_records(parts={p: replace(part, zone=None) for p, part in v.parts.items()})
    assert again(v, standing="wheels") == 0.0


def test_what_is_cracked_before_it_gets_harder_counts_its_fifth_once():
    """Two of the ten minutes are spent before the door is off, and eight are doubled."""
    v = vehicle(
        "door - frame: 1 clip; 4 min",
        "pump - frame: 1 nut M12; 10 min; in stands; crack in stands",
        "door blocks pump - frame",
        "pump - frame harder after door x 2",
        standing("stands"),
        datum="frame",
    )
    assert again(v) == pytest.approx(8.0)


def test_what_is_harder_in_every_order_is_counted():
    """The door is off before the pump's joint anyhow, which then takes twice its ten minutes."""
    v = vehicle(
        "door - frame: 1 clip; 4 min",
        "pump - frame: 1 clip; 10 min",
        "door blocks pump - frame",
        "pump - frame harder after door x 2",
        datum="frame",
    )
    assert again(v) == pytest.approx(10.0)


def test_what_cannot_be_made_easier_in_time_is_counted():
    """The pump's joint would take half with the door off, but comes before it."""
    v = vehicle(
        "door - frame: 1 clip; 4 min",
        "pump - frame: 1 clip; 10 min",
        "pump - frame before door - frame: so",
        "pump - frame harder after door x 0.5",
        datum="frame",
    )
    assert again(v) == pytest.approx(5.0)


def test_what_may_be_made_easier_by_a_job_that_nobody_asked_for_is_not_counted():
    """The lift may be brought though the goal does without: ten minutes may become five."""
    lift = Job("lift", "bring the lift", JobKind.PREPARE, minutes=likely(1))
    v = vehicle("pump - frame: 1 clip; 10 min", lift, datum="frame")
    fact = HarderAfter("h", "joint:pump-frame", "job:lift", 0.5)
    assert again(v.with_records(harder_afters={"h": fact})) == 0.0


@pytest.mark.parametrize("seed", range(5))
def test_without_choices_the_unavoidable_is_what_a_graph_says_comes_before(seed):
    """The ancestors that networkx finds are exactly the unavoidable things."""
    v = generate(25, seed)
    v = v.with_records(
        assemblies={},
        standings={},
        obstructions={i: replace(o, any_of=o.any_of[:1]) for i, o in v.obstructions.items()},
    )
    goal = replace(v.goals["all-off"], after=None)
    problem, targets = problem_of(v, goal)
    graph = nx.DiGraph()
    for index, node in enumerate(problem.nodes):
        graph.add_edges_from((c.any_of[0], index) for c in node.clauses if c.any_of)
    wanted = {target.any_of[0] for target in targets}
    graph.add_nodes_from(wanted)
    assert unavoidable(problem, targets) == wanted.union(*(nx.ancestors(graph, w) for w in wanted))
