"""Sites of people whose hours come again every week, as many weeks as it takes."""

from collections.abc import Sequence
from dataclasses import replace
from math import ceil

from putback.solvers.schedule.crews import Forward, Staffed
from putback.solvers.schedule.site import Job, Lying, Site, Spans
from putback.solvers.weekly import WEEK_MINUTES, Weekly, longest_together


class TooFew(ValueError):
    """No stretch of hours is long enough for a job and the people it wants."""


def site_in_weeks(
    jobs: Sequence[Job],
    pairs: Sequence[tuple[int, int]],
    people: Sequence[Weekly],
    rooms: Sequence[int] = (),
    lent: Sequence[Spans] = (),
    lying: Sequence[Lying] = (),
    apart: Sequence[tuple[int, int]] = (),
) -> tuple[Site, Staffed]:
    """Lay out jobs from time 0 on [minutes]; give a first schedule too, by whose end all is done.

    Rooms are lent, things lie in them and jobs are kept apart as `Site` has it. No job has
    more than one need, nor moves a balance.

    Raises
    ------
    TooFew
        If a job can never be done by these people.
    Circular
        If jobs wait for one another in a circle.
    """
    for number, job in enumerate(jobs):
        for need in job.needs:
            if job.duration > longest_together(people, need.able, need.count):
                raise TooFew(f"job {number} is longer than {need.count} are ever there at once")
    asked = sum(job.duration for job in jobs)
    latest = max((job.release for job in jobs), default=0) + asked
    weeks = latest // WEEK_MINUTES + 2 * ceil(asked / min(each.minutes for each in people)) + 1
    while True:
        horizon = weeks * WEEK_MINUTES
        away = tuple(hours.away_until(horizon) for hours in people)
        site = Site(
            tuple(jobs),
            tuple(pairs),
            away,
            tuple(rooms),
            (),
            horizon,
            tuple(lent),
            tuple(lying),
            tuple(apart),
        )
        first = Forward(site, seed=1).make(0.0)
        if first is not None:
            return replace(site, horizon=first.ends), first
        weeks *= 2
