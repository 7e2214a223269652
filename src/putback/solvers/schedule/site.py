"""Jobs done by people who can do some of them and are not always there, in rooms, in balance.

More than `problem.Project` can say: each job asks for so many people out of those able to do it,
the same from its beginning to its end; people are away at known times; a room holds so many at
once; and each job shifts balances (mass off the front counts up, off the rear down) when it
begins, which must stay within limits all along. Times are whole units.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from putback.solvers.sequence.problem import Array, closed


@dataclass(frozen=True, slots=True)
class Need:
    """So many people of those able to do it, by their numbers, for as long as the job runs."""

    able: frozenset[int]
    count: int


@dataclass(frozen=True, slots=True)
class Job:
    """What is to be done in one go."""

    duration: int
    """At least 1."""
    needs: tuple[Need, ...] = ()
    """Nobody meets two of them."""
    room: int | None = None
    """Where, by number; None where there is space enough."""
    space: int = 0
    """How much of the room it takes."""
    shifts: tuple[int, ...] = ()
    """How far its beginning moves each balance."""


@dataclass(frozen=True)
class Site:
    """All that a schedule must keep."""

    jobs: tuple[Job, ...]
    pairs: tuple[tuple[int, int], ...]
    """First and then: the one ends before, or when, the other begins."""
    away: tuple[tuple[tuple[int, int], ...], ...]
    """Of each person, from when until when not there, in order of time and apart."""
    rooms: tuple[int, ...]
    """How much each holds at once."""
    limits: tuple[tuple[int, int], ...]
    """Of each balance the least and most it may be; all begin at 0."""
    horizon: int
    """When all must be done."""

    def __post_init__(self) -> None:
        """Refuse what nobody could do at any time.

        Raises
        ------
        ValueError
            If a job takes no time, asks for more people than are able, or for more of a room than
            there is, or moves other balances than there are.
        """
        for number, job in enumerate(self.jobs):
            if job.duration < 1:
                raise ValueError(f"job {number} takes no time")
            if any(need.count > len(need.able) for need in job.needs):
                raise ValueError(f"job {number} asks for more people than are able")
            if job.room is not None and job.space > self.rooms[job.room]:
                raise ValueError(f"job {number} takes more of room {job.room} than there is")
            if len(job.shifts) != len(self.limits):
                raise ValueError(f"job {number} does not say how it moves each balance")

    @cached_property
    def must(self) -> Array:
        """Whether one job ends before another begins in every schedule, bool, shape (n, n)."""
        return closed(len(self.jobs), self.pairs)

    @cached_property
    def direct(self) -> tuple[tuple[int, int], ...]:
        """The pairs that do not follow from others."""
        must = self.must.astype(np.float32)
        return tuple(
            (int(first), int(then)) for first, then in np.argwhere(self.must & ~(must @ must > 0))
        )

    @cached_property
    def durations(self) -> Array:
        """Of each job, shape (n,)."""
        return np.array([job.duration for job in self.jobs], np.int64)

    @cached_property
    def heads(self) -> Array:
        """Of each job the least time from the beginning of all to its own, shape (n,)."""
        heads = np.zeros(len(self.jobs), np.int64)
        for job in np.argsort(self.must.sum(axis=0), kind="stable"):
            before = self.must[:, job]
            heads[job] = (heads + self.durations)[before].max(initial=0)
        return heads

    @cached_property
    def tails(self) -> Array:
        """Of each job the least time from its end to the end of all, shape (n,)."""
        tails = np.zeros(len(self.jobs), np.int64)
        for job in np.argsort(self.must.sum(axis=1), kind="stable"):
            after = self.must[job]
            tails[job] = (tails + self.durations)[after].max(initial=0)
        return tails

    @cached_property
    def crews(self) -> tuple[frozenset[int], ...]:
        """Sets of people of whom jobs want some, and several together; not all, of many."""
        found = list(dict.fromkeys(need.able for job in self.jobs for need in job.needs))
        for one in found:
            for other in found:
                if len(found) < _MOST_CREWS and one | other not in found:
                    found.append(one | other)
        return tuple(found)

    def ends(self, starts: Sequence[int]) -> int:
        """When the last job of a schedule ends."""
        return max((s + job.duration for s, job in zip(starts, self.jobs, strict=True)), default=0)

    def asked_of(self, crew: frozenset[int]) -> Array:
        """How many people each job wants that only this crew can give, shape (n,)."""
        return np.array(
            [sum(need.count for need in job.needs if need.able <= crew) for job in self.jobs],
            np.int64,
        )

    def taken_of(self, room: int) -> Array:
        """How much each job takes of a room, shape (n,)."""
        return np.array([job.space if job.room == room else 0 for job in self.jobs], np.int64)

    def there(self, crew: frozenset[int]) -> Array:
        """How many of a crew are there at each time before the horizon, shape (horizon,)."""
        there = np.full(self.horizon, len(crew), np.int64)
        for _, begin, end in self.absences(crew):
            there[begin:end] -= 1
        return there

    def absences(self, crew: frozenset[int]) -> Iterator[tuple[int, int, int]]:
        """Who of a crew is away from when until when, before the horizon."""
        for person in sorted(crew):
            for begin, end in self.away[person]:
                if begin < self.horizon:
                    yield person, begin, end


_MOST_CREWS = 40
"""More sets of people are not looked at together: bounds only get weaker by it."""


def least_time(site: Site) -> int:
    """A time that no schedule beats; above the horizon where there is none.

    Jobs that cannot begin before `h`, and after whose end `q` must pass, need the work they ask of
    a crew or a room between: no less time than the crew, with its absences, or the room gives.
    """
    if not site.jobs:
        return 0
    bound = int((site.heads + site.durations + site.tails).max())
    heads, tails = np.unique(site.heads), np.unique(site.tails)
    late = (site.heads[None, :] >= heads[:, None]).astype(np.float64)
    early = (site.tails[None, :] >= tails[:, None]).astype(np.float64)
    kinds = [(site.asked_of(crew), site.there(crew)) for crew in site.crews]
    kinds += [
        (site.taken_of(room), np.full(site.horizon, capacity, np.int64))
        for room, capacity in enumerate(site.rooms)
    ]
    heads = np.minimum(heads, site.horizon)
    for asked, given in kinds:
        work = np.rint((late * (asked * site.durations)) @ early.T).astype(np.int64)
        if not work.any():
            continue
        until = np.concatenate([[0], np.cumsum(given)])
        ends = np.searchsorted(until, until[heads][:, None] + work)
        bound = max(bound, int(np.where(work > 0, ends + tails[None, :], 0).max()))
    return bound
