"""Pages of a vehicle of which little is known: none is a dead end."""

import pytest

from putback.logbook.entries.base import DeviceId
from putback.vehicle.ids import PartId
from putback.vehicle.part import Part
from tests.makers import ZONE, vehicle
from tests.web.site import OWNER, VIEWER


def text(response) -> str:
    """The page, its white space made even."""
    assert response.status_code == 200
    return " ".join(response.content.decode().split())


@pytest.mark.parametrize("page", ["ties", "reach", "why"])
def test_where_nothing_has_a_name_the_form_says_what_to_do_first(site, page):
    """It leads a worker there, and a viewer nowhere; with one name known nothing is said."""
    asked = f"/v/{site.vehicle}/{page}"
    told = text(site.browser().get(asked))
    assert "Nothing is known by name yet." in told
    assert f'<a href="/v/{site.vehicle}/describe">' in told
    told = text(site.browser(VIEWER).get(asked))
    assert "Nothing is known by name yet.</p>" in told
    entry = {"1.kind": "part off", "1.part": "bonnet"}
    assert site.browser().post(f"/v/{site.vehicle}/log", entry).status_code == 302
    assert "Nothing is known" not in text(site.browser().get(asked))


@pytest.mark.parametrize("page", ["not-now", "else"])
def test_where_nothing_is_planned_work_is_logged_by_its_name(site, page):
    """The list of jobs to choose from is empty, and says where to go instead."""
    told = text(site.browser().get(f"/v/{site.vehicle}/{page}"))
    assert "No planned job is left to choose from." in told
    assert f'<a href="/v/{site.vehicle}/">Log what you do by its name</a>' in told


def test_without_another_side_it_is_said_how_sides_are_told(site):
    """By the names: whoever wants it next time knows how to call things."""
    told = text(site.browser().get(f"/v/{site.vehicle}/other-side"))
    assert "Sides are told by the names: Lamp, left and Lamp, right." in told


@pytest.mark.parametrize(
    ("weighed", "told", "untold"),
    [
        ((), ["Not weighed: 2 parts of it.", "before you lift"], ["0 kg", "In all"]),
        (
            ("pump",),
            ["In all 7 kg: a guide value.", "Not weighed: 1 part of it."],
            ["Not weighed: 1 parts"],
        ),
        (("pump", "tank"), ["In all 14 kg: a guide value."], ["Not weighed"]),
    ],
)
def test_a_lift_of_unknown_mass_is_never_said_to_weigh_nothing(site, weighed, told, untold):
    """What is known is added up; what nobody weighed is to be found out before the lift."""
    parts = [
        Part(PartId(each), each, ZONE, mass_kg=7.0 if each in weighed else None)
        for each in ("pump", "tank")
    ]
    owner = site.people[OWNER]
    made = vehicle(*parts, "pump - frame", "tank - frame", datum="frame")
    logbook = site.here.workshop.new_vehicle(made, who=owner, device=DeviceId("laptop"))
    site.let_in(logbook)
    page = text(site.browser(VIEWER).get(f"/v/{logbook}/ties", {"what": ["pump", "tank"]}))
    for each in told:
        assert each in page
    for each in untold:
        assert each not in page
