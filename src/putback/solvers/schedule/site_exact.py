"""Models of a site for CP-SAT: crews as a whole, or person by person.

As a whole each set of people is a resource that gives what is there. That is smaller and stronger,
and what it refutes is refuted, but a schedule of it may lack somebody who stays from a job's
beginning to its end. Person by person says all, at the price of a variable for each who could.
"""

from collections.abc import Callable, Mapping, Sequence
from typing import Any, NamedTuple

from putback.progress import Progress
from putback.solvers.choice import run_beside
from putback.solvers.schedule.allowance import Allowance
from putback.solvers.schedule.crews import Staffed
from putback.solvers.schedule.site import Site, Spans, Spells

_WORKERS = 2
"""Threads of a search by the clock; one where the same work is to give the same schedule."""


class Result(NamedTuple):
    """What came of a search; see `Model.run`."""

    starts: tuple[int, ...] | None
    bound: int
    """No schedule of the model is shorter; above what was asked for, if there is none."""


class Model:
    """A schedule of a site that ends by a given time."""

    def __init__(self, site: Site, least: int, most: int, *, by_person: bool) -> None:
        """Lay it out: it ends no sooner than `least`, which holds for all, and by `most`."""
        from ortools.sat.python import cp_model

        self._site, self._least, self._most = site, least, most
        self._model: Any = cp_model.CpModel()
        model = self._model
        self._end = model.new_int_var(least, most, "")
        self._latest = latest = site.latest(most)
        self.possible = bool((site.heads <= latest).all()) and least <= most
        if not self.possible:
            return
        self._starts = [
            model.new_int_var_from_domain(_within(spans, int(first), int(last)), "")
            for spans, first, last in zip(site.openings, site.heads, latest, strict=True)
        ]
        self._runs = [
            model.new_fixed_size_interval_var(start, job.duration, "")
            for start, job in zip(self._starts, site.jobs, strict=True)
        ]
        for start, span, tail in zip(self._starts, site.durations, site.tails, strict=True):
            model.add(start + int(span + tail) <= self._end)
        for first, then in site.direct:
            model.add(self._starts[first] + site.jobs[first].duration <= self._starts[then])
        for room, capacity in enumerate(site.rooms):
            lying = [self._lies(each.jobs) for each in site.lying if each.room == room]
            lent = site.lent_spells(room, most)
            self._share(site.taken_of(room).tolist(), capacity, lent, lying)
        for crew in site.crews:
            self._share(site.asked_of(crew).tolist(), len(crew), site.lacking(crew, most))
        self._keep_balance()
        self._who: dict[tuple[int, int, int], Any] = self._by_person() if by_person else {}
        model.minimize(self._end)

    def hint(self, starts: Sequence[int]) -> None:
        """Begin the search near a schedule."""
        for variable, start, last in zip(self._starts, starts, self._latest, strict=True):
            self._model.add_hint(variable, min(start, int(last)))

    def run(
        self,
        allowance: Allowance,
        seed: int,
        progress: Progress,
        met: Callable[[tuple[int, ...]], None],
    ) -> Result:
        """Search for as long as is allowed; tell of each schedule as it is found.

        Raises
        ------
        Stopped
            If `progress` wants the search to end.
        """
        from ortools.sat.python import cp_model

        if not self.possible:
            return Result(None, max(self._least, self._most + 1))
        starts = self._starts

        class Met(cp_model.CpSolverSolutionCallback):
            """Hand on what is found."""

            def on_solution_callback(self) -> None:
                met(tuple(self.value(each) for each in starts))

        self._solver: Any = cp_model.CpSolver()
        status = _solve(self._solver, self._model, allowance, seed, progress, Met())
        if status == cp_model.INFEASIBLE:
            return Result(None, self._most + 1)
        bound = max(self._least, round(self._solver.best_objective_bound))
        if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return Result(tuple(self._solver.value(each) for each in starts), bound)
        return Result(None, min(bound, self._most + 1))

    def people(self) -> tuple[tuple[tuple[int, ...], ...], ...]:
        """Who does what in the last schedule found, person by person."""
        return tuple(
            tuple(
                tuple(
                    person
                    for person in sorted(need.able)
                    if self._solver.boolean_value(self._who[number, place, person])
                )
                for place, need in enumerate(job.needs)
            )
            for number, job in enumerate(self._site.jobs)
        )

    def _lies(self, jobs: Sequence[int]) -> Any:
        """From when the first of some jobs begins until all of them ended, or longer."""
        first, last = min(int(self._site.heads[job]) for job in jobs), self._most
        begin, end = (self._model.new_int_var(first, last, "") for _ in range(2))
        lasts = self._model.new_int_var(0, last - first, "")
        for job in jobs:
            self._model.add(begin <= self._starts[job])
            self._model.add(self._starts[job] + self._site.jobs[job].duration <= end)
        return self._model.new_interval_var(begin, lasts, end, "")

    def _share(
        self, asked: list[int], given: int, lacking: Spells, lying: Sequence[Any] = ()
    ) -> None:
        """Never take more at once than is given, less what is lacking from when until when."""
        some = [number for number, each in enumerate(asked) if each]
        most_lacking = max((many for _, _, many in lacking), default=0)
        if sum(asked) + len(lying) + most_lacking <= given:
            return
        away = [
            self._model.new_fixed_size_interval_var(begin, end - begin, "")
            for begin, end, _ in lacking
        ]
        self._model.add_cumulative(
            [*(self._runs[number] for number in some), *away, *lying],
            [
                *(asked[number] for number in some),
                *(m for _, _, m in lacking),
                *(1 for _ in lying),
            ],
            given,
        )

    def _keep_balance(self) -> None:
        """Keep every balance within its limits after each beginning."""
        for number, (least, most) in enumerate(self._site.limits):
            shifts = [job.shifts[number] for job in self._site.jobs]
            some = [at for at, shift in enumerate(shifts) if shift]
            up = sum(shift for shift in shifts if shift > 0)
            down = sum(shift for shift in shifts if shift < 0)
            if up > most or down < least:
                self._model.add_reservoir_constraint(
                    [self._starts[at] for at in some], [shifts[at] for at in some], least, most
                )

    def _by_person(self) -> dict[tuple[int, int, int], Any]:
        """Give each need its people, of whom nobody does two things at once or is away."""
        from ortools.sat.python import cp_model

        model, site = self._model, self._site
        who = {}
        busy: list[list[Any]] = [[] for _ in site.away]
        for number, job in enumerate(site.jobs):
            for place, need in enumerate(job.needs):
                for person in sorted(need.able):
                    does = model.new_bool_var("")
                    who[number, place, person] = does
                    model.add_linear_expression_in_domain(
                        self._starts[number],
                        cp_model.Domain.from_intervals(list(site.stays(person, job.duration))),
                    ).only_enforce_if(does)
                    busy[person].append(
                        model.new_optional_fixed_size_interval_var(
                            self._starts[number], job.duration, does, ""
                        )
                    )
                model.add(sum(who[number, place, person] for person in need.able) == need.count)
        for intervals in busy:
            model.add_no_overlap(intervals)
        _keep_apart(model, site, who)
        return who


def _keep_apart(model: Any, site: Site, does: Mapping[tuple[int, int, int], Any]) -> None:
    """Let nobody do both of two jobs that are kept apart."""
    for one, other in site.apart:
        for person in range(len(site.away)):
            model.add_at_most_one(
                does[key]
                for number in (one, other)
                for place in range(len(site.jobs[number].needs))
                if (key := (number, place, person)) in does
            )


def _within(spans: Spans, first: int, last: int) -> Any:
    """What lies in some spans, from a first to a last, as CP-SAT has it."""
    from ortools.sat.python import cp_model

    return cp_model.Domain.from_intervals(
        [(max(a, first), min(b, last)) for a, b in spans if max(a, first) <= min(b, last)]
    )


def _solve(
    solver: Any, model: Any, allowance: Allowance, seed: int, progress: Progress, met: Any = None
) -> Any:
    """Solve for as long as is allowed, and say what it took."""
    parameters = solver.parameters
    parameters.random_seed = seed
    parameters.num_workers = _WORKERS
    if (work := allowance.work) is not None:
        parameters.num_workers = 1
        parameters.max_deterministic_time = max(work, 1e-3)
    if (seconds := allowance.seconds) is not None:
        parameters.max_time_in_seconds = max(seconds, 0.01)
    status = run_beside(solver, model, progress, met)
    allowance.spend(solver.response_proto.deterministic_time)
    return status


def staff_exactly(
    site: Site, starts: Sequence[int], allowance: Allowance, progress: Progress
) -> Staffed | None:
    """Find people for a schedule if there are any: whoever is free, no two jobs at once.

    None as well if what is allowed was not enough.
    """
    from ortools.sat.python import cp_model

    model: Any = cp_model.CpModel()
    does: dict[tuple[int, int, int], Any] = {}
    jobs_of: list[list[tuple[int, int, Any]]] = [[] for _ in site.away]
    for number, job in enumerate(site.jobs):
        begin, end = starts[number], starts[number] + job.duration
        for place, need in enumerate(job.needs):
            for person in sorted(need.able):
                if all(until <= begin or end <= since for since, until in site.away[person]):
                    each = model.new_bool_var("")
                    does[number, place, person] = each
                    jobs_of[person].append((begin, end, each))
            able = [does[key] for p in need.able if (key := (number, place, p)) in does]
            model.add(sum(able) == need.count)
    for mine in jobs_of:
        for time in sorted({begin for begin, _, _ in mine}):
            model.add_at_most_one([each for begin, end, each in mine if begin <= time < end])
    _keep_apart(model, site, does)
    solver: Any = cp_model.CpSolver()
    status = _solve(solver, model, allowance, 1, progress)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    who = tuple(
        tuple(
            tuple(
                person
                for person in sorted(need.able)
                if (number, place, person) in does
                and solver.boolean_value(does[number, place, person])
            )
            for place, need in enumerate(job.needs)
        )
        for number, job in enumerate(site.jobs)
    )
    return Staffed(tuple(starts), who, site.ends(starts))
