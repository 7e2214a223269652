"""Every calculator there is, by its own example: whole, finite, shown and kept."""

import json
import math
from collections.abc import Iterator

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.bench.calculator import Answer, Figure, Quantity
from putback.errors import InputError, NotFound
from putback.workshop.benching.document import answer_document, calculator_document
from putback.workshop.benching.drawing import drawn
from putback.workshop.benching.every import EVERY, calculator
from putback.workshop.benching.reading import work_out
from putback.workshop.benching.showing import figure_text, put_in

ALL = pytest.mark.parametrize("name", EVERY)
ROLES = frozenset({"outline", "thin", "hidden", "accent", "warn", "dot", "text"})
_ANSWERS: dict[str, Answer] = {}


def answer_of(name: str) -> Answer:
    """The answer to its example, worked out once."""
    if name not in _ANSWERS:
        _ANSWERS[name] = work_out(EVERY[name], EVERY[name].example)
    return _ANSWERS[name]


def figures_of(answer: Answer) -> Iterator[Figure]:
    """Every figure in it."""
    yield from answer.inputs
    yield from answer.results
    for step in answer.steps:
        yield from step.symbols.values()
        yield step.gives
    for table in answer.tables:
        for row in table.rows:
            yield from row


@ALL
def test_its_example_is_answered_in_full(name):
    """A verdict, results, a source; and a formula with numbers or a table."""
    answer = answer_of(name)
    assert answer.calculator == name
    assert answer.verdict.endswith(".")
    assert answer.results
    assert answer.sources
    assert answer.steps or answer.tables


@ALL
def test_every_figure_is_finite_and_of_its_kind(name):
    """No NaN, no infinity, no number where a word belongs."""
    for figure in figures_of(answer_of(name)):
        for number in (figure.value, figure.plus_minus, figure.low, figure.high):
            assert not isinstance(number, float) or math.isfinite(number), figure
        if figure.quantity in (Quantity.TEXT, Quantity.CHOICE, Quantity.LINES):
            assert figure.value is None or isinstance(figure.value, str), figure
        elif figure.value is not None:
            assert not isinstance(figure.value, str), figure
        assert "nan" not in figure_text(figure).split()


@ALL
def test_inputs_and_results_have_names_of_their_own(name):
    """A program finds each by its name."""
    answer, found = answer_of(name), EVERY[name]
    for names in (
        [each.name for each in answer.results],
        [each.name for each in answer.inputs],
        [each.name for each in found.asked],
        [each.argument for each in found.asked],
    ):
        assert sorted(set(names)) == sorted(names)
    assert set(found.example) <= {each.name for each in found.asked}


@ALL
def test_its_json_holds_all_of_it(name):
    """As strict JSON, which knows no NaN."""
    answer = answer_of(name)
    document = json.loads(json.dumps(answer_document(answer), allow_nan=False))
    assert list(document["results"]) == [each.name for each in answer.results]
    assert [each["put_in"] for each in document["steps"]] == list(map(put_in, answer.steps))
    assert json.loads(json.dumps(calculator_document(EVERY[name])))["name"] == name


@ALL
def test_its_tables_and_drawings_can_be_shown(name):
    """Every row as wide as its head, every line of a drawing of a known role, told in words."""
    answer = answer_of(name)
    for table in answer.tables:
        assert {len(row) for row in table.rows} <= {len(table.head)}
    for drawing in answer.drawings:
        assert {shape.role for shape in drawing.shapes} <= ROLES
        assert drawing.words
        assert drawn(drawing).lines


@ALL
def test_a_symbol_of_a_step_is_in_its_formula(name):
    """Each stands there, so that a number takes its place."""
    for step in answer_of(name).steps:
        right = step.formula.partition("=")[2]
        assert [symbol for symbol in step.symbols if symbol not in right] == [], step.formula


@ALL
def test_its_defaults_are_as_a_person_would_type_them(name):
    """Each default is read by its own field, and is a choice where there are some."""
    found = EVERY[name]
    for each in found.asked:
        if each.quantity is Quantity.CHOICE:
            assert each.choices
            assert not each.default or each.default in each.choices
        assert each.words


def test_a_calculator_is_found_by_its_name_or_offered():
    """The nearest, where it is misspelt."""
    assert calculator("Units").name == "units"
    with pytest.raises(NotFound, match="did you mean 'units'"):
        calculator("unit")


UNIT = {
    Quantity.LENGTH: "mm",
    Quantity.AREA: "mm2",
    Quantity.VOLUME: "ml",
    Quantity.ANGLE: "deg",
    Quantity.MASS: "kg",
    Quantity.FORCE: "N",
    Quantity.TORQUE: "Nm",
    Quantity.STRESS: "MPa",
    Quantity.PRESSURE: "bar",
    Quantity.TEMPERATURE: "C",
    Quantity.TIME: "min",
    Quantity.SHARE: "%",
    Quantity.PITCH: "tpi",
}
AMOUNTS = ["0", "0.000001", "0.5", "1", "7", "45", "90", "180", "1200", "1000000", "-3"]
LINES = ["", "x", "a 1", "a 0 0 0 | b 0 0 0", "1 | 2 | 3", "a b 5 | b a 5", "a 1e9 0", "nan inf"]
WORDS = ["", "M8", "5/16-24 UNF", "8.8", "0", "x", "M0x0", "M8x99"]


@st.composite
def typings(draw: st.DrawFn) -> tuple[str, dict[str, str]]:
    """A calculator's example with up to three fields otherwise."""
    name = draw(st.sampled_from(list(EVERY)))
    found = EVERY[name]
    typed = dict(found.example)
    for each in draw(st.lists(st.sampled_from(found.asked), min_size=1, max_size=3)):
        if each.quantity in (Quantity.CHOICE, Quantity.YES):
            typed[each.name] = draw(st.sampled_from([*(each.choices or ("yes", "no")), ""]))
        elif each.quantity is Quantity.LINES:
            typed[each.name] = draw(st.sampled_from(LINES))
        elif each.quantity is Quantity.TEXT:
            typed[each.name] = draw(st.sampled_from(WORDS))
        else:
            amount = draw(st.sampled_from(["", *AMOUNTS]))
            typed[each.name] = f"{amount} {UNIT.get(each.quantity, '')}" if amount else ""
    return name, typed


@given(typings())
@settings(max_examples=50)
def test_whatever_is_typed_is_answered_or_refused(asked):
    """At noughts and far beyond all limits: a whole answer or a person's mistake, never NaN."""
    name, typed = asked
    try:
        answer = work_out(EVERY[name], typed)
    except InputError:
        return
    json.dumps(answer_document(answer), allow_nan=False)
    for drawing in answer.drawings:
        assert "nan" not in drawn(drawing).view_box
