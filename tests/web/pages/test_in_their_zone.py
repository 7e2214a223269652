"""Today and yesterday are the days where somebody is, wherever the server stands."""

import re
from datetime import UTC, datetime
from html import unescape

import pytest
from django.test import Client

from putback.logbook.entries.base import Entry
from putback.web.here import open_here
from putback.web.pages.in_their_zone import COOKIE
from putback.web.zone import in_zone, zone_there
from tests.stores import Watch
from tests.web.pages.test_work import planned
from tests.web.site import WORKER

EAST, WEST = 13 * 60, -8 * 60
IN_UTC = {
    EAST: datetime(2031, 5, 2, 11, 30, tzinfo=UTC),  # half past midnight there
    WEST: datetime(2031, 5, 4, 7, 30, tzinfo=UTC),  # half past eleven at night there
}
"""Moments of the third of May there, which is another day in UTC."""


@pytest.fixture(params=[EAST, WEST])
def far(request, site) -> Client:
    """A worker's browser, on the third of May where it is, asks a site whose clock is in UTC."""
    site.here = open_here(site.opened, Watch(IN_UTC[request.param]))
    client = site.browser(WORKER)
    client.cookies[COOKIE] = str(request.param)
    return client


def last(site) -> Entry:
    """The last entry in the order of the logbook."""
    return site.here.workshop.standing(site.vehicle)[-1]


def test_a_line_is_of_their_yesterday_and_logged_at_their_hour(site, far):
    """It stands after all that was done yesterday, there, and before what is done today."""
    far.post(f"/v/{site.vehicle}/say", {"line": 'note "swept the floor"'})
    today = last(site)
    assert today.logged_at.startswith(("2031-05-03T00:30:00.000+13", "2031-05-03T23:30:00.000-08"))
    far.post(f"/v/{site.vehicle}/say", {"line": 'note "first of all" @yesterday'})
    page = far.get(f"/v/{site.vehicle}/say", {"line": 'note "x" @today'}).content.decode()
    assert "When: 3 May 2031." in page
    assert last(site) == today
    told = [each.happened_at for each in site.here.workshop.standing(site.vehicle)]
    assert told[-2] == "2031-05-02"


def test_days_are_caught_up_to_their_today(site, far):
    """The sheet offers the day that they have, and takes it."""
    address = f"/v/{site.vehicle}/catch-up"
    assert 'name="day" value="2031-05-03" max="2031-05-03"' in far.get(address).content.decode()
    said = {"part": ["heater box"], "precision": "day", "day": "2031-05-03"}
    assert far.post(address, said).status_code == 302
    assert last(site).happened_at == "2031-05-03"


def test_a_late_note_may_be_of_their_today_and_of_no_later_day(site, far):
    """Whatever day the server has."""
    address, said = f"/v/{site.vehicle}/book/late", {"text": "it squeaked"}
    assert far.post(address, said | {"day": "2031-05-03"}).status_code == 302
    assert last(site).happened_at == "2031-05-03"
    refused = far.post(address, said | {"day": "2031-05-04"})
    assert (refused.status_code, "is still to come" in unescape(refused.content.decode())) == (
        400,
        True,
    )


def test_tomorrow_is_the_day_after_theirs(site, far):
    """A joint that is stuck is left until then."""
    page = far.get(f"/v/{planned(site)}/stuck?joint=tank-frame").content.decode()
    assert 'name="9.until" value="2031-05-04" checked' in page


def test_a_line_that_means_another_day_since_it_was_shown_is_shown_again(site):
    """Yesterday, typed before midnight and sent after it; what a hand sent unseen is logged."""
    watch = Watch(datetime(2031, 5, 2, 23, 59, tzinfo=UTC))
    site.here = open_here(site.opened, watch)
    client, address = site.browser(WORKER), f"/v/{site.vehicle}/say"
    line = {"line": 'note "swept" @yesterday'}

    def shown(page: str) -> dict[str, str]:
        fields = re.findall(r'type="hidden" name="(seen|seen_as)" value="([^"]*)"', page)
        return line | {name: unescape(text) for name, text in fields}

    seen = shown(client.get(address, line).content.decode())
    position = site.here.workshop.store.position(site.vehicle)
    watch.put_on(minutes=2)
    answer = client.post(address, seen)
    page = answer.content.decode()
    assert answer.status_code == 400
    assert "This is understood otherwise than it was shown to you: nothing was logged." in page
    assert "When: 2 May 2031." in page
    assert site.here.workshop.store.position(site.vehicle) == position
    assert client.post(address, shown(page)).status_code == 302
    assert client.post(address, seen | {"line": 'note "unseen" @yesterday'}).status_code == 302


@pytest.mark.parametrize("said", ["", "far", "-", "841", "-841", "1e3", "٣", "0x1"])
def test_what_is_no_zone_says_nothing(said):
    """The clock of the server counts then, as for a program."""
    with in_zone(said):
        assert zone_there() is None
    with in_zone("-210"):
        assert str(zone_there()) == "UTC-03:30"
    assert zone_there() is None
