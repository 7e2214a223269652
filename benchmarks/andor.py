"""Fewest stations for published products with AND and OR precedence, beside a plain CP-SAT model.

``python -m benchmarks.andor DIR --seconds S [--json] [--alone]`` reads every `.json` file of a
folder (tasks with a time, all that come before, and some of which one does), with the cycle time
of each from a `known.csv` beside them. Each line is checked here, from the file and by none of the
solver's code. The ratio is the plain model's stations to ours.

Without a folder, as ``python -m benchmarks andor``, the products of the tests are taken.
"""

import csv
import json
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from time import perf_counter
from typing import Any

from benchmarks.beside import command, shown, solved, tell
from benchmarks.measure import Figure
from putback.solvers.stations import Task, fewest

BUNDLED = Path(__file__).parent.parent / "tests" / "published" / "data" / "andor"

Tasks = list[dict[str, Any]]


@dataclass(frozen=True, slots=True)
class Row:
    """What came of a product; seconds [s] are wall time."""

    name: str
    n: int
    cycle_time: int
    stations: int | None
    """None if no line was found."""
    lower_bound: int
    seconds: float
    best_known: int
    plain_objective: int | None
    """The stations that the plain model found in the same time."""
    plain_lower_bound: int | None
    ratio: float | None
    """The plain model's stations over ours [-]."""


def tasks_of(rows: Tasks) -> list[Task]:
    """Say a product in the solver's words."""
    place = {row["id"]: number for number, row in enumerate(rows)}
    return [
        Task(
            row["time"],
            tuple(place[each] for each in row["all_before"]),
            (tuple(place[each] for each in row["any_before"]),) if row["any_before"] else (),
        )
        for row in rows
    ]


def checked_stations(rows: Tasks, cycle: int, line: Sequence[Sequence[int]]) -> int:
    """How many stations a line has, its tasks by their places in the file.

    Raises
    ------
    ValueError
        If a task is left out or done twice, begins too early, or a station has too much to do.
    """
    if sorted(each for station in line for each in station) != list(range(len(rows))):
        raise ValueError("not every task is done once")
    done: set[int] = set()
    for number, station in enumerate(line):
        if sum(rows[each]["time"] for each in station) > cycle:
            raise ValueError(f"station {number} takes longer than {cycle}")
        for each in station:
            row = rows[each]
            one = not row["any_before"] or done & set(row["any_before"])
            if not one or set(row["all_before"]) - done:
                raise ValueError(f"task {row['id']} begins too early")
            done.add(row["id"])
    return len(line)


def solve_plainly(rows: Tasks, cycle: int, seconds: float) -> tuple[int | None, int]:
    """Solve by CP-SAT as one writes it down: when each task begins, along the line.

    A task ends before the end of the station it begins in. Gives stations, if any line was found,
    and bound.
    """
    from ortools.sat.python import cp_model

    model: Any = cp_model.CpModel()
    horizon = len(rows) * cycle
    begin = {row["id"]: model.new_int_var(0, horizon, "") for row in rows}
    station = {row["id"]: model.new_int_var(0, len(rows) - 1, "") for row in rows}
    last = model.new_int_var(0, len(rows) - 1, "")
    time = {row["id"]: row["time"] for row in rows}
    for row in rows:
        task = row["id"]
        model.add(begin[task] >= cycle * station[task])
        model.add(begin[task] + time[task] <= cycle * (station[task] + 1))
        model.add(station[task] <= last)
        for first in row["all_before"]:
            model.add(begin[first] + time[first] <= begin[task])
        ways = [(first, model.new_bool_var("")) for first in row["any_before"]]
        if ways:
            model.add_bool_or([way for _, way in ways])
        for first, way in ways:
            model.add(begin[first] + time[first] <= begin[task]).only_enforce_if(way)
    model.add_no_overlap(
        [model.new_fixed_size_interval_var(begin[task], time[task], "") for task in begin]
    )
    model.minimize(last)
    last_used, bound = solved(model, seconds)
    return (None if last_used is None else last_used + 1), bound + 1


def measure(folder: Path, seconds: float, *, plain: bool = True) -> Iterator[Row]:
    """Measure product after product, each for so long at most [s]."""
    with (folder / "known.csv").open(encoding="utf-8", newline="") as table:
        known = list(csv.DictReader(table))
    for product in known:
        rows = json.loads((folder / f"{product['name']}.json").read_text())["tasks"]
        cycle = int(product["cycle_time"])
        begun = perf_counter()
        line = fewest(tasks_of(rows), cycle, seconds=seconds)
        spent = perf_counter() - begun
        ours = None if line.stations is None else checked_stations(rows, cycle, line.stations)
        other, below = solve_plainly(rows, cycle, seconds) if plain else (None, None)
        yield Row(
            name=product["name"],
            n=len(rows),
            cycle_time=cycle,
            stations=ours,
            lower_bound=line.bound,
            seconds=round(spent, 3),
            best_known=int(product["stations_upper"]),
            plain_objective=other,
            plain_lower_bound=below,
            ratio=round(other / ours, 4) if other and ours else None,
        )


def run() -> Iterator[Figure]:
    """Measure the products that the tests have, for 5 s each."""
    for row in measure(BUNDLED, 5.0):
        yield Figure(
            f"stations {row.name}, {row.n} tasks",
            row.seconds,
            row.seconds,
            1,
            "< 5.1 s, as few as known",
            row.seconds < 5.1 and row.stations == row.best_known,
            f"{row.stations} stations, bound {row.lower_bound}; plain {row.plain_objective}",
        )


def main() -> int:
    """Measure a folder."""
    parser = command("andor", __doc__, seconds=5.0)
    parser.add_argument("folder", metavar="DIR", type=Path, help="where known.csv is")
    asked = parser.parse_args()
    if not (asked.folder / "known.csv").exists():
        parser.error(f"no known.csv in {asked.folder}")
    heading = (
        f"{'name':16}{'n':>5}{'cycle':>7}{'stations':>9}{'bound':>7}{'s':>8}"
        f"{'best known':>12}{'plain':>7}{'ratio':>8}\n"
    )
    tell(
        measure(asked.folder, asked.seconds, plain=not asked.alone),
        heading,
        _said,
        as_json=asked.json,
    )
    return 0


def _said(row: Row) -> str:
    """Say a row in a line."""
    ours = "none" if row.stations is None else str(row.stations)
    plain = shown(row.plain_objective)
    ratio = shown(row.ratio, ".3f")
    proved = "=" if row.stations is not None and row.lower_bound >= row.stations else " "
    return (
        f"{row.name:16}{row.n:5}{row.cycle_time:7}{ours:>9}{row.lower_bound:6}{proved}"
        f"{row.seconds:8.2f}{row.best_known:12}{plain:>7}{ratio:>8}\n"
    )


if __name__ == "__main__":
    sys.exit(main())
