"""The folds of openings, containers, fluids, temporary fits, jobs, holds and the garage."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from decimal import Decimal
from typing import TYPE_CHECKING

from putback.logbook.cells.common import CommonBuilder, Placed, said
from putback.logbook.entries.base import (
    DeviceId,
    EntryId,
    PersonId,
    PlaceId,
    Subject,
    TagCode,
)
from putback.logbook.entries.bookkeeping import MoneySpent, PersonNamed
from putback.logbook.entries.describing import OneAndSame, PlaceDescribed
from putback.logbook.entries.holding import HoldLifted, HoldSet
from putback.logbook.entries.judging import WayChosen
from putback.logbook.entries.keeping import ContainerMade, Counted
from putback.logbook.entries.rebuilding import Bled, Filled
from putback.logbook.entries.working import (
    Drained,
    JobDone,
    OpeningClosed,
    OpeningOpened,
    StandingChanged,
    TemporaryFitOff,
    TemporaryFitOn,
    Weighed,
)
from putback.logbook.same import Aliases
from putback.logbook.state import (
    ContainerState,
    FitState,
    FluidState,
    HoldState,
    JobState,
    OpeningState,
    Place,
    StandingState,
    Tagging,
    Weighing,
)
from putback.logbook.told_twice import STOOD_WITHIN_MS, Telling, settled_in, told_apart
from putback.logbook.way import WayState
from putback.vehicle.ids import FluidId, JobId, OpeningId, ZoneId

if TYPE_CHECKING:
    from putback.logbook.common import Said


def fold_opening(opening: OpeningId, entries: Iterable[Placed]) -> OpeningState:
    """Fold how many ends of an opening are closed; the last count is the word."""
    common = CommonBuilder(Subject(f"opening:{opening}"))
    closed, all_closed = 0, False
    last: Said | None = None
    for placed in entries:
        match placed[1].body:
            case OpeningClosed() as body:
                closed, all_closed, last = body.ends or 0, body.ends is None, said(placed)
            case OpeningOpened() as body:
                closed, all_closed, last = body.closed, False, said(placed)
            case _:
                common.apply(placed)
    return OpeningState(opening, common.freeze(), closed, all_closed, last)


def fold_container(tag: TagCode, entries: Iterable[Placed]) -> ContainerState:
    """Fold what a bag or box is and where it is; its hardware is in the accounts."""
    common = CommonBuilder(Subject(f"tag:{tag}"))
    kind, name = "bag", ""
    zone: ZoneId | None = None
    made: Said | None = None
    counted: Said | None = None
    tagged: list[_Told] = []
    settled: set[EntryId] = set()
    for placed in entries:
        match placed[1].body:
            case ContainerMade() as body:
                tagged.append((placed[1].device, Tagging(said(placed), body.container, body.name)))
                kind, name, made = body.container, body.name or name, said(placed)
                zone = body.zone or zone
            case Counted(complete=True):
                counted = said(placed)
            case OneAndSame() as body:
                settled.update(body.entries[1:])  # one of them still stands for the container
            case _:
                common.apply(placed)
    rivals = _rivals([each for each in tagged if each[1].said.entry not in settled])
    return ContainerState(tag, common.freeze(), kind, name, made, counted, zone, rivals)


_Told = tuple[DeviceId, Tagging]
"""A tagging, and on which device it was logged."""


def _rivals(tagged: Sequence[_Told]) -> tuple[Tagging, ...]:
    """Give the taggings that another one contradicts."""
    return tuple(one[1] for one in tagged if any(_are_two(one, other) for other in tagged))


def _are_two(one: _Told, other: _Told) -> bool:
    """Whether two taggings may be of two containers: told by two devices, or by two names."""
    names = {each.name for _, each in (one, other) if each.name}
    return one[0] != other[0] or len(names) > 1


def fold_fluid(fluid: FluidId, entries: Iterable[Placed]) -> FluidState:
    """Fold whether a fluid is in, out, or in and bled."""
    common = CommonBuilder(Subject(f"fluid:{fluid}"))
    drained: Said | None = None
    filled: Said | None = None
    bled: Said | None = None
    for placed in entries:
        match placed[1].body:
            case Drained():
                drained, filled, bled = said(placed), None, None
            case Filled():
                filled = said(placed)
            case Bled():
                bled = said(placed)
            case _:
                common.apply(placed)
    return FluidState(fluid, common.freeze(), drained, filled, bled)


def fold_fit(fit: str, entries: Iterable[Placed]) -> FitState:
    """Fold whether a temporary fit is still in."""
    common = CommonBuilder(Subject(f"fit:{fit}"))
    what = ""
    on: Subject | None = None
    fitted: Said | None = None
    off: Said | None = None
    for placed in entries:
        match placed[1].body:
            case TemporaryFitOn() as body:
                what, on, fitted, off = body.what, body.on, said(placed), None
            case TemporaryFitOff():
                off = said(placed)
            case _:
                common.apply(placed)
    return FitState(fit, common.freeze(), what, on, fitted, off)


def fold_job(job: JobId, entries: Iterable[Placed]) -> JobState:
    """Fold whether a declared job is done; said twice, the first telling keeps its place."""
    common = CommonBuilder(Subject(f"job:{job}"))
    done: Said | None = None
    for placed in entries:
        if isinstance(placed[1].body, JobDone):
            done = done or said(placed)
            common.worked_on()
        else:
            common.apply(placed)
    return JobState(job, common.freeze(), done)


def fold_hold(hold: str, entries: Iterable[Placed]) -> HoldState:
    """Fold whether a standing hold is in force; set again, it is so with its last words."""
    common = CommonBuilder(Subject(f"hold:{hold}"))
    words, why = "", ""
    set_by: Said | None = None
    lifted: Said | None = None
    for placed in entries:
        match placed[1].body:
            case HoldSet() as body:
                words, set_by, lifted, why = body.words, said(placed), None, ""
            case HoldLifted() as body:
                lifted, why = said(placed), body.why
            case _:
                common.apply(placed)
    return HoldState(hold, common.freeze(), words, set_by, lifted, why)


def fold_standing(entries: Iterable[Placed]) -> StandingState:
    """Fold how the vehicle stands: the last word."""
    standing = StandingState()
    entries = list(entries)
    told: list[Telling] = []
    for placed in entries:
        if isinstance(body := placed[1].body, StandingChanged):
            standing = StandingState(body.standing, said(placed), body.rock_tested, body.looked)
            told.append(Telling(said(placed), body.standing))
    settled = settled_in(entry.body for _, entry in entries)
    return replace(standing, rivals=told_apart(told, settled, STOOD_WITHIN_MS))


def fold_way(entries: Iterable[Placed]) -> WayState:
    """Fold which way the work goes: the last word."""
    way = WayState()
    for placed in entries:
        if isinstance(body := placed[1].body, WayChosen):
            way = WayState(body.way, body.goal, said(placed))
    return way


def fold_weighings(entries: Iterable[Placed], aliases: Aliases) -> tuple[Weighing, ...]:
    """Fold every weighing, in order; parts go by the one name that they have today."""
    return tuple(
        Weighing(
            said(placed),
            dict(sorted(body.loads_kg.items())),
            body.standing,
            body.uncertainty_kg,
            tuple(dict.fromkeys(aliases.names.get(part, part) for part in body.off)),
            body.fluids_out,
            body.note,
        )
        for placed in entries
        if isinstance(body := placed[1].body, Weighed)
    )


def fold_place(place: PlaceId, entries: Iterable[Placed]) -> Place:
    """Fold the description of a place; the last one is the word."""
    described = Place(place, "")
    for placed in entries:
        if isinstance(body := placed[1].body, PlaceDescribed):
            described = Place(place, body.name, body.kind, body.fits, body.floor)
    return described


def fold_person(person: PersonId, entries: Iterable[Placed]) -> str:
    """Fold the name of a person; the last one is the word."""
    name = str(person)
    for placed in entries:
        if isinstance(body := placed[1].body, PersonNamed):
            name = body.name
    return name


def fold_money(entries: Iterable[Placed]) -> dict[str, str]:
    """Add up what was paid, by currency, as exact decimal text."""
    sums: dict[str, Decimal] = {}
    for placed in entries:
        if isinstance(body := placed[1].body, MoneySpent):
            sums[body.currency] = sums.get(body.currency, Decimal(0)) + body.amount
    return {currency: str(total) for currency, total in sorted(sums.items())}
