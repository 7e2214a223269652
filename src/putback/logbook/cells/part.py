"""The fold of one part's entries."""

from collections.abc import Iterable
from typing import TYPE_CHECKING

from putback.logbook.cells.common import CommonBuilder, Placed, said
from putback.logbook.entries.base import EntryId, Subject
from putback.logbook.entries.describing import OneAndSame
from putback.logbook.entries.judging import Arrived, SentOut
from putback.logbook.entries.keeping import (
    KeptAsPattern,
    Lost,
    Moved,
    MovedBetweenVehicles,
    PutIn,
    Scrapped,
)
from putback.logbook.entries.rebuilding import PartOn
from putback.logbook.entries.working import HungAside, MarkMade, PartOff
from putback.logbook.state import Gone, MarkSeen, PartState
from putback.vehicle.ids import AssemblyId, PartId

if TYPE_CHECKING:
    from putback.logbook.common import Said


def fold_part(part: PartId, entries: Iterable[Placed]) -> PartState:
    """Fold where one part is and what was done to it."""
    common = CommonBuilder(Subject(f"part:{part}"))
    off: Said | None = None
    on: Said | None = None
    hung: Said | None = None
    whole: AssemblyId | None = None
    gone: Gone | None = None
    gone_by: Said | None = None
    renewed = False
    doubles: list[EntryId] = []
    went: Said | None = None
    away: Said | None = None
    another = False  # a new one, or one of another vehicle, that was never on
    marks: list[MarkSeen] = []
    for placed in entries:
        body = placed[1].body
        if isinstance(body, PartOn | HungAside) or (isinstance(body, PartOff) and not off):
            common.worked_on()
        match body:
            case PartOff():
                # Said twice, the first telling keeps its place in the proven order.
                if off and went and went == common.seen and _is_elsewhere(body, common):
                    doubles += [each for each in (went.entry, placed[1].id) if each not in doubles]
                off = off or said(placed)
                on = hung = away = None
                whole = body.whole or whole
                if body.tag is not None:
                    common.put_in(body.tag, placed)
                elif body.place:
                    common.put_at(body.place, placed)
                if body.tag is not None or body.place:
                    went = common.seen
            case HungAside():
                hung = said(placed)
            case MarkMade():
                marks.append(MarkSeen(said(placed), body.how, body.where, body.record))
            case PartOn():
                on, off, hung, whole = said(placed), None, None, None
                renewed = renewed or body.renewed
                gone = gone_by = away = None
                another = False
                doubles = []
                common.leave(placed)
            case OneAndSame():
                doubles = [each for each in doubles if each not in body.entries]
            case Scrapped():
                gone, gone_by = Gone.SCRAPPED, said(placed)
            case KeptAsPattern():
                gone, gone_by = Gone.PATTERN, said(placed)
            case Lost():
                gone, gone_by = Gone.LOST, said(placed)
            case MovedBetweenVehicles():
                gone = None if body.came else Gone.OTHER_VEHICLE
                gone_by = None if body.came else said(placed)
                another = body.came
            case _:
                before = common.seen
                common.apply(placed)
                if gone is Gone.LOST and common.seen is not before:
                    gone = gone_by = None  # it turned up again
                another = another or isinstance(body, Arrived)
                if not off and not another and _lays_away(body):
                    away = said(placed)
    return PartState(
        part,
        common.freeze(),
        off,
        on,
        whole,
        hung,
        tuple(marks),
        gone,
        gone_by,
        renewed,
        tuple(doubles),
        away,
    )


def _lays_away(body: object) -> bool:
    """Whether it can only be said of what is off: an empty place says nothing."""
    return isinstance(body, PutIn | SentOut) or (isinstance(body, Moved) and bool(body.place))


def _is_elsewhere(body: PartOff, common: CommonBuilder) -> bool:
    """Whether it says that the part lies elsewhere than it was put when it came off."""
    if body.tag is not None:
        return body.tag != common.tag
    return bool(body.place) and (common.tag is not None or body.place != common.place)
