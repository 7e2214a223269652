"""The demo laid out in a workshop of one's own."""

import pytest

from putback.errors import AlreadyExists
from putback.logbook.entries.base import DeviceId, PersonId
from putback.workshop.demo import lay_out_demo
from putback.workshop.how_far import Way, how_far
from putback.workshop.memory import MemoryEntryStore, MemoryPhotoStore
from putback.workshop.workshop import Workshop

ANN, LAPTOP = PersonId("ann"), DeviceId("laptop")


def test_the_demo_stands_where_its_story_is_broken_off():
    """After some sittings it is in its strip; with no sitting at all nothing is off."""
    far = {}
    for sittings in (0, 12):
        workshop = Workshop(MemoryEntryStore(), MemoryPhotoStore())
        far[sittings] = how_far(workshop.state(lay_out_demo(workshop, ANN, LAPTOP, sittings)))
    assert far[0].way is Way.NOT_BEGUN
    assert far[12].way is Way.STRIP
    assert 0 < far[12].parts_off < far[12].parts


def test_the_demo_says_that_it_is_made_up_and_is_laid_out_once():
    """Its notice is there for every page to show; a second one is refused."""
    workshop = Workshop(MemoryEntryStore(), MemoryPhotoStore())
    logbook = lay_out_demo(workshop, ANN, LAPTOP, 0)
    assert "invented" in workshop.state(logbook).vehicle.about.notice
    with pytest.raises(AlreadyExists):
        lay_out_demo(workshop, ANN, LAPTOP, 0)
