"""How many people a lift wants, alone or as a whole, coming off or going on."""

from dataclasses import replace

import pytest

from putback.planning.ahead import look_ahead
from putback.planning.ahead.line import Sort
from putback.planning.check import check_rebuild, check_strip
from putback.planning.check.lifts import Lifts
from putback.planning.crew import Crews, people_for
from putback.planning.drops import what_drops
from putback.planning.plan import Action, Plan, Step
from putback.planning.stretch.best import best_stretch
from putback.vehicle.assembly import Assembly
from putback.vehicle.job import Job, JobKind
from putback.vehicle.part import Part, PartKind
from putback.vehicle.standing import TemporarySupport
from tests.makers import standing, vehicle
from tests.planning.hand_made import USUAL, likely, state_of
from tests.planning.rebuilding import apart, plan_of
from tests.planning.stripping import planned

UNIT = Assembly("unit", "engine and gearbox", ("engine", "gearbox"))
CAR = vehicle(
    "engine - frame",
    "engine - gearbox",
    "hood - frame",
    Part("engine", "engine", "here", mass_kg=120.0),
    Part("gearbox", "gearbox", "here", mass_kg=15.0),
    Part("seats", "seats", "here", mass_kg=40.0, quantity=2),
    UNIT,
    Job("look", "look at it", kind=JobKind.SECOND_CHECK),
    datum="frame",
)


def people(action: Action, what: str, *off: str, of=CAR, crew: int = 1) -> int:
    """How many one step wants, by the planner; the checker counts as many."""
    kind, _, name = what.partition(":")
    if action not in (Action.TAKE_OFF, Action.PUT_ON):
        return people_for(of, Step(action, what, crew=crew))
    record = of.assemblies.get(name) if kind == "assembly" else of.parts.get(name)
    goes_on = action is Action.PUT_ON
    parts = record.parts if kind == "assembly" else (name,)
    lifted = [part for part in parts if (part in off) == goes_on] or parts
    hoist = record.hoist if record else ""
    counted = Crews(of).of(crew, lifted, hoist)
    assert Lifts(of).crew(crew, lifted, hoist) == counted
    assert bool(Crews(of).why(crew, lifted, hoist)) == (
        counted > crew or Crews(of).is_no_lift(counted, lifted, hoist)
    )
    return counted


@pytest.mark.parametrize("action", [Action.TAKE_OFF, Action.PUT_ON])
def test_a_heavy_whole_wants_two(action):
    """135 kg in one lift: two at least, though nobody said so; more if somebody did."""
    assert people(action, "assembly:unit") == 2
    assert people(action, "assembly:unit", crew=4) == 4


@pytest.mark.parametrize(
    ("crew", "told"),
    [
        (1, "no lift for two: 135 kg, and two lift 31 kg: jack or hoist"),
        (2, "no lift for two: 135 kg, and two lift 31 kg: jack or hoist"),
        (3, "no lift for three: 135 kg, and three lift 34 kg: jack or hoist"),
        (4, ""),
    ],
)
def test_those_who_were_described_are_told_that_they_do_not_lift_it(crew, told):
    """However many were described, as far as there is a figure; two thirds and half of the sum."""
    assert Crews(CAR).why(crew, ("engine", "gearbox")) == told
    assert Crews(CAR).why(crew, ("engine", "gearbox"), "crane") == ""


def test_light_parts_can_make_a_heavy_whole():
    """Two of 15 kg are lifted by one person each, and as one by two."""
    light = replace(CAR.parts["engine"], mass_kg=15.0)
    of = CAR.with_records(parts={**CAR.parts, light.id: light})
    assert people(Action.TAKE_OFF, "part:engine", of=of) == 1
    assert people(Action.TAKE_OFF, "assembly:unit", of=of) == 2


def test_a_hoist_lifts_a_whole():
    """What hangs on the crane is no lift by hand."""
    of = CAR.with_records(assemblies={"unit": replace(UNIT, hoist="crane")})
    assert people(Action.TAKE_OFF, "assembly:unit", of=of) == 1


def test_of_a_whole_only_what_moves_is_lifted():
    """The engine is off: what comes off is the gearbox, what goes on the engine, and so turned."""
    assert people(Action.TAKE_OFF, "assembly:unit", "engine") == 1
    assert people(Action.PUT_ON, "assembly:unit", "engine") == 2
    assert people(Action.TAKE_OFF, "assembly:unit", "gearbox") == 2
    assert people(Action.PUT_ON, "assembly:unit", "gearbox") == 1


def test_of_a_set_one_piece_is_lifted_at_a_time():
    """A pair of seats of 40 kg together."""
    assert people(Action.TAKE_OFF, "part:seats") == 1


def test_a_second_look_wants_two_and_a_spanner_one():
    """Masses matter to lifts alone; unknown parts weigh nothing that anybody knows."""
    assert people(Action.DO, "job:look") == people(Action.CHECK, "joint:engine-frame") == 2
    assert people(Action.UNDO, "joint:engine-frame") == 1
    assert people(Action.CRACK, "assembly:unit") == 1
    assert people(Action.TAKE_OFF, "part:nobody-knows") == 1


def test_a_stretch_and_what_is_asked_ahead_know_the_whole():
    """One person has no stretch with the unit in it, and people are asked for."""
    plan = Plan(None, (Step(Action.TAKE_OFF, "assembly:unit", minutes=5.0, crew=2),), 5.0, 0.0)
    state = state_of(CAR, undone=("engine-frame",))
    alone = best_stretch(CAR, state, plan, 60.0, people=1)
    assert (alone.stretch, alone.out_of_reach) == (None, 1)
    assert [line.people for line in look_ahead(CAR, state, plan).of(Sort.ASK)] == [2]


UNSURE = "nobody knows {} mass: that {} it is a guess"
UNWEIGHED = vehicle(
    "engine - frame",
    "engine - gearbox",
    "pipe - frame",
    Part("engine", "engine", "here"),
    Part("gearbox", "gearbox", "here", mass_kg=15.0),
    Part("pipe", "pipe", "here", kind=PartKind.PIPE),
    datum="frame",
)


@pytest.mark.parametrize(
    ("parts", "crew", "hoist", "said"),
    [
        (("engine",), 1, "", UNSURE.format("its", "one person lifts")),
        (("engine", "gearbox"), 1, "", UNSURE.format("all of its", "one person lifts")),
        (("engine",), 2, "", ""),
        (("engine",), 1, "beam", ""),
        (("gearbox",), 1, "", ""),
        (("pipe",), 1, "", ""),
    ],
)
def test_how_many_lift_what_nobody_weighed_is_a_guess(parts, crew, hoist, said):
    """Not with gear, nor where somebody described how many; a pipe is no lift."""
    assert Crews(UNWEIGHED).unsure(crew, parts, hoist) == said


def test_two_for_what_is_known_to_be_heavy_are_a_guess_with_more_on_it():
    """40 kg and an engine that nobody weighed: both are said."""
    box = replace(UNWEIGHED.parts["gearbox"], mass_kg=40.0)
    crews = Crews(UNWEIGHED.with_records(parts={**UNWEIGHED.parts, "gearbox": box}))
    assert crews.why(1, ("engine", "gearbox")).startswith("no lift for two: 4")
    assert crews.unsure(1, ("engine", "gearbox")) == UNSURE.format("all of its", "two people lift")


@pytest.mark.parametrize("action", [Action.TAKE_OFF, Action.PUT_ON])
def test_a_step_says_that_its_crew_is_a_guess(action):
    """Once, in a strip and in a rebuild, and of nothing else in it."""
    goes_on = action is Action.PUT_ON
    torn = apart(UNWEIGHED, "engine-frame", "engine-gearbox", "engine", "gearbox")
    plan = plan_of(UNWEIGHED, torn) if goes_on else planned(UNWEIGHED)
    told = {s.what: s.cautions for s in plan.steps if s.action is action}
    assert told["part:engine"].count(UNSURE.format("its", "one person lifts")) == 1
    assert not any("nobody knows" in each for each in told["part:gearbox"])


@pytest.mark.parametrize("action", [Action.TAKE_OFF, Action.PUT_ON])
def test_where_nobody_described_any_mass_the_first_lift_says_so_for_all(action):
    """The same behind every step would hide what else is to be heeded."""
    bare = {each: replace(part, mass_kg=None) for each, part in UNWEIGHED.parts.items()}
    car = UNWEIGHED.with_records(parts=bare)
    torn = apart(car, "engine-frame", "engine-gearbox", "engine", "gearbox")
    plan = plan_of(car, torn) if action is Action.PUT_ON else planned(car)
    first, *others = [step for step in plan.steps if step.action is action]
    assert first.cautions[-1].startswith("nobody knows any mass: how many lift is a guess")
    assert len(others) == 1 + (action is Action.TAKE_OFF)
    assert not any("nobody knows" in each for step in others for each in step.cautions)


# -- in a plan --------------------------------------------------------------------------------

HEAVY = vehicle(
    "box - frame: 1 clip",
    "lid - frame: 1 clip",
    Part("box", "box", "here", mass_kg=30.0, minutes=likely(5)),
    Part("lid", "lid", "here", mass_kg=30.0, minutes=likely(5)),
    datum="frame",
)


def test_a_strip_counts_two_for_what_one_cannot_lift_and_gathers_it():
    """Box and lid come off in one moment: the helper is called once, and it says why."""
    plan = planned(HEAVY)
    lifts = [step for step in plan.steps if step.action is Action.TAKE_OFF]
    assert [step.crew for step in lifts] == [2, 2]
    assert "two lift it: 30 kg, and one person lifts 23 kg" in lifts[0].cautions
    assert plan.setup_minutes == USUAL.helper_minutes
    light = HEAVY.with_records(
        parts={each: replace(p, mass_kg=9.0) for each, p in HEAVY.parts.items()}
    )
    assert planned(light).setup_minutes == 0.0


def test_who_holds_what_a_joint_lets_go_has_to_be_there():
    """The clip of the box lets 30 kg go: people are asked for, and one has no stretch.

    The cost stays that of who works on it: the foreman finds nothing.
    """
    plan = planned(HEAVY)
    step = next(each for each in plan.steps if each.what == "joint:box-frame")
    assert step.prop_first == "two people hold the box (30 kg): nothing else holds it"
    assert (step.crew, step.people, people_for(HEAVY, step)) == (1, 2, 2)
    drop = what_drops(HEAVY, state_of(HEAVY), "box-frame")
    assert drop.people == step.people
    asked = look_ahead(HEAVY, state_of(HEAVY), plan).of(Sort.ASK)
    assert "joint:box-frame" in [what for line in asked for what in line.steps]
    alone = best_stretch(HEAVY, state_of(HEAVY), plan, 60.0, people=1)
    assert (alone.stretch, alone.out_of_reach) == (None, 4)
    assert best_stretch(HEAVY, state_of(HEAVY), plan, 60.0, people=2).stretch.people == 2


def test_one_alone_undoes_no_more_than_he_can_hold():
    """The first of two clips lets nothing go: that much he gets done."""
    of = vehicle(
        "box - frame: 1 clip; 5 min",
        "box - wall: 1 clip; 5 min",
        "wall - frame: 2 bolts",
        Part("box", "box", "here", mass_kg=30.0),
        datum="frame",
    )
    state = state_of(of)
    plan = planned(of, replace(next(iter(of.goals.values())), off=("box",), off_rest=False))
    undone = [step for step in plan.steps if step.action is Action.UNDO]
    assert [step.people for step in undone] == [1, 2]
    alone = best_stretch(of, state, plan, 60.0, people=1)
    assert [step.what for step in alone.stretch.steps] == [undone[0].what]


def test_who_holds_up_what_a_rebuild_begins_with_in_the_air_has_to_be_there():
    """The box was put back, and nothing holds it: two hold it up from the first step on."""
    of = HEAVY.with_records(standings={"stands": standing("stands", "frame")})
    state = apart(of, "lid-frame", "lid", "box-frame", standing="stands")
    first = plan_of(of, state).steps[0]
    assert first.prop_first.startswith("two people hold up the box (30 kg)")
    assert first.people == 2


@pytest.mark.parametrize("action", [Action.TAKE_OFF, Action.PUT_ON])
def test_two_are_not_told_to_lift_what_two_do_not_lift(action):
    """Two lift two thirds of the sum (HSE, L23), 30.7 kg: as the open items have it, too."""
    box = replace(HEAVY.parts["box"], mass_kg=45.0)
    of = HEAVY.with_records(parts={**HEAVY.parts, "box": box})
    torn = apart(of, "lid-frame", "lid", "box-frame", "box")
    plan = plan_of(of, torn) if action is Action.PUT_ON else planned(of)
    step = next(s for s in plan.steps if s.what == "part:box" and s.action is action)
    assert step.cautions == ("no lift for two: 45 kg, and two lift 31 kg: jack or hoist",)


def test_a_rebuild_counts_them_too():
    """As they came off, so they go on; a plan that says one is told."""
    state = apart(HEAVY, "lid-frame", "lid", "box-frame", "box")
    plan = plan_of(HEAVY, state)
    step = next(each for each in plan.steps if each.what == "part:box")
    assert step.crew == 2
    assert "two lift it: 30 kg, and one person lifts 23 kg" in step.cautions
    wrong = [replace(each, crew=1) if each is step else each for each in plan.steps]
    faults = check_rebuild(HEAVY, state, replace(plan, steps=tuple(wrong)))
    assert "it wants a crew of 2, not 1" in [fault.words for fault in faults]


def test_a_strip_that_says_one_is_told():
    """The foreman weighs for himself."""
    plan = planned(HEAVY)
    wrong = replace(plan, steps=tuple(replace(step, crew=1) for step in plan.steps))
    faults = check_strip(HEAVY, state_of(HEAVY), next(iter(HEAVY.goals.values())), wrong)
    assert "it wants a crew of 2, not 1" in [fault.words for fault in faults]


def test_a_guess_counts_where_it_says_something():
    """Three panels of 30 kg make a fourth one heavy; of an engine nobody knows anything."""
    panels = [Part(n, n, "here", kind=PartKind.PANEL, mass_kg=30.0) for n in ("a", "b", "c")]
    of = vehicle(
        *panels,
        Part("d", "d", "here", kind=PartKind.PANEL),
        Part("e", "e", "here", kind=PartKind.MACHINE),
        datum="a",
    )
    assert people(Action.TAKE_OFF, "part:d", of=of) == 2
    assert people(Action.TAKE_OFF, "part:e", of=of) == 1


def test_what_hangs_on_a_jack_is_no_lift_by_hand():
    """A temporary support bears on the engine while it comes out."""
    jack = TemporarySupport("x", "jack", "engine", "joint:engine-frame", "part:engine")
    of = CAR.with_records(temporary_supports={"x": jack})
    assert people(Action.TAKE_OFF, "part:engine", of=of) == 1
