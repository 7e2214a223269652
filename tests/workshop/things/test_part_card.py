"""All that is known of one part or joint."""

from dataclasses import replace

from putback.vehicle.ids import JointId, PartId
from putback.vehicle.joint import (
    Consumable,
    FinalWhen,
    Shim,
    ShimPack,
    Tightening,
    TorqueOrigin,
)
from putback.vehicle.opening import Opening
from putback.vehicle.part import MarkNeeded, Part
from putback.workshop.things.part_card import joint_card, part_card
from tests.makers import ZONE, joint, vehicle
from tests.workshop.lines import Lines

HELD = replace(
    joint("pump - frame: 2 bolt M6 x 16 + spring washer M6!; critical"),
    tightening=Tightening(10, TorqueOrigin.MAKER, "dry", sequence="crosswise"),
    final_when=FinalWhen.LADEN,
    shims=(ShimPack("front foot", (Shim(0.001), Shim(0.0005))),),
    consumables=(Consumable("sealant", "a thin bead"),),
)
ABOUT = vehicle(
    HELD,
    "lid - frame: 4 bolt M8 x 20",
    "lid blocks pump-frame: no room for the spanner",
    "lid blocks pump",
    Part(
        PartId("pump"),
        "Pump",
        ZONE,
        crew=2,
        marks=(MarkNeeded("punch", "flange", "which way round"),),
        as_found="red",
        correct="black",
    ),
    Opening("port", "pump port", "pump", (JointId("pump-frame"),), ends=2, closed_with="cap"),
)


def test_a_part_tells_what_holds_it_and_how():
    """Fasteners, what locks them, the torque with its origin and condition, shims."""
    (held,) = part_card(Lines(ABOUT).state, PartId("pump")).joints
    assert held.fixings == ("2 × bolt M6x1 x 16 mm + spring washer M6, new each time",)
    assert held.locks == "spring washer"
    assert held.torque == "10 N·m (89 lbf·in), dry, maker figure"
    assert (held.sequence, held.final_when) == ("crosswise", "at laden height")
    assert held.shims == ("front foot: 1 mm, 0.5 mm",)
    assert held.used_up == ("sealant, a thin bead",)
    assert [each.name for each in held.parts] == ["Pump", "frame"]


def test_what_is_in_the_way_is_told_until_it_is_away():
    """Of the part and of joints that still hold; gone once it is off, or the joint undone."""
    lines = Lines(ABOUT)
    told = [
        (each.of, [step.name for step in each.parts], each.why)
        for each in part_card(lines.state, PartId("pump")).in_the_way
    ]
    assert told == [
        ("it", ["lid"], ""),
        ("pump-frame", ["lid"], "no room for the spanner"),
    ]
    lines("undone pump-frame 2/2")
    assert len(part_card(lines.state, PartId("pump")).in_the_way) == 1
    lines("off lid")
    assert part_card(lines.state, PartId("pump")).in_the_way == ()


def test_a_part_tells_its_marks_openings_cautions_and_both_looks():
    """What to mark and what was marked, ends to close, who lifts, as found and correct."""
    lines = Lines(ABOUT)
    lines("mark pump how=paint where=foot")
    lines("measured pump float 0.4 mm high=0.3")
    card = part_card(lines.state, PartId("pump"))
    assert card.marks_wanted == ("punch, flange, which way round",)
    assert card.marks_made == ("paint, foot",)
    assert card.readings == ("float: 0.4 mm, outside",)
    assert [(each.name, each.ends) for each in card.openings] == [("pump port", 2)]
    assert card.cautions == ("it takes 2 people",)
    assert card.about is not None
    assert (card.about.as_found, card.about.correct) == ("red", "black")


def test_where_a_part_is_is_told_once_step_by_step():
    """The chain of containers stands apart from the lines on how it is."""
    lines = Lines(ABOUT)
    lines("box 3HNA")
    lines("off lid tag=3HNA")
    card = part_card(lines.state, PartId("lid"))
    assert [each.subject for each in card.chain] == ["tag:3HNA"]
    assert not any("3HNA" in line for line in card.says)


def test_the_bags_of_a_joint_are_those_that_hold_its_pieces():
    """A joint that was bagged names its bag; one that was not names none."""
    lines = Lines(ABOUT)
    lines("undone lid-frame 4/4 tag=3CAH")
    assert joint_card(lines.state, JointId("lid-frame")).bags == ("3CAH",)
    assert joint_card(lines.state, JointId("pump-frame")).bags == ()


def test_what_nobody_described_has_a_card_all_the_same():
    """A part and a joint that only the logbook knows are told as far as that goes."""
    lines = Lines(ABOUT)
    lines("undone catch", new=True)
    (made,) = [each for each in lines.state.joints if each not in ABOUT.joints]
    card = joint_card(lines.state, made)
    assert card.stage == "undone"
    assert card.torque == ""
    assert part_card(lines.state, PartId("nothing")).about is None
