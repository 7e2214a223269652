"""What the benchmarks of solvers share: their command, and plain CP-SAT beside what is ours."""

import argparse
import json
import sys
from collections.abc import Callable, Iterable, Sequence
from dataclasses import asdict
from typing import Any, TypeVar

R = TypeVar("R")
"""A row: a dataclass."""


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


def gaps_said(gaps: Sequence[float | None]) -> str:
    """Sum up gaps to the best known in a line, as far as there are any."""
    there = [each for each in gaps if each is not None]
    if not there:
        return ""
    return f"gap: mean {sum(there) / len(there):.3%}, worst {max(there):.2%}\n"
