"""Sheet gauges against printed charts, and the trade's weld figures."""

import pytest

from putback.bench.sheet import panel
from putback.bench.sheet.gauges import LB_PER_FT2, Series, ordered_kg_m2, thickness_m
from putback.bench.tables import data_table
from tests.published.reference import rows

ROWS = rows("l_sheet_gauge.csv")
MSG = [row for row in ROWS if row.quantity.startswith("sheet steel thickness (US MSG)")]
SWG = [row for row in ROWS if row.quantity.startswith("imperial standard wire gauge")]
SPRUNG = [r for r in rows("e_tube_flare.csv") if r.quantity == "springback radius, sheet formula"]
METRES = {"in": 0.0254, "mm": 1e-3}


@pytest.mark.parametrize("row", MSG, ids=lambda row: f"{row.inputs['gauge']} {row.unit}")
def test_a_printed_steel_gauge_is_met(row):
    """l_sheet_gauge.csv: Manufacturers' Standard Gauge, by way of the charts named there."""
    got = thickness_m(Series.US_STEEL, int(row.inputs["gauge"])) / METRES[row.unit]
    assert got == pytest.approx(float(row.expected), abs=row.slack)


@pytest.mark.parametrize("row", SWG, ids=lambda row: row.inputs["swg"])
def test_a_printed_british_gauge_is_met(row):
    """l_sheet_gauge.csv: BS 3737, by way of the table named there."""
    got = thickness_m(Series.SWG, int(row.inputs["swg"])) * 1e3
    assert got == pytest.approx(float(row.expected), abs=row.slack)


def test_one_number_is_four_thicknesses():
    """l_sheet_gauge.csv, gauge 16: steel, galvanized, aluminium and SWG in inches."""
    (row,) = (row for row in ROWS if row.quantity.startswith("same gauge number"))
    printed = [float(word.strip(";")) for word in row.expected.split() if word.startswith("0.")]
    ours = [
        thickness_m(series, 16) / 0.0254
        for series in (Series.US_STEEL, Series.US_GALVANIZED, Series.ALUMINIUM, Series.SWG)
    ]
    assert ours == pytest.approx(printed, abs=5e-5)


def test_stainless_sheet_has_its_round_fractions():
    """From memory: US Standard Gauge 16 is 1/16 in of stainless, 11 is 1/8 in, 22 is 1/32 in."""
    ours = [thickness_m(Series.US_STAINLESS, gauge) / 0.0254 for gauge in (16, 11, 22)]
    assert ours == pytest.approx([1 / 16, 1 / 8, 1 / 32], rel=1e-12)


def test_a_gauge_weighs_what_its_basis_says():
    """l_sheet_gauge.csv: 10 gauge is 5.625 lb a square foot."""
    (row,) = (row for row in ROWS if row.quantity.startswith("sheet weight"))
    got = ordered_kg_m2(int(row.inputs["gauge"])) / LB_PER_FT2
    assert got == pytest.approx(float(row.expected), abs=row.slack)


def test_sheet_springs_back_as_the_textbook_says():
    """e_tube_flare.csv, from memory: Kalpakjian's example, 0.5 in to 0.529 in."""
    (row,) = SPRUNG
    inside, strength, modulus, thick = (
        float(row.inputs[name]) for name in ("Ri_in", "Y_psi", "E_psi", "t_in")
    )
    got = inside / panel.springback_ratio(inside, strength, modulus, thick)
    assert got == pytest.approx(float(row.expected), abs=row.slack)


def test_weld_figures_are_those_of_the_trade():
    """l_sheet_gauge.csv, common practice: 0.6 mm wire to 1.5 mm sheet, 10 to 15 L/min."""
    thin, thick = data_table("welding").rows
    assert (thin["wire_mm"], thin["to_mm"], thick["wire_mm"]) == ("0.6", "1.5", "0.8")
    assert {(row["gas_low"], row["gas_high"]) for row in (thin, thick)} == {("10", "15")}


@pytest.mark.parametrize(
    ("table", "printed"),
    [
        ("gauges_us", {row.inputs["gauge"] for row in MSG} | {"10"}),
        ("gauges_swg", {row.inputs["swg"] for row in SWG}),
    ],
)
def test_every_gauge_said_to_be_published_is(table, printed):
    """No row of a table claims a source that l_sheet_gauge.csv does not have."""
    said = {row["gauge"] for row in data_table(table).rows if row["status"] == "published"}
    assert said == printed
