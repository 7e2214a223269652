"""Figures as they were measured: places, scatter, range, and both systems."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.units import parse
from putback.units.scales import Kind, measured_text, significant
from putback.units.show import System


@pytest.mark.parametrize(
    ("kind", "si", "shown"),
    [
        (Kind.LENGTH, 0.009026, "9.026 mm (0.3554 in)"),
        (Kind.LENGTH, 0.05, "50 mm (1.969 in)"),
        (Kind.LENGTH, 0.3001, "300.1 mm (11.81 in)"),
        (Kind.LENGTH, 0.0079375, "7.938 mm (5/16 in)"),
        (Kind.LENGTH, 12.3456, "12.346 m (40.5 ft)"),
        (Kind.LENGTH, -0.0015, "-1.5 mm (-0.0591 in)"),
        (Kind.LENGTH, 0, "0 mm (0 in)"),
        (Kind.AREA, 58e-6, "58 mm² (0.0899 in²)"),
        (Kind.AREA, 0.5, "0.5 m² (5.38 ft²)"),
        (Kind.VOLUME, 3e-6, "3 ml (0.183 in³)"),
        (Kind.VOLUME, 0.0045, "4.5 l (0.99 imp gal)"),
        (Kind.ANGLE, math.pi / 3, "60°"),
        (Kind.MASS, 0.45, "450 g (15.9 oz)"),
        (Kind.MASS, 0.0, "0 kg (0 lb)"),
        (Kind.MASS, 23, "23 kg (50.7 lb)"),
        (Kind.FORCE, 300, "300 N (67.4 lbf)"),
        (Kind.FORCE, 12345, "12.3 kN (2775 lbf)"),
        (Kind.TORQUE, 36.607, "36.6 N·m (27 lbf·ft)"),
        (Kind.TORQUE, 9, "9 N·m (79.7 lbf·in)"),
        (Kind.STRESS, 640e6, "640 MPa (92824 psi)"),
        (Kind.PRESSURE, 180_000, "1.8 bar (26.1 psi)"),
        (Kind.TEMPERATURE, 82.2, "82 °C (180 °F)"),
        (Kind.TIME, 90, "1 h 30 min"),
        (Kind.TIME, 1e6, "694 days"),
        (Kind.TIME, 5e6, "9.5 years"),
        (Kind.SHARE, 0.123, "12.3 %"),
        (Kind.SHARE, 1e-9, "less than 0.01 %"),
        (Kind.PITCH, 24 / 0.0254, "24 tpi (1.0583 mm)"),
        (Kind.PITCH, 0, "0 tpi"),
    ],
)
def test_a_figure_is_written_as_its_instrument_reads(kind, si, shown):
    """Micrometer, calliper, rule; both systems."""
    assert measured_text(kind, si) == shown


def test_the_other_system_comes_first_if_asked_for():
    """And alone, if one is enough."""
    assert measured_text(Kind.MASS, 23, System.IMPERIAL) == "50.7 lb (23 kg)"
    assert measured_text(Kind.MASS, 23, System.IMPERIAL, both=False) == "50.7 lb"


def test_scatter_says_how_many_places_count():
    """The second figure of it is the last that is shown, noughts included."""
    assert measured_text(Kind.LENGTH, 0.0106, plus_minus=2e-5) == (
        "10.600 ± 0.020 mm (0.41732 ± 0.00079 in)"
    )
    assert measured_text(Kind.LENGTH, 3.21418, plus_minus=0.0042, both=False) == (
        "3214.2 ± 4.2 mm"
    )


def test_a_range_is_in_the_unit_of_its_figure():
    """Though one end alone would be said otherwise."""
    assert measured_text(Kind.TORQUE, 15, between=(9, 20)) == (
        "15 N·m, from 9 to 20 N·m (11.1 lbf·ft, from 6.6 to 14.8 lbf·ft)"
    )
    assert measured_text(Kind.TIME, 90, between=(60, 120)) == "1 h 30 min, from 1 h to 2 h"


READ_BACK = {
    Kind.LENGTH: parse.length_m,
    Kind.MASS: parse.mass_kg,
    Kind.FORCE: parse.force_n,
    Kind.TORQUE: parse.torque_nm,
    Kind.STRESS: parse.stress_pa,
    Kind.AREA: parse.area_m2,
    Kind.VOLUME: parse.volume_m3,
}


@given(
    st.sampled_from(list(READ_BACK)),
    st.floats(0.02, 5),
    st.sampled_from([System.METRIC, System.IMPERIAL]),
)
@settings(max_examples=50)
def test_what_is_shown_can_be_typed_back(kind, size, system):
    """To within the rounding, in both systems."""
    si = size * (1e8 if kind is Kind.STRESS else 1)
    text = measured_text(kind, si, system, both=False)
    assert READ_BACK[kind](text) == pytest.approx(si, rel=6e-3)


@given(st.floats(1e-5, 1e7), st.integers(1, 6))
@settings(max_examples=50)
def test_significant_figures_are_those_of_the_number(number, figures):
    """Rounded to so many: as Python's own ``g``, which writes exponents instead."""
    shown = float(significant(number, figures))
    assert shown == pytest.approx(float(f"{number:.{figures}g}"), rel=0.5 * 10 ** (1 - figures))
    assert abs(shown - number) <= 0.5000001 * 10 ** (
        math.floor(math.log10(number)) - figures + 1
    ) or shown == round(number)
