"""What a plan asks of people: work, waiting, and how much of it nobody has estimated.

A plan of a vehicle that was described in passing has no minutes on record. Its steps are right all
the same, but a sum of nothing is no estimate and proves nothing, so it must not be shown as one.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from putback.planning.plan import Step
from putback.planning.sittings import TAKES_TIME
from putback.vehicle.ids import JobId, split_ref
from putback.vehicle.job import JobKind
from putback.vehicle.vehicle import Vehicle


@dataclass(frozen=True, slots=True)
class Effort:
    """Sums over the steps of a plan; times in [minutes]."""

    work_minutes: float
    """With hands on it."""
    waiting_minutes: float
    """While paint, threadlock or sealant cures and nobody works."""
    not_estimated: int
    """Steps that take somebody's time and have no minutes on record."""
    estimated: int
    """Steps that take somebody's time and have."""

    @property
    def is_known(self) -> bool:
        """Whether every step that takes time has its minutes on record."""
        return self.not_estimated == 0


def effort(vehicle: Vehicle, steps: Sequence[Step]) -> Effort:
    """Sum up what steps ask of people."""
    work = waiting = 0.0
    without = having = 0
    for step in steps:
        kind, identity = split_ref(step.what)
        job = vehicle.jobs.get(JobId(identity)) if kind == "job" else None
        if job is not None and job.kind is JobKind.CURE:
            waiting += step.minutes
            continue
        work += step.minutes
        if step.action in TAKES_TIME:
            without += step.minutes == 0
            having += step.minutes > 0
    return Effort(work, waiting, without, having)
