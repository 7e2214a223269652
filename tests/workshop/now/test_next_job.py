"""The next job, and what can be done in its stead."""

from datetime import timedelta

import pytest

from putback.errors import NotFound
from putback.planning.plan import Action, Because, Reason, Step
from putback.vehicle.assembly import Assembly
from putback.vehicle.ids import AssemblyId, PartId, Ref, StandingId
from putback.vehicle.standing import Standing
from putback.workshop.now.at_choice import at_choice
from putback.workshop.now.next_job import next_job
from putback.workshop.now.stuck import may_be_stuck, stuck_joint
from putback.workshop.pictures.photo_before import photo_before
from putback.workshop.plans.job_card import Deed
from tests.makers import vehicle
from tests.workshop.lines import CAR, Lines

STANDS = StandingId("stands")
LID = vehicle(
    "lid - frame: 4 bolt M8 x 20",
    "pump - frame: 2 bolt M6 x 16",
    "fan - pump: 3 bolt M6 x 16",
    Assembly(AssemblyId("unit"), "pump with fan", (PartId("pump"), PartId("fan"))),
    Standing(STANDS, "on stands"),
    datum="frame",
)
UNDO_LID = Step(Action.UNDO, Ref("joint:lid-frame"))
LID_OFF = Step(
    Action.TAKE_OFF,
    Ref("part:lid"),
    reasons=(Reason(Because.HOLDS, Ref("joint:lid-frame"), "lid-frame still holds it"),),
)
UNIT_OFF = Step(Action.TAKE_OFF, Ref("assembly:unit"))


def next_of(lines: Lines, *steps: Step, chosen: str | None = None):
    """The next job."""
    return next_job(lines.workshop, CAR, steps, Ref(chosen) if chosen else None)


def test_the_first_step_is_next_and_three_follow():
    """Nothing is next where nothing is planned."""
    found = next_of(Lines(LID), UNDO_LID, LID_OFF, UNIT_OFF)
    assert (found.card.what, found.is_chosen) == ("joint:lid-frame", False)
    assert [each.what for each in found.after] == ["part:lid", "assembly:unit"]
    assert next_of(Lines(LID)) is None


def test_the_vehicle_is_made_to_stand_first():
    """The change is a job by itself, and the step it is for comes after it."""
    lines = Lines(LID)
    step = Step(Action.UNDO, Ref("joint:lid-frame"), STANDS)
    found = next_of(lines, step)
    assert (found.card.deed, found.after[0].what) == (Deed.STOOD, "joint:lid-frame")
    lines("standing stands")
    assert next_of(lines, step).card.what == "joint:lid-frame"


def test_somebody_may_pick_any_job_of_the_plan():
    """A part that comes off with a whole is picked by the whole's step."""
    steps = (UNDO_LID, LID_OFF, UNIT_OFF)
    assert next_of(Lines(LID), *steps, chosen="part:lid").card.what == "part:lid"
    found = next_of(Lines(LID), *steps, chosen="part:fan")
    assert (found.card.what, found.is_chosen) == ("assembly:unit", True)
    assert found.card.parts == ("pump", "fan")


def test_of_several_jobs_of_one_thing_the_one_that_was_meant_is_picked():
    """Made and checked in a rebuild; where none is such, the first of them."""
    lines, lid = Lines(LID), Ref("joint:lid-frame")
    steps = [Step(Action.TIGHTEN, lid), Step(Action.CHECK, lid)]

    def picked(deed: str) -> Deed:
        return next_job(lines.workshop, CAR, steps, lid, deed).card.deed

    assert [picked(each) for each in ("made", "checked", "", "off")] == [
        Deed.MADE,
        Deed.CHECKED,
        Deed.MADE,
        Deed.MADE,
    ]


def test_what_no_plan_has_can_be_picked_too():
    """A joint to undo, a part to take off; and back on in a rebuild."""
    lines = Lines(LID)
    assert next_of(lines, chosen="joint:lid-frame").card.deed is Deed.UNDONE
    assert next_of(lines, chosen="part:lid").card.deed is Deed.OFF
    lines("off lid")
    assert next_of(lines, chosen="part:lid").card.deed is Deed.ON
    lines("undone pump-frame")
    assert next_of(lines, chosen="joint:pump-frame").card.deed is Deed.MADE


def test_what_is_not_there_cannot_be_picked():
    """It is said."""
    with pytest.raises(NotFound):
        next_of(Lines(LID), chosen="part:wing")


def test_what_can_be_done_now_is_offered_first():
    """What waits says for what, also where it is the standing."""
    lines = Lines(LID)
    stand = Step(Action.UNDO, Ref("joint:pump-frame"), STANDS)
    found = at_choice(lines.state, (stand, UNDO_LID, LID_OFF))
    assert [(each.card.what, each.is_possible) for each in found] == [
        ("joint:lid-frame", True),
        ("joint:pump-frame", False),
        ("part:lid", False),
    ]
    assert [each.waits_for for each in found] == [
        "",
        "it is done on stands",
        "lid-frame still holds it",
    ]


def test_begun_joints_are_the_ones_that_may_be_stuck():
    """Then those of the plan; what is undone is not stuck."""
    lines = Lines(LID)
    lines("undone pump-frame 1/2 stuck=1")
    lines("undone fan-pump")
    named = [joint for joint, _ in may_be_stuck(lines.state, [UNDO_LID])]
    assert named == ["pump-frame", "lid-frame"]
    found = stuck_joint(lines.state, named[0])
    assert (found.out, found.of, found.stuck) == (1, 2, 1)


def test_a_job_has_its_photo_from_before():
    """The latest of the joint, else of one of its parts."""
    lines = Lines(LID)
    card = next_of(lines, UNDO_LID).card
    assert photo_before(lines.workshop, CAR, card) is None
    first, second = "a" * 64, "b" * 64
    lines(f"photo photo={first} of=part:lid caption=old")
    lines(f"photo photo={second} of=part:lid caption=new")
    found = photo_before(lines.workshop, CAR, card)
    assert (found.photo, found.words, found.of) == (second, "new", ("part:lid",))
    lines(f"photo photo={'c' * 64} of=joint:lid-frame")
    assert photo_before(lines.workshop, CAR, card).of == ("joint:lid-frame",)


def test_in_a_rebuild_the_photo_from_before_goes_before_a_later_one():
    """What was taken on the bench does not show how it sat."""
    lines = Lines(LID)
    card = next_of(lines, UNDO_LID).card
    before, bench = "a" * 64, "b" * 64
    lines(f"photo photo={before} of=joint:lid-frame")
    lines("undone lid-frame")
    lines(f"photo photo={bench} of=joint:lid-frame")
    found = photo_before(lines.workshop, CAR, card)
    assert (found.photo, found.from_before) == (before, True)


TWO = (
    UNDO_LID,
    LID_OFF,
    Step(Action.UNDO, Ref("joint:fan-pump")),
    Step(Action.UNDO, Ref("joint:pump-frame"), STANDS),
)


def test_what_is_put_off_is_passed_over_with_what_waits_for_it():
    """Another step that can be done now comes first; what waits is named last."""
    lines = Lines(LID)
    lines("put-off lid-frame why=stuck")
    found = next_of(lines, *TWO)
    assert (found.card.what, found.put_off) == ("joint:fan-pump", "")
    assert [each.what for each in found.after] == [
        "joint:pump-frame",
        "joint:lid-frame",
        "part:lid",
    ]
    assert next_of(lines, *TWO, chosen="joint:lid-frame").card.what == "joint:lid-frame"


def test_what_was_put_off_until_a_day_is_next_again_from_that_day():
    """The day before it is passed over."""
    lines = Lines(LID)
    today = lines.watch.now().date()
    lines(f"put-off lid-frame why='no part' until={today + timedelta(days=1)}")
    assert next_of(lines, *TWO).card.what == "joint:fan-pump"
    lines.watch.put_on(minutes=24 * 60)
    assert next_of(lines, *TWO).card.what == "joint:lid-frame"


def test_where_nothing_else_can_be_done_now_it_is_said():
    """What needs another standing is no way out; what the plan would begin with anyway is."""
    lines = Lines(LID)
    lines("put-off lid-frame why='no part' until=2099-01-31")
    only = (UNDO_LID, LID_OFF, TWO[3])
    found = next_of(lines, *only)
    assert found.card.what == "joint:lid-frame"
    assert found.put_off == (
        "it was put off until 31 Jan 2099 (no part), but nothing else of the plan can be done now"
    )
    stands = Step(Action.UNDO, Ref("joint:lid-frame"), STANDS)
    found = next_of(lines, stands, LID_OFF, TWO[3])
    assert (found.card.deed, found.put_off) == (Deed.STOOD, "")
    assert [each.what for each in found.after] == [
        "joint:pump-frame",
        "joint:lid-frame",
        "part:lid",
    ]


def test_a_whole_is_put_off_with_one_of_its_parts():
    """It is passed over as its part would be."""
    lines = Lines(LID)
    lines("put-off fan why=stuck")
    assert next_of(lines, UNIT_OFF, UNDO_LID).card.what == "joint:lid-frame"
    assert next_of(lines, UNIT_OFF).put_off
