"""The languages of paper: each says all that the first says, and puts the same in."""

import re
from dataclasses import fields

import pytest

from putback.errors import BadInput, NotFound
from putback.language import reteller
from putback.paper.history_words import HISTORY_WORDS
from putback.paper.language import words_in
from putback.paper.sheets import Section, Sheet, sheet_pdf
from putback.paper.terms import AMERICAN, Terms, american
from putback.paper.words import ENGLISH, Own, Written

NO_WORDS = {"language", "terms", "stage", "figure_by"}
"""The last two are told with what is put in (tests/workshop/printing/test_units.py)."""


def fixed_words() -> list[str]:
    """Every word of papers and history files, with something put in where a slot is."""
    found: list[str] = []
    for words in (ENGLISH, HISTORY_WORDS):
        said = [getattr(words, each.name) for each in fields(words) if each.name not in NO_WORDS]
        for each in said:
            found += each if isinstance(each, tuple) else [each]
    return [re.sub(r"\{\w+\}", "7", each) for each in found]


@pytest.mark.parametrize("english", fixed_words())
def test_german_says_all_that_english_says(english):
    """Each word of every paper has a row of the catalogue, and what is put in stays in."""
    told = reteller("de").told(english)
    assert told.is_known
    assert told.text.count("7") == english.count("7")


def test_a_slot_that_a_template_fills_outlives_the_telling():
    """Typst puts in what it alone knows, as the number of the page."""
    german = words_in("de")
    assert german.respell(ENGLISH.page_of) == "Seite {n} von {n_of}"
    assert german.respell(ENGLISH.printed_on) == "Stand vom {day}"
    assert german.respell(HISTORY_WORDS.no_font).count("{letters}") == 1


def test_what_a_person_called_something_stays():
    """In German; in American terms it is respelled like all else."""
    assert words_in("de").respell("left") == "links"
    assert words_in("de").respell(Own("left")) == "left"
    assert words_in("en", "american").respell(Own("spanner")) == "wrench"


def test_a_sentence_that_a_person_wrote_is_told_whole_or_not_at_all():
    """A caution of which rows have a half stays as it was written."""
    half = "suspended load: nobody under it; the mass of the vehicle moves"
    told = words_in("de").respell
    assert told(Written(half)) == half != told(half)
    assert told(Written("nobody under it")) == "niemand darunter"


@pytest.mark.parametrize(
    ("british", "said"),
    [
        ("spanner 9/16 AF", "wrench 9/16 AF"),
        ("SPANNERS", "WRENCHES"),
        ("Bonnet, left wing", "Hood, left fender"),
        ("wing nut of the wing mirror", "wing nut of the side mirror"),
        ("4 × split pin", "4 × cotter pin"),
        ("swing the swingarm", "swing the swingarm"),
        ("tyres", "tires"),
    ],
)
def test_american_terms_are_whole_words(british, said):
    """Longest first, capitals kept, in no middle of a word; saying it twice changes nothing."""
    assert american(british) == said
    assert american(said.replace("wing nut", "")) == said.replace("wing nut", "")


def test_no_american_word_is_said_otherwise_again():
    """What one row gives, no other row takes."""
    assert all(american(each) == each for each in AMERICAN.values())


def test_a_list_is_printed_in_american_terms(printed):
    """Whatever stands on it."""
    sheet = Sheet("Spanners", "Car", "today", (Section("Bonnet", notes=("the rear tyre",)),))
    text = printed(sheet_pdf(sheet, words=words_in("en", "american"))).text
    assert "Wrenches" in text
    assert "Hood" in text
    assert "tire" in text


def test_a_list_is_printed_in_german(printed):
    """The frame of it, too."""
    text = printed(sheet_pdf(Sheet("T", "Car", "12 May 2031", ()), words=words_in("DE"))).text
    assert "Stand vom 12. Mai 2031" in text
    assert "Seite 1 von 1" in text


def test_what_is_no_language_names_those_there_are():
    """Neither language nor terms are guessed."""
    assert words_in("en") == ENGLISH
    with pytest.raises(NotFound, match=r"en.*de"):
        words_in("xx")
    with pytest.raises(NotFound, match=Terms.BRITISH):
        words_in("en", "welsh")
    with pytest.raises(BadInput, match="American terms are English"):
        words_in("de", "american")
