"""Settings of a torque wrench with an adaptor against printed examples."""

from math import radians

import pytest

from putback.bench.adaptor import setting_nm
from tests.published.reference import rows

SETTINGS = [row for row in rows("d_torque_adapter_units.csv") if "wrench setting" in row.quantity]


@pytest.mark.parametrize("row", SETTINGS, ids=lambda row: row.quantity)
def test_a_printed_setting_is_met(row):
    """d_torque_adapter_units.csv: manuals of aircraft; torque and setting in one unit."""
    given = {name.partition("_")[0]: value for name, value in row.inputs.items()}
    found = setting_nm(
        float(given["T"].split()[0]),
        float(given["L"]),
        float(given["E"]),
        radians(float(given.get("angle", 0))),
    )
    assert found == pytest.approx(float(row.expected), abs=row.slack)


def test_there_are_printed_settings():
    """None of the table's rows is passed over by its wording."""
    assert len(SETTINGS) == 4
