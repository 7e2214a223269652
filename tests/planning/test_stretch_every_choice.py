"""The stretch against every choice of steps, and on generated vehicles."""

from dataclasses import replace
from functools import cache
from itertools import combinations

import networkx as nx
import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st

from putback.errors import PutbackError
from putback.planning.check import check_rebuild
from putback.planning.check.fault import RebuildRule
from putback.planning.plan import Action, Plan
from putback.planning.rebuild import plan_rebuild
from putback.planning.stretch import best_stretch
from putback.planning.stretch.walk import ASSUMED_MINUTES
from putback.planning.strip import plan_strip
from putback.vehicle.generate import generate
from tests.planning.hand_made import state_of, written
from tests.planning.stretching import FREE, SMALL, as_plan, faults, left, lines_of
from tests.strategies.planning import HOSE_CLIPS, cases

# -- against every choice -------------------------------------------------------------------------


def closed_and_safe(case, plan: Plan, steps) -> bool:
    """The endings, in the plainest way: spans, and what was held is held (networkx)."""
    v, state = case.vehicle, case.state
    names = {step.what for step in steps if step.action is not Action.CRACK}
    for step in steps:
        if step.action is Action.TAKE_OFF and step.what.startswith("assembly"):
            names |= {f"part:{p}" for p in v.assemblies[step.what[9:]].parts}
    still = {step.what for step in left(plan, steps) if step.action is not Action.CRACK}
    for step in left(plan, steps):
        if step.action is Action.TAKE_OFF and step.what.startswith("assembly"):
            still |= {f"part:{p}" for p in v.assemblies[step.what[9:]].parts}
    spans = [(x.first, x.last) for x in v.temporary_supports.values()]
    for job in v.jobs.values():
        if job.same_sitting_as:
            one, two = f"job:{job.id}", f"job:{job.same_sitting_as}"
            spans += [(one, two), (two, one)]
    cleared = {f"part:{p}" for p in state.parts_off} | {f"job:{j}" for j in state.jobs_done}
    cleared |= {f"joint:{j}" for j in v.joints if not holds(v, state, j, set(), set())}
    for first, last in spans:
        if last in still and (first in names or first in cleared):
            return False
    at_end = steps[-1].standing if steps else state.standing.standing
    undone = {step.what[6:] for step in steps if step.action is Action.UNDO}
    off = {what[5:] for what in names if what.startswith("part:")}
    begun = held(v, state, state.standing.standing or plan.start, set(), set())
    ended = held(v, state, at_end, undone, off)
    if begun is None or ended is None:
        return True
    return not (begun - off) - ended


def holds(v, state, joint: str, undone: set[str], off: set[str]) -> bool:
    """Whether a joint is made, and joins two parts that are on."""
    parts = [p for p in v.joints[joint].parts if p not in off and p not in state.parts_off]
    wholes = [state.parts[p].whole for p in v.joints[joint].parts if p in state.parts_off]
    bench = any(w is not None and wholes.count(w) > 1 for w in wholes)
    return joint not in state.undone_joints and joint not in undone and (len(parts) > 1 or bench)


def held(v, state, where, undone: set[str], off: set[str]) -> set[str] | None:
    """The parts that bolted joints lead to what supports bear on; not what clips alone join."""
    record = v.standings.get(where)
    ground = {s.bears_on for s in record.supports if not s.beside} if record else set()
    graph = nx.Graph()
    graph.add_nodes_from(p for p in v.parts if p not in off and p not in state.parts_off)
    jointed = {p for j in v.joints.values() for p in j.parts}
    ground &= jointed
    if not ground:
        return None
    bolted = [joint for joint in v.joints if v.joints[joint].fixings != HOSE_CLIPS]
    for joint in bolted:
        if holds(v, state, joint, undone, off):
            parts = [p for p in v.joints[joint].parts if p in graph]
            graph.add_edges_from(combinations(parts, 2))
    return {
        p for part in ground if part in graph for p in nx.node_connected_component(graph, part)
    }


def best_of_all(case, plan: Plan, minutes: float) -> float:
    """What the best of all choices of steps saves; nothing if none is any good."""
    v, state = case.vehicle, case.state
    best = 0.0
    changes = written(v, lines_of(plan.steps), state=state, settings=FREE, start=plan.start)
    for count in range(1, len(plan.steps) + 1):
        for steps in combinations(plan.steps, count):
            work = sum(step.minutes or 10.0 * counts(step) for step in steps)
            takes = sum(on_the_average(v, step) or 10.0 * counts(step) for step in steps)
            if not (best + 1e-9 < work and takes <= minutes) or not closed_and_safe(
                case, plan, steps
            ):
                continue
            order = [*steps, *left(plan, steps)]
            own = written(v, lines_of(steps), state=state, start=plan.start)
            if takes + own.setup_minutes > minutes + 1e-9 or makes_harder(v, plan, order):
                continue
            if faults(v, state, case.goal, plan, steps, whole=True):
                continue
            whole = written(v, lines_of(order), state=state, settings=FREE, start=plan.start)
            back = max(0.0, whole.setup_minutes - changes.setup_minutes)
            best = max(best, work - back)
    return best


def on_the_average(v, step) -> float:
    """What a step takes by its three points, and no less than is likely."""
    table, _, name = step.what.partition(":")
    tables = {"joint": v.joints, "part": v.parts, "job": v.jobs, "assembly": v.assemblies}
    said = tables[table][name].minutes if name in tables.get(table, {}) else None
    if not said or not said.likely:
        return step.minutes
    mean = (said.best + 4 * said.likely + said.worst) / 6
    return max(1.0, mean / said.likely) * step.minutes


def makes_harder(v, plan: Plan, order) -> bool:
    """Whether something is harder than in the plan: behind what hardens it, before what eases."""
    for fact in v.harder_afters.values():
        if fact.factor in (None, 1):
            continue
        was, now = (is_after(v, steps, fact) for steps in (plan.steps, order))
        if any(now[key] != was[key] and now[key] == (fact.factor > 1) for key in was):
            return True
    return False


def is_after(v, steps, fact) -> dict[tuple, bool]:
    """Of each step that does the job, whether it stands behind what changes its minutes."""
    found, done = {}, False
    for step in steps:
        names = {step.what}
        if step.what.startswith("assembly"):
            names |= {f"part:{p}" for p in v.assemblies[step.what[9:]].parts}
        if fact.job in names:
            found[step.action, step.what] = done
        done = done or (fact.after in names and step.action is not Action.CRACK)
    return found


def counts(step) -> bool:
    """Whether somebody's time goes into it, and nobody said how much."""
    return step.action in {Action.UNDO, Action.TAKE_OFF, Action.DO}


def strip_of(case):
    """A plan, if there is one, without what this module has tests of its own for."""
    try:
        return plan_strip(case.vehicle, case.state, case.goal)
    except PutbackError:
        assume(False)


@given(cases(largest=3), st.sampled_from((5, 10, 15, 25, 40, 60)))
def test_on_small_cases_no_choice_of_steps_is_better(case, minutes: float):
    """Every choice, in the plan's order, judged by the independent checker and plain endings."""
    plan = strip_of(case)
    assume(0 < len(plan.steps) <= SMALL)
    assume(plan.start == (case.state.standing.standing or plan.start))
    found = best_stretch(case.vehicle, case.state, plan, minutes)
    assert not found.stretch or found.stretch.proven
    saved = found.stretch.saved_minutes if found.stretch else 0.0
    assert saved == pytest.approx(best_of_all(case, plan, minutes), abs=1e-6)


@given(cases(), st.sampled_from((5, 10, 20, 40, 80)))
def test_every_stretch_begins_some_plan(case, minutes: float):
    """Done first, and then the rest: the foreman finds nothing, and nothing is left hanging."""
    plan = strip_of(case)
    found = best_stretch(case.vehicle, case.state, plan, minutes)
    for each in (found.stretch, found.smallest):
        if each is not None:
            told = faults(case.vehicle, case.state, case.goal, plan, each.steps, whole=True)
            assert told == []
            assert closed_and_safe(case, plan, each.steps)
    if found.stretch:
        own = written(
            case.vehicle, lines_of(found.stretch.steps), state=case.state, start=plan.start
        )
        assert own.setup_minutes == pytest.approx(found.stretch.setup_minutes)
        unknown = ASSUMED_MINUTES * found.stretch.not_estimated
        assert found.stretch.minutes + unknown <= minutes + 1e-6
        assert (found.stretch.chance or 1.0) >= 0.5 - 1e-9


# -- on generated vehicles ------------------------------------------------------------------------


@cache
def strip_planned(parts: int, seed: int):
    """A generated vehicle, its farthest goal, and the plan from where nothing is done."""
    v = generate(parts, seed=seed)
    goal = max(v.goals.values(), key=lambda each: (each.off_rest, len(each.off)))
    state = state_of(v)
    return v, goal, state, plan_strip(v, state, goal)


GENERATED = [(8, 79), (12, 25), (20, 0), (25, 25), (25, 41), (28, 79), (30, 0)]
"""Parts and seed, each planned once; to plan takes ten times as long as to find a stretch.

In most of them who is alone would else be sent to what wants two.
"""


@given(
    st.sampled_from(GENERATED), st.sampled_from((20, 30, 45, 60, 90, 120)), st.sampled_from((1, 0))
)
@example((25, 25), 120, 0)  # a pump would hang, though a hand is told
@example((28, 79), 30, 1)  # what swings where the plan had it off before is told to be tied back
def test_on_generated_vehicles_every_stretch_of_a_strip_is_valid(
    size: tuple[int, int], minutes: float, people: int
):
    """In the middle of a strip, too; alone, nothing wants two."""
    v, goal, state, plan = strip_planned(*size)
    found = best_stretch(v, state, plan, minutes, people=people or None)
    for each in (found.stretch, found.smallest):
        if each is not None:
            assert faults(v, state, goal, plan, each.steps, whole=True) == []
            assert not people or each.people == 1
    if found.stretch:
        assert found.stretch.minutes <= minutes + 1e-6
        assert (found.stretch.chance or 1.0) >= 0.5 - 1e-9
        assert found.stretch.minutes == pytest.approx(
            found.stretch.work_minutes
            + found.stretch.setup_minutes
            + sum(each.minutes for each in found.stretch.close)
        )


@cache
def rebuild_planned(parts: int, seed: int):
    """The state behind such a strip, and the plan back."""
    v, _, _, strip = strip_planned(parts, seed)
    off = [step.what[5:] for step in strip.steps if step.what.startswith("part:")]
    undone = [step.what[6:] for step in strip.steps if step.action is Action.UNDO]
    for step in strip.steps:
        if step.what.startswith("assembly:"):
            off += v.assemblies[step.what[9:]].parts
    state = state_of(v, off=off, undone=undone, order=[step.what for step in strip.steps])
    return v, state, plan_rebuild(v, state)


@given(st.sampled_from(GENERATED), st.sampled_from((20, 30, 45, 60, 90, 120, 180, 240)))
def test_on_generated_vehicles_every_stretch_of_a_rebuild_is_valid(
    size: tuple[int, int], minutes: float
):
    """First the stretch and then the rest is a rebuild too; what is made in it is tightened."""
    v, state, plan = rebuild_planned(*size)
    found = best_stretch(v, state, plan, minutes)
    if found.stretch is None:
        return
    steps = found.stretch.steps
    order = as_plan(plan, [*steps, *left(plan, steps)])
    order = replace(order, waiting=plan.waiting)
    told = check_rebuild(v, state, order)
    assert [str(each) for each in told if each.rule not in {RebuildRule.COST}] == []
    made = {step.what for step in steps if step.action is Action.MAKE}
    tight = {step.what for step in steps if step.action is Action.TIGHTEN}
    assert made <= tight
