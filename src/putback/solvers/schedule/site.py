"""Jobs done by people who can do some of them and are not always there, in rooms, in balance.

More than `problem.Project` can say: each job asks for so many people out of those able to do it,
the same from its beginning to its end; people are away at known times, and a job is not broken off
for that; nobody who did one job does another that is kept apart from it; a room (or a hoist)
serves so many at once, fewer while some of it is lent; a job may have to wait for a day; and each
job shifts balances (mass off the front counts up, off the rear down) when it begins, which must
stay within limits all along. Times are whole units.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property, reduce
from itertools import accumulate, pairwise

import numpy as np

from putback.solvers.sequence.problem import Array, closed

Spans = tuple[tuple[int, int], ...]
"""From when until when, in order of time."""
Spells = list[tuple[int, int, int]]
"""From when until when, and how many or how much; in order of time and apart."""


@dataclass(frozen=True, slots=True)
class Need:
    """So many people of those able to do it, by their numbers, for as long as the job runs."""

    able: frozenset[int]
    count: int


@dataclass(frozen=True, slots=True)
class Job:
    """What is to be done in one go."""

    duration: int
    """0 only of what needs nobody and no room."""
    needs: tuple[Need, ...] = ()
    """Nobody meets two of them; without any it goes on day and night, as paint cures."""
    rooms: tuple[tuple[int, int], ...] = ()
    """Where, by number, and how much of it it takes; not where there is space enough."""
    shifts: tuple[int, ...] = ()
    """How far its beginning moves each balance."""
    release: int = 0
    """It does not begin before this."""


@dataclass(frozen=True, slots=True)
class Lying:
    """What takes one of a room from when the first of its jobs begins until all of them ended."""

    room: int
    jobs: tuple[int, ...]


@dataclass(frozen=True)
class Site:
    """All that a schedule must keep."""

    jobs: tuple[Job, ...]
    pairs: tuple[tuple[int, int], ...]
    """First and then: the one ends before, or when, the other begins."""
    away: tuple[Spans, ...]
    """Of each person, from when until when not there, in order of time and apart; one that takes
    no time is a moment across which nothing is done."""
    rooms: tuple[int, ...]
    """How much each holds at once."""
    limits: tuple[tuple[int, int], ...]
    """Of each balance the least and most it may be; all begin at 0."""
    horizon: int
    """When all must be done."""
    lent: tuple[Spans, ...] = ()
    """Of each room, from when until when it holds one less than it does; where two such spans
    overlap, two less. Nothing is said of a room that comes after."""
    lying: tuple[Lying, ...] = ()
    """What is left lying between jobs; no job is of two, and no room of one is ever lent. Whoever
    asks sees to it that all jobs of one wait for the same jobs of others: else what lies there
    may wait for what finds no room."""
    apart: tuple[tuple[int, int], ...] = ()
    """Of two jobs nobody does both. Whoever asks sees to it that whoever does the first, somebody
    is left for the other."""

    def __post_init__(self) -> None:
        """Refuse what nobody could do at any time.

        Raises
        ------
        ValueError
            If a job takes no time yet people or room, asks for more people than are able, or for
            more of a room than there is, or moves other balances than there are; if more of a
            room is lent at once than there is; or if something lies in a room that is lent or
            holds nothing, or a job lies in two places.
        """
        staying = [job for each in self.lying for job in each.jobs]
        if len(set(staying)) < len(staying):
            raise ValueError("a job lies in two places")
        for each in self.lying:
            if not self.rooms[each.room] or self.lent_spells(each.room, self.horizon):
                raise ValueError(f"nothing can be left lying in room {each.room}")
        for room, spans in enumerate(self.lent):
            if any(self.lent_at(room, begin) > self.rooms[room] for begin, _ in spans):
                raise ValueError(f"more of room {room} is lent than there is")
        for number, job in enumerate(self.jobs):
            if job.duration < bool(job.needs or job.rooms):
                raise ValueError(f"job {number} takes no time")
            if any(need.count > len(need.able) for need in job.needs):
                raise ValueError(f"job {number} asks for more people than are able")
            for room, space in job.rooms:
                if space > self.rooms[room]:
                    raise ValueError(f"job {number} takes more of room {room} than there is")
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
    def others(self) -> dict[int, tuple[int, ...]]:
        """Of each job the jobs of which nobody does both."""
        found: dict[int, tuple[int, ...]] = {}
        for one, other in self.apart:
            found[one] = (*found.get(one, ()), other)
            found[other] = (*found.get(other, ()), one)
        return found

    @cached_property
    def durations(self) -> Array:
        """Of each job, shape (n,)."""
        return np.array([job.duration for job in self.jobs], np.int64)

    @cached_property
    def openings(self) -> tuple[Spans, ...]:
        """Of each job when it may begin, first and last: enough of those able stay until its end.

        And so does enough of each room; who else wants them is left aside.
        """
        spans_of: dict[tuple[tuple[Need, ...], tuple[tuple[int, int], ...], int], Spans] = {}
        for job in self.jobs:
            if (key := (job.needs, job.rooms, job.duration)) not in spans_of:
                always = ((0, self.horizon - job.duration),)
                given = [self._enough(need, job.duration) for need in job.needs]
                given += [self._fits(*each, job.duration) for each in job.rooms]
                spans_of[key] = reduce(_both, given, always)
        return tuple(spans_of[job.needs, job.rooms, job.duration] for job in self.jobs)

    def lent_at(self, room: int, time: int) -> int:
        """How much of a room is lent at a time."""
        spans = self.lent[room] if room < len(self.lent) else ()
        return sum(begin <= time < end for begin, end in spans)

    def lent_spells(self, room: int, until: int) -> Spells:
        """From when until when how much of a room is lent, before a time."""
        return _spells(self.lent[room] if room < len(self.lent) else (), until)

    def _fits(self, room: int, space: int, duration: int) -> Spans:
        """When a job may begin so that so much of a room is not lent until its end."""
        found, since = [], 0
        spells = self.lent_spells(room, self.horizon)
        for begin, end, many in (*spells, (self.horizon, self.horizon, self.rooms[room])):
            if self.rooms[room] - many < space:
                if since + duration <= begin:
                    found.append((since, begin - duration))
                since = end
        return tuple(found)

    def _enough(self, need: Need, duration: int) -> Spans:
        """When a job may begin so that enough of those able are there until its end."""
        steps: dict[int, int] = {}
        for person in need.able:
            for first, last in self.stays(person, duration):
                steps[first] = steps.get(first, 0) + 1
                steps[last + 1] = steps.get(last + 1, 0) - 1
        times = sorted(steps)
        there = accumulate(steps[time] for time in times)
        spans = (
            (begin, end - 1)
            for (begin, end), many in zip(pairwise(times), there, strict=False)
            if many >= need.count
        )
        return _joined(spans)

    def stays(self, person: int, duration: int) -> Iterator[tuple[int, int]]:
        """When somebody may begin, first and last, so as to be there until the end."""
        since = 0
        for begin, end in (*self.away[person], (self.horizon, self.horizon)):
            if since + duration <= min(begin, self.horizon):
                yield since, min(begin, self.horizon) - duration
            since = end

    @cached_property
    def heads(self) -> Array:
        """Of each job a time before which it cannot begin, shape (n,); above the horizon if never.

        By what it waits for, and by when enough are there.
        """
        heads = np.array([job.release for job in self.jobs], np.int64)
        for job in np.argsort(self.must.sum(axis=0), kind="stable"):
            before = self.must[:, job]
            free = max(int(heads[job]), int((heads + self.durations)[before].max(initial=0)))
            spans = self.openings[job]
            at = bisect_left(spans, free, key=lambda each: each[1])
            heads[job] = max(free, spans[at][0]) if at < len(spans) else self.horizon + 1
        return heads

    def latest(self, end: int) -> Array:
        """Of each job when it begins at the latest if all ends by then, shape (n,); -1: never."""
        latest = np.full(len(self.jobs), end, np.int64) - self.durations
        for job in np.argsort(self.must.sum(axis=1), kind="stable"):
            until = int(latest[self.must[job]].min(initial=end)) - self.jobs[job].duration
            spans = self.openings[job]
            at = bisect_right(spans, until, key=lambda each: each[0]) - 1
            latest[job] = min(until, spans[at][1]) if at >= 0 else -1
        return latest

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
        """How much each job takes of a room for itself, shape (n,)."""
        return np.array([dict(job.rooms).get(room, 0) for job in self.jobs], np.int64)

    def held_of(self, room: int) -> Array:
        """How much of a room each job takes at least, shape (n,).

        Jobs on one lying thing that may run at once share what that takes, and are left aside.
        """
        held = self.taken_of(room)
        for each in self.lying:
            jobs = list(each.jobs)
            among = self.must[np.ix_(jobs, jobs)]
            if each.room == room and (among | among.T | np.eye(len(jobs), dtype=bool)).all():
                held[jobs] += 1
        return held

    def lacking(self, crew: frozenset[int], until: int) -> Spells:
        """From when until when how many of a crew are away, before a time."""
        return _spells((span for person in crew for span in self.away[person]), until)


def _spells(spans: Iterable[tuple[int, int]], until: int) -> Spells:
    """From when until when how many spans there are at once, before a time."""
    steps: dict[int, int] = {}
    for begin, end in spans:
        steps[min(begin, until)] = steps.get(min(begin, until), 0) + 1
        steps[min(end, until)] = steps.get(min(end, until), 0) - 1
    times = sorted(time for time, step in steps.items() if step)
    many = accumulate(steps[time] for time in times)
    spells = zip(pairwise(times), many, strict=False)
    return [(begin, end, each) for (begin, end), each in spells if each]


def _both(one: Spans, other: Spans) -> Spans:
    """What lies in both."""
    return tuple(
        (max(a, c), min(b, d)) for a, b in one for c, d in other if max(a, c) <= min(b, d)
    )


def _joined(spans: Iterator[tuple[int, int]]) -> Spans:
    """Join spans of whole units, first and last, that follow one another at once."""
    found: list[tuple[int, int]] = []
    for first, last in spans:
        if found and found[-1][1] + 1 == first:
            found[-1] = (found[-1][0], last)
        else:
            found.append((first, last))
    return tuple(found)


_MOST_CREWS = 40
"""More sets of people are not looked at together: bounds only get weaker by it."""

_MOST_CUTS = 300
"""Of more times not all are looked at: bounds only get weaker by it."""


def least_time(site: Site) -> int:
    """A time that no schedule beats; above the horizon where there is none.

    Each end that is too soon is refuted, a later one tried then (Klein and Scholl, European J. of
    Operational Research 112, 1999).
    """
    if not site.jobs:
        return 0
    given = [
        (site.asked_of(crew), _Given(len(crew), site.lacking(crew, site.horizon)))
        for crew in site.crews
    ]
    given += [
        (site.held_of(room), _Given(capacity, site.lent_spells(room, site.horizon)))
        for room, capacity in enumerate(site.rooms)
    ]
    kinds = [(asked * site.durations, each) for asked, each in given if asked.any()]
    least = int((site.heads + site.durations + site.tails).max())
    step, possible = 1, site.horizon + 1
    while least < possible:
        end = min(least + step - 1, (least + possible - 1) // 2)
        if _is_too_soon(site, end, kinds):
            least, step = end + 1, 2 * step
        else:
            possible = end
    return least


class _Given:
    """What a crew or a room gives until a time."""

    def __init__(self, most: int, lacking: Spells) -> None:
        self._most = most
        spans = np.array([each[:2] for each in lacking], float).reshape(-1, 2)
        less = np.array([each[2] for each in lacking], float) * (spans[:, 1] - spans[:, 0])
        self._times = np.concatenate([[0.0], spans.ravel()])
        self._less = np.concatenate([[0.0], np.repeat(np.cumsum(less), 2)])
        self._less[1::2] -= less

    def until(self, times: Array) -> Array:
        """How much, from time 0 on."""
        found: Array = self._most * times - np.rint(np.interp(times, self._times, self._less))
        return found


def _is_too_soon(site: Site, end: int, kinds: Sequence[tuple[Array, _Given]]) -> bool:
    """Whether all cannot be done by a time.

    Jobs that cannot begin before some time, and must have ended by another, need the work they
    ask of a crew or a room between: no more than the crew, with its absences, or the room gives.
    """
    ends = site.latest(end) + site.durations
    if (site.heads + site.durations > ends).any():
        return True
    since, until = _cuts(site.heads), _cuts(ends)
    late = (site.heads[None, :] >= since[:, None]).astype(np.float64)
    early = (ends[:, None] <= until[None, :]).astype(np.float64)
    for work, given in kinds:
        wanted = np.rint((late * work) @ early)
        there = np.maximum(given.until(until)[None, :] - given.until(since)[:, None], 0)
        if (wanted > there).any():
            return True
    return False


def _cuts(times: Array) -> Array:
    """The times that there are, or some of them if they are many, in order."""
    found = np.unique(times)
    some: Array = found[:: -(-len(found) // _MOST_CUTS)]
    return some
