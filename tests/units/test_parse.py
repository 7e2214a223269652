"""Quantities as people type them: read to SI, or refused with what was expected."""

import math
import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.errors import UnitError
from putback.units.parse import (
    angle_rad,
    area_m2,
    duration_minutes,
    force_n,
    length_m,
    mass_kg,
    pitch_per_m,
    pressure_pa,
    stress_pa,
    temperature_c,
    torque_nm,
    volume_m3,
)

READERS = (
    angle_rad, area_m2, duration_minutes, force_n, length_m, mass_kg, pitch_per_m, pressure_pa,
    stress_pa, temperature_c, torque_nm, volume_m3,
)  # fmt: skip
LBF_FT = 0.45359237 * 9.80665 * 0.3048
LBF_IN = LBF_FT / 12


@pytest.mark.parametrize(
    ("reader", "typed", "si"),
    [
        (torque_nm, "25 Nm", 25),
        (torque_nm, "25 N·m", 25),
        (torque_nm, "25N.m", 25),
        (torque_nm, "25 newton metres", 25),
        (torque_nm, "2.5 daNm", 25),
        (torque_nm, "18 lb ft", 18 * LBF_FT),
        (torque_nm, "18 lbf·ft", 18 * LBF_FT),
        (torque_nm, "18 LBF-FT", 18 * LBF_FT),
        (torque_nm, "18 ft lbs", 18 * LBF_FT),
        (torque_nm, "18 ft/lb", 18 * LBF_FT),
        (torque_nm, "18 foot-pounds", 18 * LBF_FT),
        (torque_nm, "300 lbf in", 300 * LBF_IN),
        (torque_nm, "300 in-lbs", 300 * LBF_IN),
        (torque_nm, "40 oz in", 40 * LBF_IN / 16),
        (torque_nm, "2.5 kgf m", 24.516625),
        (torque_nm, "2,5 mkg", 24.516625),
        (torque_nm, "250 kgf cm", 24.516625),
        (torque_nm, "12 dyn cm", 1.2e-6),  # by pint
        (length_m, "190.5 mm", 0.1905),
        (length_m, "3/8 in", 0.009525),
        (length_m, '1 1/2"', 0.0381),
        (length_m, "1-1/2 in", 0.0381),
        (length_m, "1½″", 0.0381),
        (length_m, "5/16", 0.0079375),
        (length_m, "12,7 mm", 0.0127),
        (length_m, ".040 in", 0.001016),
        (length_m, "40 thou", 0.001016),
        (length_m, "5 ft 6 1/2 in", 1.6891),
        (length_m, "5'6\"", 1.6764),
        (length_m, "25 µm", 25e-6),
        (length_m, "2 angstrom", 2e-10),  # by pint
        (mass_kg, "12.5 kg", 12.5),
        (mass_kg, "450 g", 0.45),
        (mass_kg, "27 lb 8 oz", 27.5 * 0.45359237),
        (mass_kg, "1 cwt", 112 * 0.45359237),
        (mass_kg, "1 short cwt", 100 * 0.45359237),
        (mass_kg, "1.2 tonnes", 1200),
        (mass_kg, "2 stone", 28 * 0.45359237),  # by pint
        (pressure_pa, "1.8 bar", 180_000),
        (pressure_pa, "2 kg/cm²", 196_133),
        (pressure_pa, "10 MPa", 10e6),
        (pressure_pa, "28 lb/sq in", 28 * 6894.757293168361),
        (pressure_pa, "18 in Hg", 18 * 3386.388640341),
        (pressure_pa, "3 torr", 3 * 101325 / 760),  # by pint
        (volume_m3, "4.5 l", 0.0045),
        (volume_m3, "300cc", 0.0003),
        (volume_m3, "7 imp pints", 7 * 0.00454609 / 8),
        (volume_m3, "1 imperial gallon 2 imperial pints", 1.25 * 0.00454609),
        (volume_m3, "4 US qt", 231 * 0.0254**3),
        (volume_m3, "90 cu in", 90 * 0.0254**3),
        (volume_m3, "3 hl", 0.3),  # by pint
        (duration_minutes, "90 min", 90),
        (duration_minutes, "1 h 30", 90),
        (duration_minutes, "1h30m", 90),
        (duration_minutes, "1 hour and 30 minutes", 90),
        (duration_minutes, "1:30", 90),
        (duration_minutes, "1.5 h", 90),
        (duration_minutes, "1 1/2 hours", 90),
        (duration_minutes, "100 hrs.", 6000),
        (force_n, "300 N", 300),
        (force_n, "2.5 kN", 2500),
        (force_n, "75 kg", 735.49875),
        (force_n, "10 lbf", 44.482216152605),
        (area_m2, "58 mm²", 58e-6),
        (area_m2, "0.09 sq in", 0.09 * 0.0254**2),
        (stress_pa, "640 N/mm²", 640e6),
        (stress_pa, "120 ksi", 120_000 * 6894.757293168361),
        (stress_pa, "55 long ton/in²", 55 * 2240 * 6894.757293168361),
        (angle_rad, "90°", math.pi / 2),
        (angle_rad, "-45 deg", -math.pi / 4),
        (angle_rad, "12° 30'", math.radians(12.5)),
        (angle_rad, "1/4 turn", math.pi / 2),
        (angle_rad, "2 flats", math.radians(120)),
        (pitch_per_m, "24 tpi", 24 / 0.0254),
        (pitch_per_m, "24 threads per inch", 24 / 0.0254),
        (pitch_per_m, "1.25 mm", 800),
        (pitch_per_m, "1/24 in", 24 / 0.0254),
        (temperature_c, "80 °C", 80),
        (temperature_c, "176F", 80),
        (temperature_c, "-40 deg F", -40),
        (temperature_c, "353.15 K", 80),
    ],
)
def test_what_people_type_is_read_to_si(reader, typed, si):
    """The spellings of the trade, and those of pint behind them, end in SI."""
    assert reader(typed) == pytest.approx(si, rel=1e-12)


EXAMPLE = "write it like '25 Nm' or '18 lbf ft'"
SIZE = "write it like '190.5 mm' or '1 1/2 in'"
REFUSED = [
    (torque_nm, "25", "a torque", "say in which unit, like '25 Nm' or '18 lbf ft'"),
    (torque_nm, "", "a torque", EXAMPLE),
    (torque_nm, "hand tight", "a torque", EXAMPLE),
    (torque_nm, "25 mm", "a torque", EXAMPLE),
    (torque_nm, "25 J", "a torque", EXAMPLE),
    (torque_nm, "25 Nm 3 Nm", "a torque", EXAMPLE),
    (torque_nm, "25 Nm" + " " * 60 + "x" * 60, "a torque", EXAMPLE),
    (torque_nm, "-3 Nm", "a torque", "leave the minus sign out: a torque is never negative"),
    (torque_nm, "1,500 Nm", "a torque", "leave the comma out of thousands, or write a point"),
    (torque_nm, "25-27 Nm", "a torque", f"give one figure, not a range, {EXAMPLE[9:]}"),
    (torque_nm, "25 to 27 Nm", "a torque", f"give one figure, not a range, {EXAMPLE[9:]}"),
    (length_m, "12", "a length", "say in which unit, like '190.5 mm' or '1 1/2 in'"),
    (length_m, "3 in 2", "a length", SIZE),
    (length_m, "1/0 in", "a length", SIZE),
    (length_m, "2 m**9**9", "a length", SIZE),
    (length_m, "2 in per", "a length", SIZE),
    (
        length_m,
        "10 mil",
        "a length",
        "a mil is a millimetre to some and a thousandth to others: say mm or thou",
    ),
    (mass_kg, "1 ton", "a mass", "there are three tons: say tonne, long ton or short ton"),
    (mass_kg, "12 blocks", "a mass", "write it like '12.5 kg' or '27 lb 8 oz'"),
    (
        volume_m3,
        "3 pints",
        "a volume",
        "an imperial pint is not a US pint: say which, like imp pint, or give litres",
    ),
    (
        volume_m3,
        "2 cups",
        "a volume",
        "its size differs from country to country: say litres or millilitres",
    ),
    (duration_minutes, "90", "a time of work", "write it like '1 h 30 min', '1:30' or '90 min'"),
    (duration_minutes, "", "a time of work", "write it like '1 h 30 min', '1:30' or '90 min'"),
    (duration_minutes, "1:75", "a time of work", "write it like '1 h 30 min', '1:30' or '90 min'"),
    (
        duration_minutes,
        "2 days",
        "a time of work",
        "say how many hours of work you mean, like '16 h'",
    ),
    (pitch_per_m, "0 mm", "threads per length", "a thread's pitch is more than nothing"),
    (
        pitch_per_m,
        "1,000 mm",
        "threads per length",
        "leave the comma out of thousands, or write a point",
    ),
    (pitch_per_m, "0 tpi", "threads per length", "a thread's pitch is more than nothing"),
    (
        stress_pa,
        "40 tsi",
        "a stress",
        "there are three tons: say MPa, psi or long ton/in2",
    ),
    (temperature_c, "80", "a temperature", "write it like '80 °C' or '176 °F'"),
    (temperature_c, "-1 K", "a temperature", "nothing is colder than -273.15 °C"),
]


@pytest.mark.parametrize(("reader", "typed", "expected", "mend"), REFUSED)
def test_what_cannot_be_meant_is_refused_with_an_example(reader, typed, expected, mend):
    """An error quotes what was typed, what was expected there, and how to write it."""
    with pytest.raises(UnitError) as caught:
        reader(typed)
    assert str(caught.value) == f"cannot read {typed!r} as {expected}; {mend}"


@pytest.mark.parametrize(
    ("reader", "typed", "bare", "si"),
    [
        (torque_nm, "18", "lbf ft", 18 * LBF_FT),
        (length_m, "5", "mm", 0.005),
        (length_m, "1/2", "mm", 0.0005),
        (mass_kg, "12.5", "kg", 12.5),
        (duration_minutes, "90", "min", 90),
        (duration_minutes, "1.5", "h", 90),
        (temperature_c, "80", "C", 80),
        (angle_rad, "180", "deg", math.pi),
        (pitch_per_m, "24", "tpi", 24 / 0.0254),
        (pitch_per_m, "1.5", "mm", 1000 / 1.5),
        (torque_nm, "25 Nm", "lbf ft", 25),
    ],
)
def test_a_bare_number_has_the_unit_of_the_box_it_was_typed_in(reader, typed, bare, si):
    """Only a number without a unit takes the one shown beside the box."""
    assert reader(typed, bare=bare) == pytest.approx(si, rel=1e-12)


def test_a_second_term_needs_its_own_unit():
    """``5 ft 6`` is not five feet and six millimetres, whatever the box shows."""
    with pytest.raises(UnitError):
        length_m("5 ft 6", bare="mm")


UNITS = ["Nm", "lb ft", "in", "mm", "kg", "pint", "h", "min", "°C", "meter", "furlong/day", "per"]


@given(
    st.sampled_from(READERS),
    st.text(max_size=12) | st.sampled_from(UNITS),
    st.sampled_from(["", "1", "1 1/2", "½", "2,5", "1:30", "-1", "1/0"]),
)
def test_any_text_is_read_or_refused(reader, unit, number):
    """Whatever is typed gives a finite number or a `UnitError`, and nothing else."""
    try:
        si = reader(f"{number} {unit}")
    except UnitError:
        return
    if reader is angle_rad:  # the one beside temperatures that may be below zero
        si = abs(si)
    assert -273.15 <= si < float("inf")


@given(st.integers(0, 10_000), st.integers(0, 63))
def test_an_inch_in_64ths_is_the_nearest_float(whole, sixty_fourths):
    """Fractions are exact until the one rounding to a float at the end."""
    exact_nanometres = (64 * whole + sixty_fourths) * 396_875
    assert length_m(f"{whole} {sixty_fourths}/64 in") == exact_nanometres / 10**9


def test_pint_is_loaded_only_for_what_the_table_does_not_know():
    """Reading what the trade writes does not cost the start-up of pint."""
    script = (
        "import sys\n"
        "from putback.units import parse, show\n"
        "parse.torque_nm('18 lbf ft'), show.torque_text(25.0)\n"
        "assert 'pint' not in sys.modules, 'pint was loaded'\n"
        "parse.length_m('2 furlongs')\n"
        "assert 'pint' in sys.modules, 'pint was not asked'\n"
    )
    subprocess.run([sys.executable, "-c", script], check=True)
