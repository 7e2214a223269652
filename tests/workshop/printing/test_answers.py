"""Answers of the bench on paper: all that the answer says, on either size, within its margins."""

from datetime import date
from io import BytesIO

import pypdfium2
import pytest
from pypdf import PdfReader

from putback.bench.calculator import Answer
from putback.paper.language import words_in
from putback.paper.page import Page
from putback.workshop.benching.every import EVERY
from putback.workshop.benching.reading import work_out
from putback.workshop.benching.showing import cell_text, figure_text, label, put_in
from putback.workshop.printing.answers import answer_on_paper

DAY = date(2031, 5, 1)
_COARSE = 40 / 72


def printed(name: str, page: Page, answer: Answer | None = None) -> tuple[bytes, str]:
    """The example of a calculator as a PDF, and its text without any white space."""
    found = EVERY[name]
    answer = answer or work_out(found, found.example)
    paper = answer_on_paper(found, found.example, answer, DAY, page)
    pages = (each.extract_text() for each in PdfReader(BytesIO(paper)).pages)
    return paper, squeezed("".join(pages))


def squeezed(said: str) -> str:
    """Without blanks, breaks and what may break: lines end where the paper does."""
    return "".join(said.replace("\u200b", "").split())


def ink_in_margins(paper: bytes, margin_mm: float) -> bool:
    """Whether anything stands left or right of the margins, on any page."""
    document = pypdfium2.PdfDocument(paper)
    try:
        for each in document:
            page = each.render(scale=_COARSE).to_pil().convert("L")
            wide = round(margin_mm / 25.4 * 72 * _COARSE)
            page.paste(255, (wide, 0, page.width - wide, page.height))
            if page.getextrema()[0] < 200:
                return True
        return False
    finally:
        document.close()


@pytest.mark.parametrize("name", EVERY)
def test_all_of_an_answer_is_on_its_paper(name):
    """Every figure, formula, cell, caution, limit and source; what was typed; nothing cut off."""
    found = EVERY[name]
    answer = work_out(found, found.example)
    size = "a4" if len(name) % 2 else "letter"
    paper, text = printed(name, Page(size), answer)
    said = [
        found.title,
        answer.verdict,
        *(label(each.words) for each in answer.results),
        *(figure_text(each) for each in answer.results),
        *map(put_in, answer.steps),
        *(cell_text(cell) for table in answer.tables for row in table.rows for cell in row),
        *(label(head) for table in answer.tables for head in table.head),
        *(label(each.words) for each in answer.drawings),
        *map(label, (*answer.cautions, *answer.limits, *answer.sources)),
    ]
    assert [each for each in said if squeezed(each) not in text] == []
    for typed in found.example.values():
        lines = typed.split("|")
        assert [line for line in lines if squeezed(line) not in text] == []
    drawn = [
        shape.words
        for drawing in answer.drawings
        for shape in drawing.shapes
        if shape.role == "text"
    ]
    assert [each for each in drawn if squeezed(each) not in text] == []
    assert not ink_in_margins(paper, 13)
    height = float(PdfReader(BytesIO(paper)).pages[0].mediabox.height) / 72 * 25.4
    assert height == pytest.approx(297.0 if size == "a4" else 279.4, abs=0.1)


def test_a_usual_value_is_told_from_a_typed_one():
    """And what was typed stands beside what it was taken for."""
    _, text = printed("bend", Page())
    assert "Tube'soutsidediameter3/16in4.763mm(3/16in)" in text
    assert "Tubethateachflaretakes0mmasusual,nottyped0mm(0in)" in text


def test_its_headings_are_german_where_that_is_wanted():
    """The words of the paper itself; the calculator's are told again where they have rows."""
    found = EVERY["units"]
    answer = work_out(found, found.example)
    paper = answer_on_paper(found, found.example, answer, DAY, words=words_in("de"))
    text = PdfReader(BytesIO(paper)).pages[0].extract_text()
    for said in ("Ergebnis", "Quellen", "wie verstanden", "ausgerechnet am 1. Mai 2031"):
        assert said in text


def test_a_line_that_is_too_far_right_is_seen():
    """The look at the margins would be worth nothing if it passed a page that runs over."""
    assert ink_in_margins(printed("units", Page())[0], 16)
