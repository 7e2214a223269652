"""Nothing is left in the air in a rebuild (its rule 19): planned so, and told where it must be."""

from dataclasses import replace

import pytest
from hypothesis import given

from putback.errors import ImpossibleGoal
from putback.language import reteller
from putback.planning.check import RebuildRule, check_rebuild
from putback.planning.plan import Action
from putback.planning.rebuild import plan_rebuild
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import Does, WhenUndone
from putback.vehicle.part import Part, PartKind
from putback.vehicle.standing import TemporarySupport
from tests.makers import standing, vehicle
from tests.planning.rebuilding import (
    apart,
    assert_order,
    carried_out,
    job,
    line_of,
    lines,
    plan_of,
    step_in,
    with_joint,
)
from tests.strategies.aloft import hung_vehicles

STANDS = standing("stands", "frame", beam=12.0)
BEAM = standing("beam", "frame", stands=12.0)


def pump(*more, mass_kg=20.0, hose=PartKind.HOSE):
    """A pump bolted to a frame, with a hose to a tank that is bolted there as well."""
    return vehicle(
        "pump - frame: 2 nut M8",
        "tank - frame: 2 nut M8",
        "hose - pump: 1 hose clip 20 mm",
        "hose - tank: 1 hose clip 20 mm",
        Part("pump", "pump", "here", mass_kg=mass_kg),
        Part("hose", "hose", "here", kind=hose),
        *more,
        datum="frame",
    )


def hung_up(v, **more):
    """The pump off, with one end of its hose open."""
    return apart(v, "hose-pump", "pump-frame", "pump", standing="stands", **more)


def test_what_is_put_on_is_fastened_before_anything_else():
    """The hose end waits until the pump is bolted, though it was the last to come off."""
    plan = plan_of(v := pump(STANDS), hung_up(v))
    assert_order(plan, "put on pump", "make pump-frame", "make hose-pump")
    assert "hold the pump (20 kg)" in step_in(plan, "put on pump").prop_first
    assert step_in(plan, "make hose-pump").prop_first == ""


def test_a_joint_that_a_jack_waits_for_fastens_as_well_as_another():
    """Either joint of the shield may be made next; what fastens nothing may not come between."""
    v = vehicle(
        "pump - frame",
        "shield - pump",
        "shield - frame",
        "lamp - frame",
        TemporarySupport("jack", "jack", "pump", "joint:shield-pump", "joint:pump-frame"),
        STANDS,
        datum="frame",
    )
    order = ("shield-pump", "shield-frame", "shield", "pump-frame", "pump", "lamp-frame", "lamp")
    state = apart(v, *order, standing="stands")
    steps = {line_of(step): step for step in plan_of(v, state).steps}
    for first, then, faults in (
        ("make shield-frame", "make shield-pump", set()),
        ("make shield-pump", "make shield-frame", set()),
        ("put on lamp", "make shield-frame", {RebuildRule.IN_THE_AIR}),
    ):
        begun = ("put on pump", "make pump-frame", "put on shield")
        order = dict.fromkeys((*begun, first, then, *steps))
        plan = replace(plan_of(v, state), steps=tuple(steps[each] for each in order))
        found = {each.rule for each in check_rebuild(v, state, plan)}
        assert found & {RebuildRule.IN_THE_AIR} == faults


def test_a_part_that_must_wait_is_propped_until_it_is_held():
    """A job comes between: the step that puts the pump on says until when to prop it."""
    look = Job("look", "look at it", JobKind.CHECK, parts=("pump",))
    v = pump(
        STANDS, look, "pump before look: so (rebuild)", "look before pump-frame: so (rebuild)"
    )
    plan = plan_of(v, hung_up(v))
    assert_order(plan, "put on pump", "do look", "make pump-frame")
    assert "propped until the pump-frame is made" in step_in(plan, "put on pump").prop_first


def on_a_gantry():
    """An engine whose mounting waits for a look at the cover that is bolted to it."""
    look = Job("look", "look at it", JobKind.CHECK, parts=("cover",))
    return vehicle(
        "engine - frame: 2 nut M8",
        "cover - engine: 4 nut M8",
        "flange = cover - engine: 2 nut M6",
        Part("engine", "engine", "here", mass_kg=120.0),
        Part("cover", "cover", "here", mass_kg=8.0),
        look,
        "engine before cover: so (rebuild)",
        "flange before look: so (rebuild)",
        "look before engine-frame: so (rebuild)",
        STANDS,
        datum="frame",
    )


def test_what_is_bolted_to_what_is_propped_already_is_held_up_with_it():
    """The cover need not be propped till the engine is in its mounting: it hangs on the engine."""
    v = on_a_gantry()
    state = apart(
        v, "engine-frame", "cover-engine", "flange", "cover", "engine", standing="stands"
    )
    plan = plan_of(v, state)
    assert_order(plan, "put on cover", "make cover-engine", "do look", "make engine-frame")
    assert "until the engine-frame is made" in step_in(plan, "put on engine").prop_first
    assert "engine-frame" not in step_in(plan, "put on cover").prop_first
    told = spoilt(v, state, plan, put_on_cover={"prop_first": ""})
    assert "nothing holds the cover yet, and nobody is told to prop it" in told


def test_a_light_part_that_must_wait_is_propped_too():
    """Nobody holds three kilograms in the hand while something else is done."""
    look = Job("look", "look at it", JobKind.CHECK, parts=("pump",))
    facts = ("pump before look: so (rebuild)", "look before pump-frame: so (rebuild)")
    v = pump(STANDS, look, *facts, mass_kg=3.0)
    assert "keep the pump propped" in step_in(plan_of(v, hung_up(v)), "put on pump").prop_first
    v = pump(STANDS, mass_kg=3.0)
    assert step_in(plan_of(v, hung_up(v)), "put on pump").prop_first == ""


@pytest.mark.parametrize("hose", [PartKind.HOSE, PartKind.PART])
def test_a_part_that_must_hang_is_propped(hose):
    """Where facts put the end of the hose first, its step says what it must not carry."""
    v = pump(STANDS, "hose-pump before pump-frame: no room later (rebuild)", hose=hose)
    plan = plan_of(v, hung_up(v))
    assert_order(plan, "make hose-pump", "make pump-frame")
    words = step_in(plan, "make hose-pump").prop_first
    assert words == (
        "keep the pump propped until the pump-frame is made: "
        "it hangs on the hose otherwise, which must not carry it"
    )


def test_a_hose_end_waits_for_what_goes_on_in_another_standing():
    """The pump is held by a bracket that goes on by the beam and is bolted on the stands.

    However long it is propped, it need not hang on its hose: that end is made once it is held.
    """
    v = vehicle(
        "bracket - frame: 2 nut M8; in stands",
        "hose - frame: 2 nut M8",
        "pump - bracket: 2 nut M8",
        "hose - pump: 2 nut M8",
        Part("bracket", "bracket", "here", standings=("beam",)),
        Part("hose", "hose", "here", kind=PartKind.HOSE),
        STANDS,
        BEAM,
        datum="frame",
    )
    off = ("bracket-frame", "hose-frame", "pump-bracket", "hose-pump", "bracket", "hose", "pump")
    plan = plan_of(v, apart(v, *off, standing="stands"))
    assert_order(plan, "put on pump", "make bracket-frame", "make hose-pump")


def clipped(*more):
    """A radiator bolted to a frame; of its hoses nothing is described but how they are held."""
    return vehicle(
        "engine - frame: 2 nut M8",
        "radiator - frame: 2 nut M8",
        "hoses = radiator - engine: 4 hose clip 20 mm",
        Part("radiator", "radiator", "here", mass_kg=9.0),
        STANDS,
        *more,
        datum="frame",
    )


def test_what_is_clipped_on_is_clipped_on_last():
    """A joint of hose clips alone carries no radiator: its nuts go on first."""
    v = clipped()
    state = apart(v, "hoses", "radiator-frame", "radiator", standing="stands")
    plan = plan_of(v, state)
    assert_order(plan, "put on radiator", "make radiator-frame", "make hoses")
    assert not any("otherwise" in step.prop_first for step in plan.steps)
    order = ("put on radiator", "make hoses", "make radiator-frame")
    told = spoilt(v, state, plan, *order)
    assert "the radiator hangs on the hoses, and nobody is told to prop it" in told


def test_a_part_that_must_hang_on_what_clips_it_is_propped():
    """Facts put the hoses first: the step says what they must not carry, and until when."""
    v = clipped("hoses before radiator-frame: no room later (rebuild)")
    plan = plan_of(v, apart(v, "hoses", "radiator-frame", "radiator", standing="stands"))
    assert step_in(plan, "make hoses").prop_first == (
        "keep the radiator propped until the radiator-frame is made: "
        "it hangs on the hoses otherwise, which must not carry it"
    )


def with_catch_tank(*facts):
    """A pump whose hose leads to a catch tank, which a pipe alone ties to the frame."""
    return vehicle(
        "pump - frame: 2 nut M8",
        "hose - pump: 2 nut M8",
        "hose - catch tank: 2 nut M8",
        "pipe - catch tank: 2 nut M8",
        "pipe - frame: 2 nut M8",
        *facts,
        Part("hose", "hose", "here", kind=PartKind.HOSE),
        Part("pipe", "pipe", "here", kind=PartKind.PIPE),
        STANDS,
        datum="frame",
    )


def test_a_hose_further_on_waits_as_well():
    """The pump hangs on its hose as soon as the catch tank at its end is tied to the frame."""
    v = with_catch_tank()
    plan = plan_of(v, apart(v, "pump-frame", "pipe-catch tank", standing="stands"))
    assert_order(plan, "make pump-frame", "make pipe-catch tank")


def test_a_hose_end_waits_for_a_standing_in_which_nothing_hangs_on_it():
    """On the engine the frame would hang on the hose; on the stands the strap is made first.

    Nothing of that hangs the frame, for there it is stood on.
    """
    v = vehicle(
        "engine - frame: 2 nut M8",
        "hose - frame: 2 nut M8",
        "hose - engine: 2 nut M8",
        "strap - frame: 2 nut M8; in stands",
        "strap-frame before engine-frame: no room later (rebuild)",
        Part("hose", "hose", "here", kind=PartKind.HOSE),
        Part("strap", "strap", "here", kind=PartKind.CABLE, standings=("engine",)),
        standing("stands", "frame", engine=12.0),
        standing("engine", "engine", stands=12.0),
        datum="frame",
    )
    state = apart(v, "engine-frame", "hose-engine", "strap-frame", "strap", standing="stands")
    plan = plan_of(v, state)
    assert_order(plan, "put on strap", "make engine-frame", "make hose-engine")


def test_a_part_that_hangs_by_way_of_what_only_hoses_tie_is_propped():
    """The pump is bolted after its hose is made to a catch tank, which hangs on a hose itself."""
    v = with_catch_tank("hose-pump before pump-frame: no room later (rebuild)")
    plan = plan_of(v, apart(v, "hose-pump", "pump-frame", "pump", standing="stands"))
    assert "it hangs on the hose otherwise" in step_in(plan, "make hose-pump").prop_first


def test_a_part_goes_on_where_it_can_be_fastened():
    """Its bolts are reached on the beam only: until then it stays off, though it could go on."""
    v = vehicle(
        "pump - frame: 2 nut M8; in beam",
        "lid - frame: 2 nut M8; in stands",
        Part("pump", "pump", "here", mass_kg=20.0),
        STANDS,
        BEAM,
        datum="frame",
    )
    state = apart(v, "pump-frame", "pump", "lid-frame", "lid", standing="stands")
    plan = plan_of(v, state)
    assert step_in(plan, "put on pump").standing == "beam"
    assert not any(step.add_support for step in plan.steps)


def over_a_change(*more):
    """A pump that goes on where its bolts cannot be reached."""
    pump = Part("pump", "pump", "here", mass_kg=20.0, standings=("stands",))
    v = vehicle("pump - frame: 2 nut M8; in beam", pump, STANDS, BEAM, *more, datum="frame")
    return v, apart(v, "pump-frame", "pump", standing="stands")


def test_where_it_cannot_be_otherwise_the_change_says_what_to_hold():
    """It goes on in one standing and is bolted in another: propped, and held up meanwhile."""
    plan = plan_of(*over_a_change())
    step = step_in(plan, "make pump-frame")
    assert step.standing == "beam"
    assert "hold up the pump while the standing changes: nothing else holds it" in step.add_support
    assert "propped until the pump-frame is made" in step_in(plan, "put on pump").prop_first


@pytest.mark.parametrize(
    ("grip", "hangs"), [("1 grub screw M6 x 8 mm", True), ("2 nut M8", False)]
)
def test_what_grips_only_nipped_holds_from_when_it_is_tightened(grip, hangs):
    """A pulley on its slack grub screw is not held yet; on bolts that are in it is."""
    pulley = Part("pulley", "pulley", "here", mass_kg=9.0)
    hose = Part("hose", "hose", "here", kind=PartKind.HOSE)
    v = vehicle(f"pulley - frame: {grip}", "hose - pulley - frame", pulley, hose, STANDS)
    state = apart(v, "hose-pulley-frame", "pulley-frame", "pulley", standing="stands")
    plan = plan_of(v, state)
    assert_order(plan, "make pulley-frame", "make hose-pulley-frame", "tighten pulley-frame")
    assert bool(step_in(plan, "make hose-pulley-frame").prop_first) is hangs


def test_what_is_on_slack_fixings_is_nipped_before_the_vehicle_is_moved():
    """One bolt is reached on stands, one on the beam: neither is tight at the change."""
    v = vehicle(
        "upper = pump - frame: 1 bolt M8 x 20 mm; in stands",
        "lower = pump - frame: 1 bolt M8 x 20 mm; in beam",
        Part("pump", "pump", "here", mass_kg=20.0),
        STANDS,
        BEAM,
        datum="frame",
    )
    plan = plan_of(v, apart(v, "upper", "lower", "pump", standing="stands"))
    moved = next(step for step in plan.steps if step.standing != plan.steps[0].standing)
    assert any("before the vehicle is moved: the pump (20 kg)" in each for each in moved.cautions)


def test_what_is_in_the_air_at_the_start_is_told():
    """The strip stopped with the pump unbolted: the first step says so."""
    v = pump(STANDS)
    plan = plan_of(v, apart(v, "pump-frame", standing="stands"))
    held = plan.steps[0].prop_first
    assert held.endswith("until the pump-frame is made: nothing holds it as it is now")


def test_what_nothing_holds_for_long_is_held_up_or_taken_down_again():
    """A wing left on its ledge after a trial: it is painted before it is made fast."""
    v = pump(STANDS, job("paint", JobKind.PREPARE), "paint before pump-frame: paint (rebuild)")
    held = plan_of(v, apart(v, "pump-frame", standing="stands")).steps[0].prop_first
    assert "until the pump-frame is made, or take it down again: nothing holds it" in held
    told = reteller("de").tell(held)
    assert "bis pump-frame gefügt ist, oder es wieder abnehmen: so, wie es jetzt ist" in told


def test_what_somebody_described_to_stay_is_not_propped():
    """He has seen that it rests on its ledge."""
    v = with_joint(pump(STANDS), "pump-frame", when_undone=WhenUndone(Does.STAYS, "on a ledge"))
    assert step_in(plan_of(v, hung_up(v)), "put on pump").prop_first == ""


# -- plans of any sort, and spoilt ones -----------------------------------------------------------


@given(hung_vehicles())
def test_no_plan_leaves_anything_in_the_air_unsaid(torn):
    """Hoses, heavy things, pinch bolts and standings at random: the checker has nothing to say."""
    try:
        plan = plan_rebuild(*torn)
    except ImpossibleGoal:
        return
    faults = check_rebuild(*torn, plan)
    assert [fault for fault in faults if fault.rule is RebuildRule.IN_THE_AIR] == []


def test_what_would_only_see_a_change_goes_on_behind_it():
    """Nothing can hold the cap before the pan is there, which wants the beam: so it waits."""
    v = vehicle(
        "cap - frame: 2 nut M8",
        "cap - pan: 2 nut M8",
        "pan - lid: 2 nut M8",
        "lid - frame: 2 nut M8",
        "pan before lid: so (rebuild)",
        "lid before cap-frame: so (rebuild)",
        Part("pan", "pan", "here", standings=("beam",)),
        Part("lid", "lid", "here", standings=("stands",)),
        STANDS,
        BEAM,
        datum="frame",
    )
    joints = ("lid-frame", "pan-lid", "cap-pan", "cap-frame")
    plan = plan_of(v, apart(v, *joints, "lid", "pan", "cap", standing="stands"))
    assert step_in(plan, "put on cap").standing == "beam"
    assert step_in(plan, "put on pan").add_support == ""


def test_what_is_stood_on_before_a_change_cannot_go_on_behind_it():
    """The link goes on while it all stands on the axle: the axle cannot wait for the stands."""
    v = vehicle(
        "axle - arm: 2 nut M8; in stands",
        "arm - frame: 2 nut M8",
        "link - frame: 2 nut M8",
        Part("link", "link", "here", standings=("foot",)),
        Part("axle", "axle", "here", mass_kg=9.0),
        standing("stands", "frame", foot=30.0),
        standing("foot", "axle", stands=20.0),
        "link before arm: so (rebuild)",
        datum="frame",
    )
    order = ("axle-arm", "arm-frame", "arm", "link-frame", "link", "axle")
    plan = plan_of(v, apart(v, *order, standing="stands"))
    assert_order(plan, "put on axle", "put on link", "put on arm")
    stood = {step.what: step.standing for step in plan.steps}
    assert (stood["part:axle"], stood["part:link"], stood["part:arm"]) == (
        "stands",
        "foot",
        "stands",
    )


def test_what_goes_on_behind_a_change_is_fastened_there_and_then():
    """On its foot the cap and the hose can be bolted: the cap, just put on, comes first."""
    v = vehicle(
        "hose - frame: 2 nut M8; in foot",
        "foot - hose: 2 nut M8",
        "clip - frame: 2 nut M8",
        "cap - foot: 2 nut M8; in foot",
        "hose - clip: 2 nut M8",
        "hose blocks foot - hose",
        "hose blocks clip - frame",
        Part("hose", "hose", "here", kind=PartKind.HOSE),
        standing("stands", "frame", foot=30.0),
        standing("foot", "foot", stands=30.0),
        datum="frame",
    )
    state = apart(v, "hose-clip", "hose-frame", "cap-foot", "cap", standing="stands")
    plan = plan_of(v, state)
    cap = lines(plan).index("put on cap")
    assert plan.steps[cap].standing == "foot"
    assert lines(plan)[cap + 1] == "make cap-foot"


def test_a_part_to_stand_on_is_put_on_once_nothing_else_touches():
    """The cradle touches only what goes on while all stands on it, so the lid comes first."""
    v = vehicle(
        "cradle - hose: 2 nut M8",
        "hose - frame: 2 nut M8",
        "lid - frame: 2 nut M8",
        Part("hose", "hose", "here", kind=PartKind.HOSE, standings=("foot",)),
        standing("stands", "frame", foot=30.0),
        standing("foot", "cradle", stands=30.0),
        datum="frame",
    )
    order = ("hose-frame", "lid-frame", "cradle-hose", "hose", "lid", "cradle")
    plan = plan_of(v, apart(v, *order, standing="stands"))
    assert_order(plan, "put on lid", "put on cradle", "put on hose")


def spoilt(v, state, plan, *order: str, **changes):
    """What rule 19 says to the steps in this order, the others as they stood; or to changes."""
    steps = list(plan.steps)
    if order:
        moved = [step_in(plan, line) for line in order]
        first = min(lines(plan).index(line) for line in order)
        rest = [step for step in steps if step not in moved]
        steps = [*rest[:first], *moved, *rest[first:]]
    steps = [replace(s, **changes.get(line_of(s).replace(" ", "_"), {})) for s in steps]
    faults = check_rebuild(v, state, replace(plan, steps=tuple(steps)))
    return "; ".join(f.words for f in faults if f.rule is RebuildRule.IN_THE_AIR)


def test_the_end_of_a_hose_made_too_early_is_told():
    """Two steps change places: the pump hangs on its hose."""
    v = pump(STANDS)
    plan = plan_of(v, hung_up(v))
    told = spoilt(v, hung_up(v), plan, "put on pump", "make hose-pump", "make pump-frame")
    assert "the pump is in the air: make pump-frame comes next" in told
    assert "the pump hangs on the hose, and nobody is told to prop it" in told


@pytest.mark.parametrize(
    ("step", "field", "words"),
    [
        ("put_on_pump", "prop_first", "nothing holds the pump yet, and nobody is told to prop it"),
        ("make_pump-frame", "add_support", "the standing changes while nothing holds the pump"),
    ],
)
def test_a_prop_that_is_dropped_is_told(step, field, words):
    """Each of the two things that are said is asked for."""
    v, state = over_a_change()
    assert words in spoilt(v, state, plan_of(v, state), **{step: {field: ""}})


def test_a_change_of_standing_over_what_could_be_bolted_is_told():
    """On both standings the bolts are reached, and the plan moves before they are in."""
    v = vehicle("pump - frame: 2 nut M8", Part("pump", "pump", "here", mass_kg=20.0), STANDS, BEAM)
    state = apart(v, "pump-frame", "pump", standing="stands")
    plan = plan_of(v, state)
    to = {"standing": "beam", "add_support": "hold it"}
    told = spoilt(v, state, plan, **{"make_pump-frame": to, "tighten_pump-frame": to})
    assert "the standing changes before pump-frame is made, and the pump is in the air" in told


def test_a_unit_that_could_have_gone_on_later_is_told():
    """It was put on before a change, and its bolts are reached after it."""
    v = vehicle(
        "pump - frame: 2 nut M8; in beam",
        "lid - frame: 2 nut M8; in stands",
        Part("pump", "pump", "here", mass_kg=20.0),
        STANDS,
        BEAM,
    )
    state = apart(v, "pump-frame", "pump", "lid-frame", "lid", standing="stands")
    plan = plan_of(v, state)
    early = {"put_on_pump": {"standing": "stands", "prop_first": "prop it"}}
    early["make_pump-frame"] = {"add_support": "hold it"}
    told = spoilt(v, state, plan, **early)
    assert "the standing changes over the pump, which could wait" in told


def test_slack_fixings_nobody_speaks_of_are_told():
    """A caution that is left out is missed, and a bolt that could be tightened first is named."""
    v = vehicle(
        "pump - frame: 2 nut M8",
        "lid - frame: 2 nut M8; in beam",
        Part("pump", "pump", "here", mass_kg=20.0),
        STANDS,
        BEAM,
    )
    state = apart(v, "lid-frame", "lid", "pump-frame", "pump", standing="stands")
    plan = plan_of(v, state)
    order = [each for each in lines(plan) if each != "tighten pump-frame"]
    order.insert(order.index("make lid-frame") + 1, "tighten pump-frame")
    told = spoilt(v, state, plan, *order, **{"tighten_pump-frame": {"standing": "beam"}})
    assert "pump-frame could be tightened before the standing changes: it holds the pump" in told


def test_taken_up_again_what_is_in_hand_is_fastened_first():
    """Logged as put on, and not bolted yet: that comes before all else."""
    v = pump(STANDS, "lid - frame")
    state = apart(v, "lid-frame", "lid", "hose-pump", "pump-frame", "pump", standing="stands")
    plan = plan_of(v, state)
    at = lines(plan).index("put on pump") + 1
    later = plan_of(v, carried_out(state, plan, at))
    assert line_of(later.steps[0]) == "make pump-frame"
    assert later.steps[0].action is Action.MAKE
