"""The app in German, in a browser that asks for it: what the server says, and what scripts do."""

import pytest
from playwright.sync_api import expect

from putback.language import GERMAN, reteller, rows_of
from putback.language.catalogue import SLOT
from tests.browser.conftest import DESK, PHONE, complaints_of, shuts_out, signed_in

TELL = """async ([rows, texts]) => {
  const here = document.querySelector("script[src$='js/language.js']").src;
  const { Reteller } = await import(here.replace("language.js", "retell.js"));
  const who = new Reteller(rows);
  return texts.map((each) => [who.told(each).text, who.told(each).is_known]);
}"""
COMPOSED = (
    *("12 May 2031, 14:05", "3.5 kg (7.7 lb)", "bolt 5/16-24 UNF x 1 in", "Jan.", "2 of 3", " "),
    *("First: whose clock", "front and rear", "nuts and front", ", torque.", "\n  Log  it \n"),
    *("Told twice: which is right? Log it.", "rope; Torque; nipped (left over)", "Nut M8x1.25"),
    *(
        "-1.5 mm (-0.06 in).",
        "M8x1.25",
        "T = F L = 2 N × 0.5 m = 1 N·m",
        "y = old 2.5",
        "Box 3CAH",
        *(" 54.1 % ", "1.2.3\n4", "22.6°", "1.2, 0"),
        *(
            "gasket, ring, soft metal",
            "2 × Lid, split",
            "left / whose",
            "1 × gasket, flange, of lid, left",
        ),
        "4 × bolt M6 (new later, longer; see there) + 2 gasket, flange (stays); heads up",
        "1 × gasket, flange, 2 × bolt M6, thin (not counted)",
        "K7F4 (trim clips): 20 × screw No. 8 self-tapping x 5/8 in (not counted).",
        "Goes along: main loom (6.8 kg); rear loom (1.9 kg)",
        "main loom (6.8 kg); rear loom (1.9 kg)",
        "In it: Radiator; Starter motor",
        "Lid need not be off; and Hub and Lid need not be undone",
    ),
)
"""Texts of each sort that are told in another way than by one row."""


@pytest.fixture
def german(served, chromium):
    """A phone whose browser asks for German; what a page complains of fails the test."""
    context = signed_in(served, chromium, locale="de-DE")
    page = context.new_page()
    with complaints_of(page) as complaints:
        yield page
    context.close()
    assert complaints == []


def test_a_job_is_logged_and_struck_out_in_german(german, served):
    """The page, what a script adds to it, and what the server answers."""
    german.goto(f"/v/{served.empty}/")
    assert german.evaluate("document.documentElement.lang") == "de"
    assert shuts_out(german, PHONE, DESK) == []
    german.locator("#off-1").fill("Lüfterrad")
    german.get_by_role("button", name="Eintragen").tap()
    said = german.locator("#said [data-words]")
    expect(said).to_contain_text("Lüfterrad abgenommen.")
    german.get_by_role("button", name="Streichen").tap()
    expect(german.locator("#said")).to_contain_text("gestrichen")
    german.goto("/phone")
    expect(german.locator("[data-queued-count]")).to_have_text("0 Vorgänge, 0 Fotos oder Töne")
    assert shuts_out(german, PHONE) == []


def test_long_german_words_leave_room_for_what_they_name(german, served):
    """On a phone, the fasteners of a joint have more than half of its plate."""
    german.goto(f"/v/{served.demo}/joint/J024")
    plate = german.locator("dl.plate").first
    wide = plate.locator("dd").first.bounding_box()["width"] / plate.bounding_box()["width"]
    assert wide > 0.5


def test_a_phone_tells_a_text_as_the_server_does(german, served):
    """Each thirtieth row, with a number and with words put in, and texts told in pieces."""
    rows = dict(rows_of(GERMAN))
    texts = [SLOT.sub(put, row) for row in list(rows)[::30] for put in ("7", "3CAH", "Lid & co")]
    texts += COMPOSED
    german.goto(f"/v/{served.empty}/hold")
    told = german.evaluate(TELL, [list(rows.items()), texts])
    who = reteller(GERMAN)
    wrong = {
        text: (mine, theirs)
        for text, theirs in zip(texts, told, strict=True)
        if theirs != (mine := [who.told(text).text, who.told(text).is_known])
    }
    assert wrong == {}
