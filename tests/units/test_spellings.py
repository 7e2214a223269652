"""The table of spellings: no two collide, and each reads as its own quantity only."""

import pytest

from putback.units.spellings import (
    ANGLE,
    AREA,
    FORCE,
    LENGTH,
    MASS,
    PITCH,
    PRESSURE,
    STRESS,
    TORQUE,
    VOLUME,
    key_of,
)

QUANTITIES = [
    ANGLE, AREA, FORCE, LENGTH, MASS, PITCH, PRESSURE, STRESS, TORQUE, VOLUME,
]  # fmt: skip


@pytest.mark.parametrize("quantity", QUANTITIES, ids=lambda quantity: quantity.name)
def test_every_spelling_stands_in_the_form_it_is_looked_up_in(quantity):
    """A spelling that is not its own key could never be found."""
    for spelling in (*quantity.factors, *quantity.ambiguous):
        assert key_of(spelling) == spelling


@pytest.mark.parametrize("quantity", QUANTITIES, ids=lambda quantity: quantity.name)
def test_nothing_is_both_certain_and_ambiguous(quantity):
    """A spelling has one factor or asks a question, never both."""
    assert not set(quantity.factors) & set(quantity.ambiguous)


def test_case_spaces_dots_and_hyphens_do_not_tell_units_apart():
    """One unit, however it is punctuated."""
    assert {key_of(each) for each in ("lbf ft", "LBF·FT", "lbf-ft", "lbf.ft")} == {"lbfft"}
