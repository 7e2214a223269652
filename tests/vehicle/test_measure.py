"""Measures and lengths in one exact spelling."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.errors import BadInput
from putback.units.parse import length_m
from putback.vehicle.measure import canonical_measure, exact_length_text, snapped


@pytest.mark.parametrize(
    ("typed", "canonical"),
    [
        ("6 mm", "6 mm"),
        ("6.50mm", "6.5 mm"),
        ("5/16", "5/16 in"),
        ("10/32 in", "5/16 in"),
        ('1 1/2"', "1 1/2 in"),
        ("6x6x28mm", "6 x 6 x 28 mm"),
        ("1/4 in x 20 mm", "1/4 in x 20 mm"),
        ("35-50 mm", "35-50 mm"),
        ("M8", "M8"),
        ("no 10", "No. 10"),
        ("10", ""),
        ("6 x 20", ""),
        ("eye", ""),
        ("36 teeth", ""),
        ("6 mm bore", ""),
        ("", ""),
    ],
)
def test_a_measure_has_one_spelling_and_words_are_none(typed, canonical):
    """A measure comes out canonical; a number without a unit is no measure."""
    assert canonical_measure(typed) == canonical
    assert canonical_measure(canonical) == canonical


@given(st.floats(1e-6, 5.0), st.booleans())
def test_a_snapped_length_survives_its_text(typed_m, inches):
    """What is written, in inches or millimetres, is read as exactly the same float."""
    exact_m = snapped(typed_m)
    assert snapped(length_m(exact_length_text(exact_m, inches=inches))) == exact_m


def test_no_fastener_is_as_long_as_a_mistake():
    """A length in the wrong unit is refused rather than kept."""
    with pytest.raises(BadInput, match="no fastener is 25 m long; check the unit"):
        snapped(25)
