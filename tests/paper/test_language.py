"""The languages of paper: each says all that the first says, and puts the same in."""

from dataclasses import fields
from string import Formatter

import pytest

from putback.errors import BadInput, NotFound
from putback.paper.german import GERMAN
from putback.paper.language import LANGUAGES, words_in
from putback.paper.sheets import Section, Sheet, sheet_pdf
from putback.paper.terms import AMERICAN, Terms, american
from putback.paper.words import ENGLISH

SAID = [each.name for each in fields(ENGLISH) if isinstance(getattr(ENGLISH, each.name), str)]


def put_in(text: str) -> list[str]:
    """What stands in braces."""
    return sorted(name for _, name, _, _ in Formatter().parse(text) if name is not None)


@pytest.mark.parametrize("key", [each for each in SAID if each != "terms"])
def test_german_says_all_that_english_says(key):
    """No key is left as it was or empty, and the same is put into it."""
    english, german = getattr(ENGLISH, key), getattr(GERMAN, key)
    assert german.strip()
    assert german != english
    assert put_in(german) == put_in(english)
    assert english[0].isspace() == german[0].isspace()


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
    text = printed(sheet_pdf(Sheet("T", "Car", "heute", ()), words=words_in("DE"))).text
    assert "Stand vom heute" in text
    assert "Seite 1 von 1" in text


def test_what_is_no_language_names_those_there_are():
    """Neither language nor terms are guessed."""
    assert words_in("en") == ENGLISH
    assert set(LANGUAGES) == {"en", "de"}
    with pytest.raises(NotFound, match="en"):
        words_in("xx")
    with pytest.raises(NotFound, match=Terms.BRITISH):
        words_in("en", "welsh")
    with pytest.raises(BadInput, match="American terms are English"):
        words_in("de", "american")
