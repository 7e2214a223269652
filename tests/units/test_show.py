"""Quantities as people read them, and as they can be typed back in."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.units import parse, show
from putback.units.show import System


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        (show.torque_text(22), "22 N·m (16 lbf·ft)"),
        (show.torque_text(22, System.IMPERIAL), "16 lbf·ft (22 N·m)"),
        (show.torque_text(5.5), "5.5 N·m (49 lbf·in)"),
        (show.torque_text(135.58, both=False), "136 N·m"),
        (show.torque_text(0, both=False), "0 N·m"),
        (show.length_text(0.1905), "190.5 mm"),
        (show.length_text(1.02e-3, both=True), "1.02 mm (0.040 in)"),
        (show.length_text(0.0254, both=True), "25.4 mm (1 in)"),
        (show.length_text(0.0381, System.US), "1 1/2 in"),
        (show.length_text(2.44, System.IMPERIAL, both=True), "8 ft 1/16 in (2440 mm)"),
        (show.length_text(1.8288, System.IMPERIAL), "6 ft"),
        (show.length_text(0, System.IMPERIAL), "0.000 in"),
        (show.mass_text(122), "122 kg"),
        (show.mass_text(2.44), "2.4 kg"),
        (show.mass_text(0.45), "450 g"),
        (show.mass_text(112, both=True), "112 kg (247 lb)"),
        (show.mass_text(0.2, System.IMPERIAL), "7.1 oz"),
        (show.pressure_text(180_000, both=True), "1.8 bar (26 psi)"),
        (show.volume_text(0.0045), "4.5 l"),
        (show.volume_text(0.00025), "250 ml"),
        (show.volume_text(0.004, System.IMPERIAL), "7 imp pt"),
        (show.volume_text(0.009, System.IMPERIAL), "2 imp gal"),
        (show.volume_text(0.0014, System.US), "1.5 US qt"),
        (show.temperature_text(82.2, both=True), "82 °C (180 °F)"),
        (show.temperature_text(-0.2), "0 °C"),
        (show.duration_text(90), "1 h 30 min"),
        (show.duration_text(44.6), "45 min"),
        (show.duration_text(119.7), "2 h"),
        (show.duration_text(0), "0 min"),
    ],
)
def test_quantities_are_rounded_as_far_as_a_person_needs(text, shown):
    """Each quantity is shown in the chosen system, rounded to what can be worked to."""
    assert text == shown


@given(st.sampled_from(System), st.floats(1e-3, 1e4))
def test_what_is_shown_can_be_typed_back(system, amount):
    """Any shown figure is read again, to within its rounding."""
    for written, reader, slack in (
        (show.torque_text(amount, system, both=False), parse.torque_nm, 0.05 * amount + 0.06),
        (show.mass_text(amount, system), parse.mass_kg, 0.06 * amount + 0.002),
        (show.volume_text(amount / 1000, system), parse.volume_m3, 0.06 * amount / 1000 + 1e-4),
        (show.pressure_text(amount * 1e4, system), parse.pressure_pa, 501 + 0.06 * amount * 1e4),
        (show.length_text(amount / 1000, system), parse.length_m, 1.3e-5 + 0.001 * amount / 1000),
        (show.temperature_text(amount, system), parse.temperature_c, 0.51),
        (show.duration_text(amount), parse.duration_minutes, 0.51),
    ):
        meant = {parse.volume_m3: amount / 1000, parse.length_m: amount / 1000}.get(reader, amount)
        meant = amount * 1e4 if reader is parse.pressure_pa else meant
        assert reader(written) == pytest.approx(meant, abs=slack), written
