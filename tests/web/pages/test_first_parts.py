"""The first parts of a vehicle of which nothing is described: off, and where they lie."""

import re

from tests.web.site import WORKER


def form_of(client, logbook) -> str:
    """The form of the page of the next job."""
    return re.search(r'<form class="fields" id="off".*?</form>', page(client, logbook), re.S)[0]


def page(client, logbook) -> str:
    """The page of the next job."""
    return client.get(f"/v/{logbook}/").content.decode()


def test_the_first_parts_are_laid_at_a_place_that_is_named_with_them(site):
    """No place is known yet: it is typed once, and proposed for the parts after them."""
    client, logbook = site.browser(WORKER), site.vehicle
    assert 'name="new_place"' in form_of(client, logbook)
    said = {"part": ["radiator", "fan"], "new_place": "Top shelf"}
    assert client.post(f"/v/{logbook}/log/off", said).status_code == 302
    parts = site.here.workshop.state(logbook).parts
    assert {each.common.place for each in parts.values()} == {"top-shelf"}
    assert "does not say where" not in page(client, logbook)
    assert '<option value="top-shelf" selected>Top shelf</option>' in form_of(client, logbook)


def test_a_bag_wins_over_the_place_and_neither_is_needed(site):
    """What is in a bag lies where the bag does; a place that is not there is refused."""
    client, logbook = site.browser(WORKER), site.vehicle
    client.post(f"/v/{logbook}/log/off", {"part": ["fan"], "new_place": "Top shelf"})
    bagged = {"part": ["cap"], "tag": "3CAH", "place": "top-shelf"}
    assert client.post(f"/v/{logbook}/log/off", bagged).status_code == 302
    assert client.post(f"/v/{logbook}/log/off", {"part": ["lid"]}).status_code == 302
    wrong = client.post(f"/v/{logbook}/log/off", {"part": ["nut"], "place": "nowhere"})
    assert wrong.status_code == 404
    parts = site.here.workshop.state(logbook).parts
    assert (parts["cap"].common.tag, parts["cap"].common.place) == ("3CAH", None)
    assert (parts["lid"].common.tag, parts["lid"].common.place) == (None, None)
    assert "nut" not in parts
