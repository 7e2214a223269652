"""What a jack or a hoist bears in a strip, from the step that sets it to the one that frees it.

Nothing is left on a jack: where all of it takes no longer than what is done within one session,
it is one piece of work, as in a rebuild what is put on is until it is fast. In the order of the
plan, so that what precedes what is kept.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from putback.planning.plan import Step
from putback.planning.precede import Precedence
from putback.vehicle.ids import AssemblyId, Ref, part_ref, split_ref
from putback.vehicle.vehicle import Vehicle


def in_one_go(
    vehicle: Vehicle, steps: Sequence[Step], precedence: Sequence[Precedence], most_minutes: float
) -> tuple[Precedence, ...]:
    """Make a visit of all steps while something is borne, where these take so long at most."""
    visit_of: dict[int, int] = {}
    by_length = sorted(_borne(vehicle, steps), key=lambda span: (_minutes(steps, *span), span))
    for visit, (first, last) in enumerate(by_length):
        others = {visit_of[n] for n in range(first, last + 1) if n in visit_of}
        all_ = [first, last, *(n for n, other in visit_of.items() if other in others)]
        span = min(all_), max(all_)
        is_one = precedence[span[0]].stint == precedence[span[1]].stint
        if is_one and _minutes(steps, *span) <= most_minutes:
            visit_of.update(dict.fromkeys(range(span[0], span[1] + 1), visit))
    return tuple(replace(each, visit=visit_of.get(n)) for n, each in enumerate(precedence))


def _borne(vehicle: Vehicle, steps: Sequence[Step]) -> Iterator[tuple[int, int]]:
    """From which step to which each jack or hoist bears; not where one of the two is not left."""
    done_by: dict[Ref, int] = {}
    for number, step in enumerate(steps):
        kind, identity = split_ref(step.what)
        whole = vehicle.assemblies.get(AssemblyId(identity)) if kind == "assembly" else None
        for ref in (step.what, *(map(part_ref, whole.parts) if whole else ())):
            done_by.setdefault(ref, number)
    for each in vehicle.temporary_supports.values():
        first, last = done_by.get(each.first), done_by.get(each.last)
        if first is not None and last is not None and first < last:
            yield first, last


def _minutes(steps: Sequence[Step], first: int, last: int) -> float:
    return sum(each.minutes + each.setup_minutes for each in steps[first : last + 1])
