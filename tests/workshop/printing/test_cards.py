"""Cards of the plan on hand: its steps, in its order, with what hangs on each."""

from io import BytesIO

import pytest
from PIL import Image
from pypdf import PdfReader

from putback.errors import BadInput
from putback.logbook.entries.base import Subject
from putback.logbook.entries.working import PhotoTaken
from putback.paper.drawing import Facing, MarkLook, Shape, mark_drawing, stack_drawing
from putback.paper.language import words_in
from putback.planning.sittings import sittings
from putback.vehicle.fastener import parse
from putback.vehicle.ids import JointId, PartId, StandingId, SupportId, ZoneId
from putback.vehicle.joint import (
    Consumable,
    Does,
    FinalWhen,
    Fixing,
    Joint,
    Piece,
    Tightening,
    TorqueOrigin,
    WhenUndone,
)
from putback.vehicle.part import MarkNeeded, Part
from putback.vehicle.run import Run, RunEnd
from putback.vehicle.standing import Standing, Support
from putback.workshop.plans.plans import follow, follow_rebuild, goal_called
from putback.workshop.printing.cards import PHOTO_PX, cards, with_photos, work_cards
from putback.workshop.printing.documents import document_called
from putback.workshop.printing.drawn import way
from putback.workshop.printing.plan_first import plan_first
from putback.workshop.printing.units import Units
from putback.workshop.printing.wanted import Wanted
from tests.makers import vehicle
from tests.pictures.photographs import packed, scene
from tests.stores import ANN, PHONE
from tests.workshop.lines import CAR, Lines

STANDS = StandingId("stands")


HALF_KNOWN = "suspended load: nobody under it; the load swings"
"""A caution of which only a piece has a row."""


@pytest.fixture
def lines() -> Lines:
    """A pump that falls, on stands; its bolts are critical and tightened at laden height."""
    bolt = Piece(parse("bolt 3/8-24 UNF x 1 in"))
    pin = Piece(parse("split pin 2.4 mm"), single_use=True)
    joint = Joint(
        JointId("pump-frame"),
        "pump to frame",
        (PartId("pump"), PartId("frame")),
        fixings=(Fixing("a", 2, (bolt, pin), head="heads upwards"),),
        tool="spanner 9/16 AF",
        zone=ZoneId("here"),
        standings=(STANDS,),
        tightening=Tightening(38.0, TorqueOrigin.MAKER, "oiled"),
        final_when=FinalWhen.LADEN,
        critical=True,
        when_undone=WhenUndone(Does.FALLS, "the pump drops", "a board under it"),
        consumables=(Consumable("grease", "on the shanks"),),
    )
    stood = Standing(
        STANDS,
        "front on stands",
        (Support(SupportId("left"), "stand", PartId("frame"), (0.0, -0.5)),
         Support(SupportId("right"), "stand", PartId("frame"), (0.0, 0.5))),
    )  # fmt: skip
    pump = Part(
        PartId("pump"),
        "pump",
        ZoneId("here"),
        marks=(MarkNeeded("paint", "across the joint"),),
        cautions=(HALF_KNOWN,),
    )
    made = vehicle(joint, stood, pump, "lid - frame: 4 screw M4", datum="frame")
    return Lines(made)


def planned(lines: Lines, *, back: bool = False):
    """Plan as a person would have, and give the plan's steps."""
    if back:
        return follow_rebuild(lines.workshop, CAR).plan.plan.steps
    return follow(lines.workshop, CAR, goal_called(lines.state, None)).plan.plan.steps


def test_the_jobs_are_those_of_the_plan_in_its_order(lines, words_of):
    """Every step once, numbered as in the plan, cut into its sittings."""
    steps = planned(lines)
    found = list(work_cards(lines.state, steps))
    jobs = [job for card in found for job in card.jobs]
    assert [job.number for job in jobs] == list(range(1, len(steps) + 1))
    assert [job.title for job in jobs] == [lines.state.name_of(step.what) for step in steps]
    assert [len(card.jobs) for card in found] == [
        each.end - each.first for each in sittings(steps)
    ]
    text = words_of(cards(Wanted(lines.workshop, CAR, PHONE)))
    places = [text.index(f"{job.verb}: {job.title}") for job in jobs]
    assert places == sorted(places)


def test_a_caution_that_somebody_wrote_is_in_one_language(lines, words_of):
    """As it was written, where no row has all of it; beside it Putback's own are German."""
    follow(lines.workshop, CAR, goal_called(lines.state, None))
    text = words_of(cards(Wanted(lines.workshop, CAR, PHONE, words=words_in("de"))))
    assert HALF_KNOWN[1:] in " ".join(text.split())
    assert "Zuerst abstützen: a board under it" in text


def test_a_job_of_the_strip_says_what_to_prop_and_to_mark(lines):
    """What falls is told before it is undone; pieces that come loose want a bag."""
    jobs = {
        job.title: job for card in work_cards(lines.state, planned(lines)) for job in card.jobs
    }
    undo = jobs["pump to frame"]
    assert undo.cautions[:2] == ("it falls: the pump drops", "Prop first: a board under it")
    assert undo.into_bag
    assert not undo.second
    assert undo.pieces == (
        "2 × bolt 3/8-24 UNF x 1 in + split pin 2.4 mm (new later); heads upwards",
    )
    (mark,) = jobs["pump"].marks
    assert mark.words == "mark: paint at across the joint"
    assert mark.drawing == mark_drawing(MarkLook.STRIPE)
    assert jobs["pump"].is_sketched


def test_what_holds_is_drawn_head_up_where_it_faces_up(lines):
    """The stack is drawn where it comes apart or goes together; arrow and head at the top."""
    (undo,) = (
        job
        for card in work_cards(lines.state, planned(lines))
        for job in card.jobs
        if job.title == "pump to frame"
    )
    shapes = (Shape.HEAD, Shape.PLATE, Shape.PLATE, Shape.SPLIT_PIN)
    assert undo.stacks == (stack_drawing(shapes, Facing.UP),)


def test_a_run_is_drawn_through_in_the_order_of_its_way(lines):
    """From the first end by what it passes to the last; other parts have no way."""
    hose = Run(
        PartId("hose"),
        ends=(RunEnd(JointId("a"), "pump"), RunEnd(JointId("b"), "wheel")),
        route=("over the axle", "behind the rail"),
    )
    state = Lines(vehicle(hose, "hose - frame: 1 screw M4", datum="frame")).state
    assert tuple(way(state, [PartId("hose")])) == (
        *("pump", "over the axle", "behind the rail", "wheel"),
    )
    assert tuple(way(lines.state, [PartId("pump")])) == ()


def test_a_card_says_how_it_stands_and_what_to_lay_out(lines):
    """What bears on what, that it is stood otherwise first, and each tool once."""
    card = next(each for each in work_cards(lines.state, planned(lines)) if each.standing)
    assert card.standing == "front on stands"
    assert card.is_change
    assert card.bears == ("2 × stand under frame",)
    assert card.tools == ("spanner 9/16 AF",)


def test_a_joint_that_waits_for_laden_height_is_not_yet_tight(lines, words_of):
    """Nipped says so, with the figure; a second person signs; bag and new pieces are named."""
    for line in ("place home", "undone pump-frame 2/2 tag=3CAH", "off pump"):
        lines(line, new=True)
    lines("moved 3CAH home")
    steps = planned(lines, back=True)
    found = list(work_cards(lines.state, steps))
    jobs = [job for card in found for job in card.jobs if job.title == "pump to frame"]
    tighten = next(job for job in jobs if job.verb == "Tighten")
    assert tighten.not_yet == "Nip it only; for good at laden height."
    assert "38 N·m (28 lbf·ft), oiled, maker figure" in tighten.torque
    assert tighten.second
    make = next(job for job in jobs if job.tags)
    assert make.tags == ("3CAH",)
    assert "have new: 2 × split pin 2.4 mm" in make.first
    fetched = [each for card in found for each in card.fetch]
    assert [(each.tag, each.where) for each in fetched if each.tag] == [("3CAH", "home")]
    had = {each for card in found for each in card.have}
    assert {"2 × split pin 2.4 mm", "grease (on the shanks)"} <= had
    text = words_of(cards(Wanted(lines.workshop, CAR, PHONE, is_rebuild=True)))
    assert "NOT YET tight. Nip it only; for good at laden height." in text
    assert "Work cards: rebuild" in text


def test_one_sitting_is_printed_alone(lines, words_of):
    """A sitting that is none is refused, with how many there are."""
    planned(lines)
    wanted = Wanted(lines.workshop, CAR, PHONE, sittings=(1,))
    assert "sitting 1 of" in words_of(cards(wanted))
    with pytest.raises(BadInput, match=r"there is no sitting 9; the plan on hand has \d"):
        cards(Wanted(lines.workshop, CAR, PHONE, sittings=(9,)))


def test_without_a_plan_there_is_no_card(lines):
    """Printing never plans; it says how to."""
    with pytest.raises(BadInput, match="no plan is on hand yet; plan first"):
        cards(Wanted(lines.workshop, CAR, PHONE))


def test_a_job_has_its_own_photo_from_before_beside_it(lines):
    """Made small, once for all jobs that it shows; one that is spoilt is left out."""
    photos = lines.workshop.photos
    whole, spoilt = photos.put(packed(scene(1600, 1200), "JPEG")), photos.put(b"no picture")
    for photo, of in ((whole, "part:pump"), (spoilt, "part:lid")):
        taken = PhotoTaken(photo=photo, of=(Subject(of),), caption="as found")
        lines.workshop.log(CAR, [taken], who=ANN, device=PHONE)
    steps = planned(lines)
    wanted = Wanted(lines.workshop, CAR, PHONE)
    shown, pictures = with_photos(wanted, tuple(work_cards(lines.state, steps)), steps)
    jobs = {job.title: job for card in shown for job in card.jobs}
    assert jobs["pump"].picture in pictures
    assert jobs["pump"].picture_words.startswith("as found · ")
    assert jobs["lid"].picture == ""
    assert len(pictures) == 1
    (small,) = pictures.values()
    assert max(Image.open(BytesIO(small)).size) == PHOTO_PX
    drawn = [image for page in PdfReader(BytesIO(cards(wanted))).pages for image in page.images]
    assert [max(each.image.size) for each in drawn] == [PHOTO_PX]


def test_a_plan_is_made_first_where_one_may_wait_for_it(lines):
    """Of the strip in hand, of a goal, of the rebuild; for a document about no plan none is."""
    wanted = Wanted(lines.workshop, CAR, PHONE)
    plan_first(document_called("open"), wanted)
    with pytest.raises(BadInput, match="no plan is on hand yet"):
        wanted.plan()
    plan_first(document_called("cards"), wanted)
    assert wanted.plan().goal == goal_called(lines.state, None).id
    lines("off lid")
    back = Wanted(lines.workshop, CAR, PHONE, is_rebuild=True)
    plan_first(document_called("orders"), back)
    assert back.plan().goal is None


def test_new_pieces_of_a_sitting_are_added_up():
    """Two joints that take three and two of a kind want five of it, not the larger number."""
    car = vehicle(
        "lid - frame: 3 bolt M8 + split pin 2 mm!",
        "pump - frame: 2 bolt M8 + split pin 2 mm!",
        datum="frame",
    )
    lines = Lines(car)
    for joint, part in (("lid-frame", "lid"), ("pump-frame", "pump")):
        lines(f"undone {joint}")
        lines(f"off {part}")
    found = list(work_cards(lines.state, planned(lines, back=True)))
    assert [card.have for card in found] == [("5 × split pin 2 mm",)]


def test_a_strip_wants_a_bag_for_each_joint_with_loose_pieces(lines):
    """They are among what to have ready, as many as the jobs of the card ask for."""
    found = list(work_cards(lines.state, planned(lines)))
    loose = [sum(job.into_bag for job in card.jobs) for card in found]
    assert sum(loose) == 2
    for card, number in zip(found, loose, strict=True):
        bags = [each for each in card.have if "empty bag" in each]
        many = f"{number} empty bags, each with a tag"
        assert bags == [[], ["1 empty bag with a tag"], [many]][number]


def test_a_way_and_a_stack_are_not_written_a_second_time():
    """Stations and pieces stand in their own lines; what else comes first stays."""
    hose = Run(
        PartId("hose"),
        ends=(RunEnd(JointId("hose-frame"), "pump"),),
        route=("over the axle",),
    )
    stack = "hose - frame: 1 bolt M4 + plain washer M4 + nut M4"
    lines = Lines(vehicle(hose, stack, datum="frame"))
    lines("undone hose-frame")
    lines("off hose")
    steps = planned(lines, back=True)
    jobs = [job for card in work_cards(lines.state, steps) for job in card.jobs]
    assert [job.way for job in jobs if job.way] == [("pump", "over the axle")]
    assert any(each.startswith("in this order: ") for step in steps for each in step.notes)
    assert any("bolt M4" in each and "nut M4" in each for job in jobs for each in job.pieces)
    first = [each for job in jobs for each in job.first]
    assert not any(each.startswith(("way: ", "in this order: ")) for each in first)


def test_a_figure_that_is_nipped_only_is_in_the_units_wanted(lines):
    """What the plan says before the joint's figure stays before it."""
    for line in ("undone pump-frame 2/2", "off pump"):
        lines(line)
    found = work_cards(lines.state, planned(lines, back=True), units=Units.IMPERIAL)
    told = {job.torque for card in found for job in card.jobs if job.not_yet}
    assert told == {"nip only; for good at laden height: 28 lbf·ft, oiled, maker figure"}
