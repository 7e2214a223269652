"""What the calculators of the bench ask and answer, in German."""

import re
from collections.abc import Iterator

import pytest

from putback.bench.calculator import Calculator, Quantity
from putback.bench.registry import CALCULATORS
from putback.workshop.benching.reading import work_out
from putback.workshop.benching.showing import figure_text, label
from putback.workshop.benching.wording import choice_shown
from tests.language.texts import is_known


def texts_of(found: Calculator) -> Iterator[str]:
    """Everything that a calculator says in asking, and in answering its example."""
    yield from (found.title, found.words)
    for asked in found.asked:
        yield from (label(asked.words), asked.hint, *asked.choices)
        yield from (choice_shown(found.name, asked.name, each) for each in asked.choices)
    answer = work_out(found, found.example)
    yield answer.verdict
    yield from (label(each.words) for each in answer.results)
    yield from (figure_text(each) for each in answer.results if each.quantity is Quantity.CHOICE)
    for step in answer.steps:
        yield from (step.source, step.gives.words, *(each.words for each in step.symbols.values()))
    for table in answer.tables:
        yield from (table.title, *map(label, table.head))
    for drawing in answer.drawings:
        yield from (drawing.title, first_sentence(drawing.words))
    yield from (*answer.sources, *answer.limits, *answer.cautions)


def first_sentence(words: str) -> str:
    """Give what a drawing is; what follows is full of names that somebody typed."""
    return words.split(". ")[0]


@pytest.mark.parametrize("name", CALCULATORS)
def test_what_a_calculator_says_is_translated(name):
    """Names that somebody typed, of pieces and points, apart; so are bare formulas and codes."""
    found = CALCULATORS[name]
    own = frozenset(re.findall(r"[^\s|;,]+", " ".join(found.example.values())))
    said = {each for each in texts_of(found) if re.search("[a-z]{3}", each)}
    assert len(said) > 5
    assert sorted(each for each in said if not is_known(each, own)) == []
