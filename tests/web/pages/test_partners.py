"""Exchanging with another workshop from the pages; the other one is in this process."""

import re

import pytest

from putback.logbook.entries.working import NoteMade, PhotoTaken
from putback.web.pages.views import partners as view
from putback.workshop.exchange import with_partner
from putback.workshop.exchange.partners import Partner, Partners
from putback.workshop.logbooks.memory import MemoryEntryStore, MemoryPhotoStore
from putback.workshop.logbooks.workshop import Workshop
from tests.far import BesideFar
from tests.stores import BEN, PHONE
from tests.web.site import NEIGHBOUR, OWNER

SECRET = "s3cret-token"


@pytest.fixture
def barn(site, monkeypatch):
    """Ben's barn, Olive's partner."""
    barn = BesideFar(Workshop(MemoryEntryStore(), MemoryPhotoStore()))
    monkeypatch.setattr(with_partner, "FarByApi", lambda name, wire: barn)
    Partners(site.opened.home).add(
        Partner("Barn", "https://barn.local", SECRET, "", site.people[OWNER])
    )
    return barn


def go(site, way, to="go", name=OWNER, partner="Barn"):
    said = {"partner": partner, "way": way}
    return site.browser(name).post(f"/v/{site.vehicle}/partners/{to}", said)


def test_push_and_pull_bring_both_copies_to_one(site, barn):
    """The page says what was done, when, and whether both hold the same; never the token."""
    here, car = site.here.workshop, site.vehicle
    pushed = go(site, "push").content.decode()
    assert "Pushed, all of it." in pushed
    assert "Both copies hold the same." in pushed
    barn.workshop.log(
        car, [PhotoTaken(photo=barn.workshop.photos.put(b"p"))], who=BEN, device=PHONE
    )
    pulled = go(site, "pull").content.decode()
    assert "Pulled, all of it." in pulled
    assert here.facts(car).digest == barn.workshop.facts(car).digest
    assert here.photos.get(next(iter(barn.workshop.photos))) == b"p"
    listed = site.browser().get(f"/v/{car}/partners").content.decode()
    assert "Pulled " in listed
    assert "Pushed " in listed
    assert SECRET not in pushed + pulled + listed


def test_what_would_change_is_shown_and_nothing_kept(site, barn):
    """Entries that are new here, claims and all, and how many would go over."""
    go(site, "push")
    barn.workshop.log(site.vehicle, [NoteMade(text="smells of mice")], who=BEN, device=PHONE)
    before = site.here.workshop.store.position(site.vehicle)
    looked = go(site, "", "look").content.decode()
    assert "smells of mice" in looked
    assert "ben (as claimed)" in looked
    assert re.search(r"to send</dt><dd>0<", looked)
    assert site.here.workshop.store.position(site.vehicle) == before


def test_a_long_exchange_ends_the_request_and_goes_on_by_itself(site, barn, monkeypatch):
    """After two seconds the page is back, and asks again until all is done."""
    monkeypatch.setattr(view, "AT_ONCE_S", 0.0)
    for number in range(3):
        photo = site.here.workshop.photos.put(b"photo %d" % number)
        site.here.workshop.log(site.vehicle, [PhotoTaken(photo=photo)], who=BEN, device=PHONE)
    asked = 0
    while "Pushed, all of it." not in (shown := go(site, "push").content.decode()):
        assert 'hx-trigger="load delay' in shown
        asked += 1
        assert asked < 20
    assert asked >= 3
    digest = site.here.workshop.facts(site.vehicle).digest
    assert barn.workshop.facts(site.vehicle).digest == digest


def test_a_partner_that_sleeps_is_told_and_everything_stays(site, barn):
    """One sentence, and how to go on."""

    def cut():
        return "request"

    barn.cut = cut
    answer = go(site, "pull").content.decode()
    assert "Barn does not answer" in answer
    assert "the next time goes on from there" in answer


def test_a_partner_is_of_the_person_whose_token_it_is(site, barn):
    """Another owner neither sees nor uses it."""
    site.here.workshop.store.grant(
        site.vehicle,
        site.people[NEIGHBOUR],
        site.here.workshop.store.roles(site.vehicle)[site.people[OWNER]],
    )
    listed = site.browser(NEIGHBOUR).get(f"/v/{site.vehicle}/partners").content.decode()
    assert "barn.local" not in listed
    assert "You have no partner yet" in listed
    assert go(site, "push", name=NEIGHBOUR).status_code == 400
    assert barn.calls == []
