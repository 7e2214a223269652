"""Schedules of a site made job by job, and people found for a schedule.

Time goes forward from one event to the next (a job ends, somebody comes back); at each, the jobs
that may begin are begun in an order of urgency, with some luck (the parallel scheme: Kelley,
1963; Kolisch, European J. of Operational Research 90, 1996). People who can do least are asked
first, and of those whoever leaves soonest after.
"""

from bisect import bisect_right
from collections.abc import Sequence
from heapq import heappop, heappush
from random import Random
from typing import NamedTuple

from putback.solvers.schedule.site import Job, Lying, Need, Site


class Staffed(NamedTuple):
    """A schedule that keeps everything."""

    starts: tuple[int, ...]
    who: tuple[tuple[tuple[int, ...], ...], ...]
    """Of each job, for each of its needs, the people."""
    ends: int
    """When the last job ends."""


class Roster:
    """Who is free, as time goes forward."""

    def __init__(self, site: Site) -> None:
        """Begin with everybody free who is not away."""
        self._jobs, self._others = site.jobs, site.others
        self._did: dict[int, frozenset[int]] = {}
        """Who did a job that others are kept apart from."""
        self._away = [
            ([end for _, end in spells], [begin for begin, _ in spells]) for spells in site.away
        ]
        self._free = [0] * len(site.away)
        wanted = [need.able for job in site.jobs for need in job.needs]
        self._worth = [sum(person in able for able in wanted) for person in range(len(site.away))]
        self._time = -1
        self._ready: list[tuple[int, int, int]] = []
        """Who is free now: how much they can do, until when they are free, and who."""
        self._refused: set[tuple[tuple[Need, ...], int, frozenset[int]]] = set()
        """What there are too few for now."""

    def ask(self, number: int, time: int) -> tuple[tuple[int, ...], ...] | None:
        """Find people for a job that begins now, and keep them busy; None if there are too few.

        Times asked for never go back.
        """
        if time != self._time:
            self._go_to(time)
        job = self._jobs[number]
        if not job.needs:
            return ()
        others = self._others.get(number, ())
        shunned = frozenset[int]().union(*(self._did.get(each, ()) for each in others))
        asked = job.needs, job.duration, shunned
        if not self._ready or asked in self._refused:
            return None
        until = time + job.duration
        found: dict[int, tuple[int, ...]] = {}
        taken: set[int] = set()
        for place in sorted(range(len(job.needs)), key=lambda each: len(job.needs[each].able)):
            need = job.needs[place]
            some = [
                person
                for _, leaves, person in self._ready
                if leaves >= until and person in need.able - shunned and person not in taken
            ][: need.count]
            if len(some) < need.count:
                self._refused.add(asked)
                return None
            found[place] = tuple(some)
            taken.update(some)
        for person in taken:
            self._free[person] = until
        if others:
            self._did[number] = frozenset(taken)
        self._ready = [each for each in self._ready if each[2] not in taken]
        return tuple(found[place] for place in range(len(job.needs)))

    def _go_to(self, time: int) -> None:
        """See who is free at a time."""
        self._time = time
        self._refused.clear()
        self._ready = sorted(
            (self._worth[person], leaves, person)
            for person, free in enumerate(self._free)
            if free <= time and (leaves := self._leaves(person, time)) > time
        )

    def _leaves(self, person: int, time: int) -> int:
        """Until when somebody who is not busy is there from now on; now, if not at all."""
        ends, begins = self._away[person]
        coming = bisect_right(ends, time)
        return max(time, begins[coming]) if coming < len(begins) else _NEVER


_NEVER = 2**60


def staff(site: Site, starts: Sequence[int]) -> Staffed | None:
    """Find people for a schedule, first come first served; None if that leads nowhere."""
    roster = Roster(site)
    who: list[tuple[tuple[int, ...], ...]] = [()] * len(site.jobs)
    for job in sorted(range(len(site.jobs)), key=lambda each: starts[each]):
        found = roster.ask(job, starts[job])
        if found is None:
            return None
        who[job] = found
    return Staffed(tuple(starts), tuple(who), site.ends(starts))


class _Space:
    """How much of each room is free, as time goes forward."""

    def __init__(self, site: Site) -> None:
        self._jobs, self._free = site.jobs, list(site.rooms)
        self._lying_of = {job: lies for lies in site.lying for job in lies.jobs}
        self._left = {lies: len(lies.jobs) for lies in site.lying}
        self._begun: set[Lying] = set()

    def fits(self, number: int) -> bool:
        """Whether there is room for a job, where it lies already or anew."""
        lies = self._lying_of.get(number)
        if lies is not None and lies not in self._begun and not self._free[lies.room]:
            return False
        return all(self._free[room] >= some for room, some in self._jobs[number].rooms)

    def take(self, number: int) -> None:
        """Take what a job takes, as it begins."""
        for room, some in self._jobs[number].rooms:
            self._free[room] -= some
        lies = self._lying_of.get(number)
        if lies is not None and lies not in self._begun:
            self._begun.add(lies)
            self._free[lies.room] -= 1

    def leave(self, number: int) -> None:
        """Give back what a job took; with the last on a thing, what that took as well."""
        for room, some in self._jobs[number].rooms:
            self._free[room] += some
        lies = self._lying_of.get(number)
        if lies is not None:
            self._left[lies] -= 1
            self._free[lies.room] += not self._left[lies]


class Forward:
    """Schedules by the parallel scheme, one after another, each by other luck."""

    def __init__(self, site: Site, seed: int) -> None:
        """Lay out who follows whom."""
        self._site = site
        self._chance = Random(seed)  # noqa: S311 - the same schedules every time
        count = len(site.jobs)
        self._after: list[list[int]] = [[] for _ in range(count)]
        self._waits = [0] * count
        for first, then in site.direct:
            self._after[first].append(then)
            self._waits[then] += 1
        self._urgent = [
            int(tail + job.duration) for tail, job in zip(site.tails, site.jobs, strict=True)
        ]
        comings = {end for spells in (*site.away, *site.lent) for _, end in spells}
        self._comings = sorted(comings | {job.release for job in site.jobs if job.release})

    def make(self, luck: float) -> Staffed | None:
        """Make one; `luck` is by what share urgency may seem less [-]. None if it is stuck."""
        return self._make([each * (1.0 - luck * self._chance.random()) for each in self._urgent])

    def follow(self, starts: Sequence[int], luck: float) -> Staffed | None:
        """Make one in about the order of another's starts; `luck` in units of time."""
        return self._make([-start - luck * self._chance.random() for start in starts])

    def _make(self, seems: Sequence[float]) -> Staffed | None:
        """Make one, of jobs that may begin the most urgent first. None if it is stuck."""
        site = self._site
        waits = list(self._waits)
        ready = [(-seems[job], job) for job, left in enumerate(waits) if not left]
        space, balance = _Space(site), [0] * len(site.limits)
        roster = Roster(site)
        starts = [-1] * len(site.jobs)
        who: list[tuple[tuple[int, ...], ...]] = [()] * len(site.jobs)
        running: list[tuple[int, int]] = []
        comings = iter([*self._comings, _NEVER])
        comes = next(comings)
        time = 0
        while ready or running:
            begun = True
            while begun:  # a job that shifts a balance back may let others begin
                begun, waiting = False, []
                for urgent, number in sorted(ready):
                    people = self._begin(number, time, space, balance, roster, running)
                    if people is None:
                        waiting.append((urgent, number))
                        continue
                    starts[number], who[number] = time, people
                    job = site.jobs[number]
                    heappush(running, (time + job.duration, number))
                    begun = begun or any(job.shifts)
                ready = waiting
            while comes <= time:
                comes = next(comings)
            time = min(running[0][0] if running else _NEVER, comes if ready else _NEVER)
            if time > site.horizon and ready:
                return None
            while running and running[0][0] <= time:
                _, number = heappop(running)
                space.leave(number)
                for then in self._after[number]:
                    waits[then] -= 1
                    if not waits[then]:
                        ready.append((-seems[then], then))
        ends = site.ends(starts)
        return Staffed(tuple(starts), tuple(who), ends) if ends <= site.horizon else None

    def _begin(
        self,
        number: int,
        time: int,
        space: "_Space",
        balance: list[int],
        roster: Roster,
        running: Sequence[tuple[int, int]],
    ) -> tuple[tuple[int, ...], ...] | None:
        """Begin a job now, if everything lets it; give its people."""
        job = self._site.jobs[number]
        if job.release > time or not space.fits(number):
            return None
        if self._site.lent and any(self._is_lent(job, time, *each, running) for each in job.rooms):
            return None
        moved = [now + shift for now, shift in zip(balance, job.shifts, strict=True)]
        if any(job.shifts) and any(
            not least <= now <= most
            for now, (least, most) in zip(moved, self._site.limits, strict=True)
        ):
            return None
        people = roster.ask(number, time)
        if people is None:
            return None
        balance[:] = moved
        space.take(number)
        return people

    def _is_lent(
        self, job: Job, time: int, room: int, space: int, running: Sequence[tuple[int, int]]
    ) -> bool:
        """Whether so much of a room that a job would take from now on is lent before its end.

        What runs leaves the room as time goes on, so that it is enough to look when some is lent.
        """
        site = self._site
        spans = site.lent[room] if room < len(site.lent) else ()
        for begin, end in spans:
            at = max(begin, time)
            if at < min(end, time + job.duration):
                taken = sum(dict(site.jobs[n].rooms).get(room, 0) for e, n in running if e > at)
                if taken + site.lent_at(room, at) + space > site.rooms[room]:
                    return True
        return False
