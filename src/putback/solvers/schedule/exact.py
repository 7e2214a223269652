"""Look for a shorter schedule, or prove that there is none: the model for CP-SAT.

Starts are held between what comes before and what must follow by the time that is to be beaten, so
that the proof begins with narrow windows. Beside the resources stand sets of jobs of which no two
run at once, which the resources imply but do not say one by one.
"""

from collections.abc import Callable
from time import perf_counter
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

    def __init__(
        self, project: Project, starts: Array, bound: int, seed: int, *, decides: bool = False
    ) -> None:
        """Set out to find one shorter than ``starts``, and no shorter than ``bound``.

        With ``decides`` the question is only whether there is a shorter one at all, again and
        again: that is refuted sooner than a bound is raised step by step.
        """
        from ortools.sat.python import cp_model

        self._project, self._bound, self._decides = project, bound, decides
        self._starts, self._known = starts, int((starts + project.durations).max())
        self._enough = False
        self._solver = cp_model.CpSolver()
        parameters = self._solver.parameters
        parameters.num_workers = 1
        parameters.random_seed = seed
        parameters.linearization_level = 0  # where resources are cumulative it is of little use
        parameters.use_hard_precedences_in_cumulative = True
        parameters.use_overload_checker_in_cumulative = True
        parameters.use_strong_propagation_in_disjunctive = True
        parameters.use_dynamic_precedence_in_disjunctive = True

    def _lay_out(self) -> tuple[Any, list[Any]]:
        """Make the model of a schedule shorter than the best that is known, and its starts."""
        from ortools.sat.python import cp_model

        project = self._project
        model = cp_model.CpModel()
        latest = self._known - 1 - project.tails - project.durations
        starts = [
            model.new_int_var(int(first), int(last), "")
            for first, last in zip(project.heads, latest, strict=True)
        ]
        spans = [int(each) for each in project.durations]
        for job, start in enumerate(starts):
            model.add_hint(start, min(int(self._starts[job]), int(latest[job])))
            for n in range(project.after.begin[job], project.after.begin[job + 1]):
                model.add(start + spans[job] <= starts[int(project.after.items[n])])
        runs = [
            model.new_fixed_size_interval_var(start, spans[job], "")
            for job, start in enumerate(starts)
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
        if not self._decides:
            end = model.new_int_var(self._bound, self._known - 1, "")
            for job, start in enumerate(starts):
                model.add(start + spans[job] + int(project.tails[job]) <= end)
            model.minimize(end)
        return model, starts

    def run(
        self, effort: float | None, seconds: float | None, met: Callable[[Array], None]
    ) -> Found:
        """Search for so much work (as `Choice.solve`) or so long [s]; tell each as it is found."""
        from ortools.sat.python import cp_model

        class Met(cp_model.CpSolverSolutionCallback):
            """Hand on what is found."""

            def __init__(self, starts: list[Any]) -> None:
                super().__init__()
                self._starts = starts

            def on_solution_callback(self) -> None:
                met(np.array([self.value(each) for each in self._starts], np.int64))

        solver, found, bound = self._solver, None, self._bound
        ends = None if seconds is None else perf_counter() + seconds
        while not self._enough and self._known > self._bound:
            model, variables = self._lay_out()
            if effort is not None:
                solver.parameters.max_deterministic_time = max(effort, 0.0)
            if ends is not None:
                solver.parameters.max_time_in_seconds = max(ends - perf_counter(), 0.0)
            status: Any = solver.solve(model, Met(variables))
            if not self._decides:
                bound = max(bound, round(solver.best_objective_bound))
            if status == cp_model.INFEASIBLE:
                return Found(found, self._known)
            if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
                break
            found = np.array([solver.value(each) for each in variables], np.int64)
            self._starts, self._known = found, self._project.span_of(found)
            if not self._decides:
                break
            if effort is not None:
                effort -= solver.response_proto.deterministic_time
        return Found(found, min(bound, self._known))

    def stop(self) -> None:
        """End the search from another thread; nothing, if it has not begun or is over."""
        self._enough = True
        self._solver.stop_search()
