"""Tags gathered from the logbook: what is in a bag, which codes are taken, what is loose."""

from io import BytesIO

import pytest
from pypdf import PdfReader

from putback.errors import BadInput, NotFound
from putback.logbook.tags import BadTag
from putback.paper.page import Page
from putback.paper.tags import Held
from putback.vehicle.ids import JointId, PartId, Ref, ZoneId
from putback.vehicle.part import Part, Side
from putback.workshop.plans.plans import follow_rebuild
from putback.workshop.printing.documents import DOCUMENTS, document_called
from putback.workshop.printing.tags import (
    _named_once,
    _unless_said,
    blank_labels,
    labels,
    not_torqued,
    tags,
)
from putback.workshop.printing.wanted import Wanted
from tests.makers import vehicle
from tests.stores import PHONE
from tests.workshop.lines import CAR, Lines


@pytest.fixture
def lines() -> Lines:
    """A pump held by two nuts, on the left."""
    left = Part(PartId("pump"), "pump", ZoneId("here"), side=Side.LEFT)
    return Lines(
        vehicle("pump - frame: 2 nut M8; critical", "lid - pump: 4 screw M4", left, datum="frame")
    )


def wanted(lines: Lines, **options) -> Wanted:
    """A document of that car."""
    return Wanted(lines.workshop, CAR, PHONE, **options)


def test_a_bag_says_of_which_joint_and_side_its_pieces_are(lines):
    """What was undone into a bag stands on its tag, with the joint, the side and the day."""
    lines("undone pump-frame 2/2 tag=3CAH")
    (label,) = labels(lines.state)
    assert (label.tag, label.kind, label.day) == ("3CAH", "bag", "2 May 2031")
    (held,) = label.held
    assert (held.what, held.side) == ("2 × nut M8x1.25", "left")
    assert "pump" in held.of


def test_a_part_and_a_box_stand_on_the_tag_they_lie_under(lines):
    """Parts come first, then pieces, then the boxes inside."""
    lines("undone pump-frame 2/2 tag=3CAH")
    lines("put tag:3CAH tag=3HNA", new=True)
    lines("off pump tag=3HNA")
    found = {str(each.tag): each for each in labels(lines.state)}
    assert [each.of for each in found["3HNA"].held] == ["pump", "bag 3CAH"]


def test_only_the_tags_that_are_chosen_are_printed(lines):
    """A chosen tag is found however it is typed; one in no use is refused with what is near."""
    lines("undone pump-frame 2/2 tag=3CAH")
    lines("undone lid-pump 4/4 tag=3HNA")
    assert [str(each.tag) for each in labels(lines.state, ["3c ah"])] == ["3CAH"]
    with pytest.raises(NotFound, match="K7F4"):
        list(labels(lines.state, ["K7F4"]))
    with pytest.raises(BadTag):
        list(labels(lines.state, ["K7F5"]))


def test_blank_tags_are_the_next_in_the_order_of_issue_and_taken(lines):
    """Printed twice they are others: no two rings ever bear the same code."""
    first = [each.tag for each in blank_labels(wanted(lines, blank=5))]
    again = [each.tag for each in blank_labels(wanted(lines, blank=5))]
    assert first + again == list(lines.workshop.tags_of(PHONE))
    assert len({*first, *again}) == 10
    assert all(not each.held and not each.kind for each in blank_labels(wanted(lines, blank=1)))


@pytest.mark.parametrize("count", [-1, 100_000])
def test_blank_tags_that_cannot_be_are_not_reserved(lines, count):
    """A number of tags that there are not is refused, and nothing is taken."""
    with pytest.raises(BadInput, match="blank tags cannot be printed; ask for some dozens"):
        tags(wanted(lines, blank=count))
    assert lines.workshop.tags_of(PHONE) == ()


def test_a_joint_that_is_only_nipped_gets_a_red_tag(lines, words_of):
    """What is made and not tightened is named; what is tightened is not."""
    for joint, how in (("pump-frame", "nipped"), ("lid-pump", "final")):
        lines(f"undone {joint}")
        lines(f"made {joint} {how}")
    assert JointId("pump-frame") in lines.state.joints
    said = words_of(not_torqued(wanted(lines)))
    assert "nipped" in said
    assert "lid" not in said


@pytest.mark.parametrize("each", DOCUMENTS, ids=lambda each: each.name)
def test_every_document_can_be_made(lines, each):
    """Each is found by its name and gives a PDF, on a vehicle of three parts."""
    lines("undone lid-pump 4/4 tag=3HNA")
    follow_rebuild(lines.workshop, CAR)
    assert document_called(each.name.upper()) is each
    paper = each.make(wanted(lines, is_rebuild=True, lift=(Ref("part:pump"),)))
    assert paper.startswith(b"%PDF-")


def test_a_document_that_is_none_is_refused_with_the_nearest():
    """Whoever errs in a name is told the names."""
    with pytest.raises(NotFound, match="tags"):
        document_called("taggs")


def test_nothing_on_a_tag_is_said_twice():
    """Neither the name of a bag that is its joint's, nor a side that the name ends with."""
    nuts, lid = Held("Pump to frame", "2 × nut M8"), Held("lid")
    assert _named_once("pump to frame", (nuts,)) == ("pump to frame", (Held("", "2 × nut M8"),))
    assert _named_once("lid", (lid,)) == ("", (lid,))
    assert _named_once("pump to frame", (nuts, lid)) == ("pump to frame", (nuts, lid))
    assert _named_once("box", (lid,)) == ("box", (lid,))
    assert _unless_said("left", "drum to hub, left") == ""
    assert _unless_said("left", "left drum, its hub") == "left"
    assert _unless_said("", "drum") == ""


@pytest.mark.parametrize(("size", "points"), [("a4", (595, 842)), ("letter", (612, 792))])
def test_where_no_stock_is_wanted_the_paper_decides(lines, size, points):
    """A4 is 210 × 297 mm (ISO 216), Letter 8.5 × 11 in (ANSI Y14.1), in points of 1/72 in."""
    lines("undone pump-frame 2/2 tag=3CAH")
    for make in (tags, not_torqued):
        (page,) = PdfReader(BytesIO(make(wanted(lines, page=Page(size))))).pages
        assert (round(page.mediabox.width), round(page.mediabox.height)) == points
