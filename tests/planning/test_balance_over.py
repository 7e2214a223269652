"""Balance along a plan: every step counts, and the first that goes too far is named."""

from dataclasses import replace

import pytest

from putback.planning.balance import balance_of
from putback.planning.balance_over import balance_over, first_too_far, first_unsure, worst
from putback.planning.plan import Plan, PlanSettings, Step
from putback.vehicle.assembly import Assembly
from putback.vehicle.goal import Goal
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import Joint
from putback.vehicle.opening import Fluid
from putback.vehicle.part import Part, PartKind
from putback.vehicle.standing import Standing, Support
from putback.vehicle.vehicle import About, Vehicle
from tests.planning.hand_made import state_of, step_of, table


def stands(identity: str, *xs: float) -> Standing:
    """Stands left and right under the frame."""
    places = [(x, side) for x in xs for side in (-0.5, 0.5)]
    return Standing(
        identity,
        identity,
        tuple(
            Support(f"{identity}{n}", "stand", "frame", at, 900.0) for n, at in enumerate(places)
        ),
        {"near": 10.0, "far": 10.0},
    )


def truck() -> Vehicle:
    """An engine in front, a tank behind: near stands hold the frame only with the engine."""
    return Vehicle(
        About("truck", "truck", wheelbase_m=3.0),
        parts=table(
            Part(
                "frame", "frame", "all", kind=PartKind.STRUCTURE, mass_kg=100.0, cg_m=(1.5, 0, 0.5)
            ),
            Part("engine", "engine", "all", mass_kg=80.0, cg_m=(0.0, 0.0, 0.6)),
            Part("box", "gearbox", "all", mass_kg=20.0, cg_m=(0.5, 0.0, 0.5)),
            Part("tank", "tank", "all", mass_kg=10.0, cg_m=(3.0, 0.0, 0.6)),
        ),
        joints=table(
            Joint("mount", "mounting", ("engine", "frame")),
            Joint("bell", "bell housing", ("engine", "box")),
            Joint("strap", "strap", ("tank", "frame")),
        ),
        fluids=table(Fluid("fuel", "fuel", "tank", mass_kg=40.0, drained_by="drain")),
        jobs=table(
            Job("drain", "drain", JobKind.DRAIN),
            Job("pump", "pump out", JobKind.DRAIN, fluid="fuel"),
            Job("fill", "fill up", JobKind.FILL, fluid="fuel"),
        ),
        standings=table(stands("near", 0.2, 1.5), stands("far", 0.2, 2.8)),
        assemblies=table(Assembly("unit", "unit", ("engine", "box"))),
        goals=table(Goal("bare", "bare", "frame", off_rest=True)),
    )


def plan_of(*lines: str) -> Plan:
    """A plan from its lines."""
    return Plan(None, tuple(map(step_of, lines)), 0, 0)


def test_after_every_step_it_is_the_balance_of_what_is_on():
    """Wholes, jobs that drain and fill, in their standings."""
    vehicle = truck()
    lines = [
        ("do job:drain @ near", set(), {"fuel"}),
        ("undo joint:mount @ near", set(), {"fuel"}),
        ("take off assembly:unit @ near", {"engine", "box"}, {"fuel"}),
        ("do job:fill @ far", {"engine", "box"}, set()),
        ("do job:pump @ far", {"engine", "box"}, {"fuel"}),
        ("fill fluid:fuel @ far", {"engine", "box"}, set()),
        ("put on part:box @ far", {"engine"}, set()),
    ]
    over = balance_over(vehicle, state_of(vehicle), plan_of(*(line for line, *_ in lines)))
    for each, (_, off, out) in zip(over, lines, strict=True):
        fresh = balance_of(vehicle, off, out, each.standing)
        assert each.after.mass_kg == pytest.approx(fresh.mass_kg)
        assert each.after.margin_m == pytest.approx(fresh.margin_m)
        assert [load.load_kg for load in each.after.loads] == pytest.approx(
            [load.load_kg for load in fresh.loads], abs=1e-6
        )


def test_a_whole_goes_back_as_it_came_off():
    """Putting on a whole puts on what went off with it."""
    vehicle = truck()
    state = state_of(vehicle, off={"engine": "unit", "box": "unit", "tank": None})
    (after,) = balance_over(vehicle, state, plan_of("put on assembly:unit @ far"))
    assert after.after.mass_kg == pytest.approx(200.0)


def test_the_first_step_too_far_is_named_with_what_to_add():
    """On the near stands the engine holds the tail up: without it, say where a stand goes."""
    vehicle = truck()
    state = state_of(vehicle, standing="near")
    plan = plan_of(
        "undo joint:strap @ near",
        "undo joint:mount @ near",
        "take off assembly:unit @ near",
        "take off part:tank @ near",
    )
    over = balance_over(vehicle, state, plan)
    assert [each.holds for each in over] == [True, True, False, False]
    first = first_too_far(over)
    assert first.what == "assembly:unit"
    assert first.add.supports[0].place_of == "far2"
    assert worst(over) is over[2]
    assert [each.add is None for each in over] == [True, True, False, True]


def test_a_change_to_a_standing_that_does_not_hold_it_is_named():
    """The step is judged on entering too, and says what to add."""
    vehicle = truck()
    state = state_of(vehicle, off=("engine", "box"), standing="far")
    over = balance_over(
        vehicle, state, plan_of("undo joint:strap @ near", "take off part:tank @ near")
    )
    assert over[0].entered.margin_m < 0.1
    assert not over[0].holds
    assert over[0].add is not None
    assert over[1].entered is None


def test_stands_under_what_is_undone_do_not_count():
    """A support under a part that only hangs on a hose carries nothing."""
    vehicle = truck()
    wheels = Standing(
        "axle",
        "axle on a stand",
        (
            Support("fore", "stand", "engine", (0.0, 0.0)),
            Support("left", "stand", "frame", (3.0, -0.5)),
            Support("right", "stand", "frame", (3.0, 0.5)),
        ),
    )
    vehicle = vehicle.with_records(standings=table(wheels))
    over = balance_over(
        vehicle,
        state_of(vehicle, standing="axle"),
        plan_of("undo joint:strap @ axle", "undo joint:mount @ axle"),
    )
    assert over[0].after.loose == ()
    assert over[1].after.loose == ("fore",)
    assert over[0].holds
    assert not over[1].holds


def test_settings_say_how_wide_is_wide():
    """A wider margin is asked for by settings."""
    vehicle = truck()
    plan = plan_of("undo joint:strap @ far")
    state = state_of(vehicle, standing="far")
    assert balance_over(vehicle, state, plan)[0].holds
    assert not balance_over(vehicle, state, plan, PlanSettings(least_margin_m=0.6))[0].holds


def test_no_standing_no_margin():
    """A vehicle without standings has masses, and no step too far."""
    vehicle = replace(truck(), standings={})
    over = balance_over(vehicle, state_of(vehicle), plan_of("take off part:tank @ -"))
    assert over[0].after.mass_kg == pytest.approx(200.0)
    assert (worst(over), first_too_far(over)) == (None, None)


def test_the_first_step_that_is_not_sure_is_named():
    """With the tank's mass guessed the margin holds, and may not: the tank is asked for."""
    vehicle = truck()
    boxes = Part("tank", "tanks", "all", quantity=40, cg_m=(3.6, 0.0, 0.6))  # 80 ± 40 kg
    vehicle = vehicle.with_records(parts={**vehicle.parts, "tank": boxes}, fluids={})
    state = state_of(vehicle, standing="far")
    plan = plan_of("undo joint:mount @ far", "take off assembly:unit @ far")
    over = balance_over(vehicle, state, plan)
    assert [each.holds for each in over] == [True, True]
    assert first_too_far(over) is None
    unsure = first_unsure(over)
    assert unsure is over[1]
    assert [(each.what, each.is_mass) for each in unsure.after.doubtful] == [("part:tank", True)]
    sure = vehicle.with_records(parts={**vehicle.parts, "tank": replace(boxes, mass_kg=80.0)})
    assert first_unsure(balance_over(sure, state_of(sure, standing="far"), plan)) is None


def test_nothing_planned_nothing_told():
    """An empty plan has no worst step."""
    vehicle = truck()
    assert balance_over(vehicle, state_of(vehicle), Plan(None, (), 0, 0)) == ()
    assert worst(()) is None


def test_a_step_unlike_any_changes_nothing():
    """A check or a crack leaves the balance alone."""
    vehicle = truck()
    steps = (Step("check", "joint:mount", "far"), Step("crack", "joint:mount", "far"))
    over = balance_over(vehicle, state_of(vehicle, standing="far"), Plan(None, steps, 0, 0))
    assert over[0].after is over[1].after
