"""The rules of the check: each finds its fault planted by hand and in a generated vehicle."""

from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.vehicle.check import RULES, Severity, check
from putback.vehicle.codec import TABLES
from putback.vehicle.facts import Obstruction, Phase
from putback.vehicle.goal import Goal
from putback.vehicle.ids import NOT_SAID, GoalId, PartId, part_ref
from putback.vehicle.job import JobKind
from putback.vehicle.joint import Does, FinalWhen, Shim, ShimPack, Stage, Tightening, WhenUndone
from putback.vehicle.part import Part, PartKind, Side
from putback.vehicle.run import Passage, Run, RunEnd
from putback.vehicle.standing import Support
from putback.vehicle.vehicle import Vehicle
from tests.makers import ZONE, piece, standing, vehicle
from tests.strategies.vehicles import generated_vehicles, records
from tests.vehicle.plants import (
    Plant,
    add,
    blocked_by,
    by_hand,
    change,
    drained_by,
    elsewhere,
    first,
    generated,
    goal_of,
    hidden_everywhere,
    in_fixing,
    in_joint,
    island,
    namesake,
    of_another,
    one_sided,
    only_as_a_warning,
    pathless,
    ring,
    ring_of_befores,
    some,
    with_part,
)

PLANTS: list[tuple[str, str, Plant]] = [
    ("nothing_by_that_name", "names part 'ghost' under parts", in_joint(parts=("ghost", "p1"))),
    ("nothing_by_that_name", "names zone 'moon' under zone", in_joint(zone="moon")),
    ("nothing_by_that_name", "standing 'loop' under crack_in", in_joint(crack_in="loop")),
    (
        "nothing_by_that_name",
        "standing 'air' under change_minutes",
        first("standings", change_minutes={"air": 3.0}),
    ),
    (
        "nothing_by_that_name",
        "names part 'ghost' under supports.bears_on",
        first("standings", supports=(Support("s", "stand", "ghost", (0.0, 0.0)),)),
    ),
    (
        "nothing_by_that_name",
        "names 'lid' under of, which is no reference; write it as joint:... or part:...",
        first("obstructions", of="lid"),
    ),
    ("nothing_by_that_name", "which is no reference", first("obstructions", of="job:survey")),
    ("nothing_by_that_name", "joint 'ghost' under first", first("befores", first="joint:ghost")),
    (
        "nothing_by_that_name",
        "names joint 'ghost' under last",
        first("temporary_supports", last="joint:ghost"),
    ),
    ("nothing_by_that_name", "names goal 'moon' under after", first("goals", after="moon")),
    ("nothing_by_that_name", "under ends.joint", first("runs", ends=(RunEnd("ghost"),))),
    ("nothing_by_that_name", "names part 'ghost' under part", lambda one: add(one, Run("ghost"))),
    ("impossible_number", "has a mass of -3 kg; give 0 or more", first("parts", mass_kg=-3)),
    ("impossible_number", "is a set of 0; give 1 or more", first("parts", quantity=0)),
    ("impossible_number", "a mass or a volume below nothing", first("fluids", volume_m3=-1)),
    ("impossible_number", "has a crew of 0; give 1 or more", in_joint(crew=0)),
    ("no_joint", "part 'odd' has no joint, so that nothing holds it", with_part()),
    ("away_from_every_datum", "part 'odd' and 1 more to the datum of any goal", island),
    ("same_name_and_side", "are both called", namesake),
    (
        "other_side",
        "part 'LH lamp' (odd) is described as on the right; is it the left one?",
        with_part(name="LH lamp", side=Side.RIGHT),
    ),
    ("other_side", "joins only parts of the other side", one_sided),
    ("joins_too_few", "joins 0 parts; name the parts", in_joint(parts=())),
    ("joins_too_few", "joins 1 part; name", first("joints", parts=lambda j: j.parts[:1] * 2)),
    ("same_part_twice", "2 times; name it once", first("joints", through=lambda j: j.parts[:1])),
    ("impossible_count", "is 0 holes; give 1 or more", in_fixing(count=0)),
    ("impossible_count", "has no hardware; say what holds it", in_fixing(stack=())),
    (
        "impossible_count",
        "takes 0 of 'nut M8x1.25'",
        in_fixing(stack=(replace(piece("nut M8"), per_fixing=0),)),
    ),
    (
        "impossible_count",
        "has 2 fixings 'a'; give each its own letter",
        first("joints", fixings=lambda joint: joint.fixings * 2),
    ),
    (
        "captive_in_the_hand",
        "'captive nut M8x1.25' never leaves its part; mark it as staying",
        in_fixing(stack=(replace(piece("captive nut M8"), stays=False),)),
    ),
    ("impossible_torque", "is tightened to -2 N·m", in_joint(tightening=Tightening(-2))),
    (
        "impossible_torque",
        "has a stage with neither torque nor angle",
        in_joint(tightening=Tightening(25, stages=(Stage(),))),
    ),
    (
        "torque_not_recorded",
        "is critical, and no torque is recorded; look it up",
        first("joints", critical=True, tightening=Tightening()),
    ),
    (
        "torque_not_recorded",
        "does not say by whose word and in what condition of the thread",
        first("joints", critical=True, tightening=Tightening(25)),
    ),
    ("shims", "one is 0 mm thick", in_joint(shims=(ShimPack("LH", (Shim(0.0),)),))),
    (
        "shims",
        "shims at 'LH' differ, and their order is not said",
        in_joint(shims=(ShimPack("LH", (Shim(0.001), Shim(0.002))),)),
    ),
    (
        "shims",
        "add up to 2 mm and measured 3 mm; count them again",
        in_joint(shims=(ShimPack("LH", (Shim(0.001),) * 2, measured_m=0.003),)),
    ),
    (
        "danger_without_a_word",
        "something flies when it is undone; say what to prop",
        in_joint(when_undone=WhenUndone(Does.FLIES)),
    ),
    (
        "by_position_of_nothing",
        "may be closed by position, but waits for no height",
        in_joint(by_position=True, final_when=FinalWhen.AS_FITTED),
    ),
    ("no_ends", "has no ends; make each end a joint", first("runs", ends=())),
    ("end_of_another", "is an end or a clip of run", of_another),
    (
        "no_way_out",
        "passes 'grommet'; say which end is drawn through",
        first(
            "runs",
            passages=(Passage("grommet"),),
            ends=lambda run: tuple(replace(end, passes=False) for end in run.ends),
        ),
    ),
    ("path_not_described", "has no path; describe its run", pathless),
    (
        "path_not_described",
        "has a path, but is described as a machine",
        lambda one: change(one, "parts", some(one, "runs").part, kind=PartKind.MACHINE),
    ),
    ("opened_by_another", "no joint opens opening", first("openings", joints=())),
    ("opened_by_another", "has 0 ends to close", first("openings", ends=0)),
    ("opened_by_another", "does not hold; name the joint at it, or its part", elsewhere),
    ("drained_otherwise", "nothing drains fluid", first("fluids", drained_by=None)),
    ("drained_otherwise", "a survey; name the job that drains", drained_by(kind=JobKind.SURVEY)),
    ("drained_otherwise", "which drains another; name", drained_by(fluid="other")),
    ("carried_by_nothing", "nothing carries the vehicle", first("standings", supports=())),
    (
        "impossible_support",
        "supports 'same'; give each its own identity",
        first(
            "standings",
            supports=lambda each: (replace(each.supports[0], id="same"),) * 2,
        ),
    ),
    (
        "impossible_support",
        "which it needs off; is the support beside the vehicle?",
        first("standings", needs_off=lambda each: (each.supports[0].bears_on,)),
    ),
    (
        "impossible_support",
        "is rated at 0 kg; leave it out",
        first("standings", supports=lambda each: (replace(each.supports[0], rating_kg=0),)),
    ),
    (
        "impossible_support",
        "carries 900 kg, more than the 500 kg it is rated at",
        first("temporary_supports", load_kg=900, rating_kg=500),
    ),
    (
        "impossible_change",
        "takes -5 min; give 0 or more",
        first("standings", change_minutes=lambda each: dict.fromkeys(each.change_minutes, -5)),
    ),
    (
        "impossible_change",
        "can be changed into itself",
        first("standings", change_minutes=lambda each: {each.id: 5.0}),
    ),
    (
        "no_way_into",
        "no standing can be changed into 'loft'",
        lambda one: add(one, standing("loft", some(one, "goals").datum)),
    ),
    ("out_of_reach", "cannot be reached in any standing", hidden_everywhere),
    ("out_of_reach", "cannot be reached in any", only_as_a_warning("joints", "standings")),
    ("out_of_reach", "to be cracked in 'bad', a wrong", only_as_a_warning("joints", "crack_in")),
    ("out_of_reach", "can be done only in a", only_as_a_warning("jobs", "standings")),
    ("never_lifted", "cannot be lifted away in any standing", hidden_everywhere),
    (
        "nothing_left_to_stand_on",
        "a support of every standing bears on a part that is off",
        goal_of(datum=lambda one: [*one.parts][-1], off=lambda one: tuple(one.parts)[:-1]),
    ),
    ("in_its_own_way", "names nothing that is in the way", first("obstructions", any_of=())),
    ("in_its_own_way", "must come first for it to come off", blocked_by("own")),
    ("in_its_own_way", "must come first for it to come off", blocked_by("own", "other")),
    (
        "in_its_own_way",
        "must come first",
        lambda one: add(one, Obstruction("ob", ("p",), part_ref("p"))),
    ),
    ("before_itself", "before itself", first("befores", then=lambda before: before.first)),
    ("before_itself", "harder after itself", first("harder_afters", after=lambda each: each.job)),
    ("impossible_factor", "has a factor of -1; give more", first("harder_afters", factor=-1)),
    ("impossible_factor", "a factor of 1, which changes", first("harder_afters", factor=1)),
    ("job_on_nothing", "is a tighten of no joint", first("jobs", kind=JobKind.TIGHTEN)),
    ("job_on_nothing", "drains nothing", first("jobs", kind=JobKind.DRAIN, fluid=None)),
    ("job_on_nothing", "sitting as itself", first("jobs", same_sitting_as=lambda job: job.id)),
    ("no_assembly", "has fewer than two parts", first("assemblies", parts=lambda u: u.parts[:1])),
    (
        "no_assembly",
        "holds part 'odd'; describe the joint",
        lambda one: first("assemblies", parts=lambda u: (*u.parts, "odd"))(with_part()(one)),
    ),
    (
        "no_assembly",
        "has the datum of goal",
        lambda one: first("assemblies", parts=tuple(one.parts))(one),
    ),
    (
        "off_and_on",
        "both off and on; leave one out",
        goal_of(off=lambda one: (*one.parts,)[1:2], on=lambda one: (*one.parts,)[1:2]),
    ),
    ("off_and_on", "wants its datum", goal_of(off=lambda one: (some(one, "goals").datum,))),
    ("asks_for_nothing", "goal 'odd goal' (g) takes nothing off", goal_of()),
    ("kept_in_the_way", "must come off or undone", blocked_by("kept")),
    (
        "kept_in_the_air",
        "on, and nothing would hold it; keep on what it is fixed to",
        lambda one: goal_of(on=("odd",), off_rest=True)(island(one)),
    ),
    ("after_itself", "goals go in a ring: 'odd goal' (g) after", goal_of(after="g")),
    (
        "job_of_the_rebuild",
        "which is of the rebuild; leave it out",
        goal_of(jobs=lambda one: (some(one, "jobs", lambda j: j.phase is Phase.REBUILD).id,)),
    ),
    (
        "ring_in_the_strip",
        "in the strip, joint 'box bolts' waits for part 'cover' (obstruction 'oy'), which waits "
        "for joint 'cover bolts', which waits for part 'box' (obstruction 'ox'), which waits for "
        "joint 'box bolts' again",
        ring,
    ),
    ("ring_in_the_strip", "(before 'x')", ring_of_befores(Phase.BOTH)),
    ("ring_in_the_rebuild", "(before 'x')", ring_of_befores(Phase.REBUILD)),
]


@pytest.mark.parametrize("vehicle_of", [by_hand, generated])
def test_a_clean_vehicle_has_no_fault(vehicle_of: Callable[[], Vehicle]) -> None:
    """Neither the small vehicle nor the generated one has any fault, not even a doubt."""
    assert check(vehicle_of()) == ()


@pytest.mark.parametrize("vehicle_of", [by_hand, generated])
@pytest.mark.parametrize(("rule", "message", "planted"), PLANTS)
def test_a_planted_fault_is_found(
    rule: str, message: str, planted: Plant, vehicle_of: Callable[[], Vehicle]
) -> None:
    """A fault planted in a clean vehicle is found by its rule, and says what is wrong."""
    found = [str(fault) for fault in check(planted(vehicle_of())) if fault.rule == rule]
    assert any(message in each for each in found), found


def test_a_zone_before_any_is_described_is_a_doubt() -> None:
    """Where zones are described, another is a contradiction; where none are, it may be right."""
    one = replace(by_hand(), zones={})
    found = [fault for fault in check(one) if fault.rule == "nothing_by_that_name"]
    assert found
    assert {fault.severity for fault in found} == {Severity.DOUBT}
    assert "and no zone is described yet; describe the zones" in str(found[0])


def test_what_nobody_named_yet_is_a_doubt() -> None:
    """A record that must name something stands with a mark in its place; nor is it a ring."""
    open_ = f"job:{NOT_SAID}"
    one = by_hand()
    for planted in (
        first("parts", zone=NOT_SAID),
        first("befores", first=open_, then=open_),
        first("harder_afters", job=open_, after=open_),
        first("obstructions", any_of=()),
    ):
        one = planted(one)
    found = check(one)
    assert any("names no zone under zone yet; name it when you" in str(each) for each in found)
    assert [each for each in found if each.is_error] == []
    assert not [each for each in found if each.rule == "before_itself"]


def test_what_names_too_few_contradicts_itself_and_what_names_none_is_not_known_yet() -> None:
    """A joint or an assembly of one part is wrong; of no part, nobody has got to it."""
    for table in ("joints", "assemblies"):
        for parts, severity in (((), Severity.DOUBT), (("frame",), Severity.ERROR)):
            one = first(table, parts=parts)(by_hand())
            rules = {"joins_too_few", "no_assembly"}
            found = [fault for fault in check(one) if fault.rule in rules]
            assert [fault.severity for fault in found] == [severity]


def test_every_rule_has_its_fault_planted() -> None:
    """No rule goes untested."""
    assert {rule for rule, _, _ in PLANTS} == set(RULES)


def test_all_faults_are_told_at_once_errors_first() -> None:
    """Every plant in one vehicle is found together, each with its rule and its record."""
    one = by_hand()
    for planted in (
        with_part(),
        first("parts", mass_kg=-3),
        in_joint(crew=0),
        goal_of(),
        first("openings", ends=0),
    ):
        one = planted(one)
    found = check(one)
    assert [(fault.rule, fault.ref, fault.severity) for fault in found] == [
        ("impossible_number", "part:hose", Severity.ERROR),
        ("impossible_number", "joint:pump-frame", Severity.ERROR),
        ("opened_by_another", "opening:q", Severity.ERROR),
        ("no_joint", "part:odd", Severity.DOUBT),
        ("asks_for_nothing", "goal:g", Severity.DOUBT),
    ]
    assert [fault.is_error for fault in found] == [True, True, True, False, False]
    assert str(found[-1]).startswith("perhaps: goal ")


def test_what_has_no_joint_can_be_kept_on() -> None:
    """Of a bare list of parts nobody said what holds them: to keep some contradicts nothing."""
    axle, lid = (Part(PartId(each), each, ZONE) for each in ("axle", "lid"))
    goal = Goal(GoalId("g"), "rolling", PartId("frame"), on=(PartId("axle"),), off_rest=True)
    one = vehicle("arm - frame", axle, lid, goal)
    assert [each for each in check(one) if each.severity is Severity.ERROR] == []


def test_without_a_goal_nothing_need_lead_anywhere() -> None:
    """Where nobody has said what is to be reached, loose groups of parts are no fault."""
    assert check(vehicle("a - b: 1 nut M8", "c - d: 1 nut M8")) == ()


@given(generated_vehicles(40))
def test_generated_vehicles_are_clean(one: Vehicle) -> None:
    """No generated vehicle has a fault."""
    assert check(one) == ()


@pytest.mark.parametrize("table", [table for table in TABLES if table != "about"])
@given(st.data())
def test_the_check_bears_any_description(table: str, data: st.DataObject) -> None:
    """However little sense a record makes, it is answered with faults, never with a crash."""
    record = data.draw(records(table))
    for fault in check(add(by_hand(), record)):
        assert str(fault)
