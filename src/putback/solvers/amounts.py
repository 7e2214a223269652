"""Whole amounts under linear rules and clauses, the cheapest first: solved by CP-SAT.

::

    amounts = Amounts()
    apples, pears = amounts.amount(9), amounts.amount(9)
    amounts.at_least({apples: 1, pears: 2}, 5)
    amounts.minimise({apples: 3, pears: 4})
    amounts.solve().bound        # 11: one apple, two pears
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from putback.progress import NoProgress, Progress
from putback.solvers.choice import run_beside

Amount = int
"""A variable, by its number."""


@dataclass(frozen=True, slots=True)
class Amounted:
    """What came of a search: no amounts cost less than ``bound``; one that was found costs more.

    ``values`` are those found, by variable; ``None`` where none were before the search ended.
    """

    bound: int
    optimal: bool = False
    values: tuple[int, ...] | None = None


class Amounts:
    """A model that is built once and may be solved again after more rules were added."""

    def __init__(self) -> None:
        """Begin with no amounts."""
        self._most: list[int] = []
        self._rules: list[tuple[dict[Amount, int], int]] = []
        self._clauses: list[list[Amount]] = []
        self._weights: dict[Amount, int] = {}

    def amount(self, most: int) -> Amount:
        """Add something of which there is from none to ``most``; of yes and no, 1 at most."""
        self._most.append(most)
        return len(self._most) - 1

    def at_least(self, terms: Mapping[Amount, int], least: int) -> None:
        """Ask that a weighted sum is no less than ``least``."""
        self._rules.append((dict(terms), least))

    def any_of(self, amounts: Iterable[Amount]) -> None:
        """Ask that one at least of several, each none or one, is one."""
        self._clauses.append(list(amounts))

    def minimise(self, weights: Mapping[Amount, int]) -> None:
        """Ask for the least weighted sum, of weights from zero up."""
        self._weights = dict(weights)

    def solve(
        self, *, effort: float = 1.0, seconds: float = 15.0, progress: Progress = NoProgress()
    ) -> Amounted:
        """Search for the cheapest amounts; effort and limits are those of `Choice.solve`.

        Raises
        ------
        Stopped
            If `progress` wants the search to end.
        """
        from ortools.sat.python import cp_model

        model = cp_model.CpModel()
        holds = [model.new_int_var(0, most, "") for most in self._most]

        def weighted(terms: Mapping[Amount, int]) -> Any:
            chosen = [holds[each] for each in terms]
            return cp_model.LinearExpr.weighted_sum(chosen, list(terms.values()))

        for terms, least in self._rules:
            model.add(weighted(terms) >= least)
        for clause in self._clauses:
            model.add(sum(holds[each] for each in clause) >= 1)
        model.minimize(weighted(self._weights))
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1  # one thread, one seed: the same answer every time
        solver.parameters.random_seed = 1
        # The rules are sums over hundreds of amounts: as one linear program they say far more
        # than what follows from them one by one.
        solver.parameters.linearization_level = 2
        solver.parameters.max_deterministic_time = effort
        solver.parameters.max_time_in_seconds = seconds
        status = run_beside(solver, model, progress)
        bound = max(round(solver.best_objective_bound), 0)
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return Amounted(bound)
        return Amounted(
            bound, status == cp_model.OPTIMAL, tuple(solver.value(each) for each in holds)
        )
