"""What a bundle would change here, told before anything of it is kept."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from putback.errors import BundleError
from putback.logbook.bundle import Bundle, read_bundle
from putback.logbook.entries.base import Entry, LogbookId
from putback.logbook.fold import fold
from putback.logbook.open_items import OpenItem, open_items
from putback.logbook.state import State
from putback.progress import NoProgress, Progress
from putback.workshop.exchange.exchange import lacks_before
from putback.workshop.logbooks.look import read_entry
from putback.workshop.logbooks.ports import GARAGE, PhotoId
from putback.workshop.logbooks.situation import situation_of
from putback.workshop.logbooks.workshop import Workshop

SHOWN = 20
"""Entries that are told one by one [entries]."""


@dataclass(frozen=True, slots=True)
class NewEntry:
    """An entry that would be new here."""

    happened_at: str
    who: str
    sentence: str


@dataclass(frozen=True, slots=True)
class Difference:
    """What taking a bundle in would do."""

    logbook: LogbookId
    name: str
    made_at: str
    is_new: bool
    """The vehicle is not here yet."""
    new: int
    first_new: tuple[NewEntry, ...]
    """The first of them, the latest first."""
    known: int
    only_here: int
    """Entries that are here and not in the bundle; they stay."""
    two_bodies: int
    """Entries that are here with other words under the same identity; both are kept."""
    opens: tuple[OpenItem, ...]
    """What would be open by it that is not open now."""
    holds: tuple[str, ...]
    """Standing holds that would be in force, in words."""
    garage_new: int
    photos_new: int
    photos_missing: int
    """Photos that its entries name, and that are neither in it nor here."""
    lacks: bool = False
    """It goes on from entries that are not here: this copy was restored, or a file is missing."""


@dataclass(frozen=True, slots=True)
class Told:
    """What new entries say, and what would be so by them."""

    first_new: tuple[NewEntry, ...]
    """The first of them, the latest first."""
    opens: tuple[OpenItem, ...]
    """What would be open by them that is not open now."""
    holds: tuple[str, ...]
    """Standing holds that would be in force, in words."""


def difference(workshop: Workshop, source: Path, progress: Progress = NoProgress()) -> Difference:
    """Tell what taking a bundle in would change; nothing is kept.

    Raises
    ------
    BundleError
        If it is no bundle, holds no vehicle, or anything in it is not as it was written.
    """
    bundle = read_bundle(source, progress)
    if bundle.logbook in {"", GARAGE}:
        raise BundleError(source, f"holds no vehicle, but the logbook {bundle.logbook!r}")
    is_new = bundle.logbook not in {each.id for each in workshop.logbooks()}
    here = () if is_new else tuple(workshop.since(bundle.logbook))
    digests = {(each.entry, each.digest) for each in here}
    ids = {each.entry for each in here}
    new = [each for each in bundle.entries if (each.id, each.digest) not in digests]
    sent = {each.id for each in bundle.entries}
    told = told_of(workshop, bundle.logbook, map(read_entry, here), new)
    missing = [PhotoId(each) for each in bundle.photos_missing]
    return Difference(
        logbook=bundle.logbook,
        name=bundle.manifest.name or bundle.logbook,
        made_at=bundle.manifest.made_at,
        is_new=is_new,
        new=len(new),
        first_new=told.first_new,
        known=len(bundle.entries) - len(new),
        only_here=sum(each.entry not in sent for each in here),
        two_bodies=sum(each.id in ids for each in new),
        opens=told.opens,
        holds=told.holds,
        garage_new=_new_in_garage(workshop, bundle),
        photos_new=sum(not workshop.photos.has(PhotoId(each)) for each in bundle.photo_files),
        photos_missing=sum(not workshop.photos.has(each) for each in missing),
        lacks=lacks_before(workshop, bundle),
    )


def told_of(
    workshop: Workshop, logbook: LogbookId, here: Iterable[Entry], new: Sequence[Entry]
) -> Told:
    """Tell the first of some new entries, and how the vehicle would stand by them."""
    after = fold([*here, *new], logbook)
    state = after.state()
    opens: tuple[OpenItem, ...] = ()
    if any(each.id == logbook for each in workshop.logbooks()):
        now = situation_of(workshop, logbook)
        known = {each.words for each in open_items(now)}
        found = open_items(replace(now, state=state, log=after.log()))
        opens = tuple(each for each in found if each.words not in known)
    return Told(_told(state, new), opens, tuple(each.words for each in state.in_force))


def _told(state: State, new: Iterable[Entry]) -> tuple[NewEntry, ...]:
    latest = sorted(new, key=lambda each: (each.happened_ms, each.clock, each.id), reverse=True)
    return tuple(
        NewEntry(
            each.happened_at,
            state.people.get(each.who, each.who),
            each.body.sentence(state.name_of),
        )
        for each in latest[:SHOWN]
    )


def _new_in_garage(workshop: Workshop, bundle: Bundle) -> int:
    here = set()
    if workshop.has_garage():
        here = {(each.entry, each.digest) for each in workshop.since(GARAGE)}
    return sum((each.id, each.digest) not in here for each in bundle.garage)
