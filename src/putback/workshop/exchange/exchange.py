"""Handing a vehicle over: its logbook out to a bundle, and a bundle in from wherever it comes."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from putback.errors import BundleError, Damaged
from putback.logbook.bundle import Bundle, Manifest, read_bundle, write_bundle
from putback.logbook.entries.base import Entry, LogbookId, PersonId
from putback.progress import NoProgress, Progress
from putback.workshop.exchange.without_place import WithoutPlace
from putback.workshop.logbooks.files import disk_trouble
from putback.workshop.logbooks.look import read_entry
from putback.workshop.logbooks.ports import GARAGE, PhotoId, in_utc
from putback.workshop.logbooks.workshop import Workshop


@dataclass(frozen=True, slots=True)
class TakenIn:
    """What came of taking a bundle in."""

    logbook: LogbookId
    is_new: bool
    """The vehicle was not here before, and belongs to whoever took it in."""
    entries: int
    """New here; the rest of the bundle was known already."""
    known: int
    garage_entries: int
    """New in the garage's logbook."""
    photos: int
    """New here."""
    photos_missing: tuple[PhotoId, ...]
    """Named by its entries, and neither in the bundle nor here."""
    lacks: bool = False
    """It goes on from entries that are not here: this copy was restored, or a file is missing."""


def export_bundle(
    workshop: Workshop,
    logbook: LogbookId,
    target: Path,
    *,
    since: Path | Bundle | None = None,
    without_private: bool = False,
    with_location: bool = False,
    progress: Progress = NoProgress(),
) -> Manifest:
    """Write all of a vehicle's logbook, what it refers to and its photos into one file.

    Parameters
    ----------
    since : Path or Bundle, optional
        An earlier bundle, which the receiver has: only what is not in it goes along.
    without_private : bool
        Leave out money and people's names.
    with_location : bool
        Let photos go along as they are, with the place where they were taken. Else one that tells
        its place goes along as a copy without it.

    Raises
    ------
    NotFound
        If there is no such logbook.
    DiskFull
        If there is no room; nothing is left of the bundle then.
    """
    earlier = read_bundle(since, progress) if isinstance(since, Path) else since
    names = {each.id: each.name for each in workshop.logbooks()}
    bare = WithoutPlace(lambda digest: _photo(workshop, PhotoId(digest)))
    entries = _all_entries(workshop, logbook)
    with disk_trouble(target.parent):
        return write_bundle(
            target,
            logbook,
            entries if with_location else bare.entries(entries),
            _all_entries(workshop, GARAGE),
            bare.source if with_location else bare.photo,
            name=names.get(logbook, ""),
            made_at=in_utc(workshop.clock.now()),
            since=earlier,
            without_private=without_private,
            progress=progress,
        )


def take_in(
    workshop: Workshop,
    source: Path,
    *,
    who: PersonId,
    received_from: str = "",
    progress: Progress = NoProgress(),
) -> TakenIn:
    """Take a bundle in: a vehicle that is new here becomes that of ``who``, another is merged.

    Merging is set union: the same bundle twice, or two copies that went apart, come to one state.
    It changes nobody's role.

    Raises
    ------
    BundleError
        If anything in the bundle is not as it was written; nothing was taken in.
    """
    bundle = read_bundle(source, progress)
    if bundle.logbook in {"", GARAGE}:
        raise BundleError(source, f"holds no vehicle, but the logbook {bundle.logbook!r}")
    sender = received_from or source.name
    photos = _take_photos(workshop, bundle, progress)
    garage = workshop.take(GARAGE, bundle.garage, received_from=sender) if bundle.garage else None
    is_new = bundle.logbook not in {each.id for each in workshop.logbooks()}
    if is_new:
        name = bundle.manifest.name or bundle.logbook
        appended = workshop.store.create_logbook(bundle.logbook, name, who, bundle.entries, sender)
    else:
        appended = workshop.take(bundle.logbook, bundle.entries, received_from=sender)
    missing = (PhotoId(photo) for photo in bundle.photos_missing)
    return TakenIn(
        logbook=bundle.logbook,
        is_new=is_new,
        entries=len(appended.new),
        known=len(appended.known),
        garage_entries=len(garage.new) if garage else 0,
        photos=photos,
        photos_missing=tuple(each for each in missing if not workshop.photos.has(each)),
        lacks=lacks_before(workshop, bundle),
    )


def lacks_before(workshop: Workshop, bundle: Bundle) -> bool:
    """Whether a bundle that is a part only goes on from entries neither here nor in it."""
    last = set(bundle.manifest.since_last).difference(each.id for each in bundle.entries)
    if last and any(each.id == bundle.logbook for each in workshop.logbooks()):
        last.difference_update(each.entry for each in workshop.since(bundle.logbook))
    return bool(last)


def _all_entries(workshop: Workshop, logbook: LogbookId) -> Iterator[Entry]:
    """Give every entry, struck out or not, in the order of arrival."""
    return (read_entry(stored) for stored in workshop.since(logbook))


def _photo(workshop: Workshop, photo: PhotoId) -> bytes | None:
    """Give a photo that is here and sound; a spoilt one must not keep the rest from going."""
    try:
        return workshop.photos.get(photo) if workshop.photos.has(photo) else None
    except Damaged:
        return None


def _take_photos(workshop: Workshop, bundle: Bundle, progress: Progress) -> int:
    """Keep the photos before the entries that name them; count those that were not here."""
    new = 0
    for done, (photo, content) in enumerate(bundle.photos()):
        progress.step(done, len(bundle.photo_files), "taking in photos")
        new += not workshop.photos.has(PhotoId(photo))
        workshop.photos.put(content)
    return new
