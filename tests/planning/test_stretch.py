"""The stretch for the time at hand: closed, safe, and the best there is on small cases."""

from dataclasses import replace
from itertools import combinations

import networkx as nx
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from putback.errors import PutbackError
from putback.planning.check import StripRule, check_rebuild, check_strip
from putback.planning.check.fault import RebuildRule
from putback.planning.plan import Action, Plan, PlanSettings
from putback.planning.rebuild import plan_rebuild
from putback.planning.stretch import best_stretch
from putback.planning.stretch.best import chance_of
from putback.planning.stretch.walk import ASSUMED_MINUTES
from putback.planning.strip import plan_strip
from putback.vehicle.generate import generate
from putback.vehicle.job import Job, JobKind
from putback.vehicle.minutes import Minutes
from putback.vehicle.opening import Fluid, Opening
from putback.vehicle.part import Part, PartKind
from putback.vehicle.standing import TemporarySupport
from tests.makers import standing, vehicle
from tests.planning.hand_made import likely, state_of, written
from tests.strategies.planning import cases
from tests.workshop.lines import Lines

USUAL = PlanSettings()
FREE = PlanSettings(zone_minutes=0, tool_minutes=0, helper_minutes=0)
SMALL = 7
"""Steps of a plan of which every choice is tried."""
NOT_ASKED = {StripRule.COST, StripRule.GOAL}


def planned(v, state):
    """A strip to the first goal."""
    return plan_strip(v, state, next(iter(v.goals.values())))


def stretch(v, minutes: float, *, people: int | None = None, state=None, **said):
    """The best stretch of the strip, and the plan it is of."""
    now = state or state_of(v, **said)
    plan = planned(v, now)
    return best_stretch(v, now, plan, minutes, people=people), plan


def done(found) -> list[str]:
    """What is done in it."""
    return [step.what for step in found.stretch.steps] if found.stretch else []


def lines_of(steps) -> list[str]:
    """Steps as `written` reads them."""
    return [f"{step.action} {step.what} @ {step.standing or '-'}" for step in steps]


def as_plan(plan: Plan, steps) -> Plan:
    """A plan of these steps, whatever they cost."""
    work, setup = (sum(getattr(s, n) for s in steps) for n in ("minutes", "setup_minutes"))
    return Plan(plan.goal, tuple(steps), work, setup, start=plan.start)


def left(plan: Plan, steps) -> list:
    """What is left of a plan."""
    gone = {(step.action, step.what) for step in steps}
    return [step for step in plan.steps if (step.action, step.what) not in gone]


LATER = {StripRule.IN_THE_AIR, StripRule.STANDS}
"""What the rest of a plan, planned again in any case, puts right with a prop or another order."""


def faults(v, state, goal, plan: Plan, steps, *, whole: bool) -> list[str]:
    """What the foreman says to these steps alone, or to them and then the rest of the plan."""
    order = [*steps, *left(plan, steps)] if whole else list(steps)
    spared = {StripRule.COST} if whole else NOT_ASKED
    told = check_strip(v, state, goal, as_plan(plan, order))
    return [
        str(each)
        for each in told
        if each.rule not in spared
        and not (each.rule in LATER and each.step is not None and each.step >= len(steps))
    ]


# -- by hand --------------------------------------------------------------------------------------

LIDS = vehicle(
    Job("a", "a", JobKind.PREPARE, minutes=Minutes(5, 10, 20)),
    Job("b", "b", JobKind.PREPARE, minutes=Minutes(10, 20, 40)),
    Job("c", "c", JobKind.PREPARE, minutes=Minutes(20, 40, 80)),
    Part("frame", "frame", "here"),
    datum="frame",
)
LIDS = LIDS.with_records(
    goals={each.id: replace(each, jobs=("a", "b", "c")) for each in LIDS.goals.values()}
)


@pytest.mark.parametrize(
    ("minutes", "jobs"),
    [
        (9, set()),
        (10, {"a"}),
        (20, {"b"}),
        (29, {"b"}),
        (30, {"a", "b"}),
        (45, {"c"}),
        (50, {"a", "c"}),
        (70, {"a", "b", "c"}),
        (500, {"a", "b", "c"}),
    ],
)
def test_the_time_is_filled_with_the_most_work(minutes: float, jobs: set[str]):
    """It need be no beginning of the plan: whatever fits best."""
    found, _ = stretch(LIDS, minutes)
    assert {f"job:{each}" for each in jobs} == set(done(found))
    if found.stretch:
        assert found.stretch.proven
        assert found.stretch.minutes <= minutes


def test_where_nothing_fits_the_smallest_is_told():
    """And what it would take."""
    found, _ = stretch(LIDS, 5)
    assert found.stretch is None
    assert [step.what for step in found.smallest.steps] == ["job:a"]
    assert found.smallest.minutes == 10


def test_what_comes_first_comes_first():
    """A step brings along what it needs, or is left."""
    v = vehicle(
        "a - frame; 10 min",
        "b - frame; 50 min",
        "a blocks b - frame",
        Part("a", "a", "here", minutes=likely(5)),
        Part("b", "b", "here", minutes=likely(5)),
        datum="frame",
    )
    assert "joint:b-frame" not in done(stretch(v, 64)[0])
    assert done(stretch(v, 65)[0]) == ["joint:a-frame", "part:a", "joint:b-frame"]


def test_closing_what_is_opened_takes_its_time():
    """A minute for each end; an end that is closed already takes none."""
    v = vehicle(
        "pump - frame; 10 min",
        Part("pump", "pump", "here", minutes=likely(99)),
        Opening("o", "inlet", "pump", ("pump-frame",), ends=3, closed_with="plug"),
        datum="frame",
    )
    assert stretch(v, 12)[0].stretch is None
    found = stretch(v, 13)[0].stretch
    assert (found.minutes, found.closing_minutes, found.work_minutes) == (13, 3, 10)
    assert [(each.ends, each.closed_with) for each in found.close] == [(3, "plug")]
    lines = Lines(v)
    lines("closed inlet 2")
    assert stretch(v, 11, state=lines.state)[0].stretch.closing_minutes == 1
    never = replace(v.openings["o"], needs_closing=False)
    assert stretch(v.with_records(openings={"o": never}), 10)[0].stretch.close == ()


CRANED = vehicle(
    Job("hook", "hook it up", JobKind.PREPARE, minutes=likely(5)),
    "engine - frame; 10 min",
    Part("engine", "engine", "here", minutes=likely(20)),
    "lid - frame; 12 min",
    TemporarySupport("x", "crane", "engine", "job:hook", "part:engine"),
    datum="frame",
)
CRANED = CRANED.with_records(
    goals={each.id: replace(each, jobs=("hook",)) for each in CRANED.goals.values()}
)


def test_nothing_is_left_on_a_jack_or_a_hoist():
    """What is begun under it is ended, or not begun."""
    assert "job:hook" not in done(stretch(CRANED, 34)[0])
    assert {"job:hook", "part:engine"} <= set(done(stretch(CRANED, 35)[0]))


def test_what_hangs_already_is_ended_first():
    """Nobody does anything else while it hangs."""
    found = stretch(CRANED, 12, done=["hook"])[0]
    assert found.stretch is None
    assert "part:engine" in [step.what for step in found.smallest.steps]
    assert "part:engine" in done(stretch(CRANED, 30, done=["hook"])[0])


def test_not_even_for_better_work_is_what_hangs_left():
    """The lid alone would save more in the time."""
    v = vehicle(
        Job("hook", "hook it up", JobKind.PREPARE, minutes=likely(5)),
        "engine - frame; 10 min",
        Part("engine", "engine", "here", minutes=likely(20)),
        "lid - frame; 38 min",
        Part("lid", "lid", "here", minutes=likely(99)),
        TemporarySupport("x", "crane", "engine", "job:hook", "part:engine"),
        datum="frame",
    )
    assert done(stretch(v, 40, done=["hook"])[0]) == ["joint:engine-frame", "part:engine"]


@pytest.mark.parametrize(
    ("fact", "order", "left_out"),
    [
        ("a never after b", ("a", "b"), "b"),
        ("a harder after b x 3", ("a", "b"), "b"),
        ("b harder after a x 0.5", ("a", "b"), "b"),
        ("a harder after b x 0.5", ("a", "b"), None),
    ],
)
def test_nothing_is_made_harder_than_in_the_plan(fact: str, order, left_out: str | None):
    """What the plan does in time is not overtaken, and what it makes easier is waited for."""
    v = vehicle(
        Job("a", "a", JobKind.PREPARE, minutes=likely(50)),
        Job("b", "b", JobKind.PREPARE, minutes=likely(10)),
        Part("frame", "frame", "here"),
        fact,
        datum="frame",
    )
    v = v.with_records(
        goals={each.id: replace(each, jobs=("a", "b")) for each in v.goals.values()}
    )
    now = state_of(v)
    steps = written(v, [f"do job:{each} @ -" for each in order], state=now).steps
    plan = Plan("bare", steps, sum(step.minutes for step in steps), 0.0)
    found = best_stretch(v, now, plan, 12)
    assert ("job:b" in done(found)) is (left_out is None)
    if left_out:
        assert [step.what for step in found.smallest.steps] == ["job:a"]


def test_no_end_is_opened_that_a_fluid_would_run_out_of():
    """The plan drains first, and so does the stretch, though no fact asks for it."""
    v = vehicle(
        Job("drain", "drain it", JobKind.DRAIN, minutes=likely(30)),
        "hose - frame; 5 min",
        Part("hose", "hose", "here", minutes=likely(99)),
        Fluid("water", "coolant", "frame", drained_by="drain"),
        Opening("o", "outlet", "frame", ("hose-frame",), needs_closing=False, fluid="water"),
        datum="frame",
    )
    now = state_of(v)
    steps = written(v, ["do job:drain @ -", "undo joint:hose-frame @ -"], state=now).steps
    plan = Plan("bare", steps, 35.0, 0.0)
    assert best_stretch(v, now, plan, 10).stretch is None
    assert len(best_stretch(v, now, plan, 35).stretch.steps) == 2
    drained = state_of(v, done=["drain"])
    assert done(best_stretch(v, drained, replace(plan, steps=steps[1:]), 10)) == [
        "joint:hose-frame"
    ]


def test_jobs_of_one_sitting_are_not_parted():
    """Both or neither."""
    v = vehicle(
        Job("mix", "mix it", JobKind.PREPARE, minutes=likely(5)),
        Job("lay", "lay it on", JobKind.PREPARE, minutes=likely(10), same_sitting_as="mix"),
        "lid - frame; 30 min",
        datum="frame",
    )
    v = v.with_records(
        goals={each.id: replace(each, jobs=("mix", "lay")) for each in v.goals.values()}
    )
    assert stretch(v, 14)[0].stretch is None
    assert sorted(done(stretch(v, 15)[0])) == ["job:lay", "job:mix"]


@pytest.mark.parametrize(("critical", "alone"), [("; critical", False), ("", True)])
def test_a_critical_joint_is_not_left_broken_loose(critical: str, alone: bool):
    """Cracked and only nipped it must not be left; another joint may be."""
    v = vehicle(
        f"hub - frame; 50 min; crack in wheels; in stands{critical}",
        standing("wheels", "frame", stands=5.0),
        standing("stands", "frame", wheels=5.0),
        datum="frame",
    )
    found, plan = stretch(v, 12, standing="wheels")
    assert plan.steps[0].action is Action.CRACK
    assert bool(found.stretch) is alone
    assert done(stretch(v, 80, standing="wheels")[0]) == [
        "joint:hub-frame",
        "joint:hub-frame",
        "part:hub",
    ]


def hung():
    """A lamp on two screws and a wire: each screw alone holds it, the wire must not."""
    return vehicle(
        "one = lamp - frame: 1 bolt M6; 10 min; in stands",
        "two = lamp - frame: 1 bolt M6; 10 min; in stands",
        "plug = wire - lamp; 10 min",
        "clip = wire - frame; 10 min",
        "one before two",
        "two before plug",
        "plug before clip",
        Part("wire", "wire", "here", kind=PartKind.LOOM),
        standing("stands", "frame"),
        datum="frame",
    )


def test_nothing_is_left_hanging_on_a_wire():
    """With both screws out it comes off altogether, or one stays in."""
    v = hung()
    now = state_of(v, standing="stands")
    plan = Plan(
        "bare",
        tuple(
            replace(step, zone=None, tool="")
            for step in written(
                v,
                [
                    "undo joint:one @ stands",
                    "undo joint:two @ stands",
                    "undo joint:plug @ stands",
                    "take off part:lamp @ stands",
                    "undo joint:clip @ stands",
                    "take off part:wire @ stands",
                ],
                state=now,
            ).steps
        ),
        40.0,
        0.0,
    )
    assert done(best_stretch(v, now, plan, 25)) == ["joint:one"]
    assert "part:lamp" in done(best_stretch(v, now, plan, 40))


def test_it_does_not_end_on_the_point_of_tipping():
    """What carries the weight over the stands stays on, unless what outweighs it goes as well."""
    v = vehicle(
        "front - frame; 10 min",
        "rear - frame; 15 min",
        Part("frame", "frame", "here", kind=PartKind.STRUCTURE, mass_kg=50.0, cg_m=(1.5, 0, 0.5)),
        Part("front", "front", "here", mass_kg=200.0, cg_m=(-1.0, 0, 0.5)),
        Part("rear", "rear", "here", mass_kg=200.0, cg_m=(4.0, 0, 0.5)),
        standing("stands"),
        datum="frame",
    )
    places = [(1.0, -0.5), (2.0, -0.5), (2.0, 0.5), (1.0, 0.5)]
    support = standing("stands", *["frame"] * 4)
    stands = replace(
        support,
        supports=tuple(
            replace(each, at_m=at) for each, at in zip(support.supports, places, strict=True)
        ),
    )
    v = v.with_records(standings={"stands": stands})
    now = state_of(v, standing="stands")
    steps = written(
        v,
        [
            "undo joint:front-frame @ stands",
            "take off part:front @ stands",
            "undo joint:rear-frame @ stands",
            "take off part:rear @ stands",
        ],
        state=now,
    ).steps
    plan = Plan("bare", steps, 25.0, 0.0)
    assert best_stretch(v, now, plan, 500).stretch is None
    propped = (*steps[:1], replace(steps[1], add_support="a stand in front"), *steps[2:])
    found = best_stretch(v, now, replace(plan, steps=propped), 500)
    assert done(found)[-1] == "part:rear"
    assert done(best_stretch(v, now, replace(plan, steps=propped), 30)) == []


def test_who_is_alone_leaves_what_wants_two():
    """And is told how much that is; with somebody there it is done."""
    v = vehicle(
        "bonnet - frame; 10 min",
        "lamp - frame; 5 min",
        Part("bonnet", "bonnet", "here", crew=2, minutes=likely(5)),
        datum="frame",
    )
    alone, _ = stretch(v, 100, people=1)
    assert "part:bonnet" not in done(alone)
    assert alone.out_of_reach == 1
    assert alone.stretch.people == 1
    both, _ = stretch(v, 100, people=2)
    assert "part:bonnet" in done(both)
    assert both.stretch.people == 2


def test_unknown_minutes_are_told_and_taken_for_a_convention():
    """No sum of nothing: so many steps are not estimated, and the time still ends the stretch."""
    plain = vehicle(*(f"p{n} - frame" for n in range(6)), datum="frame")
    v = plain.with_records(
        joints={k: replace(j, minutes=Minutes(0, 0, 0)) for k, j in plain.joints.items()}
    )
    found, plan = stretch(v, 3 * ASSUMED_MINUTES)
    assert len(plan.steps) == 12
    assert (len(found.stretch.steps), found.stretch.not_estimated) == (3, 3)
    assert found.stretch.minutes == 0
    assert (found.stretch.chance, found.stretch.worst_minutes) == (None, None)


def test_the_worst_and_the_chance_are_told_where_they_are_known():
    """Best, likely and worst of each; a chance near even where likely just fits evenly."""
    found = stretch(LIDS, 30)[0].stretch
    assert found.minutes == 30
    assert found.worst_minutes == 60
    assert 0 < found.chance < 0.5


def test_the_chance_is_that_of_the_textbook():
    """Three tasks of mean 6, 8 and 8 and variance 1, 1 and 4 within 24: z = 0.816, so 0.793."""
    spread = [Minutes(3, 6, 9), Minutes(5, 8, 11), Minutes(2, 8, 14)]
    # Standard normal tables: Φ(0.82) = 0.7939; mean 22, variance 6, z = 2 / 2.449.
    assert chance_of(spread, 24) == pytest.approx(0.793, abs=5e-4)
    assert chance_of([Minutes(5, 5, 5)], 5) == 1.0
    assert chance_of([Minutes(5, 5, 5)], 4) == 0.0


def test_a_change_of_standing_is_not_made_for_nothing():
    """Coming back costs as well: the work that stands where it is comes first."""
    v = vehicle(
        "a - frame; 30 min; in wheels",
        "b - frame; 35 min; in stands",
        "c - frame; 30 min; in wheels",
        *(Part(each, each, "here", minutes=likely(10)) for each in "abc"),
        standing("wheels", "frame", stands=20.0),
        standing("stands", "frame", wheels=20.0),
        datum="frame",
    )
    found, _ = stretch(v, 80, standing="wheels")
    assert {"joint:a-frame", "joint:c-frame"} <= set(done(found))


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
    """The parts that joints lead to what supports bear on."""
    record = v.standings.get(where)
    ground = {s.bears_on for s in record.supports if not s.beside} if record else set()
    graph = nx.Graph()
    graph.add_nodes_from(p for p in v.parts if p not in off and p not in state.parts_off)
    jointed = {p for j in v.joints.values() for p in j.parts}
    ground &= jointed
    if not ground:
        return None
    for joint in v.joints:
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
            if not best + 1e-9 < work <= minutes or not closed_and_safe(case, plan, steps):
                continue
            order = [*steps, *left(plan, steps)]
            own = written(v, lines_of(steps), state=state, start=plan.start)
            if work + own.setup_minutes > minutes + 1e-9 or makes_harder(v, plan, order):
                continue
            if faults(v, state, case.goal, plan, steps, whole=True):
                continue
            whole = written(v, lines_of(order), state=state, settings=FREE, start=plan.start)
            back = max(0.0, whole.setup_minutes - changes.setup_minutes)
            best = max(best, work - back)
    return best


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


# -- on generated vehicles ------------------------------------------------------------------------


@given(
    st.integers(8, 30), st.integers(0, 99), st.sampled_from((30, 60, 120)), st.sampled_from((1, 0))
)
def test_on_generated_vehicles_every_stretch_of_a_strip_is_valid(
    parts: int, seed: int, minutes: float, people: int
):
    """In the middle of a strip, too; alone, nothing wants two."""
    v = generate(parts, seed=seed)
    goal = max(v.goals.values(), key=lambda each: (each.off_rest, len(each.off)))
    state = state_of(v)
    plan = plan_strip(v, state, goal)
    found = best_stretch(v, state, plan, minutes, people=people or None)
    for each in (found.stretch, found.smallest):
        if each is not None:
            assert faults(v, state, goal, plan, each.steps, whole=True) == []
            assert not people or each.people == 1
    if found.stretch:
        assert found.stretch.minutes <= minutes + 1e-6
        assert found.stretch.minutes == pytest.approx(
            found.stretch.work_minutes
            + found.stretch.setup_minutes
            + sum(each.minutes for each in found.stretch.close)
        )


@given(st.integers(6, 16), st.integers(0, 40), st.sampled_from((30, 60, 120, 240)))
def test_on_generated_vehicles_every_stretch_of_a_rebuild_is_valid(
    parts: int, seed: int, minutes: float
):
    """First the stretch and then the rest is a rebuild too; what is made in it is tightened."""
    v = generate(parts, seed=seed)
    goal = max(v.goals.values(), key=lambda each: (each.off_rest, len(each.off)))
    strip = plan_strip(v, state_of(v), goal)
    off = [step.what[5:] for step in strip.steps if step.what.startswith("part:")]
    undone = [step.what[6:] for step in strip.steps if step.action is Action.UNDO]
    for step in strip.steps:
        if step.what.startswith("assembly:"):
            off += v.assemblies[step.what[9:]].parts
    state = state_of(v, off=off, undone=undone, order=[step.what for step in strip.steps])
    plan = plan_rebuild(v, state)
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
