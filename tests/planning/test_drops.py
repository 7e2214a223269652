"""What drops when a joint is undone, in the trade's words, and what a strip says of it."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.errors import NotFound
from putback.planning.check import StripRule, check_strip
from putback.planning.drops import drops_of, what_drops, what_drops_next
from putback.planning.held.telling import Fate
from putback.planning.strip import plan_strip
from putback.vehicle.generate import generate
from putback.vehicle.joint import Does, WhenUndone
from putback.vehicle.part import Part, PartKind
from putback.vehicle.standing import TemporarySupport
from tests.makers import joint, standing, vehicle
from tests.planning.hand_made import state_of


def part(name: str, mass_kg: float | None = None, kind: PartKind = PartKind.PART, **more) -> Part:
    """A part of a mass."""
    return Part(name, name, "here", kind=kind, mass_kg=mass_kg, **more)


STANDS = standing("stands", "frame")
HOSE = part("hose", 0.4, PartKind.HOSE)


def drop(*said, of: str, undone=(), **state):
    """What drops when one joint of a vehicle on stands is undone."""
    v = vehicle(*said, STANDS)
    return what_drops(v, state_of(v, undone=undone, standing="stands", **state), of)


# -- one fate after the other ---------------------------------------------------------------------


def test_a_heavy_part_falls_with_its_last_joint():
    """It says what comes down, what it weighs and that somebody holds it."""
    found = drop(part("pump", 12.0), "pump - frame", of="pump-frame")
    assert (found.does, found.pieces[0].mass_kg, found.lets_go) == (Fate.FALLS, 12.0, True)
    assert found.words == "the pump (12 kg) falls"
    assert found.prop_first == "hold the pump (12 kg): nothing else holds it"
    assert not found.needs_a_helper


def test_what_is_bolted_to_it_comes_down_with_it():
    """The piece is named by its heaviest part, and its masses are added."""
    found = drop(
        part("pump", 12.0), part("pulley", 3.0), "pump - frame", "pulley - pump", of="pump-frame"
    )
    assert found.pieces[0].parts == ("pump", "pulley")
    assert found.words == "the pump with 1 more part on it (15 kg) falls"


CLIPS = "2 hose clip 20 mm"


def test_a_set_of_hoses_carries_no_more_than_a_hose():
    """It is described as any part; hose clips are all that join it, so a radiator hangs on it."""
    found = drop(
        part("radiator", 9.0), part("hoses"), "engine - frame",
        "radiator - frame", f"hoses - radiator: {CLIPS}", f"hoses - engine: {CLIPS}",
        of="radiator-frame",
    )  # fmt: skip
    assert (found.does, found.pieces[0].runs) == (Fate.HANGS, ("hoses",))
    assert found.prop_first == (
        "hold the radiator (9 kg): it hangs on the hoses, which must not carry it"
    )


def test_a_joint_of_clips_alone_is_a_hose_by_itself():
    """Nobody described the hoses, only how they are held: that joint is what it hangs on."""
    said = (
        part("radiator", 9.0), "engine - frame", "radiator - frame",
        f"coolant hoses = radiator - engine: {CLIPS}",
    )  # fmt: skip
    found = drop(*said, of="radiator-frame")
    assert (found.does, found.pieces[0].ends) == (Fate.HANGS, ("coolant hoses",))
    assert found.words == "the radiator (9 kg) hangs on the coolant hoses"
    after = drop(*said, of="coolant hoses", undone=["radiator-frame"])
    assert (after.does, after.pieces[0].parts) == (Fate.FALLS, ("radiator",))


def test_a_belt_holds_no_dynamo():
    """Its bolts out, it falls: what runs round its pulley is no mounting."""
    found = drop(
        part("dynamo", 9.0), "engine - frame", "dynamo - engine", "fan - engine",
        "belt = dynamo - fan: 1 belt 10 x 965 mm", of="dynamo-engine",
    )  # fmt: skip
    assert found.pieces[0].ends == ("belt",)


@pytest.mark.parametrize(
    ("mass_kg", "people", "words"),
    [
        (30.0, 2, "two people hold the pump (30 kg): nothing else holds it"),
        (31.0, 2, "take the weight of the pump (31 kg) on a jack or hoist: nothing else holds it"),
        (80.0, 2, "take the weight of the pump (80 kg) on a jack or hoist: nothing else holds it"),
    ],
)
def test_more_than_one_can_lift_wants_a_helper_or_a_jack(mass_kg, people, words):
    """One person lifts 23 kg: the load constant of the revised NIOSH equation, 94-110.

    Two lift two thirds of the sum, 30.7 kg (HSE, L23). More than two find no room:
    one of them sees to the jack.
    """
    found = drop(part("pump", mass_kg), "pump - frame", of="pump-frame")
    assert (found.people, found.prop_first, found.needs_a_helper) == (people, words, True)


def test_described_lifting_gear_is_named():
    """A hoist that somebody described takes the weight, and nobody more is asked for."""
    found = drop(part("engine", 180.0, hoist="the hoist"), "engine - frame", of="engine-frame")
    assert found.prop_first.startswith("take the weight of the engine (180 kg) with the hoist")
    assert found.people == 1


@pytest.mark.parametrize("light", [part("lamp", 1.5), part("seat", 25.0, PartKind.TRIM)])
def test_light_things_and_trim_come_away_in_the_hand(light):
    """Nobody is told to hold what one holds anyway."""
    found = drop(light, f"{light.id} - frame", of=f"{light.id}-frame")
    assert (found.does, found.prop_first, found.lets_go) == (Fate.IN_THE_HAND, "", False)


def test_of_a_set_each_is_undone_by_itself():
    """Four of 3 kg are four light things."""
    found = drop(part("damper", 12.0, quantity=4), "damper - frame", of="damper-frame")
    assert (found.does, found.pieces[0].mass_kg) == (Fate.IN_THE_HAND, 3.0)


def test_a_guessed_mass_says_so():
    """Nobody knows what the panel weighs, so the figure is about right at best."""
    found = drop(part("door", None, PartKind.PANEL), "door - frame", of="door-frame")
    assert (found.pieces[0].guessed, found.words) == (True, "the door (about 8 kg) falls")


def test_of_what_may_be_an_engine_no_mass_is_guessed_in_words():
    """A pump and an engine are of one kind: 15 kg would be a guess at what lifts it."""
    found = drop(part("box", None, PartKind.MACHINE), "box - frame", of="box-frame")
    assert (found.does, found.words) == (Fate.FALLS, "the box (nobody knows its mass) falls")
    assert found.prop_first == (
        "take the weight of the box (nobody knows its mass) on a jack or hoist: "
        "nothing else holds it"
    )


def test_what_hangs_on_something_heavier_and_may_be_heavy_is_said_too():
    """What is known is a least: the rest of it may be anything."""
    found = drop(
        part("gearbox", 20.0), part("engine", None, PartKind.MACHINE),
        "gearbox - frame", "engine - gearbox", of="gearbox-frame",
    )  # fmt: skip
    named = "the gearbox with 1 more part on it (20 kg and more: nobody knows all of it)"
    assert found.words == f"{named} falls"
    assert found.prop_first == (
        f"take the weight of {named} on a jack or hoist: nothing else holds it"
    )


def test_a_part_left_on_a_hose_hangs_however_light():
    """A hose must not carry even a small cylinder."""
    found = drop(
        part("slave", 1.0), HOSE, "slave - frame", "hose - slave", "hose - frame",
        of="slave-frame",
    )  # fmt: skip
    assert (found.does, found.pieces[0].runs) == (Fate.HANGS, ("hose",))
    assert found.prop_first == (
        "hold the slave (1 kg): it hangs on the hose, which must not carry it"
    )


def test_the_end_of_the_hose_lets_fall_what_hung_on_it():
    """The pump hung on the hose alone; with the hose it goes."""
    found = drop(
        part("pump", 12.0), HOSE, "pump - frame", "hose - pump", "hose - frame",
        of="hose-frame", undone=["pump-frame"],
    )  # fmt: skip
    assert (found.does, found.pieces[0].parts) == (Fate.FALLS, ("pump",))


def test_a_part_swings_on_the_bolt_that_is_left():
    """The door turns on the lower bolt when the upper is out; on two screws it would not."""
    said = part("door", 18.0), "upper = door - frame: 1 bolt M8", "lower = door - frame: 1 bolt M8"
    found = drop(*said, of="upper")
    assert (found.does, found.pieces[0].pivot) == (Fate.SWINGS, "lower")
    assert found.prop_first == "tie back the door (18 kg): it swings on lower"
    heavy = drop(part("door", 123.0), *said[1:], of="upper")
    assert heavy.prop_first == (
        "take the weight of the door (123 kg) on a jack or hoist: it swings on lower"
    )
    assert drop(part("door", 30.0), *said[1:], of="upper").prop_first.startswith("a helper holds")
    two = joint("lower = door - frame: 2 screw M6")
    assert drop(*said[:2], two, of="upper").does is Fate.STAYS
    clip = joint("lower = door - frame: 1 clip")
    assert drop(*said[:2], clip, of="upper").does is Fate.STAYS


def test_what_a_jack_bears_on_does_not_come_down():
    """From its first joint to its removal the engine is on the hoist."""
    hoist = TemporarySupport("h", "hoist", "engine", "joint:front", "part:engine")
    said = part("engine", 180.0), "front = engine - frame", "rear = engine - frame", hoist
    assert drop(*said, of="rear", undone=["front"]).does is Fate.STAYS
    assert drop(*said[:3], of="rear", undone=["front"]).does is Fate.FALLS


# -- what was described ---------------------------------------------------------------------------


def described(**when) -> object:
    """The pump's joint, with what somebody said of it."""
    return replace(joint("pump - frame"), when_undone=WhenUndone(**when))


def test_described_words_come_first():
    """Who has done it before knows better."""
    line = described(does=Does.FALLS, detail="on its nose", prop_first="a block under the nose")
    found = drop(part("pump", 12.0), line, of="pump-frame")
    assert found.prop_first == "a block under the nose"
    assert found.words == "as described it falls: on its nose; the pump (12 kg) falls"


def test_a_spring_flies_only_where_somebody_said_so():
    """The graph knows nothing of springs; the description does."""
    found = drop(part("pump", 1.0), described(does=Does.FLIES), of="pump-frame")
    assert (found.does, found.lets_go) == (Fate.FLIES, True)
    assert found.prop_first == "nobody in line with the spring until it is slack"


def test_who_described_that_it_stays_is_believed():
    """The shell sits on its pads: the graph cannot see what rests on what."""
    line = described(detail="it sits in its tray")
    found = drop(part("pump", 30.0), line, of="pump-frame")
    assert (found.does, found.prop_first) == (Fate.STAYS, "")


def test_who_said_how_it_is_propped_has_said_how_many_it_takes():
    """A trestle stands under it: nobody holds it."""
    line = described(does=Does.FALLS, prop_first="a trestle under it")
    found = drop(part("pump", 30.0), line, of="pump-frame")
    assert (found.prop_first, found.people) == ("a trestle under it", 1)


def test_the_crew_that_was_described_is_asked_for():
    """Two people, because somebody said so."""
    line = replace(joint("pump - frame"), crew=2)
    assert drop(part("pump", 1.0), line, of="pump-frame").needs_a_helper


# -- where nobody said how it stands --------------------------------------------------------------


def test_without_a_standing_the_goal_s_datum_is_taken_and_said():
    """The frame of the goal stands; the answer says that this was taken."""
    v = vehicle(part("pump", 12.0), "pump - frame", datum="frame")
    found = what_drops(v, state_of(v), "pump-frame")
    assert (found.does, found.ground) == (Fate.FALLS, ("frame",))
    assert found.assumed == "the frame is taken as what stands, for nobody said"


def test_without_a_goal_the_heaviest_structure_is_taken():
    """Of two frames the heavier carries the other."""
    heavy, light = (part(n, m, PartKind.STRUCTURE) for n, m in (("frame", 90.0), ("sub", 20.0)))
    v = vehicle(heavy, light, "sub - frame")
    assert what_drops(v, state_of(v), "sub-frame").pieces[0].parts == ("sub",)


def test_of_a_vehicle_of_which_nothing_is_described_nothing_is_claimed():
    """Two names and a joint say nothing of what falls."""
    v = vehicle("lid - pump")
    found = what_drops(v, state_of(v), "lid-pump")
    assert (found.does, found.pieces, found.words) == (Fate.STAYS, (), "nothing moves")
    assert found.assumed == "nobody described what carries the vehicle"


def test_a_joint_that_is_undone_lets_nothing_go_and_an_unknown_one_is_refused():
    """The one is told in words, the other is an error."""
    assert drop("pump - frame", of="pump-frame", undone=["pump-frame"]).words == (
        "it is undone already"
    )
    v = vehicle("pump - frame")
    with pytest.raises(NotFound):
        what_drops(v, state_of(v), "nosuch")


def test_next_are_the_joints_that_could_be_undone_now():
    """The pump is behind the lid, so only the lid's joint is asked about."""
    v = vehicle("lid - frame", "pump - frame", "lid blocks pump - frame", STANDS)
    found = what_drops_next(v, state_of(v, standing="stands"))
    assert [each.joint for each in found] == ["lid-frame"]


# -- in a strip -----------------------------------------------------------------------------------


def planned(v, **state):
    """A strip that the checker finds nothing wrong with."""
    now, goal = state_of(v, **state), v.goals["bare"]
    plan = plan_strip(v, now, goal)
    assert check_strip(v, now, goal, plan) == ()
    return plan


def order_of(plan, *whats: str) -> list[str]:
    """Of these things, the order in which they are done."""
    return [step.what for step in plan.steps if step.what in whats]


PUMP = (
    part("pump", 12.0), HOSE, "a = pump - frame", "b = hose - pump; zone far",
    "c = hose - frame; zone far",
)  # fmt: skip


def test_the_end_of_the_hose_comes_off_before_the_last_bolt():
    """Though it is in another zone, the hose is off before the pump hangs on it."""
    plan = planned(vehicle(*PUMP, STANDS, datum="frame"), standing="stands")
    last = order_of(plan, "joint:a", "joint:b", "joint:c")[-1]
    assert last == "joint:a"


CLIPPED = {
    "hose": (
        part("pump", 12.0), part("hose"), "a = pump - frame",
        f"b = hose - pump: {CLIPS}; zone far", f"c = hose - frame: {CLIPS}; zone far",
    ),
    "b": (part("pump", 12.0), "a = pump - frame", f"b = pump - frame: {CLIPS}; zone far"),
}  # fmt: skip
"""The same with a hose described as any part, and as no more than a joint; what it hangs on."""


@pytest.mark.parametrize("run", CLIPPED)
def test_what_is_clipped_on_comes_off_before_the_last_bolt(run):
    """However the hose was described; the checker finds fault with the order turned round."""
    v = vehicle(*CLIPPED[run], STANDS, datum="frame")
    plan = planned(v, standing="stands")
    assert order_of(plan, "joint:a", "joint:b", "joint:c")[-1] == "joint:a"
    (bolt,) = (step for step in plan.steps if step.what == "joint:a")
    turned = (replace(bolt, prop_first="hold it"), *(s for s in plan.steps if s != bolt))
    now, goal = state_of(v, standing="stands"), v.goals["bare"]
    faults = check_strip(v, now, goal, replace(plan, steps=turned))
    told = {fault.words for fault in faults if fault.rule is StripRule.IN_THE_AIR}
    assert told == {f"the pump is left hanging on the {run}: its end comes first"}


def test_a_part_that_must_hang_is_propped():
    """The hose comes off after the bolt, for a reason of its own: the step says what to hold."""
    v = vehicle(*PUMP, STANDS, "a before b: it is in the way", "a before c: so it is",
                     datum="frame")  # fmt: skip
    step = next(s for s in planned(v, standing="stands").steps if s.what == "joint:a")
    assert "hangs on the hose" in step.prop_first


def test_nothing_is_left_in_the_air_over_a_change_of_standing():
    """The lid's joint is reached in one standing and the lid lifted in the other: it waits."""
    v = vehicle(
        part("lid", 12.0, standings=("stands",)), "lid - frame",
        part("knob", 1.0), "knob - frame; in wheels",
        standing("wheels", "frame", stands=30.0), standing("stands", "frame", wheels=30.0),
        datum="frame",
    )  # fmt: skip
    plan = planned(v, standing="wheels")
    assert {s.standing for s in plan.steps if s.what == "joint:lid-frame"} == {"stands"}
    assert not any(step.add_support for step in plan.steps)


def test_no_standing_is_left_for_one_without_the_stand_that_alone_holds_something():
    """Without its link the axle has its own stand only: what wants it gone is done before."""
    v = vehicle(
        part("axle", 40.0), part("link", 20.0), "link - axle", "link - frame; in low",
        part("cover", 1.0), "cover - frame; in high",
        standing("low", "frame", "axle", high=5.0), standing("high", "frame", low=5.0),
        datum="frame",
    )  # fmt: skip
    bare = replace(v.goals["bare"], off_rest=False, off=("link", "cover"), on=("axle",))
    plan = planned(v.with_records(goals={"bare": bare}), standing="low")
    assert order_of(plan, "part:cover", "joint:link-frame") == ["part:cover", "joint:link-frame"]
    assert not any(step.add_support for step in plan.steps)


def test_where_it_cannot_be_otherwise_the_plan_says_what_to_hold():
    """The last joint is reached in one standing alone, the lid lifted in the other alone."""
    v = vehicle(
        part("lid", 12.0, standings=("stands",)), "lid - frame; in wheels",
        standing("wheels", "frame", stands=30.0), standing("stands", "frame", wheels=30.0),
        datum="frame",
    )  # fmt: skip
    plan = planned(v, standing="wheels")
    step = next(s for s in plan.steps if s.what == "part:lid")
    assert step.add_support == "hold up lid while the standing changes: nothing else holds it"


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (lambda s: replace(s, prop_first=""), "the pump falls, and nobody is told to hold it"),
        (None, "the pump is left hanging on the hose: its end comes first"),
    ],
)
def test_a_fault_planted_in_a_plan_is_told(spoil, words):
    """A card without its words, and a bolt before the hose's end, both turn it red."""
    v = vehicle(*PUMP, STANDS, datum="frame")
    now, goal = state_of(v, standing="stands"), v.goals["bare"]
    plan = planned(v, standing="stands")
    steps = list(plan.steps)
    if spoil is not None:
        steps = [spoil(step) for step in steps]
    else:
        bolt = next(step for step in steps if step.what == "joint:a")
        steps.remove(bolt)
        steps.insert(0, replace(bolt, prop_first="hold it"))
    faults = check_strip(v, now, goal, replace(plan, steps=tuple(steps)))
    told = [fault.words for fault in faults if fault.rule is StripRule.IN_THE_AIR]
    assert told == [words]


def test_a_part_left_in_the_air_over_a_change_is_told():
    """The words that say what holds it meanwhile are taken away."""
    v = vehicle(
        part("lid", 12.0, standings=("stands",)), "lid - frame; in wheels",
        standing("wheels", "frame", stands=30.0), standing("stands", "frame", wheels=30.0),
        datum="frame",
    )  # fmt: skip
    now, goal = state_of(v, standing="wheels"), v.goals["bare"]
    plan = planned(v, standing="wheels")
    bare = replace(plan, steps=tuple(replace(s, add_support="") for s in plan.steps))
    (fault,) = check_strip(v, now, goal, bare)
    assert fault.words == "the standing changes while nothing holds the lid"


@pytest.mark.slow
@settings(max_examples=max(8, settings().max_examples // 10))
@given(st.integers(12, 30), st.integers(0, 99), st.booleans())
def test_plans_of_generated_vehicles_leave_nothing_in_the_air(parts, seed, said):
    """Every plan passes the checker, whatever the vehicle and however it stands."""
    v = generate(parts, seed)
    now = state_of(v, standing=next(iter(v.standings)) if said else None)
    goal = v.goals["all-off"]
    assert check_strip(v, now, goal, plan_strip(v, now, goal)) == ()


def test_all_joints_of_a_vehicle_are_told_at_once():
    """One answer for each joint, in the order asked for."""
    v = generate(60, 3)
    found = drops_of(v, state_of(v), v.joints)
    assert [each.joint for each in found] == list(v.joints)


def test_what_was_described_ends_with_what_it_speaks_of():
    """A spring that is off flies no more: the arm left in the joint falls, as it is worked out."""
    flies = WhenUndone(Does.FLIES, "the spring is loaded", prop_first="keep out of line")
    seat = replace(joint("seat = spring - arm - frame"), when_undone=flies)
    said = (part("spring", 3.0), part("arm", 8.0), seat)
    before = drop(*said, of="seat")
    assert (before.does, before.prop_first) == (Fate.FLIES, "keep out of line")
    after = drop(*said, of="seat", off=["spring"])
    assert (after.does, after.words) == (Fate.FALLS, "the arm (8 kg) falls")
    assert after.prop_first == "hold the arm (8 kg): nothing else holds it"
