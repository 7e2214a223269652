"""Early and late starts of a network of jobs, as the schedule of a site finds its windows."""

from collections.abc import Sequence
from typing import NamedTuple

from putback.solvers.schedule.site import Job, Site, least_time

PARTS = 60
"""Times are whole to a site: a sixth of a tenth is."""


class Starts(NamedTuple):
    """Of each job; what is late by its slack delays nothing."""

    earliest: tuple[float, ...]
    latest: tuple[float, ...]
    finish: float

    @property
    def slack(self) -> tuple[float, ...]:
        """How late each job may be without a later finish."""
        return tuple(late - early for early, late in zip(*self[:2], strict=True))


def find_starts(before: Sequence[Sequence[int]], durations: Sequence[float]) -> Starts:
    """Ask a site without people for how early and how late each job can begin."""
    spans = [round(PARTS * each) for each in durations]
    assert spans == [round(PARTS * each, 6) for each in durations]
    pairs = tuple((first, then) for then, these in enumerate(before) for first in these)
    site = Site(tuple(map(Job, spans)), pairs, (), (), (), sum(spans))
    finish = least_time(site)
    early, late = (tuple((each / PARTS).tolist()) for each in (site.heads, site.latest(finish)))
    return Starts(early, late, finish / PARTS)
