"""Exchange by file: what a partner has not been given yet, remembered for each partner."""

from itertools import islice
from pathlib import Path

from putback.logbook.bundle import Bundle, Manifest, photos_of
from putback.logbook.entries.base import LogbookId, digest_of_set
from putback.progress import NoProgress, Progress
from putback.workshop.exchange.exchange import export_bundle
from putback.workshop.exchange.handing import entry_at
from putback.workshop.exchange.partners import Filed, Partners
from putback.workshop.exchange.without_place import WithoutPlace
from putback.workshop.logbooks.look import read_entry
from putback.workshop.logbooks.ports import PhotoId, in_utc
from putback.workshop.logbooks.workshop import Workshop


def export_for(
    workshop: Workshop,
    partners: Partners,
    name: str,
    logbook: LogbookId,
    target: Path,
    *,
    again: bool = False,
    without_private: bool = False,
    with_location: bool = False,
    progress: Progress = NoProgress(),
) -> Manifest:
    """Write what a partner has not been given yet into a bundle, and remember that it was.

    Parameters
    ----------
    again : bool
        Give all of it: an earlier file was lost.

    Raises
    ------
    NotFound
        If there is no such partner, or no such logbook.
    DiskFull
        If there is no room; nothing is left of the bundle then, and nothing counts as given.
    """
    partner = partners.called(name)
    filed = partners.filed(partner.name, logbook)
    position = workshop.store.position(logbook)
    is_other = entry_at(workshop, logbook, filed.position) != filed.entry
    if again or is_other or (filed.without_private and not without_private):
        filed = Filed()
    earlier = _given(workshop, logbook, filed, with_location) if filed.position else None
    manifest = export_bundle(
        workshop,
        logbook,
        target,
        since=earlier,
        without_private=without_private,
        with_location=with_location,
        progress=progress,
    )
    given = Filed(
        position=position,
        entry=entry_at(workshop, logbook, position),
        at=in_utc(workshop.clock.now()),
        photos_missing=manifest.photos_missing,
        without_private=without_private,
    )
    partners.keep_filed(partner.name, logbook, given)
    return manifest


def _given(workshop: Workshop, logbook: LogbookId, filed: Filed, with_location: bool) -> Bundle:
    """Say what was given as the bundle that holds all of it.

    Of the garage nothing counts as given: what a vehicle refers to there is little.
    """
    bare = WithoutPlace(
        lambda photo: (
            workshop.photos.get(PhotoId(photo)) if workshop.photos.has(PhotoId(photo)) else None
        )
    )
    rows = map(read_entry, islice(workshop.since(logbook), filed.position))
    entries = tuple(rows if with_location else bare.entries(rows))
    named = {photo for each in entries for photo in photos_of(each)}
    return Bundle(
        path=Path(),
        manifest=Manifest(
            logbook=logbook,
            entries=len(entries),
            digest=digest_of_set(each.digest for each in entries),
        ),
        entries=entries,
        garage=(),
        photo_files=dict.fromkeys(named.difference(filed.photos_missing), ""),
    )
