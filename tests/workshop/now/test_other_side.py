"""The same on the other side."""

import pytest

from putback.logbook.entries.base import PersonId
from putback.vehicle.part import Part
from putback.workshop.now.other_side import on_the_other_side
from putback.workshop.plans.job_card import Deed
from tests.makers import vehicle
from tests.stores import ANN
from tests.workshop.lines import CAR, Lines

AXLE = vehicle(
    Part("hl", "Hub, left", "here"),
    Part("hr", "Hub, right", "here"),
    Part("frame", "Frame", "here"),
    "hub to frame, left = hl - frame: 4 bolt M8 x 20",
    "hub to frame, right = hr - frame: 3 bolt M8 x 20",
    "door, FL = door - frame: 2 bolt M8 x 20",
    "door, FR = other door - frame: 2 bolt M8 x 20",
    "lid - frame: 4 bolt M8 x 20",
)


def over_there(lines: Lines, who: str = ANN):
    """What is offered."""
    return on_the_other_side(lines.workshop, CAR, PersonId(who))


def test_what_was_undone_here_is_offered_there():
    """With the count of that side, which may differ."""
    lines = Lines(AXLE)
    assert over_there(lines) is None
    lines("undone 'hub to frame, left' tag=3CAH")
    found = over_there(lines)
    assert (found.subject, found.done) == ("joint:hub to frame, right", "joint:hub to frame, left")
    assert (found.card.deed, found.card.of) == (Deed.UNDONE, 3)


@pytest.mark.parametrize(
    ("line", "deed", "what"),
    [
        ("off 'Hub, right'", Deed.OFF, "part:hl"),
        ("undone 'door, FL'", Deed.UNDONE, "joint:door, FR"),
    ],
)
def test_sides_are_told_as_the_trade_writes_them(line, deed, what):
    """Either way round, parts and joints."""
    lines = Lines(AXLE)
    lines(line)
    assert (over_there(lines).card.deed, over_there(lines).subject) == (deed, what)


def test_once_done_there_it_is_not_offered_again():
    """Nor is what somebody else did, nor what has no side."""
    lines = Lines(AXLE)
    lines("undone 'hub to frame, left'")
    assert over_there(lines, "bob") is None
    lines("undone 'hub to frame, right'")
    lines("undone lid-frame")
    assert over_there(lines) is None


def test_how_tight_is_said_as_on_this_side():
    """With the torque that was applied."""
    lines = Lines(AXLE)
    lines("undone 'hub to frame, left'")
    lines("undone 'hub to frame, right'")
    lines("made 'hub to frame, left' nipped torque='18 N·m'")
    found = over_there(lines)
    assert (found.card.deed, found.card.tightness, found.torque_nm) == (Deed.MADE, "nipped", 18)
