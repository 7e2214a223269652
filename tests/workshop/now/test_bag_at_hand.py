"""Into which bag the pieces go."""

from putback.logbook.entries.base import DeviceId, TagCode
from putback.vehicle.ids import JointId
from putback.workshop.logbooks.ports import Role
from putback.workshop.now.bag_at_hand import TAGS_AT_ONCE, proposed_tag, tags_at_hand
from tests.makers import vehicle
from tests.workshop.lines import CAR, Lines

CAR_OF_TWO_ZONES = vehicle(
    "lid - frame: 4 bolt M8 x 20; zone front",
    "lamp - frame: 2 screw M5 x 10; zone front",
    "pump - frame: 2 bolt M6 x 16; zone front; critical",
    "seat - frame: 4 bolt M8 x 20; zone cabin",
)
FREE = (TagCode("6AT2"), TagCode("APDC"))


def proposed(lines: Lines, joint: str) -> tuple[str, bool]:
    """The tag that is proposed, and whether a bag bears it."""
    found = proposed_tag(lines.state, JointId(joint), FREE)
    assert found is not None
    return found.tag, found.in_use


def test_the_first_pieces_go_under_the_next_free_tag():
    """One that no bag bears yet."""
    lines = Lines(CAR_OF_TWO_ZONES)
    assert proposed(lines, "lid-frame") == ("6AT2", False)
    lines("bag 6AT2")
    assert proposed(lines, "lid-frame") == ("APDC", False)


def test_the_bag_in_use_in_this_zone_goes_on():
    """But not in another zone, and not once it was put away."""
    lines = Lines(CAR_OF_TWO_ZONES)
    lines("undone lid-frame tag=3CAH")
    assert proposed(lines, "lamp-frame") == ("3CAH", True)
    assert proposed(lines, "seat-frame") == ("6AT2", False)
    lines("box 3HNA")
    lines("put tag:3CAH 3HNA")
    assert proposed(lines, "lamp-frame") == ("6AT2", False)


def test_what_is_kept_exactly_gets_a_bag_of_its_own():
    """And nothing else is put to it."""
    lines = Lines(CAR_OF_TWO_ZONES)
    lines("undone lid-frame tag=3CAH")
    assert proposed(lines, "pump-frame") == ("6AT2", False)
    lines("undone pump-frame tag=6AT2")
    assert proposed(lines, "lamp-frame") == ("3CAH", True)


def test_a_joint_that_is_begun_keeps_its_bag():
    """Whatever else was filled since."""
    lines = Lines(CAR_OF_TWO_ZONES)
    lines("undone lid-frame 2/4 tag=3CAH")
    lines("undone lamp-frame tag=6AT2")
    assert proposed(lines, "lid-frame") == ("3CAH", True)


def test_a_device_without_a_tag_reserves_some_and_a_viewer_none():
    """Those that a bag of any vehicle bears are never proposed."""
    lines = Lines(CAR_OF_TWO_ZONES)
    phone = DeviceId("new phone")
    assert tags_at_hand(lines.workshop, CAR, phone, Role.VIEWER) == ()
    free = tags_at_hand(lines.workshop, CAR, phone, Role.WORKER)
    assert len(free) == TAGS_AT_ONCE
    assert tags_at_hand(lines.workshop, CAR, phone, Role.WORKER) == free
    lines(f"bag {free[0]}")
    assert tags_at_hand(lines.workshop, CAR, phone, Role.WORKER) == free[1:]
