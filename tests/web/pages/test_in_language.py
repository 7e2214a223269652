"""Pages in another language: told again on the way out, and nothing that a person typed."""

import json

import pytest

from putback.language import OwnNames, Reteller, reteller
from putback.logbook.entries.base import DeviceId
from putback.web.pages.in_language import COOKIE, page_told
from putback.workshop.saying.plain import read_plain
from tests.web.site import OWNER

WHO = Reteller("de", {"Save": "Sichern", "Your & I": "Du & ich", "no more": "nichts <mehr>"})


@pytest.mark.parametrize(
    ("page", "told"),
    [
        ("<p>Save</p>", "<p>Sichern</p>"),
        ("<p> Your &amp; I </p>", "<p> Du &amp; ich </p>"),
        ("<b>no more</b>", "<b>nichts &lt;mehr&gt;</b>"),
        ('<a title="Save" href="/Save">Save', '<a title="Sichern" href="/Save">Sichern'),
        ('<input value="Save" placeholder="Save">', '<input value="Save" placeholder="Sichern">'),
        ("<textarea>Save</textarea>Save", "<textarea>Save</textarea>Sichern"),
        ("<script>Save</script><!-- Save -->", "<script>Save</script><!-- Save -->"),
        (
            '<p translate="no">Save <p>Save</p> Save</p>Save',
            '<p translate="no">Save <p>Save</p> Save</p>Sichern',
        ),
        ('<i data-a=">">Save</i>', '<i data-a=">">Sichern</i>'),
        ('<html lang="en"><p>Save', '<html lang="de"><p>Sichern'),
        ("a < b", "a < b"),
    ],
)
def test_a_page_is_told_again(page, told):
    """Texts and what is shown of attributes; values, scripts and what is marked stay."""
    assert page_told(page, WHO) == told


def test_a_word_of_putbacks_own_is_told_where_a_thing_is_called_the_same():
    """The name beside it stays, and so does the next text."""
    page = '<b translate="yes">Save</b><i>Save</i>'
    assert page_told(page, WHO, OwnNames(["Save"])) == '<b translate="yes">Sichern</b><i>Save</i>'


@pytest.mark.parametrize(
    ("asked", "chosen", "spoken"),
    [
        ("", "", "en"),
        ("de-AT,de;q=0.9,en;q=0.8", "", "de"),
        ("fr,en;q=0.5,de;q=0.4", "", "en"),
        ("fr", "", "en"),
        ("de;q=0", "", "en"),
        ("de", "en", "en"),
        ("en", "de", "de"),
        ("en", "xx", "en"),
    ],
)
def test_a_page_comes_in_the_language_that_is_asked_for(site, asked, chosen, spoken):
    """What was chosen on the device counts before what its browser asks for."""
    browser = site.browser()
    browser.cookies[COOKIE] = chosen
    page = browser.get("/me", headers={"accept-language": asked}).content.decode()
    assert f'<html lang="{spoken}">' in page


def test_a_language_is_chosen_for_the_device(site):
    """And given up again."""
    browser = site.browser(OWNER)
    browser.post("/me/like", {"language": "de"})
    assert browser.cookies[COOKIE].value == "de"
    assert '<html lang="de">' in browser.get("/me").content.decode()
    browser.post("/me/like", {"language": ""})
    assert '<html lang="en">' in browser.get("/me").content.decode()


@pytest.mark.parametrize(("asked", "offered"), [("de", "de"), ("en", "en"), ("fr", "en")])
def test_paper_is_offered_in_the_language_that_its_page_is_read_in(site, asked, offered):
    """As the first of its choices."""
    answer = site.browser().get(f"/v/{site.vehicle}/paper", headers={"accept-language": asked})
    choices = answer.content.decode().partition('name="language">')[2]
    assert choices.startswith(f'<option value="{offered}">')


def test_what_somebody_called_a_thing_stays_as_it_is(site):
    """Though a row would fit it; beside it the page is told."""
    what = {"table": "parts", "id": "r", "fields": {"name": "Radiator"}}
    site.here.workshop.log(
        site.vehicle,
        read_plain([{"kind": "described", **what}]),
        who=site.people[OWNER],
        device=DeviceId("laptop"),
    )
    assert reteller("de").tell("Radiator") != "Radiator"
    asked = {"accept-language": "de"}
    page = site.browser().get(f"/v/{site.vehicle}/part/r", headers=asked).content.decode()
    assert "Radiator</h2>" in page
    assert "Verbindungen" in page


def test_a_caution_is_told_whole_or_not_at_all(site):
    """What somebody wrote is not put into two languages, which would be a warning of nothing."""
    half, whole = "suspended load: nobody under it", "nobody under it"
    fields = {"name": "Pump", "cautions": [f"{half}; the load swings", whole]}
    site.here.workshop.log(
        site.vehicle,
        read_plain([{"kind": "described", "table": "parts", "id": "r", "fields": fields}]),
        who=site.people[OWNER],
        device=DeviceId("laptop"),
    )
    asked = {"accept-language": "de"}
    page = site.browser().get(f"/v/{site.vehicle}/part/r", headers=asked).content.decode()
    assert "<li>Suspended load: nobody under it; the load swings.</li>" in page
    assert "<li>Niemand darunter.</li>" in page


def test_a_name_that_could_be_parted_stays_whole_where_more_stands_beside_it(site):
    """In the title of a page, and in what an answer says of what was logged."""
    name = "Radiator: left; Notes"
    what = {"table": "parts", "id": "r", "fields": {"name": name}}
    site.here.workshop.log(
        site.vehicle,
        read_plain([{"kind": "described", **what}]),
        who=site.people[OWNER],
        device=DeviceId("laptop"),
    )
    browser, asked = site.browser(), {"accept-language": "de"}
    page = browser.get(f"/v/{site.vehicle}/part/r", headers=asked).content.decode()
    assert f"<title>{name} · " in page
    decided = {"entries": [{"kind": "decided", "of": "part:r", "choice": "replace"}]}
    answer = browser.post(
        f"/api/vehicles/{site.vehicle}/acts",
        json.dumps(decided),
        content_type="application/json",
        headers=asked,
    )
    assert answer.json()["sentences"] == [f"Über {name} entschieden: ersetzen."]
