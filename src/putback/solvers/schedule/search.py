"""Search for a short schedule on two cores: with a bound, stoppable, and the same every time.

Work goes in rounds. In a round two things are done side by side: a list of jobs is annealed
(`anneal`), which is strong at finding; and CP-SAT looks for a schedule shorter than the best
known, or proves that there is none (`exact`): in the first round it raises the bound, afterwards
it only decides whether there is a shorter one. Where there are many jobs and the bound is far off,
no proof comes in time: a second list is annealed instead. Nothing passes between the two within a
round, so the same seed and work give the same schedule, however busy the machine is.
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
from putback.solvers.schedule.anneal import Chain, anneal, begin, heat
from putback.solvers.schedule.bounds import lower_bound
from putback.solvers.schedule.exact import Found, Shorter
from putback.solvers.schedule.problem import Project
from putback.solvers.sequence.problem import Array

_LOOK_AROUND_S = 0.01
"""How often a running round looks whether somebody wants it to end [s]."""

_ENDING_S = 0.04
"""How long before the time is over a search is told to end [s]."""

_SPELL = 500
"""How many lists are tried between two looks whether to go on; they are tried at one heat."""

_PER_JOB = 0.1
"""The work of trying a list, for each job in it."""

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
        self._chain = self._chain_from(seed)
        self._starts, self._span = self._chain.best.copy(), int(self._chain.spans[1])

    def _chain_from(self, seed: int) -> Chain:
        """Begin a chain with the best of a few hundred lists."""
        count = self._project.size
        chain = Chain(
            order=np.zeros(count, np.int64),
            starts=np.zeros(count, np.int64),
            best=np.zeros(count, np.int64),
            spans=np.zeros(2, np.int64),
            chance=chance_from(seed),
        )
        if count:
            begin(self._project, self._turned, chain, self._room(), _FIRST, self._bound)
        return chain

    def _room(self) -> Array:
        """Make the place in which schedules are built."""
        return np.zeros((self._project.horizon, len(self._project.room)), np.int64)

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
        """Anneal and prove side by side for so much work, or until a time; take both together.

        If there are to be two chains, a second is annealed in place of the proof.
        """
        self._enough.clear()
        chains = [self._chain]
        shorter = None
        if two:
            chains.append(self._chain_from(self._seed + 1))
        else:
            shorter = Shorter(
                self._project, self._starts, self._bound, self._seed, decides=self._was_bounded
            )
            self._was_bounded = True
        parts: list[Future[Any]] = [
            cores.submit(self._anneal_on, chain, work, until) for chain in chains
        ]
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
        best = min(chains, key=lambda chain: int(chain.spans[1]))
        starts, span, bound = best.best.copy(), int(best.spans[1]), self._bound
        if shorter is not None:
            found: Found = results[-1]
            bound = found.bound
            if found.starts is not None and self._project.span_of(found.starts) < span:
                starts, span = found.starts, self._project.span_of(found.starts)
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

    def _anneal_on(self, chain: Chain, work: float | None, until: float | None) -> None:
        """Anneal until the work is done, or until it is enough, ever cooler."""
        project, free = self._project, self._room()
        tries = None if work is None else ceil(work / (_PER_JOB * project.size))
        begun, done = perf_counter(), 0
        while not self._enough.is_set() and chain.spans[1] > self._bound:
            now = _SPELL if tries is None else min(_SPELL, tries - done)
            if not now:
                return
            share = 0.0
            if tries is not None:
                share = done / tries
            elif until is not None:
                share = (perf_counter() - begun) / max(until - begun, _LOOK_AROUND_S)
            warm = heat(project, min(share, 1.0))
            anneal(project, self._turned, chain, free, now, warm, self._bound)
            self._take(chain.best)
            done += now

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
