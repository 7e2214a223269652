"""What the pages' scripts say, in German: all of it, and nothing of what is German already."""

import pytest

from putback.language import GERMAN, Reteller, rows_of
from putback.language.catalogue import SLOT
from tests.language.scripts import SHOWN, script_texts
from tests.language.texts import is_known_somehow, texts_of

PARTS = ("phone", "common")
"""Parts of the catalogue that a phone has."""


def rows_on_phones() -> dict[str, str]:
    """The rows that a phone has, whatever words of the program come with them."""
    return {english: other for part in PARTS for english, other in rows_of(GERMAN, part).items()}


def test_every_text_of_every_script_is_told_in_german():
    """Whatever is put in for the values in it."""
    texts = [
        (name, each)
        for name, text in script_texts()
        for each in (texts_of(text) if text.startswith("<") else [text])
    ]
    assert len(texts) > 150
    assert [each for each in texts if not is_known_somehow(each[1])] == []


@pytest.mark.parametrize("said", ["Nobody wrote this.", f"Nobody {SHOWN} this", "Thimble"])
def test_a_text_of_a_script_without_a_row_is_noticed(said, tmp_path):
    """Written plainly, or with something put in."""
    from tests.language.scripts import texts_in

    written = said.replace(SHOWN, "${who ? `a` : 'b'}")
    (tmp_path / "some.js").write_text(f"const words = `{written}`; // `no` words\n")
    assert list(texts_in(tmp_path / "some.js")) == [said]
    assert not is_known_somehow(said)


def test_what_is_german_already_is_not_told_again():
    """The server tells its pages, and a phone looks at all that stands in them."""
    who = Reteller(GERMAN, rows_on_phones())
    wrong = {
        other: told
        for row in (*rows_of(GERMAN).values(), "28. Nov. 2026, 11:38", "1. Mai 2031")
        for other in (SLOT.sub("7", row), SLOT.sub("7", row[:1].upper() + row[1:]))
        if (told := who.tell(other)) != other
    }
    assert wrong == {}
