"""The bench on pages: its list, forms, answers, what is wrong, and what is kept."""

import re
from io import BytesIO

import pytest
from django.test import Client
from pypdf import PdfReader

from putback.bench.calculator import Quantity
from putback.logbook.entries.base import DeviceId
from putback.web.pages.bench_form import fields_of
from putback.workshop.benching.every import EVERY
from putback.workshop.saying.plain import read_plain
from tests.web.pages.test_every_page import html_faults
from tests.web.site import NEIGHBOUR, OWNER, VIEWER

UNITS = "/bench/units?value=27+lbf+ft&to=Nm"
KEPT = {"value": "5 lb", "to": "kg", "for-what": "lid"}


@pytest.fixture
def lid(site):
    """Olive's vehicle, with a lid."""
    said = [{"kind": "described", "table": "parts", "id": "lid", "fields": {"name": "Lid"}}]
    site.here.workshop.log(
        site.vehicle, read_plain(said), who=site.people[OWNER], device=DeviceId("laptop")
    )
    return site


def text_of(answer) -> str:
    """The page, as text without its tags."""
    return " ".join(re.sub(r"<[^>]+>", " ", answer.content.decode()).split())


def test_every_calculator_has_its_page_and_shows_its_example(site):
    """Valid HTML, no style in it, the verdict and every result; empty, it is a form."""
    browser: Client = site.browser()
    listed = browser.get("/bench/").content.decode()
    wrong = []
    for name, calculator in EVERY.items():
        assert f'href="/bench/{name}"' in listed
        empty, shown = browser.get(f"/bench/{name}"), browser.get(f"/bench/{name}?example")
        assert (empty.status_code, shown.status_code) == (200, 200), name
        wrong += [f"{name}: {each}" for each in html_faults(empty.content.decode())]
        wrong += [f"{name}, example: {each}" for each in html_faults(shown.content.decode())]
        assert 'class="verdict"' in shown.content.decode()
        assert 'class="verdict"' not in empty.content.decode()
        is_long = any(each.quantity is Quantity.LINES for each in calculator.asked)
        assert ('method="post" action="/bench/' + name + '"' in empty.content.decode()) == is_long
    assert "\n".join(wrong) == ""


def test_an_answer_shows_its_formula_and_what_was_put_in(site):
    """Both stay in the form, too."""
    answer = site.browser().get(UNITS)
    said = text_of(answer)
    assert "27 lbf ft = 36.6070846 Nm." in said
    assert "y = x / u = 36.61 / 1 = 36.61" in said
    assert "NIST SP 811" in said
    assert 'name="value" value="27 lbf ft"' in answer.content.decode()


@pytest.mark.parametrize(
    ("name", "asked", "words"),
    [("diagonals", "sigma", "one standard"), ("torque", "size", "like M10"),
     ("hoist", "plate", "like 1100"), ("survey", "holes", "like FL 12"),
     ("tiedown", "wll", "WLL on its label"), ("sling", "legs", "of four"),
     ("balance", "stands", 'like "left rear"'), ("units", "to", "like Nm")],
)  # fmt: skip
def test_only_what_can_be_typed_is_offered_as_an_example(name, asked, words):
    """A hint in words is not said to be like itself."""
    (hint,) = (each.hint for each in fields_of(EVERY[name], {}, {}) if each.name == asked)
    assert hint.startswith(words)


def test_a_choice_by_another_word_is_chosen_in_the_form(site):
    """As a link or a command may have it; beside a choice stands what else it is called."""
    page = site.browser().get("/bench/bolt?size=M10&grade=8.8&into=Aluminum").content.decode()
    assert '<option value="aluminium" selected>aluminium</option>' in page
    page = site.browser().get("/bench/lift?mass=20+kg&thing=hood&careful=n").content.decode()
    assert '<option value="bonnet (steel)" selected>bonnet (steel), hood</option>' in page
    assert '<option value="no" selected>no</option>' in page
    wrong = site.browser().get("/bench/bolt?size=M10&grade=8.8&into=cheese")
    assert wrong.status_code == 400
    assert 'id="wrong-into">No choice' in wrong.content.decode()


def test_several_lines_are_typed_as_lines_and_sent_by_post(site):
    """Too many for an address; they stay in their field, and what is wrong names its line."""
    lines = "0 0 0\r\n180 0 0\r\n180 120 0"
    answer = site.browser().post("/bench/bend", {"points": lines, "unit": "mm"})
    page = answer.content.decode()
    assert answer.status_code == 200
    assert 'class="verdict"' in page
    assert "\n0 0 0\n180 0 0\n180 120 0</textarea>" in page
    wrong = site.browser().post("/bench/bend", {"points": "0 0 0\nx 0 0"})
    assert wrong.status_code == 400
    assert 'id="wrong-points">Line 2 of points' in wrong.content.decode()


def test_what_is_wrong_stands_at_its_field(site):
    """And nothing is worked out; what was typed is still there."""
    answer = site.browser().get("/bench/units?value=3&to=mm")
    page = answer.content.decode()
    assert answer.status_code == 400
    assert 'id="wrong-value">Cannot read' in page
    assert 'Look again at: <a href="#in-value">What is to be converted</a></p>' in page
    assert 'name="value" value="3"' in page
    assert "verdict" not in page
    assert site.browser().get("/bench/anvil").status_code == 404


def test_an_answer_is_kept_on_a_part(lid):
    """As a note and, if wanted, a reading, in one act; it leads to the part."""
    typed = KEPT | {"for-vehicle": lid.vehicle, "as-reading": "si"}
    answer = lid.browser().post("/bench/units/keep", typed)
    assert answer.status_code == 302
    assert answer["Location"].startswith(f"/v/{lid.vehicle}/part/lid?logged=")
    told = text_of(lid.browser().get(answer["Location"]))
    assert "5 lb = 2.26796185 kg" in told
    assert "easured the same in both systems of Lid: 2.27 kg" in told


def test_what_was_measured_is_kept_under_the_name_that_the_part_has_for_it(lid):
    """The page offers what is to be measured of it; the reading is in the unit that was typed."""
    said = {"kind": "described", "table": "parts", "id": "lid", "fields": {"measures": ["gap"]}}
    lid.here.workshop.log(
        lid.vehicle, read_plain([said]), who=lid.people[OWNER], device=DeviceId("laptop")
    )
    typed = {"measured": "0.418 in", "limit": "0.409 in", "for-vehicle": lid.vehicle}
    page = lid.browser().get("/bench/wear", typed | {"for-what": "part:lid"}).content.decode()
    assert '<option value="gap"></option>' in page
    kept = typed | {"for-what": "lid", "as-reading": "measured", "called": "gap"}
    answer = lid.browser().post("/bench/wear/keep", kept)
    told = text_of(lid.browser().get(answer["Location"]))
    assert "easured gap of Lid: 0.418 in" in told


def test_an_answer_is_saved_as_a_pdf(site):
    """From a form that was sent by its address, and from one of lines; what is wrong is told."""
    made = site.browser().get(f"/bench/units/pdf?{UNITS[13:]}&paper-size=letter")
    assert made["Content-Type"] == "application/pdf"
    sheet = PdfReader(BytesIO(made.content)).pages[0]
    assert "27 lbf ft = 36.6070846 Nm." in sheet.extract_text()
    assert float(sheet.mediabox.height) == pytest.approx(11 * 72)
    lines = {"points": "0 0 0\n180 0 0\n180 120 0", "paper-language": "de"}
    made = site.browser().post("/bench/bend/pdf", lines)
    assert "Ergebnis" in PdfReader(BytesIO(made.content)).pages[0].extract_text()
    wrong = site.browser().get("/bench/units/pdf?value=3&to=mm")
    assert wrong.status_code == 400
    assert 'id="wrong-value">Cannot read' in wrong.content.decode()
    strange = site.browser().get(f"/bench/units/pdf?{UNITS[13:]}&paper-size=a99")
    assert strange.status_code == 400
    assert "No size of paper" in text_of(strange)


def test_what_cannot_be_kept_is_told_beside_the_answer(lid):
    """The answer stays; nothing is logged."""
    before = lid.here.workshop.store.position(lid.vehicle)
    answer = lid.browser().post(
        "/bench/units/keep", KEPT | {"for-vehicle": lid.vehicle, "for-what": "lidd"}
    )
    assert answer.status_code == 400
    said = text_of(answer)
    assert "5 lb = 2.26796185 kg." in said
    assert "did you mean &#x27;Lid&#x27;" in said
    nowhere = lid.browser().post("/bench/units/keep", KEPT)
    assert "Choose the vehicle" in text_of(nowhere)
    assert lid.here.workshop.store.position(lid.vehicle) == before


def test_only_who_may_log_there_can_keep_it(lid):
    """A viewer is refused, a neighbour is told nothing of the vehicle; neither is offered it."""
    typed = KEPT | {"for-vehicle": lid.vehicle}
    assert lid.browser(VIEWER).post("/bench/units/keep", typed).status_code == 403
    refused = lid.browser(NEIGHBOUR).post("/bench/units/keep", typed)
    assert refused.status_code == 400
    assert "Choose the vehicle" in text_of(refused)
    for name in (VIEWER, NEIGHBOUR):
        assert "Old Dunlin" not in text_of(lid.browser(name).get(UNITS))
    assert "Old Dunlin" in text_of(lid.browser().get(UNITS))


def test_what_it_is_for_is_carried_from_the_part_to_the_form(lid):
    """From the part's page by the list to the calculator, and chosen there."""
    browser = lid.browser()
    part = browser.get(f"/v/{lid.vehicle}/part/lid").content.decode()
    address = re.search(r'href="(/bench/\?[^"]+)"', part)
    assert address is not None
    offered = [each.replace("&amp;", "&") for each in re.findall(r'href="(/bench/\?[^"]+)"', part)]
    wanted = next(each for each in offered if "for-what" in each)
    listed = browser.get(wanted).content.decode()
    units = re.search(r'href="(/bench/units\?[^"]+)"', listed)
    assert units is not None
    page = browser.get(f"{units[1].replace('&amp;', '&')}&value=5+lb&to=kg").content.decode()
    assert 'name="for-what" value="part:lid"' in page
    assert "That is <b>Lid</b>." in page
    for strange in ("part:nobody", "part:", "tag:3CAH", "joint:%00"):
        address = f"{UNITS}&for-vehicle={lid.vehicle}&for-what={strange}"
        assert browser.get(address).status_code == 200
    elsewhere = browser.get(f"/bench/units?for-vehicle=x&for-what=part:lid&{UNITS[13:]}")
    assert "That is" not in elsewhere.content.decode()
    assert f'<option value="{lid.vehicle}" selected>' in page


def test_without_a_network_a_phone_says_that_the_server_works_it_out(site):
    """For everybody the same, as it says nothing of anybody; the worker keeps it."""
    away = site.browser(None).get("/bench/away")
    assert "worked out on the server" in text_of(away)
    worker = site.browser(None).get("/worker.js").content.decode()
    assert '"/bench/away"' in worker.partition("const PREFIX")[0]


def test_a_long_table_is_folded_and_says_how_many_rows_it_has(site):
    """The readings of a survey; a short one stands open, and every one can be scrolled by key."""
    page = site.browser().get("/bench/survey?example").content.decode()
    found = re.findall(
        r"<details[^>]*><summary>([^<]+)</summary>\s*<div class=\"scroll\" tab", page
    )
    assert len(found) == 1
    assert found[0].startswith("Readings that were used: ")
    assert (
        int(found[0].split()[-2])
        == page.partition(found[0])[2].partition("</table>")[0].count("<tr>") - 1
    )
    assert page.count("<table>") == page.count('<div class="scroll" tabindex="0"')
    assert "<caption>Against the reference" in page
