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
        (show.volume_text(0.0045), "4.5 l"),
        (show.volume_text(0.00025), "250 ml"),
        (show.volume_text(0.004, System.IMPERIAL), "7 imp pt"),
        (show.volume_text(0.009, System.IMPERIAL), "2 imp gal"),
        (show.volume_text(0.0014, System.US), "1.5 US qt"),
        (show.duration_text(90), "1 h 30 min"),
        (show.duration_text(44.6), "45 min"),
        (show.duration_text(119.7), "2 h"),
        (show.duration_text(0), "0 min"),
    ],
)
def test_quantities_are_rounded_as_far_as_a_person_needs(text, shown):
    """Each quantity is shown in the chosen system, rounded to what can be worked to."""
    assert text == shown


@pytest.mark.parametrize(
    ("write", "read", "scale", "rel", "slack"),
    [
        # From 9.95 up to the whole unit, below to a tenth: at worst 5 parts in a hundred.
        (
            lambda si, system: show.torque_text(si, system, both=False),
            parse.torque_nm,
            1,
            0.05,
            0.06,
        ),
        (show.mass_text, parse.mass_kg, 1, 0.05, 0.0015),
        (show.volume_text, parse.volume_m3, 1e-3, 0.05, 6e-5),
        (show.length_text, parse.length_m, 1e-3, 0.001, 5.1e-5),
        (lambda si, _: show.duration_text(si), parse.duration_minutes, 1, 0, 0.51),
    ],
    ids=["torque", "mass", "volume", "length", "duration"],
)
@given(system=st.sampled_from(System), amount=st.floats(1e-3, 1e4))
def test_what_is_shown_can_be_typed_back(write, read, scale, rel, slack, system, amount):
    """Any shown figure is read again, to within its rounding."""
    meant = amount * scale
    assert read(write(meant, system)) == pytest.approx(meant, abs=slack + rel * meant)
