"""The page Paper: what can be printed, made as a file, and what is told where it cannot be."""

from io import BytesIO

import pytest
from pypdf import PdfReader

from putback.workshop.printing.documents import DOCUMENTS
from tests.web.site import OWNER, VIEWER, WORKER


def address(site, rest: str = "") -> str:
    """An address of the vehicle's papers."""
    return f"/v/{site.vehicle}/paper{rest}"


def words(response) -> str:
    """The words of the PDF that was handed over."""
    assert response.status_code == 200, response.content[:300]
    assert response["Content-Type"] == "application/pdf"
    pages = PdfReader(BytesIO(response.content)).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def test_every_document_is_offered_with_what_it_asks_for(site):
    """Each by its name, a form each; blank tags only to whoever may log."""
    shown = site.browser(OWNER).get(address(site)).content.decode()
    for each in DOCUMENTS:
        assert each.title in shown
        assert address(site, f"/make/{each.name}") in shown
    assert "Make blank tags" in shown
    assert "Make blank tags" not in site.browser(VIEWER).get(address(site)).content.decode()


def test_a_list_is_a_file_under_the_name_of_the_vehicle(site):
    """A viewer may have it; it is handed over to be saved, and kept by no cache."""
    made = site.browser(VIEWER).get(address(site, "/make/open?size=letter&large=on"))
    assert "Open tonight" in words(made)
    assert made["Content-Disposition"] == 'attachment; filename="old-dunlin-open.pdf"'
    assert made["Cache-Control"] == "no-store"
    box = PdfReader(BytesIO(made.content)).pages[0].mediabox
    assert [round(float(each)) for each in (box.width, box.height)] == [612, 792]


@pytest.mark.parametrize(("form", "kind"), [("pdf", b"%PDF-1.7"), ("html", b"<!DOCTYPE html>")])
def test_the_history_file_is_sent_from_a_file(site, form, kind):
    """It may be too large to be held whole; it comes whole all the same."""
    made = site.browser(VIEWER).get(address(site, f"/make/history?form={form}"))
    assert made["Content-Disposition"] == f'attachment; filename="old-dunlin-history.{form}"'
    assert made["Cache-Control"] == "no-store"
    content = b"".join(made.streaming_content)
    assert content.startswith(kind)
    assert len(content) == int(made["Content-Length"])


def test_blank_tags_are_taken_for_the_device_that_asks(site):
    """Two sheets have different codes, all of them reserved."""
    browser = site.browser(WORKER)
    before = sum(len(places) for _, places in site.here.workshop.store.reserved_tags())
    first, second = (
        words(browser.post(address(site, "/blank-tags"), {"blank": "4", "stock": "a4-2x4"}))
        for _ in range(2)
    )
    assert first != second
    after = sum(len(places) for _, places in site.here.workshop.store.reserved_tags())
    assert after == before + 8


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        ("/make/nothing", "nothing"),
        ("/make/tags", "There is no tag to print"),
        ("/make/tags?stock=a9", "a9"),
        ("/make/tags?used=x", "&#x27;x&#x27; is no number of labels; write a whole number."),
        ("/make/tags?right=wide", "&#x27;wide&#x27; is no shift; write millimetres"),
        ("/make/open?size=a9", "a9"),
        ("/make/walk-round", "nothing is lifted"),
        ("/make/walk-round?lift=moon", "moon"),
        ("/make/cards", "No goal is described yet"),
        ("/make/cards?plan=rebuild", "No plan is on hand yet"),
        ("/make/routes?run=moon", "moon"),
    ],
)
def test_what_cannot_be_made_is_told_on_the_page(site, asked, told):
    """Each mistake in a sentence, with all that can be printed below it."""
    response = site.browser(VIEWER).get(address(site, asked))
    assert response.status_code == 400
    shown = response.content.decode()
    fault = shown.partition('role="alert">')[2].partition("</div>")[0]
    assert told in fault
    assert "Make it" in shown


def test_no_number_of_blank_tags_takes_none(site):
    """Nothing is reserved where the number is none, or cannot be."""
    before = site.here.workshop.store.reserved_tags()
    for blank in ("", "0", "many", "9999999"):
        refused = site.browser(WORKER).post(address(site, "/blank-tags"), {"blank": blank})
        assert refused.status_code == 400, blank
    assert site.here.workshop.store.reserved_tags() == before
