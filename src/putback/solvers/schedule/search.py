"""Search for a short schedule on two cores: with a bound, stoppable, and the same every time.

Work goes in rounds. In a round two things are done side by side: lists of jobs are bred (`lists`),
which is strong at finding; and CP-SAT looks for a schedule shorter than the best known, or proves
that there is none (`exact`): in the first round it raises the bound, afterwards it only decides
whether there is a shorter one. Where there are many jobs and the bound is far off, no proof comes
in time: a second herd is bred instead. Nothing passes between the two within a round, so the same
seed and work give the same schedule, however busy the machine is.
"""

from concurrent.futures import Future, ThreadPoolExecutor, wait
from dataclasses import dataclass
from math import ceil
from threading import Event, Lock
from time import perf_counter
from typing import Any

import numpy as np

from putback.errors import Stopped
from putback.progress import NoProgress, Progress
from putback.solvers.chance import chance_from
from putback.solvers.schedule.bounds import lower_bound
from putback.solvers.schedule.exact import Found, Shorter
from putback.solvers.schedule.lists import Herd, breed, value
from putback.solvers.schedule.problem import Project
from putback.solvers.sequence.problem import Array

_LOOK_AROUND_S = 0.01
"""How often a running round looks whether somebody wants it to end [s]."""

_ENDING_S = 0.04
"""How long before the time is over a search is told to end [s]."""

_SPELL = 500
"""How many schedules are built between two looks whether to go on."""

_PER_JOB = 0.2
"""The work of building a schedule, for each job in it."""

_LEAST_HERD, _MOST_HERD, _EACH_LIST = 1000, 5000, 300
"""How many lists are bred from: one for so many schedules that there is time for."""

_PATIENCE = 400
"""After how many schedules in vain they are drawn anew, for each list."""

_HOPELESS, _MANY = 0.08, 45
"""How far off a bound is, as a share, that is not proved in time where there are so many jobs."""

_FIRST = 300
"""How many lists are drawn before anything else is done."""

_FIRST_SHARE = 0.1
"""Of all work, what the first round gets after the first few hundred lists."""


@dataclass(frozen=True, slots=True)
class Best:
    """The best that is known."""

    starts: tuple[int, ...]
    """When each job begins."""
    makespan: int
    """When the last job ends."""
    bound: int
    """No schedule is shorter."""

    @property
    def optimal(self) -> bool:
        """Whether no schedule is shorter."""
        return self.bound >= self.makespan


class ScheduleSearch:
    """A search that may be asked for the best so far at any moment, from any thread."""

    def __init__(self, project: Project, seed: int = 1) -> None:
        """Begin with the best of a few hundred lists."""
        self._project, self._turned = project, project.turned()
        self._seed = seed
        self._lock = Lock()
        self._enough = Event()
        self._bound = lower_bound(project)
        self._was_bounded = False
        self._herd = self._herd_of(_FIRST, seed)
        if project.size:
            self._breed(self._herd, _FIRST)
        else:
            self._herd.least[0] = 0
        self._starts, self._span = self._herd.best.copy(), int(self._herd.least[0])

    def _herd_of(self, many: int, seed: int) -> Herd:
        """Make a herd whose lists are still to be drawn."""
        never, count = np.iinfo(np.int64).max, self._project.size
        return Herd(
            lists=np.zeros((many, count), np.int64),
            spans=np.full(many, never, np.int64),
            best=np.zeros(count, np.int64),
            least=np.array([never, 0], np.int64),
            chance=chance_from(seed),
        )

    def _enlarge(self, work: float) -> None:
        """Let there be as many lists as suit so much work."""
        size = max(1, self._project.size)
        many = int(min(_MOST_HERD, max(_LEAST_HERD, work / (_PER_JOB * size) / _EACH_LIST)))
        old = self._herd
        if many > len(old.spans):
            herd = self._herd_of(many, self._seed)
            herd.lists[: len(old.spans)], herd.spans[: len(old.spans)] = old.lists, old.spans
            self._herd = herd._replace(best=old.best, least=old.least, chance=old.chance)

    @property
    def best(self) -> Best:
        """The best so far."""
        with self._lock:
            return Best(tuple(int(each) for each in self._starts), self._span, self._bound)

    def run(
        self,
        work: float | None = None,
        *,
        seconds: float | None = None,
        progress: Progress = NoProgress(),
    ) -> Best:
        """Search until the best is proved, the work is done or the time is over.

        Parameters
        ----------
        work : float, optional
            How much each of two cores does, about microseconds, [-].
        seconds : float, optional
            When to end in any case, from now, [s]. Without it and without work, after five.
        progress : Progress
            Asked often whether to go on.

        Raises
        ------
        Stopped
            If `progress` wants the search to end; `best` is what was found until then.
        """
        begun = perf_counter()
        if work is None and seconds is None:
            seconds = 5.0
        end = None if seconds is None else begun + seconds - _ENDING_S
        self._enlarge(work if work is not None else (seconds or 0.0) * 1e6)
        with ThreadPoolExecutor(2) as cores:
            for share in (_FIRST_SHARE, 1 - _FIRST_SHARE):
                if self.best.optimal or (end is not None and perf_counter() >= end):
                    break
                part, until = None if work is None else work * share, end
                if work is None and end is not None and share == _FIRST_SHARE:
                    until = begun + (end - begun) * share
                two = share != _FIRST_SHARE and self._is_hopeless()
                self._round(cores, two, part, until, progress)
        return self.best

    def _round(
        self,
        cores: ThreadPoolExecutor,
        two: bool,
        work: float | None,
        until: float | None,
        progress: Progress,
    ) -> None:
        """Breed and prove side by side for so much work, or until a time; take both together.

        If there are to be two herds, a second is bred in place of the proof.
        """
        self._enough.clear()
        herds = [self._herd]
        shorter = None
        if two:
            herds.append(self._herd_of(len(self._herd.spans), self._seed + 1))
        else:
            shorter = Shorter(
                self._project, self._starts, self._bound, self._seed, decides=self._was_bounded
            )
            self._was_bounded = True
        parts: list[Future[Any]] = [cores.submit(self._breed_on, herd, work) for herd in herds]
        if shorter is not None:
            parts.append(cores.submit(self._shorten, shorter, work, until))
        try:
            while wait(parts, _LOOK_AROUND_S).not_done:
                progress.step(0, None, "searching for the shortest schedule")
                if until is not None and perf_counter() >= until:
                    self._enough.set()
                if work is None and self.best.optimal:
                    self._enough.set()
                if self._enough.is_set() and shorter is not None:
                    shorter.stop()
        except Stopped:
            self._enough.set()
            while wait(parts, _LOOK_AROUND_S).not_done:
                if shorter is not None:
                    shorter.stop()
            raise
        results = [part.result() for part in parts]
        best = min(herds, key=lambda herd: int(herd.least[0]))
        starts, span, bound = best.best.copy(), int(best.least[0]), self._bound
        if shorter is not None:
            found: Found = results[-1]
            bound = found.bound
            if found.starts is not None and self._project.span_of(found.starts) < span:
                starts, span = found.starts, self._project.span_of(found.starts)
                self._tell(starts, span)
        with self._lock:
            if span <= self._span:
                self._starts, self._span = starts, span
            self._bound = max(self._bound, min(bound, span))

    def _is_hopeless(self) -> bool:
        """Whether the bound is too far off to be raised to the best in time."""
        many = self._project.size >= _MANY
        return many and self._bound < (1 - _HOPELESS) * self._span

    def _take(self, starts: Array) -> None:
        """Let a schedule be seen, if it is the shortest so far."""
        span = self._project.span_of(starts)
        with self._lock:
            if span < self._span:
                self._starts, self._span = starts.copy(), span

    def _tell(self, starts: Array, span: int) -> None:
        """Put a schedule into the herd, in the place of the longest."""
        herd = self._herd
        place = int(herd.spans.argmax())
        herd.lists[place] = np.lexsort((self._project.rank, starts))
        herd.spans[place] = value(self._project, starts, span)
        herd.best[:] = starts
        herd.least[:] = span, 0

    def _breed(self, herd: Herd, schedules: int) -> None:
        """Build so many schedules, or until one is as short as the bound."""
        free = np.zeros((self._project.horizon, len(self._project.room)), np.int64)
        patience = _PATIENCE * len(herd.spans)
        breed(self._project, self._turned, herd, free, schedules, self._bound, patience)

    def _breed_on(self, herd: Herd, work: float | None) -> None:
        """Build schedules until the work is done, or until it is enough."""
        each = _PER_JOB * self._project.size
        left = None if work is None else ceil(work / each)
        while not self._enough.is_set() and herd.least[0] > self._bound:
            now = _SPELL if left is None else min(_SPELL, left)
            if not now:
                return
            self._breed(herd, now)
            self._take(herd.best)
            left = None if left is None else left - now

    def _shorten(self, shorter: Shorter, work: float | None, until: float | None) -> Found:
        """Search for a shorter schedule and for a proof."""
        found = shorter.run(
            None if work is None else work * 1e-6,
            None if until is None else max(until - perf_counter(), 0.0),
            self._take,
        )
        if work is None:
            with self._lock:
                self._bound = max(self._bound, min(found.bound, self._span))
        return found
