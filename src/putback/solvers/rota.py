"""Who does which job when: people with hours of their own, and things of which there are few.

    rota = Rota(people=(Weekly(...), ...), jobs=(Task(minutes=30), ...), few=(1,))
    found = RotaSearch(rota, seed=1).run(seconds=5.0)
    found.starts, found.who, found.bound

Times are whole minutes from the midnight in which the first week begins. A job is not broken off:
it lies within one stretch of hours of each who does it. First jobs are put down one after another,
in the order of how late they may begin (the serial scheme of Kelley, 1963), with some chance;
then CP-SAT looks for a rota that ends sooner, or proves that there is none.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor, wait
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np

from putback.errors import Stopped
from putback.progress import NoProgress, Progress
from putback.solvers.critical_path import find_starts
from putback.solvers.weekly import WEEK_MINUTES, Weekly

_LOOK_AROUND_S = 0.02
"""How often a running search looks whether somebody wants it to end [s]."""

_LISTS = 24
"""How many orders of jobs are tried before CP-SAT; a convention."""


@dataclass(frozen=True, slots=True)
class Task:
    """A job: ``may`` are the people who can do it, by number; ``uses`` of the few things."""

    minutes: int
    may: tuple[int, ...]
    crew: int = 1
    """0 where nobody works on it: it goes on day and night, as paint cures."""
    before: tuple[int, ...] = ()
    """Jobs that end before it begins, of lower numbers."""
    release: int = 0
    """It does not begin before this [minutes]."""
    uses: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Rota:
    """What is to be done, by whom, from when on."""

    people: tuple[Weekly, ...]
    tasks: tuple[Task, ...]
    few: tuple[int, ...] = ()
    """How many there are of each thing of which there are few."""
    begin: int = 0


class TooFew(ValueError):
    """No stretch of hours is long enough for a job and the people it wants."""


@dataclass(frozen=True, slots=True)
class Shifts:
    """A rota that was found; times [minutes]."""

    starts: tuple[int, ...]
    who: tuple[tuple[int, ...], ...]
    finish: int
    bound: int
    """No rota ends before this."""

    @property
    def optimal(self) -> bool:
        """Whether no rota ends sooner."""
        return self.bound >= self.finish


class RotaSearch:
    """A search that can be asked for its best at any time; same seed and work, same rota."""

    def __init__(self, rota: Rota, seed: int = 1) -> None:
        """Begin with the best of a few orders.

        Raises
        ------
        TooFew
            If a job can never be done by these people.
        """
        self.rota, self._seed = rota, seed
        for number, task in enumerate(rota.tasks):
            if task.crew and task.minutes > longest_together(rota.people, task.may, task.crew):
                raise TooFew(f"job {number} is longer than {task.crew} are ever there at once")
        latest = find_starts([t.before for t in rota.tasks], [t.minutes for t in rota.tasks])
        chance = np.random.default_rng(seed)
        spread = max(latest.finish, 1.0) / 8
        orders = (
            _order(rota, latest.latest, chance, spread if number else 0.0)
            for number in range(_LISTS)
        )
        found = [_put_down(rota, order) for order in orders]
        starts, who = min(found, key=lambda each: _finish(rota, each[0]))
        self.best = Shifts(starts, who, _finish(rota, starts), _least_finish(rota))

    def run(
        self,
        work: float | None = None,
        *,
        seconds: float | None = None,
        progress: Progress = NoProgress(),
    ) -> Shifts:
        """Search until it is proved, or for so much work (as `Choice.solve`) or so long [s].

        Raises
        ------
        Stopped
            If `progress` wants the search to end; ``best`` is what was found until then.
        """
        if self.best.optimal or not self.rota.tasks:
            return self.best
        sooner = _Sooner(self.rota, self.best, self._seed)
        with ThreadPoolExecutor(1) as core:
            running = core.submit(sooner.run, work, seconds)
            try:
                while wait([running], _LOOK_AROUND_S).not_done:
                    progress.step(0, None, "looking for an earlier end")
            except Stopped:
                while wait([running], _LOOK_AROUND_S).not_done:
                    sooner.stop()
                self.best = running.result()
                raise
            self.best = running.result()
        return self.best


def _finish(rota: Rota, starts: Sequence[int]) -> int:
    return max(
        (s + t.minutes for s, t in zip(starts, rota.tasks, strict=True)), default=rota.begin
    )


def _crew_hours(rota: Rota, task: Task) -> Weekly | None:
    """Hours in which a job could be done, whoever does it: at least so many are there at once."""
    cuts = sorted({0, *(at for p in task.may for pair in rota.people[p].stretches for at in pair)})
    found: list[tuple[int, int]] = []
    for one, other in pairwise(cuts):
        there = sum(
            any(opens <= one and other <= closes for opens, closes in rota.people[p].stretches)
            for p in task.may
        )
        if there >= task.crew:
            if found and found[-1][1] == one:
                found[-1] = (found[-1][0], other)
            else:
                found.append((one, other))
    return Weekly(tuple(found)) if found else None


def longest_together(people: Sequence[Weekly], may: Iterable[int], crew: int) -> int:
    """How long so many of these people are ever there at once, the same ones [minutes]."""
    able = [people[each] for each in may]
    longest = 0
    for at in {opens for each in able for opens, _ in each.stretches}:
        left = sorted(max((b - at for a, b in e.stretches if a <= at), default=0) for e in able)
        if len(left) >= crew:
            longest = max(longest, left[-crew])
    return longest


def _least_finish(rota: Rota) -> int:
    """No rota ends sooner: by what waits for what, and by the hours that all work asks for."""
    ends: list[float] = []
    for task in rota.tasks:
        free = max([rota.begin, task.release, *(ends[each] for each in task.before)])
        hours = _crew_hours(rota, task) if task.minutes and task.crew else None
        if hours is None:
            ends.append(free + task.minutes)
            continue
        done = hours.worked(np.array([float(free)])) + task.minutes
        ends.append(float(hours.when(done)[0]))
    path = max(ends, default=float(rota.begin))
    return max(round(path), _by_work(rota))


def _by_work(rota: Rota) -> int:
    """When all people together have worked as many minutes as are asked for."""
    asked = sum(task.minutes * task.crew for task in rota.tasks)
    given, at = 0, rota.begin
    cuts: list[tuple[int, int]] = []
    end = rota.begin + 1
    if not asked:
        return rota.begin
    while given < asked:
        end += WEEK_MINUTES
        cuts = sorted(
            (max(a, rota.begin), b)
            for hours in rota.people
            for a, b in hours.stretches_until(end)
            if b > rota.begin
        )
        given = sum(max(min(b, end) - a, 0) for a, b in cuts)
    moments = sorted({at for pair in cuts for at in pair})
    given = 0
    for one, other in pairwise(moments):
        there = sum(a <= one and other <= b for a, b in cuts)
        if given + there * (other - one) >= asked:
            return one - (given - asked) // there
        given += there * (other - one)
    return at


# -- jobs put down one after another --------------------------------------------------------------


def _order(
    rota: Rota, latest: Sequence[float], chance: np.random.Generator, spread: float
) -> list[int]:
    """An order that keeps what waits: the more urgent first, moved about by chance."""
    keys = [at + chance.uniform(0, spread) for at in latest]
    after: list[list[int]] = [[] for _ in rota.tasks]
    left = [len(set(task.before)) for task in rota.tasks]
    for job, task in enumerate(rota.tasks):
        for each in set(task.before):
            after[each].append(job)
    ready = sorted((keys[job], job) for job, count in enumerate(left) if not count)
    order = []
    while ready:
        _, job = ready.pop(0)
        order.append(job)
        for then in after[job]:
            left[then] -= 1
            if not left[then]:
                ready.insert(bisect_left(ready, (keys[then], then)), (keys[then], then))
    return order


class _Busy:
    """Spans of time that are taken, in order and apart."""

    def __init__(self) -> None:
        self.begins: list[int] = []
        self.ends: list[int] = []

    def is_free(self, begin: int, end: int) -> bool:
        """Whether nothing is taken between."""
        at = bisect_right(self.ends, begin)
        return at == len(self.begins) or self.begins[at] >= end

    def take(self, begin: int, end: int) -> None:
        """Take a span that is free."""
        at = bisect_left(self.begins, begin)
        self.begins.insert(at, begin)
        self.ends.insert(at, end)


def _put_down(
    rota: Rota, order: Sequence[int]
) -> tuple[tuple[int, ...], tuple[tuple[int, ...], ...]]:
    """Put each job down as early as can be; give starts and who does it."""
    tasks = rota.tasks
    starts = [0] * len(tasks)
    who: list[tuple[int, ...]] = [()] * len(tasks)
    busy = [_Busy() for _ in rota.people]
    taken = [[_Busy() for _ in range(many)] for many in rota.few]
    for job in order:
        task = tasks[job]
        free = max(
            [rota.begin, task.release, *(starts[e] + tasks[e].minutes for e in task.before)]
        )
        if not task.minutes or not task.crew:
            starts[job] = free
            continue
        for at in _moments(rota, task, free, busy, taken):
            end = at + task.minutes
            able = [
                p
                for p in task.may
                if busy[p].is_free(at, end) and _is_there(rota.people[p], at, end)
            ]
            things = [
                next((t for t in taken[each] if t.is_free(at, end)), None) for each in task.uses
            ]
            if len(able) >= task.crew and None not in things:
                # rather those who can do the least else
                crew = tuple(sorted(able, key=lambda p: (sum(p in t.may for t in tasks), p)))
                starts[job], who[job] = at, tuple(sorted(crew[: task.crew]))
                for p in who[job]:
                    busy[p].take(at, end)
                for thing in things:
                    if thing is not None:
                        thing.take(at, end)
                break
    return tuple(starts), tuple(who)


def _is_there(hours: Weekly, begin: int, end: int) -> bool:
    """Whether one stretch of hours covers it all."""
    week = begin // WEEK_MINUTES * WEEK_MINUTES
    return any(a <= begin - week and end - week <= b for a, b in hours.stretches)


def _moments(
    rota: Rota, task: Task, free: int, busy: Sequence[_Busy], taken: Sequence[Sequence[_Busy]]
) -> Iterator[int]:
    """When a job might begin: as soon as it may, as hours open, as somebody is free."""
    ends = [busy[p].ends for p in task.may]
    ends += [each.ends for thing in task.uses for each in taken[thing]]
    marks = sorted({free, *(at for each in ends for at in each[bisect_left(each, free) :])})
    week = WEEK_MINUTES
    opens = sorted({a for p in task.may for a, _ in rota.people[p].stretches})
    first = free // week
    place = 0
    for number in range(first, first + 100_000):
        for at in (number * week + each for each in opens):
            while place < len(marks) and marks[place] <= at:
                yield marks[place]
                place += 1
            if at >= free:
                yield at


# -- CP-SAT ---------------------------------------------------------------------------------------


class _Sooner:
    """A search for a rota that ends sooner, which another thread may end.

    People with the same hours who can do the same are one class: a job takes so many of each, and
    who it is follows when all is found.
    """

    def __init__(self, rota: Rota, known: Shifts, seed: int) -> None:
        from ortools.sat.python import cp_model

        self._rota, self._known = rota, known
        model = cp_model.CpModel()
        end = model.new_int_var(known.bound, known.finish, "")
        able = [
            tuple(j for j, task in enumerate(rota.tasks) if p in task.may)
            for p in range(len(rota.people))
        ]
        classes: dict[tuple[Weekly, tuple[int, ...]], list[int]] = {}
        for person, hours in enumerate(rota.people):
            classes.setdefault((hours, able[person]), []).append(person)
        self._classes = list(classes.values())
        horizon = known.finish
        self._starts: list[Any] = []
        self._takes: list[list[Any]] = [[] for _ in rota.tasks]
        uses: list[list[tuple[Any, Any]]] = [[] for _ in self._classes]
        few: list[list[Any]] = [[] for _ in rota.few]
        for job, task in enumerate(rota.tasks):
            low = max(rota.begin, task.release)
            start = model.new_int_var(low, max(horizon - task.minutes, low), "")
            self._starts.append(start)
            model.add_hint(start, known.starts[job])
            model.add(start + task.minutes <= end)
            for each in task.before:
                model.add(self._starts[each] + rota.tasks[each].minutes <= start)
            if not task.minutes or not task.crew:
                continue
            span = model.new_fixed_size_interval_var(start, task.minutes, "")
            for thing in task.uses:
                few[thing].append(span)
            of = [n for n, members in enumerate(self._classes) if members[0] in task.may]
            takes = []
            for number in of:
                members = self._classes[number]
                open_to = [
                    [max(a, low), b - task.minutes]
                    for a, b in rota.people[members[0]].stretches_until(horizon)
                    if b - task.minutes >= max(a, low)
                ]
                if not open_to:
                    continue
                domain = cp_model.Domain.from_intervals(open_to)
                if len(of) == 1:
                    model.add_linear_expression_in_domain(start, domain)
                    take: Any = task.crew
                else:
                    take = model.new_int_var(0, min(task.crew, len(members)), "")
                    some = model.new_bool_var("")
                    model.add(take >= 1).only_enforce_if(some)
                    model.add(take == 0).only_enforce_if(~some)
                    model.add_linear_expression_in_domain(start, domain).only_enforce_if(some)
                    model.add_hint(take, sum(p in members for p in known.who[job]))
                    takes.append(take)
                self._takes[job].append((number, take))
                uses[number].append((span, take))
            if takes:
                model.add(sum(takes) == task.crew)
        for number, members in enumerate(self._classes):
            spans = [span for span, _ in uses[number]]
            model.add_cumulative(spans, [take for _, take in uses[number]], len(members))
        for spans, many in zip(few, rota.few, strict=True):
            model.add_cumulative(spans, [1] * len(spans), many)
        model.minimize(end)
        self._model, self._solver = model, cp_model.CpSolver()
        self._solver.parameters.num_workers = 1
        self._solver.parameters.random_seed = seed

    def run(self, work: float | None, seconds: float | None) -> Shifts:
        """Search for so much work, or so long [s]; give the best."""
        from ortools.sat.python import cp_model

        solver, known = self._solver, self._known
        if work is not None:
            solver.parameters.max_deterministic_time = work
        if seconds is not None:
            solver.parameters.max_time_in_seconds = seconds
        status: Any = solver.solve(self._model)
        bound = max(known.bound, min(round(solver.best_objective_bound), known.finish))
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return Shifts(known.starts, known.who, known.finish, known.bound)
        starts = tuple(int(solver.value(each)) for each in self._starts)
        finish = _finish(self._rota, starts)
        if finish >= known.finish:
            return Shifts(known.starts, known.who, known.finish, bound)
        return Shifts(starts, self._who(starts), finish, bound)

    def _who(self, starts: Sequence[int]) -> tuple[tuple[int, ...], ...]:
        """Name those of each class who are free, job by job as they begin."""
        free_at = [0] * len(self._rota.people)
        who: list[tuple[int, ...]] = [()] * len(starts)
        for job in sorted(range(len(starts)), key=lambda each: (starts[each], each)):
            crew: list[int] = []
            for number, take in self._takes[job]:
                many = take if isinstance(take, int) else int(self._solver.value(take))
                free = [p for p in self._classes[number] if free_at[p] <= starts[job]]
                crew += free[:many]
            for person in crew:
                free_at[person] = starts[job] + self._rota.tasks[job].minutes
            who[job] = tuple(sorted(crew))
        return tuple(who)

    def stop(self) -> None:
        """End the search from another thread."""
        self._solver.stop_search()
