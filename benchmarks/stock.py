"""Cutting stock on published instances, beside a plain CP-SAT model of the same.

``python -m benchmarks.stock DIR --seconds S [--json] [--alone]`` reads every `.txt` file of a
folder and of those in it: number of pieces, capacity, then a length a line; or, for demands, how
many lengths, capacity, then a length and how many of it a line. Each plan is checked and its bins
counted here, by none of the solver's code. Least numbers known are read from a `known.csv` in the
folder, if there is one. The ratio is the plain model's bins to ours.

Without a folder, as ``python -m benchmarks stock``, the instances of the tests are taken, and a
cutting list of sixty pieces.
"""

import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from math import lcm
from pathlib import Path
from random import Random
from time import perf_counter

from benchmarks.beside import best_known, command, shown, solved, tell
from benchmarks.measure import Figure, figure, timed
from putback.bench.stock import CALCULATOR
from putback.solvers.cutting import Cutting, Stock, cut

BUNDLED = Path(__file__).parent.parent / "tests" / "published" / "data" / "cutting"


@dataclass(frozen=True, slots=True)
class Instance:
    """A published instance: how many are wanted of each length, and what a bin holds."""

    name: str
    wanted: dict[int, int]
    capacity: int


@dataclass(frozen=True, slots=True)
class Row:
    """What came of an instance; seconds [s] are wall time."""

    name: str
    items: int
    bins: int
    lower_bound: int
    seconds: float
    best_known: int | None
    plain_bins: int | None
    """What the plain model found in the same time."""
    plain_lower_bound: int | None
    plain_seconds: float | None
    ratio: float | None
    """The plain model's bins over ours [-]."""


def read(path: Path, folder: Path) -> Instance:
    """Read an instance; lengths with decimals are brought to whole numbers."""
    (_,), (capacity,), *lines = [line.split() for line in path.read_text().splitlines() if line]
    wanted: Counter[Fraction] = Counter()
    for length, *count in lines:
        wanted[Fraction(length)] += int(count[0]) if count else 1
    scale = lcm(Fraction(capacity).denominator, *(length.denominator for length in wanted))
    name = path.relative_to(folder).with_suffix("").as_posix()
    whole = {int(length * scale): count for length, count in sorted(wanted.items(), reverse=True)}
    return Instance(name, whole, int(Fraction(capacity) * scale))


def checked_bins(instance: Instance, plan: Cutting) -> int:
    """How many bins a plan takes.

    Raises
    ------
    ValueError
        If it leaves a piece out, has one too often, or overfills a bin.
    """
    lengths = list(instance.wanted)
    packed = Counter(lengths[piece] for each in plan.cuts for piece in each.pieces)
    if packed != Counter(instance.wanted):
        raise ValueError(f"{instance.name}: not every piece is cut as often as wanted")
    if any(sum(lengths[p] for p in each.pieces) > instance.capacity for each in plan.cuts):
        raise ValueError(f"{instance.name}: a bin is overfilled")
    return len(plan.cuts)


def solve(instance: Instance, seconds: float) -> tuple[Cutting, float]:
    """Solve in so long [s]; give the plan and the time taken [s]."""
    begun = perf_counter()
    stock = [Stock(instance.capacity, cost=1)]
    plan = cut(list(instance.wanted), list(instance.wanted.values()), stock, seconds=seconds)
    return plan, perf_counter() - begun


def solve_plainly(instance: Instance, seconds: float) -> tuple[int | None, int, float]:
    """Solve by CP-SAT as one writes it down: how many of each length in each bin, bins in order.

    Gives bins, if any plan was found, bound and time taken [s].
    """
    from ortools.sat.python import cp_model

    begun = perf_counter()
    model = cp_model.CpModel()
    pieces = sum(length * count for length, count in instance.wanted.items())
    most = _first_fit(instance)
    used = [model.new_bool_var("") for _ in range(most)]
    inside = {
        (length, number): model.new_int_var(0, min(count, instance.capacity // length), "")
        for length, count in instance.wanted.items()
        for number in range(most)
    }
    for length, count in instance.wanted.items():
        model.add(sum(inside[length, number] for number in range(most)) == count)
    for number in range(most):
        load = sum(length * inside[length, number] for length in instance.wanted)
        model.add(load <= instance.capacity * used[number])
        if number:
            model.add_implication(used[number], used[number - 1])
    model.add(sum(used) >= -(-pieces // instance.capacity))
    model.minimize(sum(used))
    bins, bound = solved(model, seconds)
    return bins, bound, perf_counter() - begun


def _first_fit(instance: Instance) -> int:
    """How many bins the largest first, each where it first fits, take."""
    rooms: list[int] = []
    for length, count in instance.wanted.items():
        for _ in range(count):
            for number, room in enumerate(rooms):
                if room >= length:
                    rooms[number] -= length
                    break
            else:
                rooms.append(instance.capacity - length)
    return len(rooms)


def measure(folder: Path, seconds: float, *, plain: bool = True) -> Iterator[Row]:
    """Measure instance after instance, each for so long at most [s]."""
    known = best_known(folder)
    for path in sorted(folder.rglob("*.txt")):
        instance = read(path, folder)
        plan, spent = solve(instance, seconds)
        bins = checked_bins(instance, plan)
        other, below, took = solve_plainly(instance, seconds) if plain else (None, None, None)
        yield Row(
            name=instance.name,
            items=sum(instance.wanted.values()),
            bins=bins,
            lower_bound=plan.bound,
            seconds=round(spent, 3),
            best_known=known.get(instance.name),
            plain_bins=other,
            plain_lower_bound=below,
            plain_seconds=None if took is None else round(took, 3),
            ratio=round(other / bins, 4) if other else None,
        )


def warm_up() -> float:
    """Load or compile the solvers on tiny instances; give the time that took [s]."""
    tiny = [{44: 1, 24: 2, 22: 1, 21: 1, 17: 1, 8: 2, 6: 2}, {31: 10}]
    return sum(solve(Instance("", wanted, 61), 60.0)[1] for wanted in tiny)


def sixty_pieces() -> str:
    """Pieces as a person would type them: sixty lengths [mm], the same at every run."""
    chance = Random(3)
    return "\n".join(str(chance.randint(150, 3200)) for _ in range(60))


def run() -> Iterator[Figure]:
    """Measure the instances that the tests have for 5 s each, and a list of sixty pieces."""
    warm_up()
    for row in measure(BUNDLED, 5.0):
        yield Figure(
            f"stock {row.name}, {row.items} items",
            row.seconds,
            row.seconds,
            1,
            "< 5.2 s, as few bins as known",
            row.seconds < 5.2 and row.bins == row.best_known,
            f"{row.bins} bins, bound {row.lower_bound}; plain CP-SAT {row.plain_bins}",
        )
    pieces = sixty_pieces()
    for stock, words in (("7620", "one kind"), ("7620 | 3000 4 | 1100 3", "offcuts too")):
        spent = timed(
            lambda lengths=stock: CALCULATOR.work(pieces, lengths, "mm", 0.0015, 0.003, 0.0)
        )
        yield figure(f"stock of 60 pieces, {words}", spent, limit_s=2.0)


def main() -> int:
    """Measure a folder."""
    parser = command("stock", __doc__, seconds=5.0)
    parser.add_argument("folder", metavar="DIR", type=Path, help="where the .txt files are")
    asked = parser.parse_args()
    if not any(asked.folder.rglob("*.txt")):
        parser.error(f"no .txt file in {asked.folder}")
    heading = (
        f"{'name':28}{'items':>6}{'bins':>6}{'bound':>7}{'s':>7}"
        f"{'best known':>12}{'plain':>7}{'ratio':>8}\n"
    )
    rows = tell(
        measure(asked.folder, asked.seconds, plain=not asked.alone),
        heading,
        _said,
        as_json=asked.json,
        begun=f"loading the solvers took {warm_up():.2f} s\n",
    )
    if not asked.json and (judged := [row for row in rows if row.best_known is not None]):
        best = sum(row.bins == row.best_known for row in judged)
        sys.stdout.write(f"{best} of {len(judged)} with the least number of bins known\n")
    return 0


def _said(row: Row) -> str:
    """Say a row in a line."""
    known, plain = shown(row.best_known), shown(row.plain_bins)
    ratio = shown(row.ratio, ".3f")
    proved = "=" if row.lower_bound >= row.bins else " "
    return (
        f"{row.name:28}{row.items:6}{row.bins:6}{row.lower_bound:6}{proved}{row.seconds:7.2f}"
        f"{known:>12}{plain:>7}{ratio:>8}\n"
    )


if __name__ == "__main__":
    sys.exit(main())
