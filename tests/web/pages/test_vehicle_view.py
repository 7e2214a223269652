"""The drawn vehicle on its page."""

import html5lib
import pytest

from putback.logbook.entries.base import DeviceId
from putback.logbook.entries.describing import Described
from tests.makers import vehicle
from tests.web.site import NEIGHBOUR, OWNER, VIEWER

LAPTOP = DeviceId("laptop")


@pytest.fixture
def site(demo_site):
    """Every site here has the demo."""
    return demo_site


@pytest.fixture
def shown(site):
    """The demo in the middle of its strip, as its viewer sees it; and its state."""
    demo = site.demo()
    answer = site.browser(VIEWER).get(f"/v/{demo}/vehicle")
    assert answer.status_code == 200
    return demo, site.here.workshop.state(demo), answer.content.decode()


def test_the_page_is_valid_and_holds_no_style_or_script_of_its_own(shown):
    """Read as strictly as the standard says; what fills a shape is an attribute of SVG."""
    _, _, page = shown
    html5lib.HTMLParser(strict=True).parse(page)
    tree = html5lib.parse(page, namespaceHTMLElements=False)
    names = {name for each in tree.iter() for name in each.attrib}
    assert "style" not in names
    assert not [name for name in names if str(name).startswith("on")]


def test_every_part_is_in_the_list_and_every_one_with_a_place_in_the_drawing(shown):
    """Each is a link to its page, named with its state."""
    demo, state, page = shown
    tree = html5lib.parse(page, namespaceHTMLElements=False)
    svg = "{http://www.w3.org/2000/svg}"
    drawn = {each.get("href") for each in tree.iter(f"{svg}a")}
    listed = {each.get("href") for each in tree.iter("a")}
    for part in state.vehicle.parts.values():
        address = f"/v/{demo}/part/{part.id}"
        assert address in listed
        assert (address in drawn) is (part.cg_m is not None or bool(part.outline_side))
    for link in tree.iter(f"{svg}a"):
        assert ", " in link.get("aria-label")


def test_what_it_stands_on_is_said_with_its_load(shown):
    """Each support and what it carries, the margin, and that no figure replaces looking."""
    _, state, page = shown
    assert state.name_of(f"standing:{state.standing.standing}") in page
    assert page.count(" kg</text>") == len(
        state.vehicle.standings[state.standing.standing].supports
    )
    assert "inside the supports" in page
    assert "rock it before anybody goes under it" in page


def test_an_empty_vehicle_is_a_page_too(site):
    """No drawing, no part, and it says what comes here."""
    page = site.browser(OWNER).get(f"/v/{site.vehicle}/vehicle").content.decode()
    assert "<svg" not in page
    assert "No part is described yet" in page


def test_where_no_part_has_a_place_the_zones_come_first(site):
    """Before the legend and what it stands on; a zone that nobody said is so called."""
    described = vehicle("lid - frame: 4 bolt M8 x 20")
    car = site.here.workshop.new_vehicle(described, who=site.people[OWNER], device=LAPTOP)
    new = Described(table="parts", id="hub", fields={"name": "Hub"})
    site.here.workshop.log(car, [new], who=site.people[OWNER], device=LAPTOP)
    page = site.browser(OWNER).get(f"/v/{car}/vehicle").content.decode()
    assert "<svg" not in page
    zones = page.index('<div class="zones grid">')
    assert zones < page.index('id="legend"')
    assert zones < page.index("<b>No zone said</b>") < page.index(">Hub<")
    assert "<b>?</b>" not in page


def test_a_stranger_sees_nothing(site):
    """404, signed in or not."""
    for who in (NEIGHBOUR, None):
        assert site.browser(who).get(f"/v/{site.vehicle}/vehicle").status_code == 404
