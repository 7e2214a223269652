"""Brake hydraulics against published figures and the boiling points of FMVSS 116."""

import re

import pytest

from putback.bench import brake
from putback.bench.tables import data_table
from putback.units import parse
from putback.units.scales import Kind, measured_text
from tests.published.reference import rows

PSI, LBF, IN = 6894.757293168, 4.4482216152605, 0.0254
"""Pascals, newtons and metres in one: NIST SP 811 App. B."""

EVERY = rows("j_brake_hydraulics.csv")
ROWS = [row for row in EVERY if row.tolerance != "text"]
FLUIDS = [row for row in ROWS if "boiling" in row.quantity]


def number(row, name):
    """A number of a row's inputs."""
    return float(row.inputs[name])


def reproduced(row):
    """What the calculator makes of a row, in the row's unit."""
    match row.quantity, *row.inputs:
        case "line pressure", *_:
            return number(row, "F_N") / (number(row, "area_cm2") * 1e-4)
        case "slave piston force", *_:
            across_m = 2 * (number(row, "area_cm2") * 1e-4 / 3.141592653589793) ** 0.5
            return brake.piston_force_n(number(row, "p_Pa"), across_m)
        case "line pressure from pedal", *_:
            force_n, bore_m = number(row, "pedal_lbf") * LBF, number(row, "bore_in") * IN
            return brake.line_pressure_pa(force_n, number(row, "ratio"), 1.0, bore_m) / PSI
        case "piston area", "bore_in":
            return brake.circle_area_m2(number(row, "bore_in") * IN) / IN**2
        case "piston area", "d_mm":
            return brake.circle_area_m2(number(row, "d_mm") * 1e-3) / IN**2
        case "force of four 1.75 in pistons", *_:
            return (
                brake.piston_force_n(
                    number(row, "p_psi") * PSI, number(row, "d_in") * IN, number(row, "n")
                )
                / LBF
            )
        case "fluid volume for piston travel", *_:
            return (
                brake.moved_m3(number(row, "d_mm") * 1e-3, number(row, "travel_mm") * 1e-3) * 1e6
            )
        case "master stroke to move that volume", *_:
            area_m2 = brake.circle_area_m2(number(row, "bore_mm") * 1e-3)
            return number(row, "volume_mL") * 1e-6 / area_m2 * 1e3
    return None


FIGURES = [row for row in ROWS if row not in FLUIDS and not row.quantity.startswith("degC")]


@pytest.mark.parametrize("row", FIGURES, ids=lambda row: f"{row.quantity} {row.inputs}")
def test_a_published_figure_is_met(row):
    """j_brake_hydraulics.csv: worked examples and tables named there."""
    assert reproduced(row) == pytest.approx(float(row.expected), abs=row.slack or 1e-9)


@pytest.mark.parametrize("row", FLUIDS, ids=lambda row: f"{row.quantity} {row.inputs}")
def test_a_fluid_boils_where_the_rule_says(row):
    """j_brake_hydraulics.csv: FMVSS 116 S5.1.1 and S5.1.2."""
    (fluid,) = (f for f in data_table("brake_fluids").rows if f["grade"] == row.inputs["grade"])
    assert float(fluid["dry_c" if "dry" in row.quantity else "wet_c"]) == float(row.expected)
    assert fluid["status"] == "published"


@pytest.mark.parametrize(
    "row",
    [row for row in ROWS if row.quantity.startswith("degC")],
    ids=lambda row: row.inputs["C"],
)
def test_a_boiling_point_is_told_in_fahrenheit_too(row):
    """j_brake_hydraulics.csv: 155 and 180 °C as the rule has them in °F, and back."""
    assert f"{row.expected} °F" in measured_text(Kind.TEMPERATURE, number(row, "C"))
    assert parse.temperature_c(f"{row.expected} F") == pytest.approx(number(row, "C"))


def said(start):
    """What the one row in words whose quantity begins so says."""
    (row,) = (row for row in EVERY if row.quantity.startswith(start))
    return row.expected


def test_silicone_fluid_is_put_to_no_other():
    """j_brake_hydraulics.csv: DOT 5 not with DOT 3, 4 or 5.1."""
    words = said("DOT 5 (silicone) mixing")
    assert words.startswith("do not mix with DOT ")
    others = [
        grade for grade in brake.GRADES if grade.partition(" ")[2] in re.findall(r"[\d.]+", words)
    ]
    assert others == ["DOT 3", "DOT 4", "DOT 5.1"]
    for other in others:
        assert not brake.may_mix("DOT 5", other)
        assert not brake.may_mix(other, "DOT 5")


def test_wet_fluid_has_so_much_water():
    """j_brake_hydraulics.csv: the share of water of the wet boiling point."""
    answer = brake.CALCULATOR.work(
        pedal_n=400.0, ratio=5.0, boost=1.0, bore_m=0.019, wheels=None, unit="mm",
        pipe_m=0.00333, stroke_m=None, fluid="DOT 4", there=None,
    )  # fmt: skip
    (limit,) = (words for words in answer.limits if words.startswith("Wet "))
    assert said("wet test water content").removesuffix(" by volume") in limit


def test_every_fluid_said_to_be_published_is():
    """No row of the table claims a source that j_brake_hydraulics.csv does not have."""
    printed = {row.inputs["grade"] for row in FLUIDS}
    said = {f["grade"] for f in data_table("brake_fluids").rows if f["status"] == "published"}
    assert said == printed
