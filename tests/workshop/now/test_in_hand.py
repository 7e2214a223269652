"""A job in hand: seen by others for a while, and never in anybody's way."""

from datetime import timedelta

import pytest

from putback.logbook.entries.base import DeviceId, LogbookId
from putback.vehicle.ids import Ref
from putback.workshop.now.in_hand import LASTS, Hands
from tests.stores import ANN, BEN, MORNING, PHONE

CAR, VAN = LogbookId("car"), LogbookId("van/../../x")
LID, HOOD = Ref("part:lid"), Ref("part:hood")
BENS = DeviceId("ben's phone")


@pytest.fixture
def hands(tmp_path):
    return Hands(tmp_path)


def test_others_see_who_is_on_what_and_oneself_is_not_told(hands):
    """On the device itself it is no news."""
    hands.take(CAR, LID, person=ANN, device=PHONE, now=MORNING)
    (held,) = hands.others(CAR, BENS, MORNING)
    assert (held.what, held.person, held.since[:16]) == (LID, ANN, "2031-05-02T08:30")
    assert hands.others(CAR, PHONE, MORNING) == ()
    assert hands.others(VAN, BENS, MORNING) == ()


def test_it_ends_by_itself_and_goes_on_while_the_page_is_open(hands, tmp_path):
    """Ten minutes after it was last said; said again it counts from its beginning."""
    hands.take(CAR, LID, person=ANN, device=PHONE, now=MORNING)
    later = MORNING + timedelta(minutes=8)
    hands.take(CAR, LID, person=ANN, device=PHONE, now=later)
    (held,) = hands.others(CAR, BENS, later + timedelta(minutes=9))
    assert held.since[:16] == "2031-05-02T08:30"
    assert hands.others(CAR, BENS, later + LASTS + timedelta(seconds=1)) == ()
    assert [each for each in tmp_path.rglob("*") if each.is_file()] == []


def test_a_device_is_on_one_job_at_a_time(hands):
    """Who turns to another job has let the first one go; two people may be on one."""
    hands.take(CAR, LID, person=ANN, device=PHONE, now=MORNING)
    hands.take(CAR, HOOD, person=ANN, device=PHONE, now=MORNING)
    hands.take(CAR, HOOD, person=BEN, device=BENS, now=MORNING)
    seen = hands.others(CAR, DeviceId("third"), MORNING)
    assert [each.what for each in seen] == [HOOD, HOOD]


def test_a_torn_file_is_nobodys(hands, tmp_path):
    """It is a courtesy: what cannot be read is cleared away."""
    hands.take(VAN, LID, person=ANN, device=PHONE, now=MORNING)
    (path,) = tmp_path.rglob("*.json")
    path.write_text("{")
    assert hands.others(VAN, BENS, MORNING) == ()
