"""Sequential ordering on published instances, beside a plain CP-SAT model of the same.

``python -m benchmarks.sequence DIR --seconds S [--json] [--alone] [--seed N]`` reads every `.sop`
file of a folder (TSPLIB95, and SOPLIB's bare matrices). Each order is checked for precedence and
its cost added up here, from the file and by none of the solver's code. Best known values are read
from a `known.csv` beside the files, if there is one. The ratio is the plain model's cost to ours.

Without a folder, as ``python -m benchmarks sequence``, the instances of the tests are taken.
"""

import sys
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from time import perf_counter

from benchmarks.beside import best_known, command, measure_folder, shown, solved
from benchmarks.measure import Figure
from putback.solvers.sequence import Best, SequenceSearch, lay_out

BUNDLED = Path(__file__).parent.parent / "tests" / "published" / "data" / "sop"


@dataclass(frozen=True, slots=True)
class Instance:
    """A published instance as it stands in its file."""

    name: str
    rows: tuple[tuple[int, ...], ...]
    """What item i costs directly before item j; -1 at row j, column i: i comes before j."""

    @property
    def pairs(self) -> list[tuple[int, int]]:
        """First and then, of all precedences in the file."""
        return [(i, j) for j, row in enumerate(self.rows) for i, at in enumerate(row) if at == -1]


@dataclass(frozen=True, slots=True)
class Row:
    """What came of an instance; seconds [s] are wall time."""

    name: str
    n: int
    objective: int
    lower_bound: int
    seconds: float
    best_known: int | None
    gap: float | None
    """How far above the best known [-]."""
    plain_objective: int | None
    """What the plain model found in the same time."""
    plain_lower_bound: int | None
    ratio: float | None
    """The plain model's objective over ours [-]."""


def read(path: Path) -> Instance:
    """Read an instance: after a header, if any, the number of items and the matrix by rows."""
    text = path.read_text()
    _, _, after = text.partition("EDGE_WEIGHT_SECTION")
    numbers = [int(word) for word in (after or text).replace("EOF", "").split()]
    count = numbers[0]
    if len(numbers) < 1 + count * count:
        raise ValueError(f"{path.name} has {len(numbers) - 1} numbers, {count * count} are due")
    whole = [tuple(numbers[1 + r * count : 1 + (r + 1) * count]) for r in range(count)]
    return Instance(path.stem, tuple(whole))


def checked_cost(instance: Instance, order: tuple[int, ...]) -> int:
    """What an order costs by the file.

    Raises
    ------
    ValueError
        If it leaves an item out, names one twice, or has two the wrong way round.
    """
    if sorted(order) != list(range(len(instance.rows))):
        raise ValueError(f"{instance.name}: not every item stands once")
    place = {item: at for at, item in enumerate(order)}
    for first, then in instance.pairs:
        if place[first] > place[then]:
            raise ValueError(f"{instance.name}: {first} does not come before {then}")
    return sum(instance.rows[a][b] for a, b in pairwise(order))


def solve(instance: Instance, seconds: float, seed: int) -> tuple[Best, float]:
    """Search for so long [s], laying out included; give the best and the time taken [s]."""
    begun = perf_counter()
    costs = [[max(each, 0) for each in row] for row in instance.rows]
    search = SequenceSearch(lay_out(costs, instance.pairs), seed)
    best = search.run(seconds=seconds - (perf_counter() - begun))
    return best, perf_counter() - begun


def solve_plainly(instance: Instance, seconds: float) -> tuple[int | None, int]:
    """Solve by CP-SAT as one writes it down: a circuit and ranks; give cost, if any, and bound."""
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    count = len(instance.rows)
    rank = [model.new_int_var(0, count - 1, "") for _ in range(count)]
    arcs, costs = [], []
    for i, row in enumerate(instance.rows):
        for j, cost in enumerate(row):
            if i == j or cost < 0 or j == 0 or i == count - 1:
                continue
            arc = model.new_bool_var("")
            arcs.append((i, j, arc))
            costs.append(cost)
            model.add(rank[j] == rank[i] + 1).only_enforce_if(arc)
    closing = model.new_constant(1)
    model.add_circuit([*arcs, (count - 1, 0, closing)])
    for first, then in instance.pairs:
        model.add(rank[first] + 1 <= rank[then])
    model.minimize(cp_model.LinearExpr.weighted_sum([arc for *_, arc in arcs], costs))
    return solved(model, seconds)


def measure(
    paths: list[Path], seconds: float, *, seed: int = 1, plain: bool = True
) -> Iterator[Row]:
    """Measure instance after instance, each for so long [s]."""
    known = best_known(paths[0].parent)
    for path in paths:
        instance = read(path)
        best, spent = solve(instance, seconds, seed)
        cost = checked_cost(instance, best.order)
        if cost != best.cost:
            raise ValueError(f"{instance.name}: costs {cost}, said to cost {best.cost}")
        target = known.get(instance.name)
        other, below = solve_plainly(instance, seconds) if plain else (None, None)
        yield Row(
            name=instance.name,
            n=len(instance.rows),
            objective=cost,
            lower_bound=best.bound,
            seconds=round(spent, 3),
            best_known=target,
            gap=round(cost / target - 1, 5) if target else None,
            plain_objective=other,
            plain_lower_bound=below,
            ratio=round(other / cost, 4) if other and cost else None,
        )


def compile_all() -> float:
    """Compile, or load what was compiled, on two easy instances; give the time that took [s].

    The one is tiny; the other as large as those are that are searched in their own way.
    """
    begun = perf_counter()
    for count in (12, 120):
        costs = [[(7 * i + 5 * j) % 11 for j in range(count)] for i in range(count)]
        SequenceSearch(lay_out(costs, [(1, 2), (3, 4)])).run(work=20_000)
    return perf_counter() - begun


def run() -> Iterator[Figure]:
    """Measure the instances that the tests have, for 2 s each."""
    compile_all()
    for row in measure(sorted(BUNDLED.glob("*.sop")), 2.0):
        beside = "nothing" if row.plain_objective is None else f"{row.plain_objective}"
        yield Figure(
            f"sequence {row.name}, {row.n} items",
            row.seconds,
            row.seconds,
            1,
            "< 2.05 s, gap < 1%",
            row.seconds < 2.05 and (row.gap or 0.0) < 0.01,
            f"cost {row.objective}, bound {row.lower_bound}; plain CP-SAT {beside}",
        )


def main() -> int:
    """Measure a folder."""
    heading = (
        f"{'name':16}{'n':>5}{'objective':>11}{'bound':>9}{'s':>7}"
        f"{'best known':>12}{'gap':>8}{'plain':>9}{'ratio':>8}\n"
    )
    return measure_folder(
        command("sequence", __doc__, seconds=2.0),
        ".sop",
        measure,
        heading,
        _said,
        begun=lambda: f"compiling or loading what was compiled took {compile_all():.2f} s\n",
    )


def _said(row: Row) -> str:
    """Say a row in a line."""
    gap, ratio = shown(row.gap, ".2%"), shown(row.ratio, ".3f")
    known = shown(row.best_known)
    plain = shown(row.plain_objective)
    proved = "=" if row.lower_bound >= row.objective else " "
    return (
        f"{row.name:16}{row.n:5}{row.objective:11}{row.lower_bound:8}{proved}{row.seconds:7.2f}"
        f"{known:>12}{gap:>8}{plain:>9}{ratio:>8}\n"
    )


if __name__ == "__main__":
    sys.exit(main())
