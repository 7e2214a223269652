"""Other words for inputs and choices: each means one thing, and is read as what it means."""

from collections import Counter

import pytest

from putback.bench.calculator import Calculator, Quantity
from putback.bench.tables import data_table
from putback.workshop.benching.every import EVERY
from putback.workshop.benching.reading import BadFields, read, work_out
from putback.workshop.benching.wording import choice_words, folded, input_named, input_words


def test_every_word_belongs_to_an_input_or_choice_that_there_is():
    """The table names nothing that a calculator does not ask for."""
    for row in data_table("other_words").rows:
        asked = {each.name: each for each in EVERY[row["calculator"]].asked}
        assert row["input"] in asked, row
        assert not row["choice"] or row["choice"] in asked[row["input"]].choices, row


def test_a_word_stands_beside_choices_alone():
    """An input's own name has none; what stands there is no part of the choice."""
    for row in data_table("other_words").rows:
        assert row["choice"] or not row["beside"], row
        assert not row["beside"] or folded(row["beside"]) not in folded(row["choice"]), row


@pytest.mark.parametrize("found", EVERY.values(), ids=lambda each: each.name)
def test_no_word_means_two_things(found: Calculator):
    """Neither two inputs of one calculator nor two choices of one input share a word."""
    names = _shared({each.name: input_words(found.name, each.name) for each in found.asked})
    assert not names
    for each in found.asked:
        said = choice_words(found.name, each.name)
        assert not _shared({one: said.get(one, ()) for one in each.choices}), each.name


def _shared(words):
    """Give the words that stand for more than one thing."""
    counted = Counter(
        word for own, said in words.items() for word in {folded(each) for each in (own, *said)}
    )
    return {word for word, times in counted.items() if times > 1}


def test_an_input_is_found_by_its_own_name_before_any_other_word():
    """No word hides the name of an input."""
    for found in EVERY.values():
        assert [input_named(found, each.name) for each in found.asked] == [
            each.name for each in found.asked
        ]


@pytest.mark.parametrize(
    ("name", "typed", "plain"),
    [
        ("thread", {"od": "7.85", "TPI": "24"}, {"major": "7.85 mm", "tpi": "24"}),
        ("bolt", {"thread": "M10", "class": "8.8"}, {"size": "M10", "grade": "8.8"}),
        (
            "bolt",
            {"size": "M10", "grade": "8,8", "material": "Aluminum"},
            {"size": "M10", "grade": "8.8", "into": "aluminium"},
        ),
        (
            "sheet",
            {"gage": "18", "series": "UK", "material": "alloy"},
            {"gauge": "18", "series": "SWG", "metal": "aluminium"},
        ),
        (
            "lashing",
            {"weight": "1500 kg", "method": "top", "stf": "350 daN", "mu": "0.4"},
            {"mass": "1500 kg", "way": "over the top", "tension": "350 daN", "friction": "0.4"},
        ),
        (
            "metals",
            {"bolt": "cad", "panel": "mild steel"},
            {"fastener": "cadmium plate", "sheet": "steel 1010"},
        ),
        ("wear", {"now": "9", "min": "8", "kind": "rotor"}, {"measured": "9", "limit": "8"}),
    ],
)
def test_other_words_ask_the_same_question(name, typed, plain):
    """Whatever an outsider calls it, the calculator reads what the plain words give."""
    found = EVERY[name]
    texts = {each.argument for each in found.asked if each.quantity is Quantity.TEXT}
    got, wanted = read(found, typed), read(found, plain)
    assert {key: got[key] for key in got if key not in texts} == {
        key: wanted[key] for key in wanted if key not in texts
    }
    assert work_out(found, typed).verdict == work_out(found, plain).verdict


def test_an_input_under_two_names_is_given_twice():
    """Nobody has to guess which of the two counts."""
    with pytest.raises(BadFields, match="it is given twice, as od too; give major once"):
        read(EVERY["thread"], {"major": "9", "od": "8"})


def test_a_pitch_that_is_no_pitch_tells_of_threads_per_inch():
    """24 without a unit is no pitch in millimetres, and the message says what to type."""
    with pytest.raises(BadFields, match="the most this holds for; type threads per inch as 24"):
        read(EVERY["thread"], {"major": "0.309 in", "pitch": "24"})


def test_a_pitch_may_be_typed_as_threads_per_inch():
    """Whoever types 24 tpi into the pitch means threads per inch."""
    found = EVERY["thread"]
    by_pitch = read(found, {"major": "0.309 in", "pitch": "24 tpi"})
    assert by_pitch["pitch_m"] == pytest.approx(0.0254 / 24)
