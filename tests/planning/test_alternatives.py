"""Alternatives to a strip: right plans that really differ in something a person cares about."""

from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import event, given

from putback.errors import ImpossibleGoal
from putback.planning.again.differ import Aspect, differences, figures
from putback.planning.alternatives import MOST, WORST, Alternative, plan_alternatives
from putback.planning.check import check_strip
from putback.planning.plan import Action, PlanSettings
from putback.planning.strip import plan_strip
from putback.vehicle.assembly import Assembly
from putback.vehicle.generate import generate
from putback.vehicle.part import Part
from putback.vehicle.standing import Zone
from tests.makers import vehicle
from tests.planning.hand_made import likely, state_of, table
from tests.strategies.planning import cases

SETTINGS = PlanSettings(zone_minutes=3.0, tool_minutes=1.0)


def alternatives(v, state=None, goal=None) -> tuple[object, tuple[Alternative, ...]]:
    """The usual plan and its alternatives, all held against the rules."""
    goal = goal or next(iter(v.goals.values()))
    now = state or state_of(v)
    usual = plan_strip(v, now, goal, SETTINGS)
    found = plan_alternatives(v, now, goal, SETTINGS)
    assert len(found) <= MOST
    for each in found:
        assert check_strip(v, now, goal, each.plan, SETTINGS) == ()
    return usual, found


def portrait(plan) -> tuple:
    """A plan as somebody cares about it, counted in the plainest way."""
    whats = frozenset(s.what for s in plan.steps if not s.what.startswith("joint:"))
    changes, moments, standing, helped = 0, 0, plan.start, False
    elapsed, ends, by_zone = 0.0, {}, Counter()
    alone, walks, zone = 0.0, 0, ""
    for step in plan.steps:
        if step.standing is not None and standing is not None:
            changes += step.standing != standing
        standing = step.standing or standing
        moments += step.crew > 1 and not helped
        helped = step.crew > 1
        elapsed += step.minutes + step.setup_minutes
        if not moments:
            alone = elapsed
        if step.zone:
            walks += zone not in ("", step.zone)
            zone = step.zone
            ends[step.zone] = elapsed
            by_zone[step.zone] += step.minutes
    people = max((step.crew for step in plan.steps), default=0)
    helpers = sum(step.minutes for step in plan.steps if step.crew > 1)
    work = sum(step.minutes for step in plan.steps)
    setup = sum(step.setup_minutes for step in plan.steps)
    return whats, changes, moments, people, helpers, work, setup, ends, alone, walks


def really_differ(one, other) -> bool:
    """Whether two plans differ in anything of this by more than a little."""
    a, b = portrait(one), portrait(other)
    if a[:4] != b[:4]:
        return True
    if any(abs(x - y) >= 10 for x, y in zip(a[4:7], b[4:7], strict=True)):
        return True
    total = a[5] + a[6]
    if b[8] - a[8] >= max(10, 0.15 * total) or abs(a[9] - b[9]) >= 3:
        return True
    return any(a[7][zone] - b[7].get(zone, 0.0) >= max(10, 0.15 * total) for zone in a[7])


@given(cases())
def test_every_alternative_is_right_and_differs_from_the_usual_plan_and_the_others(case):
    """Counted anew from the plans; each gains something over the usual plan and those before."""
    try:
        usual, found = alternatives(case.vehicle, case.state, case.goal)
    except ImpossibleGoal:
        return
    event(f"{len(found)} alternatives")
    for at, each in enumerate(found):
        assert really_differ(usual, each.plan)
        assert all(really_differ(other.plan, each.plan) for other in found[:at])
        assert each.differences
        more = each.plan.total_minutes - usual.total_minutes
        assert each.minutes_more == pytest.approx(more)
        assert each.gains
        assert each.plan.total_minutes <= WORST * usual.total_minutes + 1e-6
        for other in found[:at]:
            told = differences(case.vehicle, other.plan, each.plan)
            assert any(one.is_gain for one in told)
        assert len(each.plan.steps) == len(set(each.plan.steps))


@pytest.mark.slow
@pytest.mark.parametrize(
    "seed", [0, *(pytest.param(seed, marks=pytest.mark.soak) for seed in (1, 2))]
)
def test_a_generated_vehicle_has_alternatives_that_differ(seed):
    """On a vehicle of some size there is always something to choose."""
    v = generate(40, seed=seed)
    goal = max(v.goals.values(), key=lambda each: (each.off_rest, len(each.off)))
    usual, found = alternatives(v, goal=goal)
    assert found
    for at, each in enumerate(found):
        assert really_differ(usual, each.plan)
        assert all(really_differ(other.plan, each.plan) for other in found[:at])


# -- one aspect at a time -----------------------------------------------------------------------


def test_a_whole_is_offered_in_pieces():
    """It comes out as one as that is quicker; in pieces it needs no helper, and is told so."""
    v = vehicle(
        "engine - frame; 10 min",
        "engine - gearbox; 45 min",
        "gearbox - frame; 10 min",
        Assembly("unit", "engine and gearbox", ("engine", "gearbox"), likely(20), crew=2),
        datum="frame",
    )
    usual, found = alternatives(v)
    assert "assembly:unit" in {step.what for step in usual.steps}
    (other,) = (each for each in found if each.aspect is Aspect.WHOLE)
    assert "assembly:unit" not in {step.what for step in other.plan.steps}
    assert other.words == (
        "engine and gearbox in pieces, on the vehicle, so one person can do it; "
        "one person can do all of it; 15 min more"
    )
    assert [each.aspect for each in other.gains] == [Aspect.WHOLE, Aspect.HELPERS]


def test_another_cover_is_offered_instead():
    """Either lid or flap gives room: the flap costs more, and is offered for what it is."""
    v = vehicle(
        "lid - frame; 10 min",
        "flap - frame; 12 min",
        "pump - frame; 10 min",
        "lid or flap blocks pump - frame",
        datum="frame",
    )
    goal = replace(next(iter(v.goals.values())), off_rest=False, off=("pump",))
    usual, found = alternatives(v, goal=goal)
    assert "part:lid" in {step.what for step in usual.steps}
    (other,) = found
    assert (other.aspect, other.words) == (
        Aspect.WAY,
        "lid stays untouched; but flap as well; 2 min more",
    )


def test_one_end_first_is_offered():
    """Front and rear wait for each other twice: whichever end is wanted first costs walks."""
    v = replace(
        vehicle(
            *(f"f{n} - frame; zone front; 30 min" for n in range(4)),
            *(f"r{n} - frame; zone rear; 30 min" for n in range(4)),
            *(Part(f"f{n}", f"f{n}", "front") for n in range(4)),
            *(Part(f"r{n}", f"r{n}", "rear") for n in range(4)),
            datum="frame",
        ),
        zones=table(Zone("front", "Front end"), Zone("rear", "Rear end"), Zone("here", "here")),
    )
    usual, found = alternatives(v)
    first = usual.steps[0].zone
    (other,) = (each for each in found if each.aspect is Aspect.ZONES)
    assert other.plan.steps[0].zone != first
    name = "Rear end" if first == "front" else "Front end"
    assert other.words.startswith(f"{name} finished after ")


def test_where_there_is_nothing_to_choose_nothing_is_offered():
    """One bolt after another, all in one place."""
    v = vehicle("a - frame", "b - a", datum="frame")
    assert alternatives(v)[1] == ()
    assert plan_alternatives(v, state_of(v, off=["a", "b"]), next(iter(v.goals.values()))) == ()


def test_the_same_steps_in_nearly_the_same_order_do_not_differ():
    """Two neighbours that change places are no choice that anybody wants to make."""
    v = vehicle("a - frame", "b - frame", datum="frame")
    (goal,) = v.goals.values()
    plan = plan_strip(v, state_of(v), goal, SETTINGS)
    other = replace(plan, steps=(plan.steps[1], plan.steps[0], *plan.steps[2:]))
    assert differences(v, plan, other) == ()
    assert differences(v, plan, plan) == ()


def test_figures_count_what_people_compare():
    """Two changes of standing, two moments with helpers, the most people at once."""
    v = vehicle("a - frame", "b - frame", "c - frame", datum="frame")
    (goal,) = v.goals.values()
    plan = plan_strip(v, state_of(v), goal, SETTINGS)
    crews = (1, 2, 3, 1, 2, 1)
    standings = ("low", "low", "high", "high", "low", "low")
    steps = tuple(
        replace(step, crew=crew, standing=standing, minutes=10.0, setup_minutes=1.0)
        for step, crew, standing in zip(plan.steps, crews, standings, strict=True)
    )
    zones = ("a", "b", None, "b", "a", "a")
    steps = tuple(replace(s, zone=zone) for s, zone in zip(steps, zones, strict=True))
    counted = figures(replace(plan, steps=steps, start="low"))
    assert (counted.alone_minutes, counted.walks) == (11, 2)
    assert (counted.standing_changes, counted.moments, counted.most_people) == (2, 2, 3)
    assert (counted.helper_minutes, counted.work_minutes, counted.setup_minutes) == (30, 60, 6)
    assert {step.action for step in steps} == {Action.UNDO, Action.TAKE_OFF}


def test_without_minutes_on_record_the_cost_is_told_in_steps():
    """Nobody wrote down how long anything takes: no minute is invented."""
    v = vehicle(
        "lid - frame; 0 min",
        "flap - frame; 0 min",
        "pump - frame; 0 min",
        "lid or flap blocks pump - frame",
        datum="frame",
    )
    goal = replace(next(iter(v.goals.values())), off_rest=False, off=("pump",))
    _, (other,) = alternatives(v, goal=goal)
    assert other.words.endswith(" as well; as many steps, no minutes on record")
    assert " min;" not in other.words


def test_a_whole_in_pieces_is_no_gain_where_a_piece_is_too_heavy_for_one():
    """The engine weighs 150 kg: in pieces it wants two people as well, and that is not hidden."""
    v = vehicle(
        "engine - frame; 10 min",
        "engine - gearbox; 45 min",
        "gearbox - frame; 10 min",
        Part("engine", "engine", "here", mass_kg=150.0),
        Assembly("unit", "engine and gearbox", ("engine", "gearbox"), likely(20), crew=2),
        datum="frame",
    )
    _, found = alternatives(v)
    words = " ".join(each.words for each in found)
    assert "one person can do" not in words


def test_what_one_person_can_do_first_is_offered():
    """The lifts are spread over the front; all that one person can do may come before them."""
    v = vehicle(
        *(f"f{n} - frame; zone front; 30 min" for n in range(3)),
        *(f"r{n} - frame; zone rear; 30 min" for n in range(3)),
        "cover - f0; zone front; 2 min",
        Part("f0", "f0", "front", crew=2),
        "f0 blocks f1 - frame",
        "f1 blocks r1 - frame",
        datum="frame",
    )
    usual, found = alternatives(v)
    (other,) = (each for each in found if Aspect.ALONE in {one.aspect for one in each.gains})
    helped = [n for n, step in enumerate(other.plan.steps) if step.crew > 1]
    alone = sum(step.minutes + step.setup_minutes for step in other.plan.steps[: helped[0]])
    assert alone > figures(usual).alone_minutes
    assert "no helpers wanted for the first " in other.words
    untimed = [
        replace(
            plan, steps=tuple(replace(step, minutes=0.0, setup_minutes=9.0) for step in plan.steps)
        )
        for plan in (usual, other.plan)
    ]
    assert Aspect.ALONE not in {each.aspect for each in differences(v, *untimed)}


def test_lighter_pieces_are_a_gain_that_is_told_in_kilograms():
    """As one it weighs 160 kg, in pieces 100 at the most. Of unknown masses nothing is told."""

    def car(*masses):
        return vehicle(
            "engine - frame; 10 min",
            "engine - gearbox; 45 min",
            "gearbox - frame; 10 min",
            Part("engine", "engine", "here", mass_kg=masses[0], crew=2),
            Part("gearbox", "gearbox", "here", mass_kg=masses[1], crew=2),
            Assembly("unit", "engine and gearbox", ("engine", "gearbox"), likely(20), crew=2),
            datum="frame",
        )

    _, (other,) = alternatives(car(100.0, 60.0))
    assert other.words.startswith(
        "engine and gearbox in pieces, on the vehicle, 100 kg to lift at the most, not 160; "
    )
    for masses in ((100.0, None), (100.0, 9.0)):
        assert not any("kg" in each.words for each in alternatives(car(*masses))[1])


def test_fewer_walks_are_a_gain_and_more_are_not():
    """Three walks to another zone fewer are told; two are within what nobody notices."""
    v = vehicle(*(f"a{n} - frame; 5 min" for n in range(4)), datum="frame")
    (goal,) = v.goals.values()
    plan = plan_strip(v, state_of(v), goal, SETTINGS)

    def walked(zones: str):
        steps = zip(plan.steps, zones, strict=True)
        return replace(plan, steps=tuple(replace(step, zone=zone) for step, zone in steps))

    to_and_fro, once, thrice = walked("abababab"), walked("aaaabbbb"), walked("aababbbb")
    assert "6 walks to another zone fewer" in {d.words for d in differences(v, to_and_fro, once)}
    assert not any(d.is_gain for d in differences(v, once, to_and_fro) if d.aspect is Aspect.WALKS)
    assert not any(d.aspect is Aspect.WALKS for d in differences(v, thrice, once))
