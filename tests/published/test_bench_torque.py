"""Tightening torque and preload against VDI 2230-1, a textbook and makers' charts."""

import pytest

from putback.bench.bolt.calculator import bolt_named
from putback.bench.designation import thread_named
from putback.bench.tables import data_table
from putback.bench.thread_form import ISO, UNIFIED, shaped
from putback.bench.torque.conditions import bearing_mean_m
from putback.bench.torque.loaded import bolt_stress_pa, joint_constant, loaded
from putback.bench.torque.relation import (
    nut_factor_torque_nm,
    preload_at_yield_n,
    torque_exact_nm,
    torque_nm,
)
from tests.published.reference import rows

ROWS = rows("c_tightening_torque.csv")
PRELOADS = [row for row in ROWS if row.quantity.startswith("assembly preload")]
TORQUES = [row for row in ROWS if row.quantity.startswith("tightening torque MA")]
AT_PROOF = [row for row in ROWS if row.quantity == "torque T = K F d at 75 % proof"]
BY_STRESS = [row for row in ROWS if row.quantity.startswith("torque T = K F d, preload given")]
CLAMP = [row for row in ROWS if row.quantity.startswith("clamp load")]
NUT_FACTORS = [row for row in ROWS if row.quantity == "nut factor K"]
LBF, LBF_FT, LBF_IN, PSI, IN = 4.4482216152605, 1.3558179483314, 0.112984829, 6894.757293, 0.0254
NAMED = {
    "nonplated black finish": "dry",
    "zinc plated": "zinc plated",
    "lubricated": "oiled",
    "cadmium plated": "cadmium plated",
}


def case(row):
    """Thread, friction, yield [Pa] and mean bearing diameter [m] of a row of VDI's tables."""
    given = {name: float(value) for name, value in row.inputs.items() if name != "class"}
    of = shaped(ISO, given["d_mm"] / 1000, given["P_mm"] / 1000)
    return of, given["mu"], given["Rp02_MPa"] * 1e6, given["DKm_mm"] / 1000


@pytest.mark.parametrize("row", PRELOADS, ids=lambda row: str(row.inputs))
def test_a_preload_of_the_tables_is_met(row):
    """c_tightening_torque.csv: VDI 2230-1, preload at 90 % of the yield."""
    of, friction, yield_pa, _ = case(row)
    found = preload_at_yield_n(of, yield_pa, friction) / 1000
    assert found == pytest.approx(float(row.expected), abs=row.slack)


@pytest.mark.parametrize("row", TORQUES, ids=lambda row: str(row.inputs))
def test_a_torque_of_the_tables_is_met(row):
    """c_tightening_torque.csv: VDI 2230-1, torque for that preload; ISO 16047 within 1 % of it."""
    of, friction, yield_pa, bearing = case(row)
    preload = preload_at_yield_n(of, yield_pa, friction)
    found = torque_nm(preload, of, friction, friction, bearing)
    assert found == pytest.approx(float(row.expected), abs=row.slack)
    exact = torque_exact_nm(preload, of, friction, friction, bearing)
    assert exact == pytest.approx(found, rel=0.01)


@pytest.mark.parametrize("row", TORQUES, ids=lambda row: str(row.inputs))
def test_the_table_of_heads_has_the_bearing_diameters_of_the_tables(row):
    """c_tightening_torque.csv: DKm of hexagon heads on a medium hole."""
    thread = thread_named(f"M{row.inputs['d_mm']}x{row.inputs['P_mm']}")
    found = bearing_mean_m(thread, None, None) * 1000
    assert found == pytest.approx(float(row.inputs["DKm_mm"]), abs=1e-3)


@pytest.mark.parametrize("row", AT_PROOF, ids=lambda row: str(row.inputs))
def test_a_chart_by_nut_factor_is_met(row):
    """c_tightening_torque.csv: a torque chart at 75 % of the proof load."""
    bolt = bolt_named(row.inputs["size"], f"grade {row.inputs['grade']}")
    preload = 0.75 * bolt.loads.proof_n
    found = nut_factor_torque_nm(float(row.inputs["K"]), preload, bolt.thread.major_m)
    assert found / LBF_FT == pytest.approx(float(row.expected), abs=row.slack)


@pytest.mark.parametrize("row", CLAMP, ids=lambda row: row.inputs["size"])
def test_a_clamp_load_of_the_chart_is_met(row):
    """c_tightening_torque.csv: 75 % of the proof load, whose stress names the grade."""
    bolt = bolt_named(row.inputs["size"], "grade 5")
    assert bolt.strength.proof_pa / PSI == pytest.approx(float(row.inputs["Sp_psi"]))
    assert 0.75 * bolt.loads.proof_n / LBF == pytest.approx(float(row.expected), abs=row.slack)


@pytest.mark.parametrize("row", BY_STRESS, ids=lambda row: str(row.inputs))
def test_a_chart_by_preload_stress_is_met(row):
    """c_tightening_torque.csv: a chart whose preload is a stress times the stress area."""
    given = row.inputs
    preload = float(given["preload_psi"]) * float(given["At_in2"]) * LBF
    found = nut_factor_torque_nm(float(given["K"]), preload, float(given["d_in"]) * IN)
    assert found / LBF_FT == pytest.approx(float(row.expected), abs=row.slack)


@pytest.mark.parametrize("row", NUT_FACTORS, ids=lambda row: str(row.inputs))
def test_a_nut_factor_is_as_printed(row):
    """c_tightening_torque.csv: Shigley, 9th ed., Table 8-15."""
    by_condition = {each["condition"]: each for each in data_table("friction").rows}
    found = by_condition[NAMED[row.inputs["condition"]]]
    assert float(found["nut_factor"]) == float(row.expected)
    assert found["status"] == "published"


def shigley(row):
    """What the formulas make of a row of Shigley's example 8-3, in the row's unit."""
    given = {name: float(value) for name, value in row.inputs.items()}
    if row.quantity == "joint stiffness constant C":
        return joint_constant(given["kb"], given["km"])
    preload, area = given["Fi_kip"] * 1000 * LBF, given["At_in2"] * IN**2
    if row.quantity == "preload stress":
        return bolt_stress_pa(preload, area) / PSI / 1000
    under = loaded(given["P_kip"] * 1000 * LBF, given["kb"], given["km"])
    return bolt_stress_pa(preload, area, under.load_n, under.borne) / PSI / 1000


EXAMPLE = ("preload stress", "bolt stress under load", "joint stiffness constant C")


@pytest.mark.parametrize(
    "row", [row for row in ROWS if row.quantity in EXAMPLE], ids=lambda row: row.quantity
)
def test_a_bolt_under_load_is_that_of_the_textbook(row):
    """c_tightening_torque.csv: Shigley, 9th ed., example 8-3."""
    assert shigley(row) == pytest.approx(float(row.expected), abs=row.slack)


def test_the_exact_form_is_that_of_the_textbook():
    """c_tightening_torque.csv: Shigley, Example 8-3 (from memory); collar 1.25 d."""
    of = shaped(UNIFIED, 0.75 * IN, IN / 16)
    found = torque_exact_nm(25000 * LBF, of, 0.15, 0.15, 1.25 * 0.75 * IN)
    assert found / LBF_IN == pytest.approx(3551, abs=5)
    assert nut_factor_torque_nm(0.2, 25000 * LBF, 0.75 * IN) / LBF_IN == pytest.approx(3750, abs=1)
