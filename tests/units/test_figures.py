"""Numbers as people write them in a workshop."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.units.figures import fraction_text, is_grouped, read_number, tidy


@given(st.fractions(0, 1000, max_denominator=128))
def test_a_fraction_reads_back_exactly(number):
    """No fraction loses anything between pen and program."""
    assert read_number(fraction_text(number)) == number


@pytest.mark.parametrize(
    ("typed", "number"),
    [
        ("1 1/4", Fraction(5, 4)),
        ("1-1/4", Fraction(5, 4)),
        (".5", Fraction(1, 2)),
        ("12,7", Fraction(127, 10)),
        ("25.", Fraction(25)),
    ],
)
def test_numbers_are_read_as_the_trade_writes_them(typed, number):
    """Mixed fractions, either decimal sign, a point at either end."""
    assert read_number(typed) == number


@given(st.text(max_size=20))
def test_tidying_twice_changes_nothing_more(text):
    """What is tidy stays so."""
    assert tidy(tidy(text)) == tidy(text)


def test_every_sign_for_one_thing_becomes_one():
    """Quotes, dashes, fractions and spaces come in many shapes from keyboards and phones."""
    assert tidy("1½″ × 3⁄8” –\u00a05′ 6''  ") == '1 1/2" x 3/8" - 5\' 6"'


def test_a_comma_before_three_digits_has_two_meanings():
    """1,500 may be one and a half or fifteen hundred."""
    assert is_grouped("1,500 Nm")
    assert not is_grouped("1,5 Nm")
    assert not is_grouped("1,5000 Nm")
    assert not is_grouped("0,125 in")
