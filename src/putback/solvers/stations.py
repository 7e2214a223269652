"""Fewest stations on a line: tasks shared out so that none takes longer than the cycle time.

Tasks go along the line in an order in which each finds done before it all that it waits for, and
one of what it needs any of (AND/OR precedence: disassembly lines after Güngör and Gupta,
International J. of Production Research 40, 2002)::

    line = fewest([Task(4), Task(3, any_of=((0,),))], cycle=7)
    line.stations                   # ((0, 1),): one station, its tasks in order

First lines filled station by station with some luck; then, from the least number that there could
be upwards, CP-SAT finds a line or proves that there is none.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from random import Random
from time import perf_counter
from typing import Any

from putback.progress import NoProgress, Progress
from putback.solvers.choice import run_beside

_LINES = 300
"""How many lines are filled with luck, before a search."""


@dataclass(frozen=True, slots=True)
class Task:
    """What takes time at a station."""

    time: int
    """0 or more."""
    all_of: tuple[int, ...] = ()
    """Tasks, by number, that all come before."""
    any_of: tuple[tuple[int, ...], ...] = ()
    """Of each of these at least one task comes before."""


@dataclass(frozen=True, slots=True)
class Line:
    """The best line known; `stations` is None where none was found."""

    stations: tuple[tuple[int, ...], ...] | None
    """Tasks in order, station after station."""
    bound: int
    """No line has fewer."""
    possible: bool = True
    """False where some tasks can never begin, or take longer than the cycle time."""

    @property
    def optimal(self) -> bool:
        """Whether no line has fewer stations."""
        return self.stations is not None and len(self.stations) <= self.bound


def fewest(
    tasks: Sequence[Task],
    cycle: int,
    *,
    seconds: float = 5.0,
    seed: int = 1,
    progress: Progress = NoProgress(),
) -> Line:
    """Find a line with as few stations as can be.

    Parameters
    ----------
    tasks : sequence of Task
        What is to be shared out; others are named by their place here.
    cycle : int
        What a station has time for, over 0.
    seconds : float
        When to end in any case, [s].
    seed : int
        Where chance begins.
    progress : Progress
        Asked often whether to go on.

    Raises
    ------
    Stopped
        If `progress` wants the search to end.
    """
    end = perf_counter() + seconds
    chance = Random(seed)  # noqa: S311 - the same lines every time
    if any(task.time > cycle for task in tasks) or _filled(tasks, cycle, chance) is None:
        return Line(None, 0, possible=False)
    bound = least_stations([task.time for task in tasks], cycle)
    best: list[list[int]] | None = None
    for _ in range(_LINES):
        progress.step(0, None, "filling stations")
        line = _filled(tasks, cycle, chance)
        if line is not None and (best is None or len(line) < len(best)):
            best = line
        if (best is not None and len(best) <= bound) or perf_counter() >= end:
            break
    while best is not None and bound < len(best) and perf_counter() < end:
        found, settled = _searched(tasks, cycle, bound, end - perf_counter(), seed, progress)
        if not settled:
            break
        if found is None:
            bound += 1
        else:
            best = found
    return Line(None if best is None else tuple(map(tuple, best)), bound)


def least_stations(times: Sequence[int], cycle: int) -> int:
    """A number of stations that no line goes below.

    By all time together; and by tasks above half the cycle time, of which no two share a station,
    those of just half two (Scholl and Becker, European J. of Operational Research 168, 2006).
    """
    long = sum(2 * time > cycle for time in times)
    half = sum(2 * time == cycle for time in times)
    return max(-(-sum(times) // cycle), long + -(-half // 2), bool(times))


def _may(task: Task, done: set[int]) -> bool:
    """Whether a task may begin once those are done."""
    return done.issuperset(task.all_of) and all(not done.isdisjoint(some) for some in task.any_of)


def _filled(tasks: Sequence[Task], cycle: int, chance: Random) -> list[list[int]] | None:
    """Fill one station after the other, long tasks rather first; None if some never begin."""
    left, done = set(range(len(tasks))), set[int]()
    line: list[list[int]] = [[]] if tasks else []
    room = cycle
    while left:
        ready = [each for each in left if _may(tasks[each], done)]
        if not ready:
            return None
        fits = [each for each in ready if tasks[each].time <= room]
        if not fits:
            line.append([])
            room = cycle
            fits = [each for each in ready if tasks[each].time <= room]
        chosen = max(sorted(fits), key=lambda each: tasks[each].time * chance.random())
        line[-1].append(chosen)
        room -= tasks[chosen].time
        left.remove(chosen)
        done.add(chosen)
    return line


def _searched(
    tasks: Sequence[Task],
    cycle: int,
    stations: int,
    seconds: float,
    seed: int,
    progress: Progress,
) -> tuple[list[list[int]] | None, bool]:
    """Look for a line of so many stations; whether it is settled if there is one.

    A task has a station, which is no earlier than that of what comes before, and a rank, which is
    later: ranks keep those of a station from waiting for one another in a circle.
    """
    from ortools.sat.python import cp_model

    model: Any = cp_model.CpModel()
    count = len(tasks)
    at = [[model.new_bool_var("") for _ in range(stations)] for _ in tasks]
    station = [model.new_int_var(0, stations - 1, "") for _ in tasks]
    rank = [model.new_int_var(0, count - 1, "") for _ in tasks]
    for task, each in enumerate(at):
        model.add_exactly_one(each)
        model.add(sum(number * here for number, here in enumerate(each)) == station[task])
    for number in range(stations):
        times = [task.time for task in tasks]
        here = [each[number] for each in at]
        model.add(cp_model.LinearExpr.weighted_sum(here, times) <= cycle)
    for task, wanted in enumerate(tasks):
        for first in wanted.all_of:
            model.add(station[first] <= station[task])
            model.add(rank[first] < rank[task])
        for some in wanted.any_of:
            chosen = [model.new_bool_var("") for _ in some]
            model.add_bool_or(chosen)
            for first, holds in zip(some, chosen, strict=True):
                model.add(station[first] <= station[task]).only_enforce_if(holds)
                model.add(rank[first] < rank[task]).only_enforce_if(holds)
    solver: Any = cp_model.CpSolver()
    solver.parameters.num_workers = 2
    solver.parameters.random_seed = seed
    solver.parameters.max_time_in_seconds = max(0.01, seconds)
    status = run_beside(solver, model, progress)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None, status == cp_model.INFEASIBLE
    line: list[list[int]] = [[] for _ in range(stations)]
    for task in sorted(range(count), key=lambda each: solver.value(rank[each])):
        line[solver.value(station[task])].append(task)
    return [each for each in line if each], True
