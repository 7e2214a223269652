"""The stretch for the time at hand, by hand: the most work, and an end that is closed and safe."""

from dataclasses import replace

import pytest

from putback.logbook.state import FluidState
from putback.planning.plan import Action, Plan
from putback.planning.stretch import best_stretch
from putback.planning.stretch.ending import Ending
from putback.planning.stretch.walk import Walk
from putback.vehicle.assembly import Assembly
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import Does, WhenUndone
from putback.vehicle.opening import Fluid, Opening
from putback.vehicle.part import Part, PartKind
from putback.vehicle.standing import TemporarySupport
from tests import makers
from tests.makers import standing
from tests.planning.hand_made import likely, said, state_of, written
from tests.planning.stretching import LIDS, USUAL, done, stretch, sure
from tests.workshop.lines import Lines


def vehicle(*described, **said):
    """A vehicle of which nobody doubts how long anything takes: so it is plain what fits."""
    return sure(makers.vehicle(*described, **said))


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
    found, _ = stretch(sure(LIDS), minutes)
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


def test_a_job_may_crack_a_joint_that_nobody_described():
    """It is done as any other."""
    v = vehicle(
        Job("loosen", "loosen", JobKind.CRACK, joints=("nobody knows",), minutes=likely(5)),
        "lid - frame; 30 min",
        datum="frame",
    )
    v = v.with_records(
        goals={each.id: replace(each, jobs=("loosen",)) for each in v.goals.values()}
    )
    assert done(stretch(v, 10)[0]) == ["job:loosen"]


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


def over_the_end(*more):
    """A frame on stands between 1 m and 2 m, and whatever stands out over them."""
    v = vehicle(
        *more,
        Part("frame", "frame", "here", kind=PartKind.STRUCTURE, mass_kg=50.0, cg_m=(1.5, 0, 0.5)),
        standing("stands", *["frame"] * 4),
        datum="frame",
    )
    places = [(1.0, -0.5), (2.0, -0.5), (2.0, 0.5), (1.0, 0.5)]
    stands = v.standings["stands"]
    supports = zip(stands.supports, places, strict=True)
    return v.with_records(
        standings={
            "stands": replace(
                stands, supports=tuple(replace(each, at_m=at) for each, at in supports)
            )
        }
    )


def test_what_a_job_fills_weighs():
    """Water in a tank that stands out is not filled in where it would tip the frame."""
    v = over_the_end(
        "tank - frame; 10 min",
        Part("tank", "tank", "here", mass_kg=5.0, cg_m=(0.0, 0, 0.5)),
        Fluid("water", "water", "tank", mass_kg=300.0),
        Job("fill", "fill up", JobKind.FILL, fluid="water", minutes=likely(10)),
    )
    fluids = {"water": FluidState("water", drained=said())}
    now = state_of(v, standing="stands", fluids=fluids)
    plan = Plan("bare", written(v, ["do job:fill @ stands"], state=now).steps, 10.0, 0.0)
    assert best_stretch(v, now, plan, 60).stretch is None
    light = v.with_records(fluids={"water": replace(v.fluids["water"], mass_kg=1.0)})
    assert done(best_stretch(light, now, plan, 60)) == ["job:fill"]


@pytest.mark.parametrize(
    ("lid", "joint", "told"),
    [
        ({"mass_kg": 20.0}, "", "hold the lid (20 kg): nothing else holds it"),
        ({"mass_kg": 0.3}, "", ""),
        ({"mass_kg": 20.0, "kind": PartKind.TRIM}, "", ""),
        ({"mass_kg": 20.0}, "it rests on its ledge", ""),
    ],
)
def test_what_to_hold_is_told_in_the_words_of_the_plan(lid, joint: str, told: str):
    """Of what the stretch lets go and the plan did not; not of what is light, trim or stays."""
    v = over_the_end(
        "a = lid - frame; 10 min",
        "b = lid - frame; 10 min",
        Part("lid", "lid", "here", cg_m=(1.5, 0, 0.6), minutes=likely(99), **lid),
    )
    seen = replace(v.joints["a"], when_undone=WhenUndone(Does.STAYS, joint))
    v = v.with_records(joints={**v.joints, "a": seen})
    now = state_of(v, standing="stands", undone=["b"])
    (step,) = written(v, ["undo joint:a @ stands"], state=now).steps
    plan = Plan("bare", (replace(step, prop_first=""),), 10.0, 0.0)
    steps = Ending(v, now, Walk(v, now, plan, USUAL), USUAL).props([0])
    assert steps == ({0: (told, 1)} if told else {})


def test_what_to_hold_is_told_as_it_is_in_the_stretch():
    """The plan has the lid off the box, and one clip undone; the stretch passes them over."""
    v = vehicle(
        "a = box - frame: 1 clip; 10 min",
        "b = box - frame: 1 clip; 10 min",
        "lid - box: 1 clip; 10 min",
        Part("box", "box", "here", mass_kg=10.0, minutes=likely(5)),
        Part("lid", "lid", "here", mass_kg=9.0, minutes=likely(5)),
        standing("stands", "frame"),
        datum="frame",
    )
    now = state_of(v, standing="stands")
    lines = ["undo joint:lid-box", "take off part:lid", "undo joint:b", "undo joint:a"]
    steps = written(v, [f"{each} @ stands" for each in lines], state=now).steps
    *before, last = (replace(each, prop_first="") for each in steps)
    alone = "hold the box (10 kg): nothing else holds it"
    plan = Plan("bare", (*before, replace(last, prop_first=alone)), 10.0, 0.0)
    props = Ending(v, now, Walk(v, now, plan, USUAL), USUAL).props
    assert 3 not in props([0, 1, 2, 3])
    with_lid = "hold the box with 1 more part on it (19 kg): nothing else holds it"
    assert props([2, 3]) == {3: (with_lid, 1)}
    assert props([3]) == {}, "more holds it than in the plan: its words stay"


def test_nobody_lets_go_what_there_are_not_people_enough_to_hold():
    """In the plan something was off that now comes along: 30 kg, and one is there."""
    v = over_the_end(
        "lid - frame; 10 min", Part("lid", "lid", "here", mass_kg=30.0, cg_m=(1.5, 0, 0.6))
    )
    now = state_of(v, standing="stands")
    (step,) = written(v, ["undo joint:lid-frame @ stands"], state=now).steps
    plan = Plan("bare", (replace(step, prop_first="", prop_people=1),), 10.0, 0.0)
    walk = Walk(v, now, plan, USUAL)
    assert Ending(v, now, walk, USUAL, 1).props([0]) is None
    told = "two people hold the lid (30 kg): nothing else holds it"
    assert Ending(v, now, walk, USUAL, 2).props([0]) == {0: (told, 2)}


def test_a_joint_half_of_which_is_on_the_bench_waits_for_what_is_in_its_way():
    """Pump and plate are off as one, the frame is on: the lid in the way still counts."""
    v = vehicle(
        "lid - frame: 1 clip; 10 min",
        "seat = frame - pump - plate: 2 nut M8; 5 min",
        "lid blocks seat",
        Assembly("unit", "unit", ("pump", "plate"), likely(5)),
        datum="frame",
    )
    found, plan = stretch(v, 6, off={"pump": "unit", "plate": "unit"})
    assert "joint:seat" in [step.what for step in plan.steps]
    assert done(found) == []
