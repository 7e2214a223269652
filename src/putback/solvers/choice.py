"""Choices of yes and no under clauses, the cheapest first: solved by CP-SAT.

A variable is a positive number, as in the DIMACS format for satisfiability; its negation is the
same number below zero::

    choice = Choice()
    whole, piecewise = choice.variable(), choice.variable()
    choice.any_of([whole, piecewise])
    choice.at_most_one([whole, piecewise])
    choice.minimise({whole: 75, piecewise: 90})
    choice.solve().chosen            # {whole}
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from threading import Thread
from typing import Any

from putback.errors import Stopped
from putback.progress import NoProgress, Progress

Literal = int
"""A variable, or with a minus sign its negation."""

Settled = Literal | bool
"""A literal, or what is settled already."""

_LOOK_AROUND_S = 0.05
"""How often a running search looks whether somebody wants it to end [s]."""


def negation(literal: Settled) -> Settled:
    """Give what holds where a literal does not."""
    return (not literal) if isinstance(literal, bool) else -literal


@dataclass(frozen=True, slots=True)
class Answer:
    """What came of a search: ``cost`` is at least ``bound``, and equal where ``optimal``.

    ``feasible`` is ``None`` where the time ran out before anything was found or refuted.
    """

    feasible: bool | None
    optimal: bool = False
    chosen: frozenset[Literal] = frozenset()
    """The variables that are true."""
    cost: int = 0
    bound: int = 0


class Choice:
    """A model that is built once and may be solved again after more clauses were added."""

    def __init__(self) -> None:
        """Begin with nothing to choose."""
        self.is_shut = False
        """Whether something was asked for that cannot be."""
        self._variables = 0
        self._clauses: list[list[Literal]] = []
        self._exclusive: list[list[Literal]] = []
        self._sums: list[tuple[dict[Literal, int], int]] = []
        self._weights: dict[Literal, int] = {}
        self._laid_out: _LaidOut | None = None
        self._last: list[bool] = []
        """Of each variable what the answer given last says."""

    def variable(self) -> Literal:
        """Add something to decide."""
        self._variables += 1
        return self._variables

    def any_of(self, literals: Iterable[Settled]) -> None:
        """Ask that at least one holds; of none at all, the impossible."""
        left: list[Literal] = []
        for each in literals:
            if each is True:
                return
            if each is not False:
                left.append(each)
        self.is_shut = self.is_shut or not left
        self._clauses.append(left)

    def implies(self, condition: Literal, any_of: Iterable[Literal]) -> None:
        """Ask that at least one holds where the condition does."""
        self.any_of([-condition, *any_of])

    def at_most_one(self, literals: Iterable[Literal]) -> None:
        """Ask that no two hold."""
        self._exclusive.append(list(literals))

    def at_least(self, weights: Mapping[Literal, int], least: int) -> None:
        """Ask that the weights of what holds add up to so much at least."""
        self._sums.append((dict(weights), least))

    def minimise(self, weights: Mapping[Literal, int]) -> None:
        """Ask for the least sum of the weights of what holds."""
        self._weights = {literal: weight for literal, weight in weights.items() if weight}

    def solve(
        self,
        *,
        effort: float = 2.0,
        seconds: float = 30.0,
        at_once: bool = False,
        progress: Progress = NoProgress(),
    ) -> Answer:
        """Search for the cheapest choice.

        Parameters
        ----------
        effort : float
            The solver's own count of work done, about seconds of a fast machine, [-]. It is the
            same everywhere, so that a search that ends by it ends in the same answer everywhere.
        seconds : float
            When to give up in any case, [s].
        at_once : bool
            Begin from the answer given last, variables added since taken to hold, and without
            making the model simpler first: quicker, and nearer to that answer, where little was
            added.
        progress : Progress
            Asked often whether to go on.

        Raises
        ------
        Stopped
            If `progress` wants the search to end.
        """
        from ortools.sat.python import cp_model

        if self._laid_out is None:
            self._laid_out = _LaidOut(cp_model.CpModel())
        holds = self._laid_out.add(self._variables, self._clauses, self._exclusive, self._sums)
        model = self._laid_out.model
        if self._weights:
            model.minimize(
                cp_model.LinearExpr.weighted_sum(
                    [holds[each] for each in self._weights], list(self._weights.values())
                )
            )
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1  # one thread, one seed: the same answer every time
        solver.parameters.random_seed = 1
        solver.parameters.max_deterministic_time = effort
        solver.parameters.max_time_in_seconds = seconds
        if at_once:
            begun = self._last + [True] * (self._variables - len(self._last))
            model.clear_hints()
            hint = model.model_proto.solution_hint  # one by one they take longer than the search
            hint.vars.extend(range(self._variables))
            hint.values.extend(begun)
            solver.parameters.cp_model_presolve = False
            solver.parameters.linearization_level = 0
            solver.parameters.symmetry_level = 0
            if not self._weights:  # to try each variable first pays only where a cost is sought
                solver.parameters.cp_model_probing_level = 0
        status = run_beside(solver, model, progress)
        if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            # The model has no other variables than these, numbered from 0.
            self._last = [bool(value) for value in solver.response_proto.solution]
            return Answer(
                feasible=True,
                optimal=status == cp_model.OPTIMAL,
                chosen=frozenset(number for number, held in enumerate(self._last, 1) if held),
                cost=round(solver.objective_value),
                bound=round(solver.best_objective_bound),
            )
        if status == cp_model.INFEASIBLE:
            return Answer(feasible=False, optimal=True)
        return Answer(feasible=None)


class _LaidOut:
    """A model as the solver has it, to which only what is new is added: that is dear."""

    def __init__(self, model: Any) -> None:
        self.model = model
        self.holds: dict[Literal, Any] = {}
        self.clauses = self.exclusive = self.sums = 0

    def add(
        self,
        variables: int,
        clauses: Sequence[Sequence[Literal]],
        exclusive: Sequence[Sequence[Literal]],
        sums: Sequence[tuple[Mapping[Literal, int], int]],
    ) -> dict[Literal, Any]:
        """Add what was not there at the last call; give what stands for each literal."""
        from ortools.sat.python import cp_model

        model, holds = self.model, self.holds
        for number in range(len(holds) // 2 + 1, variables + 1):
            holds[number] = model.new_bool_var("")
            holds[-number] = holds[number].negated()
        for clause in clauses[self.clauses :]:
            model.add_bool_or([holds[each] for each in clause])
        for some in exclusive[self.exclusive :]:
            model.add_at_most_one([holds[each] for each in some])
        for weights, least in sums[self.sums :]:
            terms = [holds[each] for each in weights]
            model.add(cp_model.LinearExpr.weighted_sum(terms, list(weights.values())) >= least)
        self.clauses, self.exclusive, self.sums = len(clauses), len(exclusive), len(sums)
        return holds


def run_beside(solver: Any, model: Any, progress: Progress, met: Any = None) -> Any:
    """Solve beside the caller's thread, in which progress is asked whether to go on.

    `met`, if given, is CP-SAT's own kind of callback and is told each solution.
    """
    statuses: list[Any] = []
    search = Thread(target=lambda: statuses.append(solver.solve(model, met)), daemon=True)
    search.start()
    try:
        search.join(_LOOK_AROUND_S)
        while search.is_alive():
            progress.step(0, None, "searching for the cheapest choice")
            search.join(_LOOK_AROUND_S)
    except Stopped:
        solver.stop_search()
        search.join()
        raise
    return statuses[0]
