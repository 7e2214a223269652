"""Strips and reach of published products with AND and OR precedence, each task a part."""

import csv
import json
import sys
from itertools import combinations
from pathlib import Path

import pytest

from benchmarks import andor
from putback.planning.reach import reach
from putback.planning.strip import plan_strip
from putback.vehicle.facts import Before, Obstruction
from putback.vehicle.goal import Goal
from putback.vehicle.minutes import Minutes
from putback.vehicle.part import Part
from putback.vehicle.vehicle import About, Vehicle
from tests.planning.hand_made import state_of

DATA = Path(__file__).parent / "data" / "andor"


def tasks_of(name: str) -> list[dict]:
    """The tasks of a product."""
    return json.loads((DATA / f"{name}.json").read_text())["tasks"]


def posed(tasks: list[dict]) -> Vehicle:
    """Each task is a part to be taken off; nothing else holds them."""
    parts = {
        f"p{t['id']}": Part(
            f"p{t['id']}", f"task {t['id']}", "", minutes=Minutes(*[t["time"]] * 3)
        )
        for t in tasks
    }
    parts["frame"] = Part("frame", "frame", "")
    befores = [
        Before(f"b{t['id']}-{first}", f"part:p{first}", f"part:p{t['id']}", "so")
        for t in tasks
        for first in t["all_before"]
    ]
    ways = [
        Obstruction(
            f"o{t['id']}", tuple(f"p{each}" for each in t["any_before"]), f"part:p{t['id']}"
        )
        for t in tasks
        if t["any_before"]
    ]
    return Vehicle(
        About("product", "product"),
        parts=parts,
        befores={fact.id: fact for fact in befores},
        obstructions={fact.id: fact for fact in ways},
    )


def may_start(task: dict, done) -> bool:
    """Whether a task may start, as the format says it."""
    one = not task["any_before"] or any(each in done for each in task["any_before"])
    return one and all(each in done for each in task["all_before"])


@pytest.mark.parametrize("name", ["P10-OR", "P22-OR"])
def test_every_task_of_a_plan_may_start_where_it_stands(name):
    """Ren et al. 2017, Kalaycilar et al. 2016: all tasks are planned, none too early."""
    tasks = tasks_of(name)
    vehicle = posed(tasks)
    everything = Goal("all", "all off", "frame", on=("frame",), off_rest=True)
    plan = plan_strip(vehicle, state_of(vehicle), everything)
    by_id = {task["id"]: task for task in tasks}
    done: list[int] = []
    for step in plan.steps:
        task = by_id[int(step.what.removeprefix("part:p"))]
        assert may_start(task, done)
        done.append(task["id"])
    assert sorted(done) == sorted(by_id)
    assert plan.total_minutes == plan.bound_minutes == sum(task["time"] for task in tasks)


def least(tasks: list[dict], wanted: int) -> float:
    """The least time of any set of tasks that can be done in some order and has the one wanted."""
    best = float("inf")
    for size in range(1, len(tasks) + 1):
        for some in combinations(tasks, size):
            cost = sum(task["time"] for task in some)
            if cost >= best or all(task["id"] != wanted for task in some):
                continue
            done: set[int] = set()
            while ready := {t["id"] for t in some if t["id"] not in done and may_start(t, done)}:
                done |= ready
            if len(done) == size:
                best = cost
    return best


@pytest.mark.parametrize("wanted", range(1, 11))
def test_reach_of_each_task_is_the_least_of_all_sets(wanted):
    """Ren et al. 2017, ten parts: nothing among all sets of tasks gets there sooner."""
    tasks = tasks_of("P10-OR")
    vehicle = posed(tasks)
    found = reach(vehicle, state_of(vehicle), f"part:p{wanted}")
    assert found.optimal
    assert found.minutes == least(tasks, wanted)


def test_the_benchmark_finds_the_fewest_stations_known(monkeypatch, capsys):
    """One JSON array; as few stations as known, proved, by a line checked from the file."""
    monkeypatch.setattr(sys, "argv", ["andor", str(DATA), "--seconds", "5", "--json"])
    assert andor.main() == 0
    found = {row["name"]: row for row in json.loads(capsys.readouterr().out)}
    with (DATA / "known.csv").open() as table:
        for row in csv.DictReader(table):
            ours = found[row["name"]]
            assert ours["stations"] == ours["lower_bound"] == int(row["stations_upper"])
            assert ours["ratio"] >= 1


def test_the_check_of_lines_sees_what_is_wrong():
    """Too long, too early, left out: each is an error that says so."""
    rows = [
        {"id": 7, "time": 3, "all_before": [], "any_before": []},
        {"id": 8, "time": 2, "all_before": [], "any_before": [7]},
        {"id": 9, "time": 2, "all_before": [8], "any_before": []},
    ]
    assert andor.checked_stations(rows, 5, [[0, 1], [2]]) == 2
    for line, said in [
        ([[0, 1, 2]], "longer than 5"),
        ([[1], [0, 2]], "8 begins too early"),
        ([[0], [2, 1]], "9 begins too early"),
        ([[0], [1]], "not every task"),
    ]:
        with pytest.raises(ValueError, match=said):
            andor.checked_stations(rows, 5, line)
