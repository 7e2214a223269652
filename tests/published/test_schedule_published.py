"""The schedule solver against published instances of project scheduling (PSPLIB)."""

import csv
import json
import sys
from pathlib import Path

import pytest

from benchmarks import schedule
from putback.solvers.schedule import ScheduleSearch, lay_out

DATA = Path(__file__).parent / "data" / "rcpsp"


def optima() -> dict[str, int]:
    """Proved least makespans; SOURCES.md beside the data says by whom."""
    with (DATA / "known.csv").open() as table:
        return {row["name"]: int(row["best_known_upper"]) for row in csv.DictReader(table)}


@pytest.mark.parametrize("name", sorted(optima()))
def test_the_published_optimum_is_found_and_no_bound_exceeds_it(name):
    """PSPLIB (Kolisch and Sprecher 1996): little work finds what others have proved."""
    it = schedule.read(DATA / f"{name}.sm")
    project = lay_out(it.durations, it.demands, it.capacities, it.pairs)
    best = ScheduleSearch(project, 1).run(work=300_000)
    assert schedule.checked_makespan(it, best.starts) == best.makespan == optima()[name]
    assert best.bound <= optima()[name]


def test_the_check_of_schedules_sees_what_is_wrong():
    """Too early, too much at once, left out, before the beginning: each is an error."""
    it = schedule.Instance("tiny", (2, 3, 2), ((1,), (2,), (2,)), (3,), ((0, 2),))
    assert schedule.checked_makespan(it, (0, 0, 3)) == 5
    for wrong, what in [
        ((0, 0, 1), "job 2 begins before job 0 has ended"),
        ((0, 0, 2), "4 of resource 0 at 2, there are 3"),
        ((0, 0), "not every job"),
        ((-1, 0, 3), "not every job"),
    ]:
        with pytest.raises(ValueError, match=what):
            schedule.checked_makespan(it, wrong)


def test_a_file_that_is_not_whole_is_refused(tmp_path):
    """A second way to do a job, and a demand left out, are errors that say so."""
    text = (DATA / "j301_1.sm").read_text()
    path = tmp_path / "broken.sm"
    path.write_text(text.replace("   5        1          1", "   5        2          1"))
    with pytest.raises(ValueError, match="several ways"):
        schedule.read(path)
    path.write_text(text.replace("  5      1     3       3    0    0    0", "  5  1  3  3  0"))
    with pytest.raises(ValueError, match="how much it takes"):
        schedule.read(path)


def test_the_benchmark_prints_rows_for_a_machine(tmp_path, monkeypatch, capsys):
    """One JSON array on standard output, with the plain model's makespan beside ours."""
    (tmp_path / "a.sm").write_text((DATA / "j301_1.sm").read_text())
    monkeypatch.setattr(sys, "argv", ["schedule", str(tmp_path), "--seconds", "5", "--json"])
    assert schedule.main() == 0
    printed = capsys.readouterr()
    (row,) = json.loads(printed.out)
    assert (row["name"], row["jobs"], row["makespan"], row["lower_bound"]) == ("a", 32, 43, 43)
    assert row["ratio"] >= 1
    assert "compil" in printed.err
