"""Settle: what must be decided or measured before a job that comes up."""

from collections.abc import Iterator

from putback.planning.ahead.coming import Coming, View
from putback.planning.ahead.line import Line, Sort
from putback.planning.plan import Action
from putback.vehicle.ids import PartId, Ref, part_ref

_COMING_OFF = frozenset({Action.TAKE_OFF})


def settle(view: View) -> Iterator[Line]:
    """Find findings and readings that nobody decided on, and what is measured only while it is on.

    A thing is told once, for the step that deals with it itself, else for the first about it.
    """
    first: dict[Ref, Coming] = {}
    for coming in view.near(Sort.SETTLE):
        for subject in view.subjects_of(coming.step):
            first.setdefault(subject, coming)
    for coming in view.near(Sort.SETTLE):
        for part in view.parts_moved(coming.step):
            first[part_ref(part)] = coming
    for subject, coming in sorted(first.items(), key=lambda each: each[1].at):
        yield from _undecided(view, subject, coming)
    for coming in view.near(Sort.SETTLE):
        if coming.step.action in _COMING_OFF:
            for part in view.parts_moved(coming.step):
                yield from _unmeasured(view, part, coming)


def _undecided(view: View, subject: Ref, coming: Coming) -> Iterator[Line]:
    common = view.state.common_of(subject)  # type: ignore[arg-type]
    if common is None:
        return
    name = view.name(subject)
    for finding in common.findings:
        if finding.settled is None:
            why = f"found {finding.what}, and nobody decided what becomes of it"
            yield view.line(Sort.SETTLE, f"decide: {name}", why, [coming])
    for reading in common.readings:
        if reading.outside and reading.settled is None:
            why = (
                f"{reading.what} is {reading.value:g} {reading.unit}, outside its limit, "
                "and nobody decided what becomes of it"
            )
            yield view.line(Sort.SETTLE, f"decide: {name}", why, [coming])


def _unmeasured(view: View, part: PartId, coming: Coming) -> Iterator[Line]:
    """Say what of a part can be measured only while it is on."""
    described, seen = view.vehicle.parts.get(part), view.state.parts.get(part)
    if described is None or not described.measures or (seen and seen.common.readings):
        return
    more = f" and {len(described.measures) - 3} more" if len(described.measures) > 3 else ""
    why = f"{'; '.join(described.measures[:3])}{more}: once it is off, nobody can"
    yield view.line(Sort.SETTLE, f"measure: {described.name}", why, [coming])
