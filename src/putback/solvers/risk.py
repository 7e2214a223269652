"""When a network of jobs ends, by many runs with drawn durations: vectorised over the runs.

Durations are three-point estimates (Malcolm, Roseboom, Clark and Fazar, "Application of a
technique for research and development program evaluation", Operations Research 7, 1959): the mean
is (a + 4m + b) / 6, the standard deviation (b - a) / 6, and what is drawn is the beta distribution
from a to b that has just these. Jobs are numbered so that each comes after those it waits for.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from putback.solvers.weekly import ALWAYS, Array, Weekly

_NOTHING = 1e-4
"""Below this two times are one [minutes]."""


def pert_mean(best: float, likely: float, worst: float) -> float:
    """The mean of a three-point estimate, in its unit."""
    return (best + 4 * likely + worst) / 6


def pert_variance(best: float, worst: float) -> float:
    """The variance of a three-point estimate, in its unit squared."""
    return ((worst - best) / 6) ** 2


def pert_draws(
    best: float, likely: float, worst: float, runs: int, chance: np.random.Generator
) -> Array:
    """Draw from a three-point estimate, shape (runs,), in its unit.

    A beta distribution on [best, worst] with the mean and variance above: with x = (mean - a) /
    (b - a) and s = 36 x (1 - x) - 1 its parameters are x s and (1 - x) s.
    """
    if worst - best <= 0:
        return np.full(runs, float(likely))
    x = (pert_mean(best, likely, worst) - best) / (worst - best)
    s = 36 * x * (1 - x) - 1
    found: Array = best + (worst - best) * chance.beta(x * s, (1 - x) * s, runs)
    return found


@dataclass(frozen=True, slots=True)
class Network:
    """Jobs that wait for jobs; ``hours`` are those in which each is worked on.

    ``before[n]`` are the jobs that end before job ``n`` begins, each of a lower number.
    """

    before: tuple[tuple[int, ...], ...]
    hours: tuple[Weekly, ...]

    def __post_init__(self) -> None:
        """Refuse a job that waits for a later one."""
        for job, these in enumerate(self.before):
            if any(not 0 <= each < job for each in these):
                raise ValueError(f"job {job} waits for one that is not before it")
        if len(self.before) != len(self.hours):
            raise ValueError("each job has hours of its own")

    @classmethod
    def without_hours(cls, before: Sequence[Sequence[int]]) -> "Network":
        """Give a network in which work never rests."""
        return cls(tuple(map(tuple, before)), (ALWAYS,) * len(before))


@dataclass(frozen=True, slots=True)
class Runs:
    """What came of the runs; times [minutes], shapes (jobs, runs) and (runs,)."""

    ready: Array
    """When all that a job waits for is there, and it is released."""
    ends: Array
    finish: Array


def play(network: Network, durations: Array, begin: float, releases: Mapping[int, Array]) -> Runs:
    """Let each job begin as soon as what it waits for is done, in every run.

    Parameters
    ----------
    network : Network
        What waits for what, and the hours.
    durations : array, shape (jobs, runs)
        Work of each job [minutes]; it is put down when the hours end and taken up after.
    begin : float
        Nothing begins before [minutes].
    releases : mapping of int to array, shape (runs,)
        Before this a job does not begin: what it needs is not there yet [minutes].
    """
    jobs, runs = durations.shape
    ends, ready = np.empty((jobs, runs)), np.empty((jobs, runs))
    worked: dict[tuple[int, Weekly], Array] = {}  # work done by the end of a job, by hours

    def by_end(job: int, hours: Weekly) -> Array:
        key = (job, hours)
        if key not in worked:
            worked[key] = hours.worked(ends[job])
        return worked[key]

    for job, (before, hours) in enumerate(zip(network.before, network.hours, strict=True)):
        free = np.full(runs, float(begin))
        for each in before:
            np.maximum(free, ends[each], out=free)
        if job in releases:
            np.maximum(free, releases[job], out=free)
        ready[job] = free
        if before and job not in releases:
            done = by_end(before[0], hours)
            for each in before[1:]:
                done = np.maximum(done, by_end(each, hours))
        else:
            done = hours.worked(free)
        done = done + durations[job]
        ends[job] = np.where(durations[job] > 0, hours.when(done), free)
        worked[job, hours] = done
    finish = ends.max(axis=0) if jobs else np.full(runs, float(begin))
    return Runs(ready, ends, finish)


def critical(network: Network, runs: Runs) -> Array:
    """Whether the finish waits for a job, in each run: bool, shape (jobs, runs).

    It does if the job ends last, or if one that does, or for which it waits in turn, became ready
    just as this one ended.
    """
    found: Array = runs.ends >= runs.finish - _NOTHING
    for job in range(len(network.before) - 1, -1, -1):
        for each in network.before[job]:
            found[each] |= found[job] & (runs.ends[each] >= runs.ready[job] - _NOTHING)
    return found


class Won(NamedTuple):
    """What earlier releases win: the finish sooner by so much on average [minutes]."""

    minutes: float
    holds_up: float
    """In which share of the runs the finish waits for one of them [-]."""


def won_by_chasing(
    network: Network,
    durations: Array,
    begin: float,
    releases: Mapping[int, Array],
    runs: Runs,
    is_critical: Array,
    earlier: Mapping[int, Array],
) -> Won:
    """Say what is won if some jobs are released earlier, each shape (runs,) [minutes].

    Only runs in which the finish waits for one of them are played again: in the others nothing
    is won.
    """
    holds = np.zeros(durations.shape[1], bool)
    for job, sooner in earlier.items():
        binds = is_critical[job] & (releases[job] >= runs.ready[job] - _NOTHING)
        holds |= binds & (sooner < releases[job])
    if not holds.any():
        return Won(0.0, 0.0)
    after = {job: each[holds] for job, each in {**releases, **earlier}.items()}
    again = play(network, durations[:, holds], begin, after)
    won = float((runs.finish[holds] - again.finish).sum()) / durations.shape[1]
    return Won(won, float(holds.mean()))
