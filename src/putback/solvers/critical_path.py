"""The critical path method: earliest and latest starts of jobs that wait for one another.

Kelley and Walker, "Critical-path planning and scheduling", Eastern Joint Computer Conference,
1959. Jobs are numbered so that each comes after those it waits for.
"""

from collections.abc import Sequence
from typing import NamedTuple


class Starts(NamedTuple):
    """Of each job, in the unit of the durations; what is late by its slack delays nothing."""

    earliest: tuple[float, ...]
    latest: tuple[float, ...]
    finish: float

    @property
    def slack(self) -> tuple[float, ...]:
        """How late each job may be without a later finish."""
        return tuple(late - early for early, late in zip(*self[:2], strict=True))


def find_starts(before: Sequence[Sequence[int]], durations: Sequence[float]) -> Starts:
    """Find how early and how late each job can begin, if all ends as soon as can be."""
    earliest: list[float] = []
    for these in before:
        earliest.append(max((earliest[each] + durations[each] for each in these), default=0.0))
    finish = max((e + d for e, d in zip(earliest, durations, strict=True)), default=0.0)
    latest = [finish - each for each in durations]
    for job in range(len(before) - 1, -1, -1):
        for each in before[job]:
            latest[each] = min(latest[each], latest[job] - durations[each])
    return Starts(tuple(earliest), tuple(latest), finish)
