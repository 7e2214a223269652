"""Scanning and the slate, as the server sees them."""

import json
import re

import pytest

from putback.logbook.entries.base import DeviceId, PlaceId, Subject, TagCode
from putback.logbook.entries.keeping import ContainerMade, Moved
from tests.pictures.photographs import photo
from tests.web.site import NEIGHBOUR, OWNER, VIEWER

BAG, NEDS = TagCode("K7F4"), TagCode("3CAH")


@pytest.fixture
def tagged(site):
    """A bag of Olive's, and one of Ned's."""
    workshop, laptop = site.here.workshop, DeviceId("laptop")
    made = ContainerMade(tag=BAG, name="Lid and screws")
    moved = Moved(what=Subject("tag:K7F4"), place=PlaceId("shed"))
    workshop.log(site.vehicle, [made, moved], who=site.people[OWNER], device=laptop)
    (neds,) = (each.id for each in workshop.logbooks() if each.id != site.vehicle)
    workshop.log(neds, [ContainerMade(tag=NEDS)], who=site.people[NEIGHBOUR], device=laptop)
    return site


def known(answer):
    """What the page knows of tags."""
    found = re.search(r'<script id="known"[^>]*>(.*?)</script>', answer.content.decode())
    return json.loads(found.group(1))


def test_the_page_knows_the_tags_of_ones_own_and_of_no_other_vehicle(tagged):
    """The neighbour's bag is not there at all; where the own one is, is."""
    told = known(tagged.browser().get(f"/v/{tagged.vehicle}/scan"))
    assert told["tags"]["K7F4"]["where"] == "shed"
    assert told["others"] == {}
    assert NEDS not in json.dumps(told)


def test_a_tag_of_another_vehicle_of_ones_own_is_named(tagged):
    """A bag that went astray: whose it is."""
    garage = tagged.here.workshop
    other = garage.new_vehicle("Spare shell", who=tagged.people[OWNER], device=DeviceId("laptop"))
    told = known(tagged.browser().get(f"/v/{other}/scan"))
    assert told["tags"] == {}
    assert told["others"]["K7F4"]["vehicle"] == "Old Dunlin"


def test_a_tag_typed_without_the_script_leads_to_its_bag(tagged):
    """One that is misread, or on nothing, is told beside the field."""
    browser, address = tagged.browser(VIEWER), f"/v/{tagged.vehicle}/scan"
    found = browser.get(address, {"tag": "k7f 4"})
    assert found["Location"] == f"/v/{tagged.vehicle}/tag/K7F4"
    misread = browser.get(address, {"tag": "K7F6"})
    assert misread.status_code == 400
    assert "K7F takes 4" in misread.content.decode()
    assert "is on nothing here" in browser.get(address, {"tag": "H3AD"}).content.decode()


def test_a_viewer_is_given_nothing_to_log_with(tagged):
    """They may look a tag up."""
    text = tagged.browser(VIEWER).get(f"/v/{tagged.vehicle}/scan").content.decode()
    assert "data-keypad" in text
    assert not re.search(r"data-log[ >]", text)


def sent(browser, site, *pictures):
    """Send a roll's pictures, and ask for it cut: (name, tags read in it) each."""
    fields = {"photo": [], "name": [], "tags": [], "media_type": []}
    for at, (name, tags) in enumerate(pictures):
        content = photo() + bytes([at])
        answer = browser.post(
            f"/api/vehicles/{site.vehicle}/photos", content, content_type="image/jpeg"
        )
        fields["photo"].append(answer.json()["photo"])
        fields["name"].append(name)
        fields["tags"].append(tags)
        fields["media_type"].append("image/jpeg")
    return browser.post(f"/v/{site.vehicle}/slate", fields)


def test_a_roll_comes_back_cut_and_nothing_is_logged(tagged):
    """Each picture under its tag in a form that would log it; the time of a camera orders them."""
    before = tagged.here.workshop.store.position(tagged.vehicle)
    answer = sent(tagged.browser(), tagged, ("1.jpg", ""), ("2.jpg", "K7F4"), ("3.jpg", ""))
    text = answer.content.decode()
    assert re.findall(r'name="\d\.of\[\]" value="([^"]*)"', text) == ["", "tag:K7F4", "tag:K7F4"]
    assert "Lid and screws" in text
    assert tagged.here.workshop.store.position(tagged.vehicle) == before


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({}, "no picture was chosen"),
        ({"photo": "0" * 64, "name": "a", "tags": "", "media_type": "image/jpeg"}, "not here"),
        ({"photo": "../../x", "name": "a", "tags": "", "media_type": "image/jpeg"}, "not here"),
        ({"photo": ["0" * 64] * 2, "name": "a", "tags": "", "media_type": ""}, "no picture"),
    ],
)
def test_a_roll_that_cannot_be_read_is_refused_in_words(tagged, fields, words):
    """Nothing is looked for outside the store, and nothing breaks."""
    answer = tagged.browser().post(f"/v/{tagged.vehicle}/slate", fields)
    assert answer.status_code == 400
    assert words in answer.content.decode().lower()
