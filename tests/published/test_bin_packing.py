"""Cutting plans against published bin packing instances with proved optima."""

import csv
from collections import Counter
from pathlib import Path

import pytest

from putback.solvers.cutting import Stock, cut

DATA = Path(__file__).parent / "data" / "cutting"

with (DATA / "known.csv").open(encoding="utf-8", newline="") as table:
    KNOWN = list(csv.DictReader(table))


@pytest.mark.slow
@pytest.mark.parametrize("row", KNOWN, ids=lambda row: row["name"])
def test_the_least_number_of_bins_is_found_and_proven(row):
    """Falkenauer 1996; optima as in SOURCES.md beside the data."""
    count, capacity, *lengths = map(int, (DATA / f"{row['name']}.txt").read_text().split())
    assert len(lengths) == count
    wanted = Counter(lengths)
    plan = cut(list(wanted), list(wanted.values()), [Stock(capacity, cost=1)], seconds=60.0)
    assert Counter(list(wanted)[p] for each in plan.cuts for p in each.pieces) == wanted
    assert all(sum(list(wanted)[p] for p in each.pieces) <= capacity for each in plan.cuts)
    assert plan.cost == plan.bound == len(plan.cuts) == int(row["best_known_upper"])
