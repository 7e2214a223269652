"""The strip plan as a whole: generated vehicles, planned again, the same everywhere."""

import os
import subprocess
import sys
from contextlib import redirect_stdout
from dataclasses import replace
from io import StringIO

import networkx as nx
import pytest
from hypothesis import given

from putback.errors import ImpossibleGoal, Stopped
from putback.planning.plan import Action
from putback.planning.strip import plan_strip
from putback.progress import Stoppable
from putback.vehicle.generate import generate
from putback.vehicle.joint import Does, WhenUndone
from putback.vehicle.minutes import Minutes
from tests.makers import vehicle
from tests.planning.hand_made import state_of
from tests.planning.stripping import SETTINGS, planned
from tests.strategies.planning import Case, cases


@pytest.mark.slow
@pytest.mark.parametrize(
    ("parts", "seed"), [(12, 1), (40, 2), pytest.param(90, 3, marks=pytest.mark.soak)]
)
def test_generated_vehicles_come_apart_by_the_rules(parts, seed):
    """Every goal of a generated vehicle gets a plan without a fault, above its bound."""
    v = generate(parts, seed)
    for goal in v.goals.values():
        planned(v, goal)


def state_after(v, steps):
    """The state that a logbook of these steps would give."""
    off: dict[str, str | None] = {}
    named: dict[Action, list[str]] = {action: [] for action in Action}
    for step in steps:
        kind, _, name = step.what.partition(":")
        named[step.action].append(name)
        if kind == "assembly":
            off |= {p: name for p in v.assemblies[name].parts if p not in off}
        elif kind == "part":
            off[name] = None
    cracked = set(named[Action.CRACK]) - set(named[Action.UNDO])
    return {
        "off": off,
        "undone": named[Action.UNDO],
        "done": named[Action.DO],
        "cracked": cracked,
        "standing": steps[-1].standing,
    }


@pytest.mark.slow
@pytest.mark.parametrize("seed", [1, 2, pytest.param(3, marks=pytest.mark.soak)])
def test_after_any_part_of_a_plan_the_rest_can_be_planned_again(seed):
    """Whenever somebody stops, what is left has a plan, and a bound below what was left."""
    v = generate(30, seed)
    goal = v.goals["all-off"]
    whole = planned(v, goal)
    for done in range(1, len(whole.steps), 14):
        rest = planned(v, goal, **state_after(v, whole.steps[:done]))
        left = sum(step.minutes + step.setup_minutes for step in whole.steps[done:])
        # who stops while the helpers are there has to call them again
        cut = min(each.crew for each in whole.steps[done - 1 : done + 1]) > 1
        assert rest.bound_minutes <= left + SETTINGS.helper_minutes * cut + 1e-6


@given(cases(standings=False, largest=5))
def test_without_choices_order_and_circles_are_those_of_a_graph(case: Case):
    """A circle, as networkx finds them, is exactly what makes such a goal impossible."""
    v = case.vehicle.with_records(
        assemblies={},
        harder_afters={},
        temporary_supports={},
        runs={},  # what one passes through comes off when it is out, or free at an end
        obstructions={
            i: replace(o, any_of=o.any_of[:1]) for i, o in case.vehicle.obstructions.items()
        },
    )
    state = state_of(v)
    goal = replace(case.goal, on=())
    graph = nx.DiGraph()
    for joint in v.joints.values():
        graph.add_edges_from((f"joint:{joint.id}", f"part:{part}") for part in joint.parts)
    ways = ((f"part:{o.any_of[0]}", o.of) for o in v.obstructions.values())
    graph.add_edges_from((x, of) for x, of in ways if x != of)  # nothing is in its own way
    graph.add_edges_from((b.first, b.then) for b in v.befores.values())
    wanted = {f"part:{p}" for p in goal.off} | {f"job:{j}" for j in goal.jobs}
    if goal.off_rest:
        wanted |= {f"part:{p}" for p in v.parts if p != goal.datum}
    graph.add_nodes_from(wanted)
    needed = wanted.union(*(nx.ancestors(graph, each) for each in wanted))
    below = graph.subgraph(needed)
    if nx.is_directed_acyclic_graph(below) and f"part:{goal.datum}" not in needed:
        plan = plan_strip(v, state, goal)
        at = {step.what: n for n, step in enumerate(plan.steps)}
        assert set(at) == needed
        assert all(at[one] < at[other] for one, other in below.edges)
    else:
        with pytest.raises(ImpossibleGoal):
            plan_strip(v, state, goal)


def test_planning_can_be_stopped():
    """Whoever waits says stop, and gets no half a plan."""
    v = generate(20, 1)
    with pytest.raises(Stopped):
        plan_strip(v, state_of(v), v.goals["all-off"], progress=Stoppable(lambda: True))


DIGEST = """
import hashlib
from putback.logbook.state import State
from putback.planning.strip import plan_strip
from putback.vehicle.generate import generate
v = generate(25, 5)
plan = plan_strip(v, State("log", v), v.goals["all-off"])
print(hashlib.sha256(repr(plan).encode()).hexdigest())
"""


@pytest.mark.slow
def test_the_same_problem_gives_the_same_plan_everywhere():
    """However Python orders its sets, every step, reason and number is the same."""
    own = os.environ.get("PYTHONHASHSEED")
    other = subprocess.run(
        [sys.executable, "-c", DIGEST],
        env={"PYTHONHASHSEED": "2" if own == "1" else "1"},
        capture_output=True,
        text=True,
        check=True,
    )
    here = StringIO()
    with redirect_stdout(here):
        exec(DIGEST, {})
    assert here.getvalue() == other.stdout != ""


def test_nothing_heavy_is_loaded_before_something_is_searched():
    """Importing the planner loads neither OR-Tools nor numpy nor Numba."""
    code = (
        "import sys, putback.planning.strip, putback.planning.reach;"
        "print([m for m in ('ortools', 'numba', 'numpy', 'pandas') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_cautions_props_and_gear_are_on_the_step():
    """What can hurt stands where it is done."""
    v = vehicle("spring - frame", datum="frame")
    when = WhenUndone(Does.FLIES, "it is wound up", prop_first="compressor on")
    joint = replace(v.joints["spring-frame"], when_undone=when)
    part = replace(
        v.parts["spring"], cautions=("eyes",), hoist="a strap", minutes=Minutes(1, 1, 1)
    )
    v = v.with_records(joints={"spring-frame": joint}, parts={**v.parts, "spring": part})
    undo, take = planned(v).steps
    assert undo.cautions == ("it flies: it is wound up",)
    assert undo.prop_first == "compressor on"
    assert take.cautions == ("eyes", "lift it with a strap")
