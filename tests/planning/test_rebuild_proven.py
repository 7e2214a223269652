"""What only the logbook knows: the strip turned round, relaxed only by proof (rule 10)."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.logbook.state import PartState
from putback.planning.check import RebuildRule, check_rebuild
from putback.planning.name_says import parts_in
from putback.planning.plan import Action
from putback.planning.rebuild import plan_rebuild
from putback.vehicle.facts import Before, Obstruction, Phase
from putback.vehicle.ids import FactId, PartId, Ref
from putback.vehicle.joint import Joint
from putback.vehicle.part import Part
from putback.vehicle.vehicle import About, Vehicle
from tests.makers import vehicle
from tests.planning.hand_made import said, state_of
from tests.planning.rebuilding import apart, line_of, lines, plan_of

NAMES = ("lamp", "seat", "door", "dynamo", "pump", "fan")


def known(parts: dict[str, str] | None = None, joints=()) -> Vehicle:
    """A vehicle of which no more is known than these names and joints."""
    records = {key: Part(key, name, "") for key, name in (parts or {}).items()}
    return Vehicle(About("v", "v"), parts=records, joints={each.id: each for each in joints})


def log(of: Vehicle, order: list[str], **more):
    """The logbook said these, one after the other: ``part:x`` off, ``joint:y`` undone."""
    off = [each[5:] for each in order if each.startswith("part:")]
    undone = [each[6:] for each in order if each.startswith("joint:")]
    return state_of(of, off=off, undone=undone, order=order, **more)


def begun(plan) -> list[str]:
    """What is put on or made, in the order of the plan."""
    return [step.what for step in plan.steps if step.action in (Action.PUT_ON, Action.MAKE)]


logs = st.lists(
    st.sampled_from([*(f"part:{each}" for each in NAMES), *(f"joint:j{n}" for n in range(6))]),
    unique=True,
    max_size=12,
)


@given(logs)
def test_without_any_description_the_order_is_exactly_turned_round(order):
    """Random logs of parts and joints that nobody described: last off, first on."""
    of = known()
    assert begun(plan_of(of, log(of, order))) == order[::-1]


@given(logs)
def test_a_list_of_names_changes_nothing(order):
    """Parts from a list of names, joints named as they were undone: as if nobody knew them."""
    of = known(
        {each: each for each in NAMES}, [Joint(f"j{n}", f"bolts {n}", ()) for n in range(6)]
    )
    assert begun(plan_of(of, log(of, order))) == order[::-1]


def pairs(order: list[str]) -> set[tuple[str, str]]:
    """Which comes before which."""
    return {(one, other) for at, one in enumerate(order) for other in order[at + 1 :]}


@given(logs.filter(lambda order: len(order) > 2), st.data())
def test_one_fact_turns_what_it_speaks_of_and_frees_no_more(order, data):
    """Pairs of which neither stands in the fact keep the order of the strip, turned round."""
    first, then = data.draw(st.lists(st.sampled_from(order), min_size=2, max_size=2, unique=True))
    of = known().with_records(befores={"f": Before("f", first, then, "said so", Phase.REBUILD)})
    found = pairs(begun(plan_of(of, log(of, order))))
    assert (first, then) in found
    for one, other in pairs(order[::-1]) - found:
        assert then == one
        assert order.index(first) <= order.index(other)


@given(logs, st.sets(st.sampled_from(NAMES), min_size=2, max_size=3))
def test_described_joints_free_their_own_parts_alone(order, described):
    """Two parts joined in the description are bound by facts; each other pair keeps its order."""
    joints = [Joint(f"{each}-frame", each, (each, "frame")) for each in sorted(described)]
    of = known({each: each for each in (*NAMES, "frame")}, joints)
    plan = plan_of(of, log(of, order))
    found = pairs(begun(plan))
    free = {f"part:{each}" for each in described}
    turned = pairs(order[::-1]) - found
    assert all({one, other} <= free for one, other in turned)


def test_a_checker_that_sees_them_in_another_order_says_so():
    """Two parts nobody described, the wrong way round."""
    of = known()
    state = log(of, ["part:lamp", "part:seat"])
    plan = plan_of(of, state)
    faults = check_rebuild(of, state, replace(plan, steps=plan.steps[::-1]))
    assert {fault.rule for fault in faults} == {RebuildRule.PROVEN_ORDER}


# -- what the name of a joint says ---------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "parts"),
    [
        ("radiator bolts", {"r"}),
        ("Radiator, upper bolts", {"r"}),
        ("fan belt adjuster", {"fb"}),
        ("fan and fan belt", {"f", "fb"}),
        ("radiators", set()),
        ("bolts", set()),
        ("radiator to front panel", {"r", "p"}),
    ],
)
def test_a_name_says_which_parts_a_joint_holds(name, parts):
    """Word for word, the longer name first."""
    names = {"r": "radiator", "f": "fan", "fb": "fan belt", "p": "front panel", "x": "to"}
    assert set(parts_in(name, names)) == parts


def test_bolts_go_back_after_the_part_whose_name_they_bear():
    """Logged late, with dirty hands: the radiator goes on before its bolts all the same."""
    of = known({"r": "radiator", "f": "fan"})
    joint = Joint("b", "radiator bolts", ())
    of = of.with_records(joints={"b": joint})
    state = log(of, ["part:r", "part:f", "joint:b"])
    assert lines(plan_of(of, state)) == ["put on f", "put on r", "make b", "tighten b"]


def test_the_checker_tells_bolts_that_go_back_before_their_part():
    """What the name says binds the checker too."""
    of = known({"r": "radiator"}, [Joint("b", "radiator bolts", ())])
    state = log(of, ["part:r", "joint:b"])
    plan = plan_of(of, state)
    put_on, *bolts = plan.steps
    faults = check_rebuild(of, state, replace(plan, steps=(*bolts, put_on)))
    assert RebuildRule.MAKE in {fault.rule for fault in faults}


def test_a_sheared_bolt_of_an_unknown_joint_is_told():
    """Nobody described its fixings, and one did not come out whole."""
    of = known({"r": "radiator"}, [Joint("b", "radiator bolts", ())])
    state = log(of, ["joint:b", "part:r"])
    sheared = replace(state.joints["b"], destroyed=1, counted=said(0))
    plan = plan_of(of, replace(state, joints={"b": sheared}))
    assert "prepare b" in lines(plan)


def test_of_two_in_the_way_the_one_that_cannot_wait_forces_the_other():
    """Cover or door hides the cover's own bolts: the door waits for them, and is no more bound.

    So what nobody described keeps its place against the cover and the frame.
    """
    of = known(
        {"door": "door", "frame": "frame", "cover": "cover"},
        [
            Joint("door-frame", "door hinge", (PartId("door"), PartId("frame"))),
            Joint("cover-frame", "cover bolts", (PartId("cover"), PartId("frame"))),
        ],
    )
    hidden = Obstruction(FactId("o"), (PartId("cover"), PartId("door")), Ref("joint:cover-frame"))
    of = of.with_records(obstructions={"o": hidden})
    order = ["joint:door-frame", "part:frame", "part:cover", "joint:j1", "part:door"]
    order += ["part:lamp", "joint:cover-frame"]
    found = begun(plan_of(of, log(of, order)))
    assert found.index("joint:j1") < found.index("part:cover")
    assert found.index("joint:j1") < found.index("part:frame")
    assert found.index("joint:cover-frame") < found.index("part:door")


def test_what_can_touch_nothing_by_the_proven_order_goes_on_in_its_turn():
    """The arm is fixed to the axle alone, which nobody knows to go on later; the hub could touch.

    It goes on before all that it touches whatever comes first, as by a fact.
    """
    v = vehicle(
        "hub - frame", "arm - axle", "axle - frame", "plate - frame", "lamp - frame", datum="frame"
    )
    undone = ("arm-axle", "hub-frame", "axle-frame", "lamp-frame", "plate-frame")
    state = apart(v, *undone, "axle", "strange bolt-1", "hub", "lamp", "arm")
    plan = plan_rebuild(v, state)
    on = [line_of(step) for step in plan.steps if step.action is Action.PUT_ON]
    assert on[0] == "put on arm"
    assert check_rebuild(v, state, plan) == ()


def test_of_two_in_the_way_one_gives_way_and_all_else_keeps_its_order():
    """Drum or seat must be off for the joint; nobody knows either, and both came off after it.

    So the drum waits, which came off earlier; nothing else is taken out of its order.
    """
    v = vehicle(
        "box - frame", *(Part(each, each, "") for each in ("drum", "seat", "pan")), datum="frame"
    )
    v = v.with_records(
        obstructions={"o": Obstruction("o", ("seat", "drum"), Ref("joint:box-frame"))}
    )
    state = apart(v, "x-1", "x-2", "box-frame", "drum", "seat", "box", "frame")
    plan = plan_rebuild(v, state)
    assert check_rebuild(v, state, plan) == ()
    assert begun(plan) == [
        "part:frame",
        "part:box",
        "part:seat",
        "joint:box-frame",
        "part:drum",
        "joint:x-2",
        "joint:x-1",
    ]


def test_what_was_hung_aside_goes_back_in_its_turn():
    """Nobody described what holds the caliper; that it hangs on a wire is all that tells of it.

    Where a joint of it is described, that one is made again, and the part is there.
    """
    of = known({"fan": "fan", "caliper": "caliper", "lamp": "lamp"})
    order = ["part:fan", "part:caliper", "part:lamp"]
    state = log(of, order)
    hung = PartState("caliper", hung=state.parts["caliper"].off)
    state = replace(state, parts={**state.parts, "caliper": hung})
    plan = plan_of(of, state)
    assert begun(plan) == order[::-1]
    first = next(step for step in plan.steps if step.what == "part:caliper")
    without = replace(plan, steps=tuple(step for step in plan.steps if step is not first))
    faults = check_rebuild(of, state, without)
    assert any(fault.what == "part:caliper" for fault in faults)
    bolted = vehicle("caliper - frame: 2 bolt M8", datum="frame")
    alone = state_of(bolted, undone=["caliper-frame"])
    aside = replace(alone, parts={"caliper": hung})
    assert begun(plan_of(bolted, aside)) == ["joint:caliper-frame"]
