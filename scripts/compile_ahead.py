"""Compile the solvers' inner loops before the tests do: ``python -m scripts.compile_ahead``.

What is compiled is kept beside the modules, for every process after this one. Without it each of
the tests' workers would compile all loops itself, in whichever test comes to them first. Every
solver that has such loops is asked something small here; a loop that no question leads to is
named, and a question is to be added for it.
"""

import sys
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from importlib import import_module
from pathlib import Path
from pkgutil import walk_packages
from types import ModuleType

from numba.core.dispatcher import Dispatcher

from putback import solvers
from putback.logbook.state import State
from putback.planning.strip import plan_strip
from putback.solvers import schedule, sequence
from putback.solvers.cutting import Stock, cut
from putback.vehicle.generate import generate

COUNT = 40
WORK = 20_000


def main() -> None:
    """Ask, and say what was compiled by none of it: the tests compile that themselves."""
    with ProcessPoolExecutor(1) as apart:  # beside what is asked here: two cores are free
        others = apart.submit(schedule_and_cut)
        order_items()
        plan_a_strip()
        others.result()
    forgotten = [loop for loop in loops(solvers) if not is_compiled(loop)]
    for each in forgotten:
        loop = f"{each.__module__}.{each.__name__}"
        print(f"no question in scripts/compile_ahead.py leads to {loop}", file=sys.stderr)


def loops(package: ModuleType) -> Iterator[Dispatcher]:
    """All functions that are compiled on their own, not those that they inline."""
    for found in walk_packages(package.__path__, f"{package.__name__}."):
        for each in vars(import_module(found.name)).values():
            its_own = isinstance(each, Dispatcher) and each.__module__ == found.name
            if its_own and each.targetoptions.get("inline") != "always":
                yield each


def is_compiled(loop: Dispatcher) -> bool:
    """Whether it was called, or by others so that it is kept: what is kept with them is silent."""
    line = loop.py_func.__code__.co_firstlineno
    kept = Path(loop.stats.cache_path).glob(f"*.{loop.__name__}-{line}.*.nbc")
    return bool(loop.signatures) or any(kept)


def order_items() -> None:
    """Put items in order, as cheap as can be: a few, and so many that it is done otherwise.

    How that is done depends on how many pairs of them must come in order, and on whether each
    costs the same before the other as behind it.
    """
    for count, pairs in ((COUNT, 2), (3 * COUNT, 2), (3 * COUNT, COUNT)):
        costs = [[(3 * one + 5 * other) % 7 for other in range(count)] for one in range(count)]
        in_order = [(2 * pair, 2 * pair + 1) for pair in range(pairs)]
        sequence.SequenceSearch(sequence.lay_out(costs, in_order)).run(work=WORK)
    both_ways = [[(one - other) ** 2 % 7 for other in range(COUNT)] for one in range(COUNT)]
    sequence.SequenceSearch(sequence.lay_out(both_ways, [(0, 1)])).run(work=WORK)


def schedule_and_cut() -> None:
    """Ask what needs none of the loops that order items."""
    schedule_jobs()
    cut_pieces()


def schedule_jobs() -> None:
    """Give jobs their times: two run at once, where their work alone would let two and a half."""
    durations = [job % 4 + 1 for job in range(COUNT)]
    demands = [[2] for _ in range(COUNT)]
    schedule.ScheduleSearch(schedule.lay_out(durations, demands, [5], [(0, 1), (2, 3)])).run(WORK)


def cut_pieces() -> None:
    """Cut pieces from as little stock as can be."""
    cut([70, 60, 50, 45, 40, 35], [1] * 6, [Stock(100)])


def plan_a_strip() -> None:
    """Plan a small vehicle's strip."""
    vehicle = generate(60, 5)
    plan_strip(vehicle, State("log", vehicle), next(iter(vehicle.goals.values())))


if __name__ == "__main__":
    main()
