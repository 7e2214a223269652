"""Look for a shorter schedule, or prove that there is none: the model for CP-SAT.

Starts are held between what comes before and what must follow by the time that is to be beaten, so
that the proof begins with narrow windows. Beside the resources stand sets of jobs of which no two
run at once, which the resources imply but do not say one by one.
"""

from collections.abc import Callable
from typing import Any, NamedTuple

import numpy as np

from putback.solvers.schedule.bounds import cliques
from putback.solvers.schedule.problem import Project
from putback.solvers.sequence.problem import Array


class Found(NamedTuple):
    """What came of a search for a shorter schedule."""

    starts: Array | None
    """The best that is shorter, if one was found, shape (n,)."""
    bound: int
    """No schedule is shorter."""


class Shorter:
    """A search that another thread may end."""

    def __init__(self, project: Project, starts: Array, bound: int, seed: int) -> None:
        """Lay out the model: shorter than ``starts``, and no shorter than ``bound``."""
        from ortools.sat.python import cp_model

        self._project, self._bound = project, bound
        known = int((starts + project.durations).max())
        self._known = known
        model = cp_model.CpModel()
        end = model.new_int_var(bound, known - 1, "")
        latest = known - 1 - project.tails - project.durations
        self._starts = [
            model.new_int_var(int(first), int(last), "")
            for first, last in zip(project.heads, latest, strict=True)
        ]
        spans = [int(each) for each in project.durations]
        for job, start in enumerate(self._starts):
            model.add(start + spans[job] + int(project.tails[job]) <= end)
            model.add_hint(start, min(int(starts[job]), int(latest[job])))
            for n in range(project.after.begin[job], project.after.begin[job + 1]):
                model.add(start + spans[job] <= self._starts[int(project.after.items[n])])
        runs = [
            model.new_fixed_size_interval_var(start, spans[job], "")
            for job, start in enumerate(self._starts)
        ]
        for demands, capacity in zip(project.demands.T, project.capacities, strict=True):
            some = [int(job) for job in np.flatnonzero(demands)]
            if int(demands.sum()) > capacity:
                model.add_cumulative(
                    [runs[job] for job in some], [int(demands[job]) for job in some], int(capacity)
                )
        for clique in cliques(project):
            if len(clique) > 2:
                model.add_no_overlap([runs[job] for job in clique])
        model.minimize(end)
        self._model, self._solver = model, cp_model.CpSolver()
        parameters = self._solver.parameters
        parameters.num_workers = 1
        parameters.random_seed = seed
        parameters.linearization_level = 0  # where resources are cumulative it is of little use
        parameters.use_hard_precedences_in_cumulative = True
        parameters.use_overload_checker_in_cumulative = True
        parameters.use_strong_propagation_in_disjunctive = True
        parameters.use_dynamic_precedence_in_disjunctive = True

    def run(
        self, effort: float | None, seconds: float | None, met: Callable[[Array], None]
    ) -> Found:
        """Search for so much work (as `Choice.solve`) or so long [s]; tell each as it is found."""
        from ortools.sat.python import cp_model

        variables, solver = self._starts, self._solver

        class Met(cp_model.CpSolverSolutionCallback):
            """Hand on what is found."""

            def on_solution_callback(self) -> None:
                met(np.array([self.value(each) for each in variables], np.int64))

        if effort is not None:
            solver.parameters.max_deterministic_time = effort
        if seconds is not None:
            solver.parameters.max_time_in_seconds = seconds
        status: Any = solver.solve(self._model, Met())
        if status == cp_model.INFEASIBLE:
            return Found(None, self._known)
        bound = max(self._bound, round(solver.best_objective_bound))
        if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            starts = np.array([solver.value(each) for each in variables], np.int64)
            return Found(starts, bound)
        return Found(None, min(bound, self._known))

    def stop(self) -> None:
        """End the search from another thread; nothing, if it has not begun or is over."""
        self._solver.stop_search()
