"""What the benchmarks of solvers share: their command, and plain CP-SAT beside what is ours."""

import argparse
import csv
import json
import sys
from collections.abc import Callable, Iterable, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any, Protocol, TypeVar

R = TypeVar("R")
"""A row: a dataclass."""


class Judged(Protocol):
    """A row that says how far it is above the best known."""

    @property
    def gap(self) -> float | None:
        """How far [-]; None if nothing is known."""


J = TypeVar("J", bound=Judged)


def solved(model: Any, seconds: float) -> tuple[int | None, int]:
    """Let CP-SAT minimise a model on two cores for so long at most [s].

    Gives the objective, if any solution was found, and the bound.
    """
    from ortools.sat.python import cp_model

    solver: Any = cp_model.CpSolver()
    solver.parameters.num_workers = 2
    solver.parameters.max_time_in_seconds = seconds
    found = solver.solve(model) in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    bound = max(0, round(solver.best_objective_bound))
    return (round(solver.objective_value) if found else None), bound


def command(name: str, about: str | None, *, seconds: float) -> argparse.ArgumentParser:
    """Begin the command line of a benchmark: what all of them understand."""
    parser = argparse.ArgumentParser(prog=f"python -m benchmarks.{name}", description=about)
    parser.add_argument("--seconds", type=float, default=seconds, help="limit for each [s]")
    parser.add_argument("--alone", action="store_true", help="leave the plain model out")
    parser.add_argument("--json", action="store_true", help="print JSON")
    return parser


def tell(
    rows: Iterable[R], heading: str, said: Callable[[R], str], *, as_json: bool, begun: str = ""
) -> list[R]:
    """Print rows as they come, or as one JSON array when all are there; give them.

    What was begun with goes beside the array, to standard error.
    """
    if begun:
        (sys.stderr if as_json else sys.stdout).write(begun)
    if not as_json:
        sys.stdout.write(heading)
    told = []
    for row in rows:
        told.append(row)
        if not as_json:
            sys.stdout.write(said(row))
            sys.stdout.flush()
    if as_json:
        sys.stdout.write(json.dumps([asdict(row) for row in told], indent=2) + "\n")
    return told


def best_known(folder: Path) -> dict[str, int]:
    """Give the best known values by name, from the `known.csv` of a folder, if there is one."""
    table = folder / "known.csv"
    if not table.exists():
        return {}
    with table.open(encoding="utf-8", newline="") as rows:
        return {row["name"]: int(row["best_known_upper"]) for row in csv.DictReader(rows)}


def shown(value: float | None, form: str = "") -> str:
    """Write a number in a form, or nothing where there is none."""
    return "" if value is None else format(value, form)


def measure_folder(
    parser: argparse.ArgumentParser,
    ending: str,
    measure: Callable[..., Iterable[J]],
    heading: str,
    said: Callable[[J], str],
    *,
    begun: Callable[[], str],
) -> int:
    """Measure the files of a folder, as the command line asks for it.

    Parameters
    ----------
    parser : ArgumentParser
        What `command` gave.
    ending : str
        How the names of the files end.
    measure : callable
        Given paths, seconds, a seed and whether the plain model runs beside, gives rows.
    heading, said
        What stands above the table, and a row in it.
    begun : callable
        Makes ready, and says how long that took.
    """
    parser.add_argument("folder", metavar="DIR", type=Path, help=f"where the {ending} files are")
    parser.add_argument("--seed", type=int, default=1, help="where chance begins")
    asked = parser.parse_args()
    paths = sorted(asked.folder.glob(f"*{ending}"))
    if not paths:
        parser.error(f"no {ending} file in {asked.folder}")
    found = measure(paths, asked.seconds, seed=asked.seed, plain=not asked.alone)
    rows = tell(found, heading, said, as_json=asked.json, begun=begun())
    if not asked.json:
        sys.stdout.write(_gaps_said([row.gap for row in rows]))
    return 0


def _gaps_said(gaps: Sequence[float | None]) -> str:
    """Sum up gaps to the best known in a line, as far as there are any."""
    there = [each for each in gaps if each is not None]
    if not there:
        return ""
    return f"gap: mean {sum(there) / len(there):.3%}, worst {max(there):.2%}\n"
