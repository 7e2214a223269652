"""The demo laid out in a workshop of one's own."""

from datetime import UTC, datetime, timedelta

import pytest

from putback.errors import AlreadyExists
from putback.logbook.entries.base import DeviceId, PersonId
from putback.logbook.entries.working import StandingChanged
from putback.workshop.exchange.demo import lay_out_demo
from putback.workshop.logbooks.memory import MemoryEntryStore, MemoryPhotoStore
from putback.workshop.logbooks.workshop import Workshop
from putback.workshop.plans.how_far import Way, how_far
from tests.stores import Watch

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


def test_what_is_logged_in_the_demo_comes_after_its_story():
    """On whatever day it is laid out: its last entry is of the day before, at its own hour."""
    for today in (datetime(2026, 11, 28, 12, tzinfo=UTC), datetime(2040, 2, 29, 1, tzinfo=UTC)):
        watch = Watch(today)
        workshop = Workshop(MemoryEntryStore(watch), MemoryPhotoStore(), watch)
        logbook = lay_out_demo(workshop, ANN, LAPTOP, 3)
        standing = StandingChanged(standing="STANDS", rock_tested=True)
        workshop.log(logbook, [standing], who=ANN, device=LAPTOP)
        assert workshop.state(logbook).standing.standing == "STANDS"
        last = max(e.happened_at for e in workshop.standing(logbook) if e.device == "phone-a")
        assert datetime.fromisoformat(last).date() == today.date() - timedelta(days=1)
        assert last.endswith("T11:11:00.000+00:00")
