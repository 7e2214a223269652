"""Answers of the bench on paper: what was put in, what came of it, and how."""

from dataclasses import dataclass

from putback.paper.page import USUAL_PAGE, Page
from putback.paper.typeset import Drawing, typeset
from putback.paper.words import ENGLISH, Words


@dataclass(frozen=True, slots=True)
class PutIn:
    """One thing that was put in, as typed and as it was understood.

    ``typed`` may have several lines. ``understood`` is empty where it is nothing but what was
    typed; ``is_usual`` where nobody typed it.
    """

    what: str
    typed: str
    understood: str = ""
    is_usual: bool = False


@dataclass(frozen=True, slots=True)
class Worked:
    """One formula with its numbers, what its symbols are, and where it comes from."""

    line: str
    symbols: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True)
class PaperTable:
    """A titled table; every row has a cell for each heading."""

    title: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing to scale, told in words too."""

    title: str
    words: str
    drawing: Drawing


@dataclass(frozen=True, slots=True)
class AnswerPaper:
    """One answer of one calculator."""

    title: str
    words: str
    """What the calculator is for."""
    day: str
    verdict: str
    put_in: tuple[PutIn, ...]
    results: tuple[tuple[str, str], ...]
    """What each is, and the figure."""
    steps: tuple[Worked, ...] = ()
    tables: tuple[PaperTable, ...] = ()
    pictures: tuple[Picture, ...] = ()
    cautions: tuple[str, ...] = ()
    limits: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()
    command: str = ""
    """The command that gives the same."""


@dataclass(frozen=True, slots=True)
class _Printed:
    """What the template is given."""

    answer: AnswerPaper
    size_mm: tuple[float, float]
    text_pt: float
    words: Words


def answer_pdf(answer: AnswerPaper, page: Page = USUAL_PAGE, words: Words = ENGLISH) -> bytes:
    """Print an answer."""
    printed = _Printed(answer, page.size_mm, page.text_pt, words)
    return typeset("answer", printed, respell=words.respell)
