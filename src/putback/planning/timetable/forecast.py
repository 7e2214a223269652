"""When it will be done, by many runs: durations drawn, parts late, the timetable's order kept.

Who does what after what stays as in the timetable; each job begins as soon as what it waits for is
there, and goes on over the hours of those who do it. All that rests on one estimate has one draw.
What is promised comes on its day, or, as often, late: by an exponentially distributed time.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from itertools import chain, pairwise

import numpy as np

from putback.planning.planned_days import Arrival, Timetable
from putback.planning.timetable.arrivals import ON_TIME
from putback.planning.timetable.blocks import Work
from putback.planning.timetable.crews import able_for
from putback.planning.timetable.timetable import (
    DAY_MINUTES,
    Pieces,
    minutes_from,
    ready_from,
)
from putback.progress import NoProgress, Progress
from putback.solvers.risk import Network, critical, pert_draws, play, won_by_chasing
from putback.solvers.schedule.crews import Staffed
from putback.solvers.schedule.site import Site
from putback.solvers.weekly import ALWAYS, Array, Spans, Weekly, first_there, joined, shared

RUNS = 10_000
SOONER_DAYS = 7
"""By how many days a part is taken to come earlier, to see what that wins [days]: the hours of
work come again every week, so a day alone might win nothing or a week."""


@dataclass(frozen=True, slots=True)
class Chase:
    """What it is worth to have something here earlier."""

    arrival: Arrival
    days_won: float
    """Days of finish won for each day that it comes earlier [-]."""
    holds_up: float
    """In which share of the runs the finish waits for it [-]."""


@dataclass(frozen=True, slots=True)
class Forecast:
    """When it will be done: half, four fifths and nineteen twentieths of the runs end by then."""

    runs: int
    p50: datetime
    p80: datetime
    p95: datetime
    critical: tuple[float, ...]
    """Of each block, in which share of the runs the finish waits for it [-]."""
    chase: tuple[Chase, ...]
    """What to chase first, first."""
    by_due: float | None
    """How likely all is done by the end of the day that was asked about [-]."""


def forecast(
    work: Work,
    timetable: Timetable,
    pieces: Pieces,
    plan: Staffed,
    *,
    runs: int = RUNS,
    seed: int = 1,
    due: datetime | None = None,
    progress: Progress = NoProgress(),
) -> Forecast:
    """Play a timetable many times; the same seed gives the same answer."""
    chance = np.random.default_rng(seed)
    origin, begin = pieces.origin, float(pieces.begin)
    order = sorted(range(len(plan.starts)), key=lambda n: (plan.starts[n], n))
    network = _network(pieces, plan, order)
    progress.step(0, 3, "drawing durations")
    minutes = _minutes(work, runs, chance)
    durations = np.empty((len(order), runs))
    for at, n in enumerate(order):
        durations[at] = minutes[pieces.block_of[n]] * pieces.share[n]
    comes = [_comes(each, origin, begin, runs, chance) for each in work.arrivals]
    able = {
        n: [pieces.people[each] for each in able_for(block.kinds, timetable.people)]
        for n, block in enumerate(work.blocks)
        if block.crew and not block.minutes
    }
    releases = _releases(work, pieces, order, comes, runs, able)
    progress.step(1, 3, "playing the timetable")
    played = play(network, durations, begin, releases)
    is_critical = critical(network, played)
    progress.step(2, 3, "seeing what to chase")
    chase = []
    for number, arrival in enumerate(work.arrivals):
        sooner = list(comes)
        sooner[number] = np.maximum(
            comes[number] - SOONER_DAYS * DAY_MINUTES, np.minimum(comes[number], begin)
        )
        after = _releases(work, pieces, order, sooner, runs, able, number)
        won = won_by_chasing(network, durations, begin, releases, played, is_critical, after)
        moved = float((comes[number] - sooner[number]).mean())
        per_day = won.minutes / moved if moved > 0 else 0.0
        chase.append(Chase(arrival, per_day, won.holds_up))
    shares = [0.0] * len(work.blocks)
    in_runs = is_critical.mean(axis=1)
    for at, n in enumerate(order):
        block = pieces.block_of[n]
        shares[block] = max(shares[block], float(in_runs[at]))
    p50, p80, p95 = (
        origin + timedelta(minutes=float(each))
        for each in np.quantile(played.finish, (0.5, 0.8, 0.95), method="higher")
    )
    by_due = None
    if due is not None:
        by_due = float((played.finish <= minutes_from(origin, due)).mean())
    chase.sort(key=lambda each: (-each.days_won, -each.holds_up))
    return Forecast(runs, p50, p80, p95, tuple(shares), tuple(chase), by_due)


def _network(pieces: Pieces, plan: Staffed, order: list[int]) -> Network:
    """What waits for what: by facts, and as people and scarce things go on to the next."""
    place = {n: at for at, n in enumerate(order)}
    before: list[set[int]] = [set() for _ in order]
    for first, then in pieces.site.pairs:
        before[place[then]].add(place[first])
    who = [[person for team in teams for person in team] for teams in plan.who]
    last_of: dict[int, int] = {}
    for at, n in enumerate(order):
        for person in who[n]:
            if person in last_of:
                before[at].add(last_of[person])
            last_of[person] = at
    things: list[list[Weekly]] = [[] for _ in order]
    for room in range(len(pieces.site.rooms)):
        for one in _each_of(pieces.site, plan, room):
            for leaving, coming in pairwise(one.takers):
                for n in coming:
                    before[place[n]].update(place[each] for each in leaving)
            if one.lent:
                for n in chain.from_iterable(one.takers):
                    things[place[n]].append(Weekly(ALWAYS.stretches, one.lent))
    hours = tuple(
        shared([*(pieces.people[each] for each in who[n]), *things[at]]) or ALWAYS
        for at, n in enumerate(order)
    )
    return Network(tuple(tuple(sorted(each)) for each in before), hours)


@dataclass
class _One:
    """One of several hoists or benches: when it is lent, and the jobs that take it, in turn."""

    free: int = 0
    lent: Spans = ()
    takers: list[tuple[int, ...]] = field(default_factory=list)
    """A job, or all of those that one thing lies there for."""


def _each_of(site: Site, plan: Staffed, room: int) -> list[_One]:
    """Say which one each job takes, and which is lent when: whichever was left last."""
    ones = [_One() for _ in range(site.rooms[room])]
    lent = site.lent[room] if room < len(site.lent) else ()
    taken: list[tuple[int, int, tuple[int, ...]]] = [(*each, ()) for each in lent]
    takers = [(n,) for n, job in enumerate(site.jobs) if any(of == room for of, _ in job.rooms)]
    for jobs in (*takers, *(each.jobs for each in site.lying if each.room == room)):
        begin = min(plan.starts[n] for n in jobs)
        end = max(plan.starts[n] + site.jobs[n].duration for n in jobs)
        taken.append((begin, end, jobs))
    for begin, end, by in sorted(taken):
        one = max((each for each in ones if each.free <= begin), key=lambda each: each.free)
        one.free = end
        if by:
            one.takers.append(by)
        else:
            one.lent = joined((*one.lent, (begin, end)))
    return ones


def _minutes(work: Work, runs: int, chance: np.random.Generator) -> Array:
    """Minutes of each block in each run, shape (blocks, runs): one draw for each estimate."""
    draws: dict[str, Array] = {}
    found = np.zeros((len(work.blocks), runs))
    for number, (block, shares) in enumerate(zip(work.blocks, work.shares, strict=True)):
        found[number] = block.minutes - sum(each.minutes for each in shares)  # getting there
        for each in shares:
            if each.minutes and each.of not in draws:
                draws[each.of] = pert_draws(each.best, 1.0, each.worst, runs, chance)
            if each.minutes:
                found[number] += each.minutes * draws[each.of]
    return np.maximum(found, 0.0)


def _comes(
    arrival: Arrival, origin: datetime, begin: float, runs: int, chance: np.random.Generator
) -> Array:
    """When work can go on with what comes, in each run [minutes]."""
    late = chance.exponential(arrival.late_days * DAY_MINUTES, runs)
    late[chance.random(runs) < ON_TIME] = 0.0
    found: Array = np.maximum(ready_from(origin, arrival.expected) + late, begin)
    return found


def _releases(
    work: Work,
    pieces: Pieces,
    order: list[int],
    comes: list[Array],
    runs: int,
    able: Mapping[int, Sequence[Weekly]],
    only: int | None = None,
) -> Mapping[int, Array]:
    """When each task that waits may begin; with ``only``, of those that wait for this.

    ``able`` are who can do what takes no time, by its block: it begins when one of them is there.
    """
    found: dict[int, Array] = {}
    for at, n in enumerate(order):
        block = work.blocks[pieces.block_of[n]]
        if only is not None and only not in block.waits:
            continue
        for each in block.waits:
            found[at] = np.maximum(found[at], comes[each]) if at in found else comes[each]
        if block.not_before is not None:
            day = float(ready_from(pieces.origin, block.not_before) - DAY_MINUTES)
            found[at] = np.maximum(found.get(at, np.full(runs, day)), day)
        if at in found and pieces.block_of[n] in able:
            found[at] = first_there(able[pieces.block_of[n]], found[at])
    return found
