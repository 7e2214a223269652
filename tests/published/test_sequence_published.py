"""The sequence solver against published instances of sequential ordering (TSPLIB95)."""

import csv
import json
import sys
from pathlib import Path

import pytest

from benchmarks import sequence
from putback.solvers.sequence import SequenceSearch, lay_out

DATA = Path(__file__).parent / "data" / "sop"


def optima() -> dict[str, int]:
    """Proved least costs; SOURCES.md beside the data says by whom."""
    with (DATA / "known.csv").open() as table:
        return {row["name"]: int(row["best_known_upper"]) for row in csv.DictReader(table)}


@pytest.mark.parametrize("name", sorted(optima()))
def test_the_published_optimum_is_found_and_no_bound_exceeds_it(name):
    """TSPLIB95 (Reinelt 1991): a third of a second's work finds what others have proved."""
    instance = sequence.read(DATA / f"{name}.sop")
    costs = [[max(each, 0) for each in row] for row in instance.rows]
    best = SequenceSearch(lay_out(costs, instance.pairs), 1).run(work=300_000)
    assert sequence.checked_cost(instance, best.order) == best.cost == optima()[name]
    assert best.bound <= optima()[name]
    if name in ("ESC07", "ESC12", "ESC25"):
        assert best.optimal


def test_the_check_of_orders_sees_what_is_wrong(tmp_path):
    """Left out, twice, or the wrong way round: each is an error; what neighbours cost is added."""
    path = tmp_path / "tiny.sop"
    path.write_text("EDGE_WEIGHT_SECTION\n4\n0 1 2 9\n-1 0 -1 4\n-1 8 0 16\n-1 -1 -1 0\nEOF\n")
    instance = sequence.read(path)
    assert sequence.checked_cost(instance, (0, 2, 1, 3)) == 2 + 8 + 4
    for wrong, what in [
        ((0, 1, 2, 3), "2 does not come before 1"),
        ((0, 2, 3, 1), "1 does not come before 3"),
        ((0, 1, 3), "not every item"),
        ((0, 2, 2, 3), "not every item"),
    ]:
        with pytest.raises(ValueError, match=what):
            sequence.checked_cost(instance, wrong)


def test_the_benchmark_prints_rows_for_a_machine(tmp_path, monkeypatch, capsys):
    """One JSON array on standard output; a matrix without a header is read as well."""
    (tmp_path / "a.sop").write_text((DATA / "ESC07.sop").read_text())
    bare = (DATA / "ESC07.sop").read_text().split("EDGE_WEIGHT_SECTION")[1].replace("EOF", "")
    (tmp_path / "b.sop").write_text(bare.strip())
    asked = ["sequence", str(tmp_path), "--seconds", "0.5", "--json"]
    monkeypatch.setattr(sys, "argv", asked)
    assert sequence.main() == 0
    printed = capsys.readouterr()
    rows = json.loads(printed.out)
    assert [(row["name"], row["n"], row["objective"], row["lower_bound"]) for row in rows] == [
        ("a", 9, 2125, 2125),
        ("b", 9, 2125, 2125),
    ]
    assert all(row["plain_objective"] == 2125 and row["ratio"] == 1 for row in rows)
    assert "compil" in printed.err
