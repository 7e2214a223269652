"""The place that is proposed for a part without a bag."""

from putback.logbook.entries.base import PlaceId
from putback.logbook.entries.describing import PlaceDescribed
from putback.logbook.entries.working import PartOff
from putback.logbook.fold import fold
from putback.workshop.now.place_at_hand import place_at_hand
from tests.strategies.entries import Draft


def test_the_last_place_that_a_part_was_laid_at_is_proposed():
    """A part in a bag says nothing of it, and a place that nobody described is none."""
    bodies = [
        PlaceDescribed(place=PlaceId("shelf"), name="the shelf"),
        PartOff(part="lid", place=PlaceId("shelf")),
        PartOff(part="nut", tag="3CAH"),
        PartOff(part="pump", place=PlaceId("gone")),
    ]
    entries = [Draft(body, act=at).entry(at) for at, body in enumerate(bodies, start=1)]
    assert place_at_hand(fold(entries).state(), entries) == "shelf"
    assert place_at_hand(fold(entries[:1]).state(), entries[:1]) is None
