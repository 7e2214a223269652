"""Answers of the bench on paper: all that the answer says, on either size, within its margins."""

import re
from datetime import date
from io import BytesIO

import pypdfium2
import pytest
from pypdf import PdfReader

from putback.bench.calculator import Answer, Step
from putback.paper.language import words_in
from putback.paper.page import Page
from putback.paper.typeset import plain
from putback.paper.words import Own
from putback.workshop.benching.every import EVERY
from putback.workshop.benching.reading import work_out
from putback.workshop.benching.showing import cell_text, figure_text, label, put_in
from putback.workshop.printing.answers import answer_on_paper, answer_paper
from tests.language.texts import is_known

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


def test_all_of_it_is_german_where_that_is_wanted():
    """Headings, what is asked, figures, formulas, table, drawing; what was typed stays."""
    found = EVERY["bend"]
    answer = work_out(found, found.example)
    paper = answer_on_paper(found, found.example, answer, DAY, words=words_in("de"))
    text = squeezed("".join(each.extract_text() for each in PdfReader(BytesIO(paper)).pages))
    headings = ("Ergebnis", "Quellen", "wie verstanden", "ausgerechnet am 1. Mai 2031")
    figures = ("546,7 mm (21,52 in)", "S + R A = 486,9 mm + 15 mm × 3,986 = 546,7 mm")
    for said in (*headings, *figures, "Rohrbiegen"):
        assert squeezed(said) in text
    for typed in found.example.values():
        assert [line for line in typed.split("|") if squeezed(line) not in text] == []


@pytest.mark.parametrize("name", EVERY)
def test_nothing_on_its_paper_is_left_in_english(name):
    """Names that somebody typed apart, and what a figure is called in a formula."""
    found = EVERY[name]
    answer = work_out(found, found.example)
    heard: list[str] = []

    def hear(said: str) -> str:
        heard.append(said)
        return said

    plain(answer_paper(found, found.example, answer, DAY, hear), hear)
    own = frozenset(re.findall(r"[^\s|;,]+", " ".join(found.example.values())))
    symbols = {each for step in answer.steps for each in symbols_of(step)}
    told = (re.sub(r" Letters: .*", "", each) for each in heard if not isinstance(each, Own))
    said = {each for each in told if re.search("[a-z]{3}", each)}
    assert len(said) > 5
    assert sorted(each for each in said if not is_known(each, own | symbols)) == []


def symbols_of(step: Step) -> list[str]:
    """What stands for a figure in a formula, that which it gives as well."""
    return [step.formula.partition("=")[0].strip(), *step.symbols]


def test_a_line_that_is_too_far_right_is_seen():
    """The look at the margins would be worth nothing if it passed a page that runs over."""
    assert ink_in_margins(printed("units", Page())[0], 16)
