"""Any quantity in any of its units, by exact definitions."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.errors import NotFound, UnitError
from putback.units.convert import convert, nearest_64th
from putback.units.scales import Kind


@pytest.mark.parametrize(
    ("typed", "to", "number", "kind"),
    [
        ("1 lbf ft", "Nm", 1.3558179483314004, Kind.TORQUE),
        ("27 lbf ft", "kgf m", 27 * 1.3558179483314004 / 9.80665, Kind.TORQUE),
        ("5/16", "mm", 7.9375, Kind.LENGTH),
        ("5/16 in", "mm", 7.9375, Kind.LENGTH),
        ("190.5 mm", "in", 7.5, Kind.LENGTH),
        ("27 lb", "kg", 12.24699399, Kind.MASS),
        ("3 kg", "N", 29.41995, Kind.FORCE),  # a weight
        ("500 N", "kg", 500 / 9.80665, Kind.FORCE),
        ("1 psi", "kPa", 6.894757293168361, Kind.STRESS),
        ("100 ksi", "MPa", 689.4757293168361, Kind.STRESS),
        ("1 imp gal", "l", 4.54609, Kind.VOLUME),
        ("1 US gal", "cu in", 231, Kind.VOLUME),
        ("58 mm²", "sq in", 58 / 645.16, Kind.AREA),
        ("-90°", "rad", -1.5707963267948966, Kind.ANGLE),
        ("1/4 turn", "°", 90, Kind.ANGLE),
        ("24 tpi", "mm", 25.4 / 24, Kind.PITCH),
        ("1.5 mm", "tpi", 25.4 / 1.5, Kind.PITCH),
        ("20 tpi", "/mm", 20 / 25.4, Kind.PITCH),
        ("90 min", "h", 1.5, Kind.TIME),
        ("-40 F", "C", -40, Kind.TEMPERATURE),
        ("80 °C", "°F", 176, Kind.TEMPERATURE),
        ("0 K", "F", -459.67, Kind.TEMPERATURE),
    ],
)
def test_a_quantity_is_given_in_another_unit(typed, to, number, kind):
    """By exact factors: NIST SP 811 app. B, and arithmetic."""
    found = convert(typed, to)
    assert found.number == pytest.approx(number, rel=1e-15, abs=1e-15)
    assert found.kind is kind


@pytest.mark.parametrize(
    ("typed", "to", "error", "said"),
    [
        ("3", "mm", UnitError, "cannot read '3' as a length; say in which unit"),
        ("5 Nm", "mm", UnitError, "cannot read '5 Nm' as a length"),
        ("5 mm", "Nm", UnitError, "cannot read '5 mm' as a torque"),
        ("1 kg", "ton", UnitError, "'ton' as a unit of mass; there are three tons"),
        ("0 tpi", "mm", UnitError, "cannot read '0 tpi' as a length"),
        ("0 mm", "tpi", UnitError, "a thread's pitch is more than nothing"),
        ("5 Nm", "lb fot", NotFound, "no unit 'lb fot'; did you mean 'lbft'"),
        ("5 Nm", "", NotFound, "no unit ''"),
    ],
)
def test_what_cannot_be_converted_says_why(typed, to, error, said):
    """The unit's quantity is the one that is expected of the value."""
    with pytest.raises(error) as caught:
        convert(typed, to)
    assert said in str(caught.value)


PAIRS = [
    ("in", "mm"),
    ("lb", "kg"),
    ("lbf ft", "Nm"),
    ("psi", "bar"),
    ("imp pint", "l"),
    ("sq ft", "m2"),
    ("deg", "rad"),
    ("F", "C"),
    ("tpi", "/mm"),
]
"""tests/published/test_units.py holds the factors themselves against pint."""


@settings(max_examples=50)
@given(pair=st.sampled_from(PAIRS), amount=st.integers(1, 10**6))
def test_there_and_back_is_where_it_began(pair, amount):
    """Whatever the unit."""
    ours, other = pair
    there = convert(f"{amount} {ours}", other).number
    assert convert(f"{there:.20f} {other}", ours).number == pytest.approx(amount, rel=1e-12)


@given(st.floats(0.01, 40))
@settings(max_examples=50)
def test_the_mark_of_a_rule_is_the_nearest(inches):
    """Never further than half a sixty-fourth."""
    mark, beyond_m = nearest_64th(inches)
    assert abs(beyond_m) <= 0.0254 / 128 + 1e-12
    assert float(mark) + beyond_m / 0.0254 == pytest.approx(inches)
