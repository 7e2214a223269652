"""Dismantling: published instances with proved least times, and the check of schedules."""

import csv
import json
import sys
from pathlib import Path

import pytest

from benchmarks import dismantle
from putback.solvers.schedule.crews import Staffed

DATA = Path(__file__).parent / "data" / "dismantle"


def optima() -> dict[str, int]:
    """Proved least makespans; SOURCES.md beside the data says by whom."""
    with (DATA / "known.csv").open() as table:
        return {row["name"]: int(row["best_known_upper"]) for row in csv.DictReader(table)}


@pytest.mark.parametrize("name", sorted(optima()))
def test_the_published_optimum_is_found_and_proved(name):
    """Thomas and Schaus, CPAIOR 2024: as short as they proved, checked from the file."""
    instance = json.loads((DATA / f"{name}.json").read_text())
    best, _ = dismantle.solve(instance, 10.0, seed=1)
    assert best.plan is not None
    assert dismantle.checked_makespan(instance, best.plan) == best.plan.ends == optima()[name]
    assert best.optimal


def tiny() -> dict:
    """Two mechanics and a fitter, who comes late; three operations at two places."""
    people = [("mechanic", []), ("mechanic", []), ("fitter", [{"start": 0, "end": 2}])]
    either = {"category": ["mechanic", "fitter"], "quantity": 1}
    fitter = {"category": ["fitter"], "quantity": 1}
    operations = [
        (0, 2, 0, 3, [either], []), (1, 2, 0, 3, [either], []), (2, 3, 1, 4, [fitter], [0]),
    ]  # fmt: skip
    return {
        "name": "tiny", "maxTime": 9, "balanceAF": 5, "balanceLR": 5,
        "resources": [{"category": kind, "unavailable": away} for kind, away in people],
        "locations": [
            {"id": 0, "zone": "FWD", "capacity": 1}, {"id": 1, "zone": "AFT", "capacity": 9},
        ],
        "operations": [
            {"id": number, "duration": span, "location": where, "mass": mass, "occupancy": 1,
             "resources": needs, "precedences": before}
            for number, span, where, mass, needs, before in operations
        ],
    }  # fmt: skip


def test_the_check_of_schedules_sees_what_is_wrong():
    """Each rule of the file broken once; and the solver keeps them all."""
    good = Staffed((0, 2, 2), (((0,),), ((1,),), ((2,),)), 5)
    # 3 forward and 3 more at 2 are 6, less 4 aft at the same moment
    assert dismantle.checked_makespan(tiny(), good) == 5
    for starts, people, said in [
        ((0, 2), (0, 1, 2), "not every operation"),
        ((1, 3, 2), (0, 1, 2), "begins before 0 has ended"),
        ((0, 1, 2), (0, 1, 2), "2 at location 0 at 1"),
        ((0, 2, 2), (0, 2, 2), "is away or has two things to do"),
        ((0, 2, 2), (2, 1, 2), "is away or has two things to do"),
        ((0, 2, 2), (0, 1, 1), "may not do 2"),
        ((0, 2, 3), (0, 1, 2), "out of balance between FWD and AFT at 2"),
        ((0, 2, 7), (0, 1, 2), "out of balance"),
        ((3, 5, 7), (0, 1, 2), "out of balance"),
    ]:
        wrong = Staffed(starts, tuple(((person,),) for person in people), 0)
        with pytest.raises(ValueError, match=said):
            dismantle.checked_makespan(tiny(), wrong)
    late = Staffed((4, 7, 7), (((0,),), ((1,),), ((2,),)), 10)
    with pytest.raises(ValueError, match="not done in time"):
        dismantle.checked_makespan(tiny(), late)
    few = Staffed((0, 2, 2), (((),), ((1,),), ((2,),)), 5)
    with pytest.raises(ValueError, match="too few or too many"):
        dismantle.checked_makespan(tiny(), few)
    best, _ = dismantle.solve(tiny(), 5.0, seed=1)
    assert best.plan is not None
    assert dismantle.checked_makespan(tiny(), best.plan) == 5 == best.bound


def test_the_benchmark_prints_rows_for_a_machine(tmp_path, monkeypatch, capsys):
    """One JSON array on standard output, with the plain model's makespan beside ours."""
    (tmp_path / "a.json").write_text(json.dumps(tiny()))
    monkeypatch.setattr(sys, "argv", ["dismantle", str(tmp_path), "--seconds", "5", "--json"])
    assert dismantle.main() == 0
    (row,) = json.loads(capsys.readouterr().out)
    assert (row["name"], row["operations"], row["makespan"], row["lower_bound"]) == ("a", 3, 5, 5)
    assert (row["plain_objective"], row["ratio"]) == (5, 1.0)
