"""Our factors against NIST SP 811, the UK statute, pint and scipy."""

import pint
import pytest
from scipy import constants

from putback.units import parse
from tests.published.reference import rows

TYPED = {
    "unit: 1 lbf ft in N m": ("1 lbf ft", 1, parse.torque_nm),
    "unit: 1 lbf in in N m": ("1 lbf in", 1, parse.torque_nm),
    "unit: 1 kgf m in N m": ("1 kgf m", 1, parse.torque_nm),
    "unit: 100 lbf ft in N m": ("100 lbf ft", 1, parse.torque_nm),
    "unit: 1 lbf in N": ("1 lbf", 1, parse.force_n),
    "unit: 1 psi in Pa": ("1 psi", 1, parse.pressure_pa),
    "unit: 1 kgf/cm2 in Pa": ("1 kgf/cm2", 1, parse.pressure_pa),
    "unit: 1 atm in bar": ("1 atm", 1e5, parse.pressure_pa),
    "unit: 1 US gallon in L": ("1 US gallon", 1e-3, parse.volume_m3),
    "unit: 1 imperial gallon in L": ("1 imperial gallon", 1e-3, parse.volume_m3),
    "unit: 1 cubic inch in cm3": ("1 cu in", 1e-6, parse.volume_m3),
}
"""What a person types for a row, and the size in SI of the unit its answer is in."""

ROWS = [row for row in rows("d_torque_adapter_units.csv") if row.quantity in TYPED]


@pytest.fixture(scope="module")
def pint_alone() -> pint.UnitRegistry:
    """Every unit that pint knows by itself, which takes it a while to read."""
    return pint.UnitRegistry()


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.quantity)
def test_a_published_factor_is_ours(row):
    """d_torque_adapter_units.csv: NIST SP 811 App. B.8 and the UK statute, as named there."""
    typed, unit_si, reader = TYPED[row.quantity]
    slack = max(row.slack, 1e-12 * float(row.expected))
    assert reader(typed) / unit_si == pytest.approx(float(row.expected), abs=slack)


def test_every_published_factor_is_checked():
    """No row that could be typed is passed over."""
    published = {
        row.quantity
        for row in rows("d_torque_adapter_units.csv")
        if row.quantity.startswith("unit: ")
    }
    # These two are the reverse of rows that are checked.
    reverse = {"unit: 1 N m in lbf ft", "unit: 1 kgf m in lbf ft"}
    assert published - reverse == set(TYPED)


@pytest.mark.parametrize(
    ("reader", "typed", "expression"),
    [
        (parse.torque_nm, "1 lbf ft", "force_pound * foot"),
        (parse.torque_nm, "1 lbf in", "force_pound * inch"),
        (parse.torque_nm, "1 ozf in", "force_ounce * inch"),
        (parse.torque_nm, "1 kgf m", "force_kilogram * meter"),
        (parse.torque_nm, "1 kgf cm", "force_kilogram * centimeter"),
        (parse.length_m, "1 in", "inch"),
        (parse.length_m, "1 thou", "thou"),
        (parse.length_m, "1 ft", "foot"),
        (parse.length_m, "1 yd", "yard"),
        (parse.length_m, "1 mile", "mile"),
        (parse.mass_kg, "1 lb", "pound"),
        (parse.mass_kg, "1 oz", "ounce"),
        (parse.mass_kg, "1 cwt", "long_hundredweight"),
        (parse.mass_kg, "1 US cwt", "hundredweight"),
        (parse.mass_kg, "1 long ton", "long_ton"),
        (parse.mass_kg, "1 short ton", "ton"),
        (parse.mass_kg, "1 tonne", "metric_ton"),
        (parse.pressure_pa, "1 psi", "psi"),
        (parse.pressure_pa, "1 bar", "bar"),
        (parse.pressure_pa, "1 at", "technical_atmosphere"),
        (parse.pressure_pa, "1 mmHg", "mmHg"),
        (parse.pressure_pa, "1 inHg", "inHg"),
        (parse.force_n, "1 lbf", "force_pound"),
        (parse.force_n, "1 kgf", "force_kilogram"),
        (parse.force_n, "1 kip", "kip"),
        (parse.force_n, "1 long ton", "force_long_ton"),
        (parse.area_m2, "1 sq in", "inch ** 2"),
        (parse.area_m2, "1 sq ft", "foot ** 2"),
        (parse.stress_pa, "1 ksi", "ksi"),
        (parse.stress_pa, "1 kgf/mm2", "force_kilogram / millimeter ** 2"),
        (parse.stress_pa, "1 long ton/in2", "force_long_ton / inch ** 2"),
        (parse.angle_rad, "1 deg", "degree"),
        (parse.angle_rad, "1'", "arcminute"),
        (parse.angle_rad, "1 turn", "turn"),
        (parse.volume_m3, "1 imp gal", "imperial_gallon"),
        (parse.volume_m3, "1 imp qt", "imperial_quart"),
        (parse.volume_m3, "1 imp pt", "imperial_pint"),
        (parse.volume_m3, "1 imp fl oz", "imperial_fluid_ounce"),
        (parse.volume_m3, "1 US gal", "gallon"),
        (parse.volume_m3, "1 US qt", "quart"),
        (parse.volume_m3, "1 US pt", "pint"),
        (parse.volume_m3, "1 US fl oz", "fluid_ounce"),
        (parse.volume_m3, "1 cu in", "cubic_inch"),
        (parse.volume_m3, "1 cu ft", "cubic_foot"),
    ],
)
def test_our_factors_agree_with_pint(reader, typed, expression, pint_alone):
    """Against pint 0.25, the unit of the same meaning."""
    theirs = pint_alone.Quantity(1, expression).to_base_units().magnitude
    # A conventional column of mercury is defined to seven figures.
    assert reader(typed) == pytest.approx(theirs, rel=1e-6 if "Hg" in typed else 1e-12)


def test_our_factors_agree_with_scipy():
    """scipy.constants 1.17, from CODATA and NIST."""
    assert parse.length_m("1 in") == constants.inch
    assert parse.mass_kg("1 lb") == pytest.approx(constants.pound, rel=1e-15)
    assert parse.torque_nm("1 kgf m") == constants.g
    assert parse.volume_m3("1 US gal") == pytest.approx(constants.gallon, rel=1e-15)
    assert parse.volume_m3("1 imp gal") == pytest.approx(constants.gallon_imp, rel=1e-15)
    assert parse.pressure_pa("1 psi") == pytest.approx(constants.psi, rel=1e-15)
    assert parse.temperature_c("98.6 F") == pytest.approx(
        float(constants.convert_temperature(98.6, "F", "C")), rel=1e-12
    )


def test_pint_alone_reads_torques_as_something_else(pint_alone):
    """In pint 0.25 ``Nm`` is a unit of yarn and ``lb ft`` mass times length; not with us."""
    newton_metre = pint_alone.Quantity(1, "newton * meter").dimensionality
    assert pint_alone.parse_units("Nm").dimensionality != newton_metre
    assert pint_alone.parse_units("lb ft").dimensionality == {"[mass]": 1, "[length]": 1}
    assert parse.torque_nm("25 Nm") == 25
    assert parse.torque_nm("18 lb ft") == pytest.approx(24.4047, abs=5e-5)
