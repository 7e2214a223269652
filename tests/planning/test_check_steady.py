"""The checker of rules 12 and 14 finds what was planted, and judges as the planners reckon."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.logbook.state import JointState, Weighing
from putback.logbook.weighing import weighed
from putback.planning.balance import reckoning_of
from putback.planning.balance_over import _Moves
from putback.planning.check.heft import Things
from putback.planning.check.steady import steady_faults
from putback.planning.plan import Action, Plan, PlanSettings, Step
from putback.planning.weight.poise import must_add_support
from putback.vehicle.facts import Phase
from putback.vehicle.generate import generate
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import Joint
from putback.vehicle.part import Part, PartKind
from putback.vehicle.standing import Standing, Support
from putback.vehicle.vehicle import About, Vehicle
from tests.planning.hand_made import said, state_of, step_of, table
from tests.planning.test_balance_over import plan_of, truck

SETTINGS = PlanSettings()


def faults(vehicle, state, plan, phase=Phase.STRIP):
    """All that the checker says."""
    return list(steady_faults(vehicle, state, plan, SETTINGS, phase))


def adding(plan: Plan, *at: int) -> Plan:
    """The plan with words on what to add at some steps."""
    steps = (
        replace(step, add_support="a stand" if index in at else "")
        for index, step in enumerate(plan.steps)
    )
    return replace(plan, steps=tuple(steps))


# -- planted ----------------------------------------------------------------------------------


def test_a_step_under_the_limit_must_say_what_to_add():
    """The unit out on the near stands is a fault, and none once it says what to add."""
    vehicle = truck()
    state = state_of(vehicle, standing="near")
    plan = plan_of("undo joint:mount @ near", "take off assembly:unit @ near")
    assert faults(vehicle, state, plan) == [
        (1, "it stands 0.500 m outside its supports, and nothing is said to add")
    ]
    assert faults(vehicle, state, adding(plan, 1)) == []


def test_a_margin_already_too_small_asks_again_only_where_it_lessens():
    """Further out is a fault again; nearer in is not."""
    vehicle = truck()
    state = state_of(vehicle, off=("engine", "box"), standing="near", done=("drain",))
    out = plan_of("undo joint:strap @ near")
    assert faults(vehicle, state, out) == []
    assert faults(vehicle, state, plan_of("take off part:tank @ near")) == []
    heavier = plan_of("do job:fill @ near")
    assert [index for index, _ in faults(vehicle, state, heavier)] == [0]


def test_an_overloaded_support_is_a_fault():
    """A put-on that brings a stand over its rating must say what to add."""
    vehicle = truck()
    weak = vehicle.standings["far"]
    weak = replace(weak, supports=tuple(replace(s, rating_kg=70.0) for s in weak.supports))
    vehicle = vehicle.with_records(standings=table(weak))
    state = state_of(vehicle, off=("engine", "box"), standing="far")
    plan = plan_of("put on part:box @ far", "put on part:engine @ far")
    found = faults(vehicle, state, plan, Phase.REBUILD)
    assert found == [(1, "it stands with too much on far0 and far1, and nothing is said to add")]


def test_a_change_to_what_does_not_hold_is_a_fault_where_another_does():
    """To go over to the near stands without the engine, though the far ones would do."""
    vehicle = truck()
    state = state_of(vehicle, off=("engine", "box"), standing="far")
    plan = adding(plan_of("undo joint:strap @ near"), 0)
    assert faults(vehicle, state, plan) == [
        (0, 'it would stand 0.500 m outside its supports; "far" holds it')
    ]


def test_a_change_is_none_where_the_step_wants_that_standing():
    """Where only the near stands let one at the joint, it may be done there, said what to add."""
    vehicle = truck()
    strap = Joint("strap", "strap", ("tank", "frame"), standings=("near",))
    vehicle = vehicle.with_records(joints={**vehicle.joints, "strap": strap})
    state = state_of(vehicle, off=("engine", "box"), standing="far")
    plan = plan_of("undo joint:strap @ near")
    assert [index for index, _ in faults(vehicle, state, plan)] == [0]
    assert faults(vehicle, state, adding(plan, 0)) == []


def cracked_in_near(**jobs) -> Vehicle:
    """The truck, its strap cracked on the near stands, in whichever way it is undone then."""
    vehicle = truck()
    strap = Joint("strap", "strap", ("tank", "frame"), crack_in="near")
    return vehicle.with_records(
        joints={**vehicle.joints, "strap": strap}, jobs={**vehicle.jobs, **jobs}
    )


def test_what_was_cracked_and_made_since_is_cracked_again_where_it_can_be():
    """Until then only the near stands will do for it; afterwards the far ones would."""
    vehicle = cracked_in_near()
    state = state_of(vehicle, off=("engine", "box"), standing="far", cracked=("strap",))
    plan = adding(plan_of("undo joint:strap @ near"), 0)
    assert [index for index, _ in faults(vehicle, state, plan)] == [0]
    made = JointState("strap", cracked=said(), undone=said(1), made=said(2))
    again = replace(state, joints={"strap": made})
    assert faults(vehicle, again, plan) == []


def test_a_job_cracks_what_can_be_cracked_as_the_vehicle_stands():
    """Done on the near stands it cracks the strap; done on the far ones it does not."""
    crack = Job("loosen", "loosen the strap", JobKind.CRACK, joints=("strap",))
    vehicle = cracked_in_near(loosen=crack)
    state = state_of(vehicle, off=("engine", "box"), standing="far")
    then = "undo joint:strap @ near"
    near = adding(plan_of("do job:loosen @ near", "undo joint:bell @ far", then), 0, 2)
    assert [index for index, _ in faults(vehicle, state, near)] == [0, 2]
    far = adding(plan_of("do job:loosen @ far", then), 1)
    assert faults(vehicle, state, far) == []


def test_a_support_under_what_came_loose_does_not_count():
    """With the mounting undone, the stand under the engine carries nothing of the truck."""
    vehicle = truck()
    three = Standing(
        "three",
        "three",
        (
            Support("fore", "stand", "engine", (0.0, 0.0)),
            Support("left", "stand", "frame", (3.0, -0.5)),
            Support("right", "stand", "frame", (3.0, 0.5)),
        ),
    )
    vehicle = vehicle.with_records(standings=table(three))
    state = state_of(vehicle, standing="three")
    plan = plan_of("undo joint:strap @ three", "undo joint:mount @ three")
    assert [index for index, _ in faults(vehicle, state, plan)] == [1]


def test_nothing_is_said_where_nothing_is_known():
    """Without places, or without supports, there is no fault."""
    vehicle = truck()
    bare = {part.id: replace(part, cg_m=None) for part in vehicle.parts.values()}
    plan = plan_of("take off assembly:unit @ near")
    unplaced = vehicle.with_records(parts=bare)
    assert faults(unplaced, state_of(unplaced, standing="near"), plan) == []
    afloat = vehicle.with_records(standings=table(Standing("near", "near")))
    assert faults(afloat, state_of(afloat, standing="near"), plan) == []


# -- against the planners' own reckoning ------------------------------------------------------


def reckoned(vehicle, state, plan) -> list[int]:
    """The steps that must say what to add, as the planners reckon."""
    reckoning, moves = reckoning_of(vehicle, state), _Moves(vehicle, state)
    here, found = state.standing.standing or plan.start, []
    for index, step in enumerate(plan.steps):
        before = reckoning.footing(step.standing)
        moves.make(step, reckoning)
        after = reckoning.footing(step.standing)
        if must_add_support(
            before, after, SETTINGS.least_margin_m, entered=here not in (None, step.standing)
        ):
            found.append(index)
        here = step.standing
    return found


@st.composite
def walks(draw):
    """A generated vehicle, made heavy and rated low, a state and a walk through any moves."""
    vehicle = generate(parts=draw(st.integers(3, 18)), seed=draw(st.integers(0, 60)))
    unknown = draw(st.sets(st.sampled_from(sorted(vehicle.parts)), max_size=4))
    parts = {
        part: replace(record, mass_kg=None, cg_m=draw(st.sampled_from([None, record.cg_m])))
        if part in unknown
        else record
        for part, record in vehicle.parts.items()
    }
    shift = draw(st.floats(-0.4, 0.4))
    standings = {
        each.id: replace(
            each,
            supports=tuple(
                replace(
                    support,
                    at_m=(support.at_m[0] + shift * (number % 3), support.at_m[1]),
                    rating_kg=draw(st.sampled_from([None, 40.0, 120.0, 400.0])),
                )
                for number, support in enumerate(each.supports)
            ),
        )
        for each in vehicle.standings.values()
    }
    vehicle = vehicle.with_records(parts=parts, standings=standings)
    things = [(Action.UNDO, f"joint:{joint}") for joint in vehicle.joints]
    things += [(Action.MAKE, f"joint:{joint}") for joint in vehicle.joints]
    things += [(Action.TAKE_OFF, f"part:{part}") for part in vehicle.parts]
    things += [(Action.PUT_ON, f"part:{part}") for part in vehicle.parts]
    things += [(Action.DO, f"job:{job}") for job in vehicle.jobs]
    things += [(Action.FILL, f"fluid:{fluid}") for fluid in vehicle.fluids]
    moves = draw(st.lists(st.sampled_from(things), max_size=30))
    places = st.sampled_from(sorted(vehicle.standings))
    here = draw(places)
    steps = []
    for action, what in moves:
        here = draw(places) if draw(st.integers(0, 3)) == 0 else here
        steps.append(Step(action, what, here))
    weighings = ()
    if draw(st.booleans()):
        record = vehicle.standings[here]
        loads = {s.id: draw(st.floats(5, 200)) for s in record.supports if not s.beside}
        weighings += (Weighing(said(), loads, here, draw(st.sampled_from([None, 1.0]))),)
        axles = {"front axle": draw(st.floats(50, 400)), "rear axle": draw(st.floats(50, 400))}
        weighings += (Weighing(said(1), axles, None, 2.0, off=tuple(sorted(unknown))),)
    state = state_of(
        vehicle,
        off=draw(st.sets(st.sampled_from(sorted(vehicle.parts)), max_size=2)),
        standing=draw(st.sampled_from([None, here])),
        weighings=weighings,
    )
    return (
        vehicle,
        state,
        Plan(None, tuple(steps), 0, 0, start=steps[0].standing if steps else None),
    )


@given(walks())
def test_it_judges_every_step_as_the_planners_reckon(walk):
    """Two programs from one page of rules: any walk, any weighing, the same steps must speak."""
    vehicle, state, plan = walk
    found = [index for index, words in faults(vehicle, state, plan) if "said to add" in words]
    assert found == reckoned(vehicle, state, plan)
    silent = adding(plan, *found)
    assert [words for _, words in faults(vehicle, state, silent) if "said to add" in words] == []


@given(walks())
def test_it_takes_weighings_in_as_the_planners_do(walk):
    """Conjugate gradients here, a matrix' root there: each part weighs and lies the same."""
    vehicle, state, _ = walk
    hefts = weighed(vehicle, state.weighings).hefts
    things = Things(vehicle, state.weighings)
    for found, known in ((things.parts, hefts.parts), (things.fluids, hefts.fluids)):
        for name, heft in known.items():
            mass, at = found[name].corrected
            assert mass == pytest.approx(heft.mass_kg, rel=1e-5, abs=1e-4)
            moments = [mass * each for each in at]
            assert moments == pytest.approx([heft.mass_kg * a for a in heft.cg_m], abs=1e-3)


def test_it_takes_in_axles_weighed_without_a_wheelbase():
    """Of a vehicle of which nobody said where it stood: the mass alone, as the planners do."""
    parts = {each: Part(each, each, "z", kind=PartKind.PANEL) for each in ("bonnet", "boot lid")}
    parts["box"] = Part("box", "box", "z", mass_kg=30.0)
    vehicle = Vehicle(About("cart", "cart"), parts=parts)
    for unsure in (None, 0.5):
        read = Weighing(said(), {"front axle": 31.0, "rear axle": 24.5}, uncertainty_kg=unsure)
        hefts = weighed(vehicle, (read,)).hefts
        assert hefts != weighed(vehicle).hefts
        things = Things(vehicle, (read,))
        for name, heft in hefts.parts.items():
            mass, at = things.parts[name].corrected
            assert mass == pytest.approx(heft.mass_kg, rel=1e-6)
            assert tuple(at) == heft.cg_m


@pytest.mark.parametrize("phase", [Phase.STRIP, Phase.REBUILD])
def test_an_empty_plan_has_no_fault(phase):
    """Nothing done, nothing wrong."""
    vehicle = truck()
    assert faults(vehicle, state_of(vehicle), Plan(None, (), 0, 0), phase) == []


def test_a_part_that_only_a_joint_names_weighs_nothing():
    """What nobody described has no weight, and no fault."""
    vehicle = truck()
    joints = {**vehicle.joints, "x": Joint("x", "x", ("frame", "ghost"))}
    vehicle = vehicle.with_records(
        joints=joints, parts={**vehicle.parts, "p": Part("p", "p", "z")}
    )
    plan = Plan(None, (step_of("take off part:ghost @ near"),), 0, 0)
    assert faults(vehicle, state_of(vehicle, standing="near"), plan) == []
