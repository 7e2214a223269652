"""Metals that touch, against pairs of the published series."""

import pytest

from putback.bench.metals import corroding, may_hold, metal_named, metals
from putback.bench.tables import data_table
from tests.published.reference import rows

ROWS = rows("m_fastener_practice.csv")
PAIRS = [row for row in ROWS if row.quantity.startswith("which metal is the anode")]


@pytest.mark.parametrize("row", PAIRS, ids=lambda row: row.inputs["words"])
def test_the_anode_of_a_pair_is_as_printed(row):
    """m_fastener_practice.csv: MIL-STD-889, the lower number corrodes; either way round."""
    one, other = map(metal_named, row.inputs["words"].split(" against "))
    assert corroding(one, other) == corroding(other, one) == metal_named(row.expected)


def test_a_small_fastener_is_the_cathode():
    """m_fastener_practice.csv: MIL-STD-1250A, the same or a nobler metal than the sheet."""
    (row,) = (row for row in ROWS if row.quantity == "small fastener should be")
    assert row.expected.startswith("the cathode (same or nobler metal than the sheet)")
    for fastener in metals():
        for sheet in metals():
            is_cathode = corroding(fastener, sheet) in (None, sheet)
            assert may_hold(fastener, sheet) is is_cathode


def test_the_series_has_the_places_of_the_copy_that_was_read():
    """MIL-STD-889 as numbered at tr.scribd.com/document/243325435, some of its 92 places."""
    read = {"magnesium": 1, "zinc plate": 4, "cadmium plate": 10, "steel 1010": 30,
            "cast iron": 31, "copper": 33, "yellow brass 268": 46, "monel 400": 63}  # fmt: skip
    ours = {row["metal"]: int(row["place"]) for row in data_table("galvanic").rows}
    assert read.items() <= ours.items()
    assert list(ours.values()) == sorted(set(ours.values()))
