"""What is said of the dust of old linings, against the rule."""

import pytest

from putback.bench import brake, wear
from putback.bench.dust import ASBESTOS
from putback.bench.tables import data_table
from putback.workshop.benching.reading import work_out
from tests.published.reference import rows

ROWS = [row for row in rows("n_safety_notes.csv") if row.quantity.startswith("asbestos: ")]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.quantity)
def test_the_rule_is_told_as_printed(row):
    """n_safety_notes.csv: 29 CFR 1910.1001 and EPA guidance, in the table and in the caution."""
    what = row.quantity.removeprefix("asbestos: ")
    wanted = row.expected if row.unit == "text" else f"{row.expected} {row.unit}"
    (ours,) = (each["rule"] for each in data_table("asbestos").rows if each["what"] == what)
    assert ours == wanted
    assert wanted in ASBESTOS


@pytest.mark.parametrize(
    "calculator", [brake.CALCULATOR, wear.CALCULATOR], ids=lambda each: each.name
)
def test_whoever_opens_a_brake_is_told(calculator):
    """The answers of brakes and of wear say it."""
    assert ASBESTOS in work_out(calculator, calculator.example).cautions
