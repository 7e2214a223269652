"""Figures in sentences, metric and imperial."""

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.bench import both

UNITS = pint.UnitRegistry()


@pytest.mark.parametrize(
    ("said", "words"),
    [
        (both.mass(1127.4), "1127 kg (2485 lb)"),
        (both.mass(14.06, 1), "14.1 kg (31.0 lb)"),
        (both.mass(70, 1), "70.0 kg (154 lb)"),
        (both.masses(150, 225), "150 to 225 kg (331 to 496 lb)"),
        (both.length(0.348), "348 mm (13.7 in)"),
        (both.length(0.5467, 1), "546.7 mm (21.52 in)"),
        (both.lengths(0.33, 0.555), "330 to 555 mm (13.0 to 21.9 in)"),
        (both.force(400), "400 N (90 lbf)"),
        (both.torque(41.2), "41.2 N·m (30.4 lbf·ft)"),
    ],
)
def test_a_figure_is_said_in_both(said, words):
    """Rounded as one speaks."""
    assert said == words


@given(st.floats(100, 5000))
@settings(max_examples=20)
def test_pint_says_the_same(value):
    """Pounds, inches, pounds-force and lbf·ft against another library's units."""
    for said, unit, other in (
        (both.mass(value), "kg", "lb"),
        (both.length(value), "m", "inch"),
        (both.force(value), "N", "lbf"),
        (both.torque(value), "N*m", "lbf*ft"),
    ):
        shown = float(said.partition("(")[2].split()[0])
        assert shown == pytest.approx(UNITS.Quantity(value, unit).m_as(other), rel=6e-3, abs=0.5)
