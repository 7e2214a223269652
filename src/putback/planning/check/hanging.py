"""Whether the standing changes while something hangs, or within a sitting (rule 12)."""

from collections.abc import Iterator, Sequence

from putback.planning.check.due import Due
from putback.planning.check.fault import Fault, RebuildRule
from putback.planning.check.when import NEVER, START, When
from putback.vehicle.ids import Ref, job_ref


def pairs_of(due: Due) -> Iterator[tuple[Ref, Ref, str]]:
    """Give what is not parted by a change of standing, and why."""
    for support in due.vehicle.temporary_supports.values():
        yield support.first, support.last, f"a {support.kind} bears"
    for job in due.vehicle.jobs.values():
        if job.same_sitting_as is not None:
            why = "the two are done in one sitting"
            yield job_ref(job.id), job_ref(job.same_sitting_as), why


def hanging_faults(due: Due, when: When, changes: Sequence[int]) -> Iterator[Fault]:
    """Give the pairs that a change of standing parts; ``changes`` are the steps that want one."""
    for one, other, words in pairs_of(due):
        places = [
            at
            for at in (*map(when.begun, (one, other)), *map(when.done, (one, other)))
            if at not in (START, NEVER)
        ]
        both = all(when.done(each) not in (START, NEVER) for each in (one, other))
        if both and any(min(places) < change <= max(places) for change in changes):
            names = (due.state.name_of(each) for each in (one, other))
            said = f"the standing changes between {' and '.join(names)}, while {words}"
            yield Fault(RebuildRule.STANDINGS, None, Ref(""), said)
