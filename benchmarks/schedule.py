"""Project scheduling on published instances, beside a plain CP-SAT model of the same.

``python -m benchmarks.schedule DIR --seconds S [--json] [--alone] [--seed N]`` reads every `.sm`
file of a folder (PSPLIB, renewable resources, one way to do each job). Each schedule is checked
for precedence and for what it takes of each resource at every time here, from the file and by none
of the solver's code. Best known values are read from a `known.csv` beside the files, if there is
one. The ratio is the plain model's makespan to ours.

Without a folder, as ``python -m benchmarks schedule``, the instances of the tests are taken.
"""

import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from time import perf_counter

from benchmarks.beside import best_known, command, measure_folder, shown, solved
from benchmarks.measure import Figure
from putback.solvers.schedule import Best, ScheduleSearch, lay_out

BUNDLED = Path(__file__).parent.parent / "tests" / "published" / "data" / "rcpsp"


@dataclass(frozen=True, slots=True)
class Instance:
    """A published instance as it stands in its file, with its two dummies; jobs count from 0."""

    name: str
    durations: tuple[int, ...]
    demands: tuple[tuple[int, ...], ...]
    capacities: tuple[int, ...]
    pairs: tuple[tuple[int, int], ...]
    """First and then: the one ends before the other begins."""


@dataclass(frozen=True, slots=True)
class Row:
    """What came of an instance; seconds [s] are wall time."""

    name: str
    jobs: int
    makespan: int
    lower_bound: int
    seconds: float
    best_known: int | None
    gap: float | None
    """How far above the best known [-]."""
    plain_makespan: int | None
    """What the plain model found in the same time."""
    plain_lower_bound: int | None
    plain_seconds: float | None
    ratio: float | None
    """The plain model's makespan over ours [-]."""


def read(path: Path) -> Instance:
    """Read an instance: sections of a `.sm` file, each begun by its heading.

    Raises
    ------
    ValueError
        If a job has more than one way to be done, or a section is not whole.
    """
    sections: dict[str, list[list[int]]] = {}
    heading = ""
    for line in path.read_text().splitlines():
        words = line.split()
        if words and all(word.isdigit() for word in words):
            sections.setdefault(heading, []).append([int(word) for word in words])
        elif line[:1].isalpha() and line.split(":")[0].isupper():
            heading = line.split(":")[0]
    follow = sections.get("PRECEDENCE RELATIONS", [])
    asked = sections.get("REQUESTS/DURATIONS", [])
    capacities = sections.get("RESOURCEAVAILABILITIES", [[]])[0]
    numbers = list(range(1, len(follow) + 1))
    if not numbers or [row[0] for row in follow] != numbers or [r[0] for r in asked] != numbers:
        raise ValueError(f"{path.name}: jobs are not numbered from 1 on in both sections")
    if any(row[1] != 1 for row in follow):
        raise ValueError(f"{path.name}: a job may be done in several ways")
    if any(len(row) != 3 + len(capacities) for row in asked):
        raise ValueError(f"{path.name}: a job does not say how much it takes of each resource")
    if any(len(row) != 3 + row[2] for row in follow):
        raise ValueError(f"{path.name}: a job has more or fewer successors than it says")
    return Instance(
        path.stem,
        tuple(row[2] for row in asked),
        tuple(tuple(row[3:]) for row in asked),
        tuple(capacities),
        tuple((row[0] - 1, then - 1) for row in follow for then in row[3:]),
    )


def checked_makespan(instance: Instance, starts: tuple[int, ...]) -> int:
    """How long a schedule takes by the file.

    Raises
    ------
    ValueError
        If a job is left out or begins before 0 or before what it waits for has ended, or if jobs
        take more of a resource at some time than there is.
    """
    if len(starts) != len(instance.durations) or min(starts) < 0:
        raise ValueError(f"{instance.name}: not every job begins at 0 or later")
    ends = [start + span for start, span in zip(starts, instance.durations, strict=True)]
    for first, then in instance.pairs:
        if starts[then] < ends[first]:
            raise ValueError(f"{instance.name}: job {then} begins before job {first} has ended")
    for kind, capacity in enumerate(instance.capacities):
        for time in starts:  # use rises only where something begins
            taken = sum(
                instance.demands[job][kind]
                for job, start in enumerate(starts)
                if start <= time < ends[job]
            )
            if taken > capacity:
                raise ValueError(
                    f"{instance.name}: {taken} of resource {kind} at {time}, there are {capacity}"
                )
    return max(ends)


def solve(instance: Instance, seconds: float, seed: int) -> tuple[Best, float]:
    """Search for so long [s], laying out included; give the best and the time taken [s]."""
    begun = perf_counter()
    project = lay_out(instance.durations, instance.demands, instance.capacities, instance.pairs)
    search = ScheduleSearch(project, seed)
    best = search.run(seconds=seconds - (perf_counter() - begun))
    return best, perf_counter() - begun


def solve_plainly(instance: Instance, seconds: float) -> tuple[int | None, int, float]:
    """Solve by CP-SAT as one writes it down: intervals under a cumulative for each resource.

    Gives makespan, if any schedule was found, bound and time taken [s].
    """
    from ortools.sat.python import cp_model

    begun = perf_counter()
    model = cp_model.CpModel()
    horizon = sum(instance.durations)
    starts = [model.new_int_var(0, horizon, "") for _ in instance.durations]
    runs = [
        model.new_fixed_size_interval_var(start, span, "")
        for start, span in zip(starts, instance.durations, strict=True)
    ]
    for first, then in instance.pairs:
        model.add(starts[then] >= starts[first] + instance.durations[first])
    for kind, capacity in enumerate(instance.capacities):
        model.add_cumulative(runs, [takes[kind] for takes in instance.demands], capacity)
    end = model.new_int_var(0, horizon, "")
    for start, span in zip(starts, instance.durations, strict=True):
        model.add(end >= start + span)
    model.minimize(end)
    makespan, bound = solved(model, seconds)
    return makespan, bound, perf_counter() - begun


def measure(
    paths: list[Path], seconds: float, *, seed: int = 1, plain: bool = True
) -> Iterator[Row]:
    """Measure instance after instance, each for so long at most [s]."""
    known = best_known(paths[0].parent)
    for path in paths:
        instance = read(path)
        best, spent = solve(instance, seconds, seed)
        makespan = checked_makespan(instance, best.starts)
        if makespan != best.makespan:
            raise ValueError(f"{instance.name}: takes {makespan}, said to take {best.makespan}")
        target = known.get(instance.name)
        other, below, took = solve_plainly(instance, seconds) if plain else (None, None, None)
        yield Row(
            name=instance.name,
            jobs=len(instance.durations),
            makespan=makespan,
            lower_bound=best.bound,
            seconds=round(spent, 3),
            best_known=target,
            gap=round(makespan / target - 1, 5) if target else None,
            plain_makespan=other,
            plain_lower_bound=below,
            plain_seconds=None if took is None else round(took, 3),
            ratio=round(other / makespan, 4) if other and makespan else None,
        )


def compile_all() -> float:
    """Compile, or load what was compiled, on a tiny instance; give the time that took [s]."""
    begun = perf_counter()
    takes = [[2], [2], [1], [2], [1], [2]]
    project = lay_out([3, 2, 4, 3, 2, 5], takes, [3], [(0, 2), (1, 4)])
    ScheduleSearch(project).run(work=20_000)
    return perf_counter() - begun


def run() -> Iterator[Figure]:
    """Measure the instances that the tests have, for 5 s each."""
    compile_all()
    for row in measure(sorted(BUNDLED.glob("*.sm")), 5.0):
        beside = "nothing" if row.plain_makespan is None else f"{row.plain_makespan}"
        yield Figure(
            f"schedule {row.name}, {row.jobs} jobs",
            row.seconds,
            row.seconds,
            1,
            "< 5.1 s, as short as known",
            row.seconds < 5.1 and row.makespan == row.best_known,
            f"takes {row.makespan}, bound {row.lower_bound}; plain CP-SAT {beside}",
        )


def main() -> int:
    """Measure a folder."""
    heading = (
        f"{'name':16}{'jobs':>6}{'makespan':>10}{'bound':>8}{'s':>8}"
        f"{'best known':>12}{'gap':>8}{'plain':>7}{'ratio':>8}\n"
    )
    return measure_folder(
        command("schedule", __doc__, seconds=5.0),
        ".sm",
        measure,
        heading,
        _said,
        begun=lambda: f"compiling or loading what was compiled took {compile_all():.2f} s\n",
    )


def _said(row: Row) -> str:
    """Say a row in a line."""
    gap, ratio = shown(row.gap, ".2%"), shown(row.ratio, ".3f")
    known = shown(row.best_known)
    plain = shown(row.plain_makespan)
    proved = "=" if row.lower_bound >= row.makespan else " "
    return (
        f"{row.name:16}{row.jobs:6}{row.makespan:10}{row.lower_bound:7}{proved}{row.seconds:8.2f}"
        f"{known:>12}{gap:>8}{plain:>7}{ratio:>8}\n"
    )


if __name__ == "__main__":
    sys.exit(main())
