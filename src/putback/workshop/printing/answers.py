"""An answer of the bench gathered for paper: words, figures and drawings as on its page."""

from collections.abc import Callable, Mapping
from datetime import date
from xml.sax.saxutils import escape

from putback.bench.calculator import Answer, Calculator, Quantity
from putback.logbook.moments import day_words
from putback.paper.answers import AnswerPaper, PaperTable, Picture, PutIn, Worked, answer_pdf
from putback.paper.page import USUAL_PAGE, Page
from putback.paper.typeset import Drawing
from putback.paper.words import ENGLISH, Own, Words
from putback.workshop.benching.drawing import Drawn, DrawnLine, drawn
from putback.workshop.benching.given import Given, given
from putback.workshop.benching.keeping import short_command
from putback.workshop.benching.showing import (
    cell_text,
    figure_text,
    label,
    put_in,
    symbols_told,
)

_INK, _SOFT = "#14191a", "#4a524d"
_LETTERS = 'font-family="B612" font-size="9.5"'
_HALO = 'stroke="#fff" stroke-width="2" paint-order="stroke"'
_STROKES: Mapping[str, str] = {
    "thin": f'stroke="{_SOFT}" stroke-width="0.5"',
    "hidden": f'stroke="{_SOFT}" stroke-width="0.8" stroke-dasharray="4 3"',
    "accent": f'stroke="{_INK}" stroke-width="2.6"',
    "warn": f'stroke="{_INK}" stroke-width="2.6" stroke-dasharray="6 2.5"',
}
"""How lines are told apart without a colour."""
_OUTLINE = f'stroke="{_INK}" stroke-width="1.2"'


def answer_on_paper(
    calculator: Calculator,
    typed: Mapping[str, str],
    answer: Answer,
    day: date,
    page: Page = USUAL_PAGE,
    words: Words = ENGLISH,
) -> bytes:
    """Print an answer to what was typed, as a PDF."""
    gathered = answer_paper(calculator, typed, answer, day, words.respell)
    return answer_pdf(gathered, page, words)


def answer_paper(
    calculator: Calculator,
    typed: Mapping[str, str],
    answer: Answer,
    day: date,
    respell: Callable[[str], str] = str,
) -> AnswerPaper:
    """Gather what stands on the paper; only what is drawn is told again here, by `respell`."""
    choices = {each.name for each in calculator.asked if each.quantity is Quantity.CHOICE}
    return AnswerPaper(
        title=calculator.title,
        words=calculator.words,
        day=day_words(day.isoformat()),
        verdict=answer.verdict,
        put_in=tuple(
            _put_in(each, is_own=each.name not in choices) for each in given(calculator, typed)
        ),
        results=tuple((label(each.words), figure_text(each)) for each in answer.results),
        steps=tuple(
            Worked(put_in(each), symbols_told(each), label(each.source)) for each in answer.steps
        ),
        tables=tuple(
            PaperTable(
                each.title,
                tuple(map(label, each.head)),
                tuple(tuple(map(cell_text, row)) for row in each.rows),
            )
            for each in answer.tables
        ),
        pictures=tuple(
            Picture(each.title, label(each.words), _svg(drawn(each), respell))
            for each in answer.drawings
        ),
        cautions=tuple(map(label, answer.cautions)),
        limits=tuple(map(label, answer.limits)),
        sources=tuple(map(label, answer.sources)),
        command=Own(short_command(calculator, typed)),
    )


def _put_in(each: Given, *, is_own: bool) -> PutIn:
    typed = Own(each.typed) if is_own else each.typed
    return PutIn(label(each.words), typed, each.understood, each.is_usual)


def _svg(picture: Drawn, respell: Callable[[str], str]) -> Drawing:
    """Write a picture as SVG, in black lines that differ by weight and dashes."""
    lines = "".join(_line(each, respell) for each in picture.lines)
    return Drawing(
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{picture.view_box}">{lines}</svg>'
    )


def _line(line: DrawnLine, respell: Callable[[str], str]) -> str:
    if line.role == "text":
        at = f'x="{line.x}" y="{line.y}" text-anchor="{line.anchor}"'
        return f'<text {at} {_LETTERS} fill="{_INK}" {_HALO}>{escape(respell(line.words))}</text>'
    if line.role == "dot":
        return "".join(f'<circle cx="{x}" cy="{y}" r="2.4" fill="{_INK}"/>' for x, y in line.dots)
    stroke = _STROKES.get(line.role, _OUTLINE)
    return f'<polyline points="{line.points}" fill="none" stroke-linejoin="round" {stroke}/>'
