"""Breaking torques of small bolts against the table of ISO 898-7."""

import pytest

from putback.bench.bolt.calculator import bolt_named
from putback.bench.breakout.shearing import shearing
from tests.published.reference import rows

BREAKING = [
    row for row in rows("b_bolt_strength.csv") if row.quantity.startswith("minimum breaking")
]


@pytest.mark.parametrize("row", BREAKING, ids=lambda row: str(row.inputs))
def test_a_breaking_torque_of_the_standard_is_met(row):
    """b_bolt_strength.csv: ISO 898-7, Table 2 (from memory), with the core from ISO 965-1."""
    bolt = bolt_named(row.inputs["size"], row.inputs["class"])
    found = shearing(bolt.thread, bolt.strength, bolt.strength.tensile_pa)
    assert found.by_standard
    assert found.core_m * 1000 == pytest.approx(float(row.inputs["d3min_mm"]), abs=1e-3)
    assert found.torque_nm == pytest.approx(float(row.expected), abs=row.slack)
