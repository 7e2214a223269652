"""Put the blocks of a plan on the calendar, and say when all is done, with a bound."""

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from math import ceil

import numpy as np

from putback.errors import BadInput
from putback.planning.plan import Plan
from putback.planning.planned_days import (
    Absence,
    Absences,
    Block,
    Booking,
    Lent,
    Person,
    Timetable,
)
from putback.planning.timetable.absences import spans_from
from putback.planning.timetable.at_bench import BENCH
from putback.planning.timetable.blocks import HOIST, IN_THE_AIR, LEFT_FROM, UP, Work
from putback.planning.timetable.crews import able_for, crew_for
from putback.planning.timetable.on_jacks import left_overnight
from putback.planning.timetable.second_looks import apart
from putback.progress import NoProgress, Progress
from putback.solvers.schedule.crews import Staffed
from putback.solvers.schedule.site import Job, Lying, Need, Site
from putback.solvers.schedule.site_search import SiteSearch
from putback.solvers.schedule.weeks import site_in_weeks
from putback.solvers.weekly import Spans, Weekly, first_there, joined, longest_together
from putback.vehicle.ids import SupportId
from putback.vehicle.vehicle import Vehicle

DAY_MINUTES = 24 * 60
PIECE = 60
"""What may be left is cut into pieces no longer [minutes]; a convention of this project."""


@dataclass(frozen=True)
class Pieces:
    """The site of a plan: each job is a piece of a block; times from ``origin`` [minutes]."""

    site: Site
    first: Staffed
    """A schedule of it to begin with."""
    people: tuple[Weekly, ...]
    begin: int
    block_of: tuple[int, ...]
    share: tuple[float, ...]
    """Which share of its block's minutes each piece is [-]."""
    origin: datetime


Made = tuple[Work, Timetable, Pieces, Staffed]
"""A timetable with what it was made of."""


def origin_of(begin: datetime) -> datetime:
    """The midnight in which the week of a moment begins."""
    monday = begin.date() - timedelta(days=begin.weekday())
    return datetime.combine(monday, time())


def minutes_from(origin: datetime, moment: datetime) -> int:
    """Whole minutes since the origin, begun ones as whole [minutes]."""
    return ceil((moment - origin).total_seconds() / 60)


def ready_from(origin: datetime, day: date) -> int:
    """From when on work goes on with what comes on a day: the midnight after it [minutes]."""
    return minutes_from(origin, datetime.combine(day, time())) + DAY_MINUTES


def make_timetable(
    work: Work,
    people: Sequence[Person],
    begin: datetime,
    *,
    hoists: int = 1,
    benches: int | None = None,
    hoist_lent: Absences = (),
    effort: float | None = None,
    seconds: float | None = None,
    progress: Progress = NoProgress(),
) -> tuple[Timetable, Pieces, Staffed]:
    """Find who does what when.

    Parameters
    ----------
    work : Work
        What is to be done.
    people : sequence of Person
        Who works, and when.
    begin : datetime
        Nothing begins before; local, without a zone.
    hoists : int
        How many lifts with a hoist can be done at once.
    benches : int, optional
        How many jobs at a bench can be done at once; however many there are without it.
    hoist_lent : absences
        When there is one hoist less, each of them for itself; never more than there are.
    effort, seconds : float, optional
        How much work the search is worth, deterministic, as for `Choice.solve`; or how long it
        may take [s].

    Raises
    ------
    BadInput
        If nobody is there for a block.
    Stopped
        If `progress` wants the search to end.
    """
    blocks = tuple(_manned(block, people) for block in work.blocks)
    few = {IN_THE_AIR: 1, HOIST: hoists, **({} if benches is None else {BENCH: benches})}
    lent = tuple(Lent(HOIST, each.begins, each.ends) for each in hoist_lent)
    pieces = _pieces(replace(work, blocks=blocks), people, begin, few, lent)
    search = SiteSearch(pieces.site, known=pieces.first)
    found = search.run(effort, seconds=seconds, progress=progress)
    plan, origin = found.plan or pieces.first, pieces.origin

    def moment(at: int) -> datetime:
        return origin + timedelta(minutes=max(at, pieces.begin))

    bookings = [
        Booking(
            pieces.block_of[n],
            moment(plan.starts[n]),
            moment(plan.starts[n] + job.duration),
            tuple(people[each].name for team in plan.who[n] for each in team),
        )
        for n, job in enumerate(pieces.site.jobs)
    ]
    table = Timetable(
        tuple(people),
        begin,
        blocks,
        tuple(sorted(bookings, key=lambda each: (each.begins, each.block))),
        work.arrivals,
        few,
        moment(plan.ends),
        moment(found.bound),
        work.learned,
        work.no_minutes,
        lent,
    )
    return table, pieces, plan


def leaving_nothing_up(
    vehicle: Vehicle, plan: Plan, make: Callable[[Collection[SupportId]], Made]
) -> Made:
    """Make the timetable of a strip anew as long as it leaves on a jack what need not be left.

    ``make`` makes it with these jacks held: what they bear is one block where the hours are long
    enough. What is left then fits into nobody's hours.
    """
    held: frozenset[SupportId] = frozenset()
    while True:
        made = make(held)
        left = {each.support.id for each in left_overnight(vehicle, plan.steps, made[1])}
        if left <= held:
            return made
        held |= left


def _manned(block: Block, people: Sequence[Person]) -> Block:
    """Ask for no more people than are ever there at once: helpers are called in for the rest.

    Raises
    ------
    BadInput
        If nobody has all the skills.
    """
    able = able_for(block.kinds, people)
    if not able:
        kinds = ", ".join(sorted(block.kinds))
        raise BadInput(
            f"nobody can do all of {kinds}, which is done in one go",
            mend="give one person all of these skills, or leave the skill away",
        )
    return replace(block, crew=crew_for(able, block.wants, people))


def _cuts(block: Block, minutes: int, longest: int) -> int:
    """Into how many pieces a block is cut; waiting goes on when everybody has gone home."""
    if not block.crew:
        return 1
    if minutes > LEFT_FROM and block.uses.isdisjoint(UP):
        return ceil(minutes / min(PIECE, longest))
    return max(ceil(minutes / longest), 1)


def _pieces(
    work: Work,
    people: Sequence[Person],
    begin: datetime,
    few: Mapping[str, int],
    lent: Sequence[Lent],
) -> Pieces:
    """Cut what is longer than anybody's hours into pieces, one after another."""
    origin = origin_of(begin)
    hours = tuple(Weekly(each.hours, joined(spans_from(origin, each.away))) for each in people)
    start = minutes_from(origin, begin)
    things = list(few)
    jobs: list[Job] = []
    pairs: list[tuple[int, int]] = []
    block_of: list[int] = []
    share: list[float] = []
    firsts: list[int] = []
    last: list[int] = []
    lying: dict[int, list[int]] = {}
    who, parted = apart(work.blocks, people, [able_for(e.kinds, people) for e in work.blocks])
    for number, (block, able) in enumerate(zip(work.blocks, who, strict=True)):
        minutes = ceil(block.minutes - 1e-6)
        many = _cuts(block, minutes, longest_together(hours, able, block.crew))
        days = [ready_from(origin, work.arrivals[each].expected) for each in block.waits]
        if block.not_before is not None:
            days.append(ready_from(origin, block.not_before) - DAY_MINUTES)
        if many > 1 and HOIST in block.uses:  # it is not lent from under what hangs
            days += [minutes_from(origin, each.ends) for each in lent]
        release = max(days, default=start)
        if days and block.crew and not minutes:  # it takes no time, but somebody's hand
            at = np.array([float(max(release, start))])
            release = round(float(first_there([hours[each] for each in able], at)[0]))
        needs = (Need(frozenset(able), block.crew),) if block.crew and minutes else ()
        scarce = sorted((block.uses & few.keys()) - {BENCH}) if minutes else ()
        uses = tuple((things.index(each), 1) for each in scarce)
        before = [last[each] for each in block.before]
        firsts.append(len(jobs))
        for piece in range(many):
            each = minutes * (piece + 1) // many - minutes * piece // many
            pairs += [(first, len(jobs)) for first in before]
            before = [len(jobs)]
            jobs.append(Job(each, needs, uses, release=max(release, start)))
            block_of.append(number)
            share.append(each / minutes if minutes else 1.0)
            if BENCH in block.uses & few.keys() and each:
                lying.setdefault(number if block.lies is None else block.lies, []).append(
                    len(jobs) - 1
                )
        last.append(len(jobs) - 1)
    pairs += _held(work.blocks, firsts, last)
    off: tuple[Spans, ...] = tuple(
        spans_from(origin, (Absence(e.begins, e.ends) for e in lent if e.thing == thing))
        for thing in things
    )
    on_benches = [Lying(things.index(BENCH), tuple(each)) for each in lying.values()]
    shunned = [
        (last[done], piece)
        for done, look in parted
        for piece in range(firsts[look], last[look] + 1)
    ]
    site, first = site_in_weeks(jobs, pairs, hours, tuple(few.values()), off, on_benches, shunned)
    return Pieces(site, first, hours, start, tuple(block_of), tuple(share), origin)


def _held(
    blocks: Sequence[Block], firsts: Sequence[int], last: Sequence[int]
) -> Iterator[tuple[int, int]]:
    """Let nobody else take what holds something up between two pieces: in the plan's order."""
    for number, block in enumerate(blocks):
        if firsts[number] == last[number]:
            continue
        for other, each in enumerate(blocks):
            if other != number and each.uses & block.uses & UP:
                first, then = sorted((number, other))
                yield last[first], firsts[then]
