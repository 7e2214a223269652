"""The strip plan on small vehicles made by hand, one rule at a time, and on generated ones."""

import subprocess
import sys
from dataclasses import replace

import networkx as nx
import pytest
from hypothesis import given

from putback.errors import ImpossibleGoal, Stopped
from putback.planning.check import check_strip
from putback.planning.plan import Action, Because, PlanSettings
from putback.planning.strip import plan_strip
from putback.progress import Stoppable
from putback.vehicle.assembly import Assembly
from putback.vehicle.facts import Phase
from putback.vehicle.generate import generate
from putback.vehicle.goal import Goal
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import Does, WhenUndone
from putback.vehicle.minutes import Minutes
from putback.vehicle.standing import Support, TemporarySupport
from tests.makers import standing, vehicle
from tests.planning.hand_made import likely, state_of
from tests.strategies.planning import Case, cases

SETTINGS = PlanSettings()


def planned(v, goal=None, settings=SETTINGS, **state):
    """A plan, held against the rules."""
    goal = goal or next(iter(v.goals.values()))
    now = state_of(v, **state)
    plan = plan_strip(v, now, goal, settings)
    assert check_strip(v, now, goal, plan, settings) == ()
    assert plan.bound_minutes <= plan.total_minutes + 1e-9
    return plan


def lines(plan) -> list[str]:
    """The steps as text."""
    at = [f" @ {step.standing}" if step.standing else "" for step in plan.steps]
    return [f"{s.action} {s.what}{where}" for s, where in zip(plan.steps, at, strict=True)]


def place(plan, what: str, action: Action | None = None) -> int:
    """Where in the plan a thing is done."""
    return next(
        n for n, s in enumerate(plan.steps) if s.what == what and action in (None, s.action)
    )


def refusal(v, goal=None, **state) -> ImpossibleGoal:
    """What the planner says to an impossible goal."""
    with pytest.raises(ImpossibleGoal) as refused:
        plan_strip(v, state_of(v, **state), goal or next(iter(v.goals.values())))
    return refused.value


# -- what comes first ---------------------------------------------------------------------------


def test_a_part_comes_off_after_its_joints_and_what_is_in_the_way():
    """The lid is in the way of the pump's joint, so it goes first, and the steps say so."""
    v = vehicle("lid - frame", "pump - frame", "lid blocks pump - frame: over it", datum="frame")
    plan = planned(v)
    assert lines(plan) == [
        "undo joint:lid-frame",
        "take off part:lid",
        "undo joint:pump-frame",
        "take off part:pump",
    ]
    (reason,) = plan.steps[2].reasons
    assert (reason.because, reason.first, reason.fact) == (Because.IN_THE_WAY, "part:lid", "o1")
    assert reason.words == "lid in the way: over it"
    assert {each.because for each in plan.steps[3].reasons} == {Because.GOAL, Because.HOLDS}


def test_nothing_is_planned_that_the_goal_does_not_need():
    """Only the pump is asked for, so the lid stays on."""
    v = vehicle("lid - frame", "pump - frame")
    plan = planned(v, Goal("g", "pump off", "frame", off=("pump",)))
    assert {step.what for step in plan.steps} == {"joint:pump-frame", "part:pump"}


def test_what_is_done_already_is_not_planned_again():
    """A joint undone and a part off, logged without its joints, count as done."""
    v = vehicle("lid - frame", "pump - frame", "hose - pump - frame", datum="frame")
    plan = planned(v, off=["lid"], undone=["pump-frame"])
    assert [step.what for step in plan.steps] == [
        "joint:hose-pump-frame",
        "part:pump",
        "part:hose",
    ]


def test_a_plan_for_what_is_reached_is_empty():
    """Nothing to do takes no steps, no time, and has a bound of nothing."""
    v = vehicle("lid - frame", datum="frame")
    plan = planned(v, off=["lid"], undone=["lid-frame"])
    assert (plan.steps, plan.total_minutes, plan.bound_minutes) == ((), 0, 0)


def test_the_cheaper_of_two_ways_is_taken():
    """One of two covers suffices to reach the pump: the one that is less work comes off."""
    v = vehicle(
        "lid - frame: 1 clip; 30 min",
        "door - frame: 1 clip; 4 min",
        "pump - frame",
        "lid or door blocks pump",
    )
    plan = planned(v, Goal("g", "pump off", "frame", off=("pump",)))
    assert "part:door" in {step.what for step in plan.steps}
    assert "part:lid" not in {step.what for step in plan.steps}


def test_a_part_that_nobody_described_a_joint_for_comes_off_freely():
    """A part of which only the name is known is simply taken off."""
    v = vehicle("lid - frame", datum="frame")
    box = replace(v.parts["lid"], id="box", name="box")
    plan = planned(v.with_records(parts={**v.parts, "box": box}))
    assert "take off part:box" in lines(plan)


def test_a_job_that_must_come_before_is_planned_with_its_reason():
    """Draining comes before the hose, for the reason that the fact gives."""
    drain = Job("drain", "drain it", JobKind.DRAIN, minutes=likely(10), cautions=("hot",))
    v = vehicle("hose - frame", drain, "drain before hose - frame: it drips", datum="frame")
    plan = planned(v)
    assert lines(plan)[0] == "do job:drain"
    assert plan.steps[0].cautions == ("hot",)
    assert plan.steps[1].reasons[0].words == "drain it comes first: it drips"


def test_jobs_that_the_goal_asks_for_are_planned():
    """A survey is done because the goal wants it."""
    survey = Job("survey", "survey", JobKind.SURVEY, minutes=likely(5))
    v = vehicle("lid - frame", survey)
    plan = planned(v, Goal("g", "surveyed", "frame", jobs=("survey",)))
    assert lines(plan) == ["do job:survey"]
    assert plan.steps[0].reasons[0].words == "“surveyed” asks for it"


# -- wholes -------------------------------------------------------------------------------------

UNIT = ("engine - frame: 2 bolt M8; 10 min", "gearbox - frame: 2 bolt M8; 10 min")
BELL = "engine - gearbox: 4 bolt M8; {} min"


@pytest.mark.parametrize(("bell_minutes", "whole_minutes", "as_one"), [(60, 20, 1), (2, 90, 0)])
def test_whole_or_piecewise_is_chosen_by_cost(bell_minutes, whole_minutes, as_one):
    """The unit comes out as one where parting it on the vehicle takes longer, else apart."""
    whole = Assembly("unit", "the unit", ("engine", "gearbox"), likely(whole_minutes), crew=2)
    v = vehicle(*UNIT, BELL.format(bell_minutes), whole, datum="frame")
    plan = planned(v)
    taken = {step.what for step in plan.steps}
    assert ("assembly:unit" in taken) == as_one
    assert ("joint:engine-gearbox" in taken) != as_one
    if as_one:
        step = plan.steps[place(plan, "assembly:unit")]
        asked = {r.first for r in step.reasons if r.because is Because.GOAL}
        assert (step.crew, asked) == (2, {"part:engine", "part:gearbox"})


def test_set_up_may_tip_the_balance_between_whole_and_piecewise():
    """Apart is less work, but wants another standing, which costs more than is saved."""
    whole = Assembly("unit", "the unit", ("engine", "gearbox"), likely(20))
    v = vehicle(
        *UNIT,
        "engine - gearbox: 4 bolt M8; 15 min; in stands",
        whole,
        standing("wheels", stands=30.0),
        standing("stands", wheels=30.0),
        datum="frame",
    )
    plan = planned(v, standing="wheels")
    assert "assembly:unit" in {step.what for step in plan.steps}
    assert plan.setup_minutes == 0


def test_what_is_left_of_a_whole_still_comes_out_as_one():
    """The starter is off already; engine and gearbox are lifted together."""
    whole = Assembly("unit", "the unit", ("starter", "engine", "gearbox"), likely(1))
    v = vehicle(*UNIT, BELL.format(60), "starter - engine", whole, datum="frame")
    plan = planned(v, off=["starter"], undone=["starter-engine"])
    assert lines(plan)[-1] == "take off assembly:unit"


# -- standings ----------------------------------------------------------------------------------

WHEELS = standing("wheels", "wheel", stands=30.0)
STANDS = standing("stands", "frame", wheels=30.0)


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


# -- set-up and harder after --------------------------------------------------------------------


def test_lifts_that_want_helpers_are_gathered_into_one_moment():
    """Three heavy parts whose joints one person undoes: the helpers are called once."""
    v = vehicle(*(f"p{n} - frame" for n in range(3)), datum="frame")
    heavy = {p: replace(part, crew=3) for p, part in v.parts.items() if p != "frame"}
    plan = planned(v.with_records(parts={**v.parts, **heavy}))
    assert plan.setup_minutes == SETTINGS.helper_minutes
    assert [step.crew for step in plan.steps] == [1, 1, 1, 3, 3, 3]


def test_a_zone_is_finished_before_it_is_left():
    """Six parts in two zones take one walk between them."""
    v = vehicle(
        *(f"p{n} - frame: 1 clip; zone {'left' if n % 2 else 'right'}" for n in range(6)),
        datum="frame",
    )
    zones = {"left": ("p1", "p3", "p5"), "right": ("p0", "p2", "p4")}
    parts = {
        p: replace(part, zone=next((z for z, ps in zones.items() if p in ps), "left"))
        for p, part in v.parts.items()
    }
    plan = planned(v.with_records(parts=parts))
    assert plan.setup_minutes == PlanSettings().zone_minutes
    assert plan.total_minutes == plan.bound_minutes


def test_what_gets_harder_is_done_first_and_says_so():
    """The rod takes three times as long once the lid is off, so it comes first."""
    v = vehicle("lid - frame", "rod - frame", "rod - frame harder after lid x 3", datum="frame")
    plan = planned(v)
    assert place(plan, "joint:rod-frame") < place(plan, "part:lid")
    reasons = plan.steps[place(plan, "part:lid")].reasons
    assert Because.HARDER_AFTER in {reason.because for reason in reasons}
    assert plan.work_minutes == 20.0


def test_what_gets_easier_waits_and_says_so():
    """The rod takes half as long once the lid is off, so it comes after."""
    v = vehicle("rod - frame", "lid - frame", "rod - frame harder after lid x 0.5", datum="frame")
    plan = planned(v)
    assert place(plan, "part:lid") < place(plan, "joint:rod-frame")
    assert plan.steps[place(plan, "joint:rod-frame")].minutes == 5.0
    assert plan.bound_minutes == plan.total_minutes


def test_what_cannot_be_done_any_more_comes_before():
    """A factor of none is an order, even where the other way saves a walk."""
    v = vehicle("lid - frame", "rod - frame", "rod never after lid", datum="frame")
    plan = planned(v)
    assert place(plan, "part:rod") < place(plan, "part:lid")


def test_what_the_state_made_harder_costs_more():
    """The lid is off already, so the rod takes three times as long, and the bound knows it."""
    v = vehicle("lid - frame", "rod - frame", "rod - frame harder after lid x 3", datum="frame")
    plan = planned(v, off=["lid"])
    assert plan.work_minutes == plan.bound_minutes == 30.0


# -- goals in sequence --------------------------------------------------------------------------


def test_a_goal_on_the_way_is_reached_first():
    """The axle stays on until the body is off, though it could come off at once."""
    v = vehicle("body - frame", "axle - frame: 1 clip; 1 min")
    rolling = Goal("rolling", "rolling", "frame", off=("body",), on=("axle",))
    bare = Goal("bare", "bare", "frame", off=("body", "axle"), after="rolling")
    plan = planned(v.with_records(goals={"rolling": rolling, "bare": bare}), bare)
    assert [step.what for step in plan.steps][:2] == ["joint:body-frame", "part:body"]
    assert place(plan, "part:axle") == 3


def test_where_a_goal_on_the_way_cannot_be_reached_first_both_are_reached_together():
    """The axle would have to stay on meanwhile, and is in the body's way: it comes off first."""
    v = vehicle("body - frame", "axle - frame", "axle blocks body")
    rolling = Goal("rolling", "rolling", "frame", off=("body",), on=("axle",))
    bare = Goal("bare", "bare", "frame", off=("body", "axle"), after="rolling")
    plan = planned(v.with_records(goals={"rolling": rolling, "bare": bare}), bare)
    assert place(plan, "part:axle") < place(plan, "part:body")


# -- impossible goals ---------------------------------------------------------------------------


def test_a_kept_part_in_the_way_is_named():
    """The goal keeps the lid on, and the pump cannot pass it."""
    v = vehicle("lid - frame", "pump - frame", "lid blocks pump: no room")
    goal = Goal("g", "pump off", "frame", off=("pump",), on=("lid",))
    assert str(refusal(v, goal)) == (
        "the goal 'pump off' cannot be reached:\n"
        "  - pump is to be off\n"
        "  - lid in the way of pump: no room\n"
        "  - lid is to stay on; it could be, if pump could come off without lid off first "
        "(obstruction o1), or if lid need not stay on"
    )


def test_a_circle_is_named_fact_by_fact():
    """Each is in the way of the other: both facts are told, and what asks for one of the two."""
    v = vehicle(
        "lid - frame", "pump - frame", "lid blocks pump: a", "pump blocks lid: b", datum="frame"
    )
    *asked, one, other = refusal(v).reasons
    assert {one, other} == {"lid in the way of pump: a", "pump in the way of lid: b"}
    assert asked in (["lid is to be off"], ["pump is to be off"])


def test_a_job_that_is_too_late_is_named():
    """The state has done what makes the job impossible."""
    v = vehicle("lid - frame", "rod - frame", "rod never after lid", datum="frame")
    assert refusal(v, off=["lid"]).reasons == (
        "rod is to be off",
        "rod cannot be done any more after lid",
    )


def test_a_goal_that_contradicts_itself_is_refused():
    """Off and on at once cannot be."""
    v = vehicle("lid - frame")
    goal = Goal("g", "both", "frame", off=("lid",), on=("lid",))
    assert refusal(v, goal).reasons == ("lid is to be off", "lid is to stay on")


def test_two_that_may_each_not_follow_the_other_are_named():
    """Neither can be done after the other, and both are asked for."""
    v = vehicle("a - frame", "b - frame", "a never after b", "b never after a", datum="frame")
    words = "a cannot be done any more after b", "b cannot be done any more after a"
    assert {*words, "a is to be off", "b is to be off"} == set(refusal(v).reasons)


def test_standings_that_shut_each_other_out_are_named():
    """The axle wants the wheels under it and comes after the wheel: every order was tried."""
    v = vehicle(
        "wheel - frame: 1 clip; in stands",
        "axle - frame: 1 clip; in wheels",
        "wheel before axle - frame: so",
        WHEELS,
        STANDS,
        datum="frame",
    )
    reasons = refusal(v, standing="wheels").reasons
    assert set(reasons) == {
        "axle is to be off",
        "axle-frame holds axle and frame together",
        "axle-frame is done only “wheels”",
        "wheel comes before axle-frame: so",
        "“wheels” bears on wheel",
    }


def test_a_job_of_the_rebuild_cannot_be_waited_for():
    """A fact of the strip that asks for a job of the rebuild asks for too much."""
    job = Job("fill", "fill", JobKind.FILL, phase=Phase.REBUILD)
    v = vehicle("lid - frame", job, "fill before lid: so", datum="frame")
    assert refusal(v).reasons == ("lid is to be off", "fill comes before lid: so")


# -- as a whole ---------------------------------------------------------------------------------


@pytest.mark.parametrize(("parts", "seed"), [(12, 1), (40, 2), (90, 3)])
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


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_after_any_part_of_a_plan_the_rest_can_be_planned_again(seed):
    """Whenever somebody stops, what is left has a plan, and a bound below what was left."""
    v = generate(30, seed)
    goal = v.goals["all-off"]
    whole = planned(v, goal)
    for done in range(1, len(whole.steps), 9):
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
v = generate(40, 5)
plan = plan_strip(v, State("log", v), v.goals["all-off"])
print(hashlib.sha256(repr(plan).encode()).hexdigest())
"""


def test_the_same_problem_gives_the_same_plan_everywhere():
    """However Python orders its sets, every step, reason and number is the same."""
    told = {
        subprocess.run(
            [sys.executable, "-c", DIGEST],
            env={"PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("1", "2")
    }
    assert len(told) == 1


def test_nothing_heavy_is_loaded_before_something_is_searched():
    """Importing the planner loads neither OR-Tools nor numpy."""
    code = (
        "import sys, putback.planning.strip, putback.planning.reach;"
        "print([m for m in ('ortools', 'numpy', 'pandas', 'networkx') if m in sys.modules])"
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
