"""What can be said of any subject: photos, findings, decisions, where it is, who has it."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from putback.logbook.common import NOTHING, Away, Common, Finding, NotNow, Offer, Reading, Said
from putback.logbook.entries.base import Entry, EntryId, PlaceId, Subject, TagCode
from putback.logbook.entries.bookkeeping import TimeSpent
from putback.logbook.entries.judging import (
    Arrived,
    CameBack,
    Choice,
    Decided,
    Ordered,
    PutOff,
    SentOut,
)
from putback.logbook.entries.keeping import HandsLaidOn, Moved, PutIn
from putback.logbook.entries.rebuilding import OfferedUp, Prepared
from putback.logbook.entries.working import (
    Found,
    Measured,
    NoteMade,
    PhotoTaken,
    SoundTaken,
    TakenInHand,
)
from putback.logbook.order import Key

Placed = tuple[Key, Entry]
"""An entry with its place in the order."""


def said(placed: Placed) -> Said:
    """Say which entry it was, by whom and where in the order."""
    key, entry = placed
    return Said(entry.id, entry.who, key)


@dataclass(slots=True)
class CommonBuilder:
    """The mutable form of `Common` while one subject is folded."""

    subject: Subject
    photos: list[str] = field(default_factory=list)
    notes: list[EntryId] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    readings: list[Reading] = field(default_factory=list)
    choice: Choice | None = None
    chosen: Said | None = None
    sent_out: Away | None = None
    came_back: Said | None = None
    missing: str = ""
    returned: list[Away] = field(default_factory=list)
    ordered: list[Away] = field(default_factory=list)
    arrived: int = 0
    prepared: list[Said] = field(default_factory=list)
    offers: list[Offer] = field(default_factory=list)
    in_hand: Said | None = None
    put_off: NotNow | None = None
    seen: Said | None = None
    tag: TagCode | None = None
    place: PlaceId | None = None
    minutes: float = 0.0
    touched: bool = False

    def apply(self, placed: Placed) -> None:
        """Take in one entry, if it says something of this kind."""
        handler = _HANDLERS.get(type(placed[1].body))
        if handler is not None:
            self.touched = True
            handler(self, placed, placed[1].body)

    def put_in(self, tag: TagCode, placed: Placed) -> None:
        """Put the subject into a container."""
        self.touched = True
        self.tag, self.place, self.seen = tag, None, said(placed)

    def put_at(self, place: PlaceId, placed: Placed) -> None:
        """Put the subject at a place, in no container."""
        self.touched = True
        self.tag, self.place, self.seen = None, place, said(placed)

    def leave(self, placed: Placed) -> None:
        """Take the subject out of wherever it was kept: it is back on the vehicle."""
        self.touched = True
        self.tag, self.place, self.sent_out, self.seen = None, None, None, said(placed)
        self.returned = []

    def worked_on(self) -> None:
        """Somebody worked on it: it is put off no longer."""
        self.put_off = None

    def freeze(self) -> Common:
        """Close the record."""
        if not self.touched:
            return NOTHING
        return Common(
            photos=tuple(self.photos),
            notes=tuple(self.notes),
            findings=tuple(self.findings),
            readings=tuple(self.readings),
            choice=self.choice,
            chosen=self.chosen,
            sent_out=self.sent_out,
            came_back=self.came_back,
            missing=self.missing,
            returned=tuple(self.returned),
            ordered=tuple(self.ordered),
            arrived=self.arrived,
            prepared=tuple(self.prepared),
            offers=tuple(self.offers),
            in_hand=self.in_hand,
            put_off=self.put_off,
            seen=self.seen,
            tag=self.tag,
            place=self.place,
            minutes=self.minutes,
        )


def fold_common(subject: Subject, entries: Iterable[Placed]) -> Common:
    """Fold what is said of a subject that has no record of its own."""
    builder = CommonBuilder(subject)
    for placed in entries:
        builder.apply(placed)
    return builder.freeze()


def _photo(cell: CommonBuilder, placed: Placed, body: PhotoTaken) -> None:
    cell.photos.append(body.photo)


def _note(cell: CommonBuilder, placed: Placed, body: NoteMade | SoundTaken) -> None:
    cell.notes.append(placed[1].id)


def _found(cell: CommonBuilder, placed: Placed, body: Found) -> None:
    cell.findings.append(Finding(said(placed), body.what))


def _measured(cell: CommonBuilder, placed: Placed, body: Measured) -> None:
    cell.readings.append(
        Reading(said(placed), body.what, body.value, body.unit, body.low, body.high)
    )


def _decided(cell: CommonBuilder, placed: Placed, body: Decided) -> None:
    cell.choice, cell.chosen = body.choice, said(placed)
    settles = placed[1].id

    def settled(each: Any) -> Any:
        # A decision that names nothing settles all that is open on its subject.
        named = body.about is None or each.said.entry == body.about
        return replace(each, settled=settles) if named and each.settled is None else each

    cell.findings = [settled(each) for each in cell.findings]
    cell.readings = [settled(each) for each in cell.readings]


def _sent_out(cell: CommonBuilder, placed: Placed, body: SentOut) -> None:
    cell.sent_out = Away(said(placed), body.firm, body.work, body.due)
    cell.came_back, cell.missing = None, ""


def _came_back(cell: CommonBuilder, placed: Placed, body: CameBack) -> None:
    out = cell.sent_out
    firm, work, left = (out.whither, out.what, out.said) if out else ("", "", None)
    cell.returned.append(Away(said(placed), firm, work, left=left))
    cell.sent_out, cell.missing = None, body.missing
    cell.came_back = cell.seen = said(placed)


def _ordered(cell: CommonBuilder, placed: Placed, body: Ordered) -> None:
    cell.ordered.append(Away(said(placed), body.supplier, body.item, body.due))


def _arrived(cell: CommonBuilder, placed: Placed, body: Arrived) -> None:
    cell.arrived += 1
    for order in cell.ordered:
        if body.order is None or order.said.entry == body.order:
            cell.ordered.remove(order)
            break


def _prepared(cell: CommonBuilder, placed: Placed, body: Prepared) -> None:
    cell.prepared.append(said(placed))


def _offered(cell: CommonBuilder, placed: Placed, body: OfferedUp) -> None:
    cell.offers.append(Offer(said(placed), body.fits, body.misfit_m, body.note))


def _in_hand(cell: CommonBuilder, placed: Placed, body: TakenInHand) -> None:
    cell.in_hand, cell.put_off = said(placed), None


def _put_off(cell: CommonBuilder, placed: Placed, body: PutOff) -> None:
    cell.put_off = NotNow(said(placed), body.why, body.note, body.until)


def _hands(cell: CommonBuilder, placed: Placed, body: HandsLaidOn) -> None:
    cell.seen = said(placed)
    if body.place is not None and cell.tag is None:
        cell.place = body.place


def _put_in(cell: CommonBuilder, placed: Placed, body: PutIn) -> None:
    if cell.subject != f"tag:{body.tag}":  # the entry also stands in the history of the bag
        cell.put_in(body.tag, placed)


def _moved(cell: CommonBuilder, placed: Placed, body: Moved) -> None:
    cell.tag, cell.place, cell.seen = None, body.place or None, said(placed)


def _time(cell: CommonBuilder, placed: Placed, body: TimeSpent) -> None:
    cell.minutes += body.minutes * body.people


_HANDLERS: Mapping[type, Callable[[CommonBuilder, Placed, Any], None]] = {
    PhotoTaken: _photo,
    NoteMade: _note,
    SoundTaken: _note,
    Found: _found,
    Measured: _measured,
    Decided: _decided,
    SentOut: _sent_out,
    CameBack: _came_back,
    Ordered: _ordered,
    Arrived: _arrived,
    Prepared: _prepared,
    OfferedUp: _offered,
    TakenInHand: _in_hand,
    PutOff: _put_off,
    HandsLaidOn: _hands,
    PutIn: _put_in,
    Moved: _moved,
    TimeSpent: _time,
}
