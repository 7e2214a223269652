"""What would follow if something were done: the plan then, held against the plan now."""

from collections.abc import Sequence
from dataclasses import dataclass

from putback.errors import BadInput, ImpossibleGoal, NotFound
from putback.logbook.entries.base import DeviceId, LogbookId, PersonId
from putback.logbook.open_items import open_items
from putback.logbook.open_items.item import Danger
from putback.planning.impossible.exhaust import NoOrderFound
from putback.planning.plan import Plan, Step
from putback.progress import NoProgress, Progress
from putback.vehicle.ids import Ref
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.look import read_entry
from putback.workshop.logbooks.situation import situation_of
from putback.workshop.logbooks.workshop import Workshop
from putback.workshop.plans.at_hand import AtHand, plan_at_hand
from putback.workshop.plans.what_if import suppose
from putback.workshop.saying.short_forms import NotDescribed

_NOBODY, _NOWHERE = PersonId("supposed"), DeviceId("supposed")


@dataclass(frozen=True, slots=True)
class Opened:
    """An open item that there would be: how pressing, what is open, and what clears it."""

    danger: Danger
    words: str
    clears: str


@dataclass(frozen=True, slots=True)
class Supposed:
    """What follows from lines that nobody logged; minutes are of work and set-up."""

    sentences: tuple[str, ...]
    """What was supposed, as the logbook would have it."""
    now_minutes: float | None
    """Left as it is; ``None`` where nothing can be planned."""
    then: Plan | None
    """The plan that would follow."""
    fault: str
    """Why nothing could be planned then."""
    remedy: str
    """What would have to be otherwise."""
    spared: tuple[Ref, ...]
    """Things of the plan now that nobody would have to do any more."""
    added: tuple[Ref, ...]
    """Things that would have to be done as well."""
    opened: tuple[Opened, ...]
    """What would be open, and is not now."""

    @property
    def next(self) -> tuple[Step, ...]:
        """The first jobs then."""
        return self.then.steps[:5] if self.then else ()

    @property
    def minutes_more(self) -> float | None:
        """What would be left, against what is left now [minutes]."""
        if self.then is None or self.now_minutes is None:
            return None
        return self.then.total_minutes - self.now_minutes


def what_would_follow(
    workshop: Workshop,
    logbook: LogbookId,
    lines: Sequence[str],
    progress: Progress = NoProgress(),
) -> Supposed:
    """Plan as if some lines had been logged; nothing is written.

    Raises
    ------
    InputError
        If a line cannot be meant.
    """
    try:
        then = suppose(workshop, logbook, lines, who=_NOBODY, device=_NOWHERE)
    except NotDescribed as error:
        near = NotFound(error.kind, error.wanted, error.nearest).remedy()
        anew = f"describe a {error.kind} of that name first"
        mend = f"{near} Else, {anew}" if near else anew
        raise BadInput(error.fault(), mend=mend) from error
    name = in_its_garage(then, logbook).name_of
    written = then.since(logbook, workshop.store.position(logbook))
    sentences = tuple(read_entry(each).body.sentence(name) for each in written)
    planned, _, _ = _planned(workshop, logbook, progress)
    supposed, fault, remedy = _planned(then, logbook, progress)
    things = {step.what for step in planned.plan.steps} if planned else set()
    later = {step.what for step in supposed.plan.steps} if supposed else set()
    there = {(each.rule, each.words) for each in open_items(situation_of(workshop, logbook))}
    return Supposed(
        sentences=sentences,
        now_minutes=planned.plan.total_minutes if planned else None,
        then=supposed.plan if supposed else None,
        fault=fault,
        remedy=remedy,
        spared=tuple(sorted(things - later)) if supposed else (),
        added=tuple(sorted(later - things)) if planned else (),
        opened=tuple(
            Opened(each.danger, each.words, each.clears)
            for each in open_items(situation_of(then, logbook))
            if (each.rule, each.words) not in there
        ),
    )


def _planned(
    workshop: Workshop, logbook: LogbookId, progress: Progress
) -> tuple[AtHand | None, str, str]:
    try:
        return plan_at_hand(workshop, logbook, progress=progress), "", ""
    except (ImpossibleGoal, NoOrderFound) as error:
        return None, error.fault(), error.remedy()
