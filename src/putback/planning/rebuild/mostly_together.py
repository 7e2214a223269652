"""Declared jobs that were described for all of a vehicle, where only a little of it was apart."""

from collections.abc import Iterator, Set

from putback.planning.rebuild.work import Work
from putback.vehicle.ids import JointId, PartId
from putback.vehicle.job import Job


def mostly_together(work: Work, job: Job) -> Iterator[str]:
    """Say that more than half of the joints that a job names were never apart; or of the parts.

    It is planned for what was: a trial build of a whole car for the wings that came off. How much
    of it is wanted nobody knows but who does it, so its minutes stay as described.
    """
    of, what = (len({*job.joints}), "joints") if job.joints else (len({*job.parts}), "parts")
    together = len({*job.joints} - _apart(work) if job.joints else {*job.parts} - _off(work))
    if together > of / 2:
        yield (
            f"most of what it names was never apart ({together} of {of} {what}): it may take less"
            " time than described"
        )


def _apart(work: Work) -> Set[JointId]:
    """The joints that are to be worked on, or were made again."""
    made = (joint for joint, seen in work.state.joints.items() if seen.made)
    return {*work.make, *work.tighten, *work.finish, *work.finished_by, *work.check, *made}


def _off(work: Work) -> Set[PartId]:
    """The parts that are off, or back on."""
    return {*work.off, *(part for part, seen in work.state.parts.items() if seen.on)}
