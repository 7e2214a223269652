"""Writing bundles: whole or not at all, and in no more memory than one photo takes."""

import os
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from hashlib import sha256
from pathlib import Path
from secrets import token_hex
from zipfile import ZIP_DEFLATED, ZIP_STORED, ZipFile, ZipInfo

from putback.errors import Damaged
from putback.logbook.bundle.archive import GARAGE, LOGBOOK, MANIFEST, README, open_archive
from putback.logbook.bundle.lines import to_line
from putback.logbook.bundle.manifest import Manifest
from putback.logbook.bundle.read import Bundle, photos_of
from putback.logbook.bundle.readme import readme
from putback.logbook.bundle.referred import Mentions
from putback.logbook.entries.base import Entry, EntryId, LogbookId, digest_of_set
from putback.logbook.entries.bookkeeping import LocationLeftOut
from putback.logbook.entries.registry import KINDS
from putback.logbook.entries.working import PhotoTaken, SoundTaken
from putback.progress import NoProgress, Progress
from putback.version import __version__

PhotoSource = Callable[[str], bytes | None]
"""Gives the bytes of a photo or sound by their SHA-256; nothing if they are not to be had."""

_ENDINGS = {
    "image/jpeg": "jpg",
    "image/png": "png",
    "image/gif": "gif",
    "image/webp": "webp",
    "image/heic": "heic",
    "image/avif": "avif",
    "audio/webm": "webm",
    "audio/mp4": "m4a",
    "audio/mpeg": "mp3",
    "audio/ogg": "ogg",
    "audio/wav": "wav",
}
_SOME_ENDING = "bin"
_LAST = 20
"""So many of the last entries left out are named: what a restored copy lacks is the end."""


def no_photos(digest: str) -> None:
    """Give no photo at all: a bundle of entries only."""


def write_bundle(
    target: Path,
    logbook: LogbookId,
    entries: Iterable[Entry],
    garage_entries: Iterable[Entry] = (),
    photos: PhotoSource = no_photos,
    *,
    name: str = "",
    made_at: str = "",
    since: Bundle | None = None,
    without_private: bool = False,
    progress: Progress = NoProgress(),
) -> Manifest:
    """Write a bundle; a file at ``target`` is replaced when the new one is whole, not before.

    The same entries given twice are in it once, so several bundles are merged by giving the
    entries of all. The entries keep the order in which they are given; it means nothing.

    Parameters
    ----------
    logbook : LogbookId
        The vehicle's logbook, of which all ``entries`` are.
    garage_entries : iterable of Entry
        The garage's logbook, of which those go along that the vehicle's entries refer to.
    photos : callable
        Gives a photo's bytes by their digest; one that is not to be had is listed as missing.
    name, made_at : str
        What the vehicle is called, and the present moment in ISO 8601; for people who read it.
    since : Bundle, optional
        What the receiver has already, by having sent or taken in this earlier bundle: all of it
        is left out, all else goes along, whenever it happened or was logged.
    without_private : bool
        Leave out money and people's names, and whatever kind is not known well enough to say.

    Raises
    ------
    OSError
        If the disk refuses; nothing is left of the bundle then.
    Damaged
        If a photo is not the one that its digest says.
    """
    part = target.with_name(f".{target.name}.{token_hex(4)}.part")
    try:
        with part.open("xb") as file:
            with ZipFile(file, "w") as packed:
                writing = _Writing(packed, since, progress, without_private=without_private)
                writing.entries(LOGBOOK, entries, writing.mentions.note)
                digest = digest_of_set(writing.digests)
                count = len(writing.digests)
                writing.entries(GARAGE, writing.mentions.in_garage(garage_entries))
                writing.photos(photos)
                manifest = Manifest(
                    logbook=logbook,
                    name=name,
                    made_at=made_at,
                    program=f"putback {__version__}",
                    entries=count,
                    garage_entries=len(writing.digests) - count,
                    digest=digest,
                    files=writing.files,
                    photos_missing=tuple(writing.photos_missing),
                    left_out=writing.left_out,
                    since=since.manifest.digest if since else "",
                    since_last=writing.last_there(),
                )
                writing.text(MANIFEST, manifest.to_json())
                writing.text(README, readme(manifest).encode())
            file.flush()
            os.fsync(file.fileno())
        with open_archive(part):
            pass  # so that no bundle is ever written that would be refused as a trap
        part.replace(target)
    finally:
        part.unlink(missing_ok=True)
    _sync_folder(target.parent)
    return manifest


@dataclass(slots=True)
class _Writing:
    """A bundle while it is written."""

    packed: ZipFile
    since: Bundle | None
    progress: Progress
    without_private: bool = field(kw_only=True)
    mentions: Mentions = field(default_factory=Mentions)
    digests: list[str] = field(default_factory=list)
    files: dict[str, str] = field(default_factory=dict)
    photo_endings: dict[str, str] = field(default_factory=dict)
    copied: set[str] = field(default_factory=set)
    """Photos of which a copy goes along, without where they were taken."""
    photos_missing: list[str] = field(default_factory=list)
    left_out: int = 0

    def last_there(self) -> tuple[EntryId, ...]:
        """Name the last that the receiver has: a copy restored from a backup lacks them."""
        given = self.since.entries if self.since else ()
        told = [each.id for each in given if not (self.without_private and _is_private(each))]
        return tuple(told[-_LAST:])

    def entries(
        self, name: str, entries: Iterable[Entry], note: Callable[[Entry], None] = lambda _: None
    ) -> None:
        """Write those entries that are to go along, and note the photos that any of them names."""
        there = self._there_already()
        digest = sha256()
        with self.packed.open(_info(name, ZIP_DEFLATED), "w", force_zip64=True) as file:
            for done, entry in enumerate(entries):
                self.progress.step(done, None, f"writing {name}")
                for photo in photos_of(entry):
                    self.photo_endings.setdefault(photo, self._ending(entry))
                note(entry)
                if (entry.id, entry.digest) in there:
                    continue
                there.add((entry.id, entry.digest))
                if self.without_private and _is_private(entry):
                    self.left_out += 1
                    continue
                line = to_line(entry.raw)
                digest.update(line)
                file.write(line)
                self.digests.append(entry.digest)
        self.files[name] = digest.hexdigest()

    def photos(self, source: PhotoSource) -> None:
        """Write the photos that were named and are not with the receiver already."""
        there = self.since.photo_files if self.since else {}
        wanted = [each for each in self.photo_endings if each not in there]
        for done, photo in enumerate(wanted):
            self.progress.step(done, len(wanted), "writing photos")
            content = source(photo)
            if content is None:
                if photo not in self.copied:
                    self.photos_missing.append(photo)
                continue
            if sha256(content).hexdigest() != photo:
                raise Damaged(f"photo {photo}", "its bytes are not those of its digest")
            path = f"photos/{photo}.{self.photo_endings[photo]}"
            self.packed.writestr(_info(path, ZIP_STORED), content)
            self.files[path] = photo

    def text(self, name: str, content: bytes) -> None:
        """Write a small file."""
        self.packed.writestr(_info(name, ZIP_DEFLATED), content)

    def _ending(self, entry: Entry) -> str:
        match entry.body:
            case PhotoTaken(media_type=media) | SoundTaken(media_type=media):
                return _ENDINGS.get(media.partition(";")[0].strip().lower(), _SOME_ENDING)
            case LocationLeftOut(photo=original):
                self.copied.add(original)
                return self.photo_endings.get(original, _SOME_ENDING)
        return _SOME_ENDING

    def _there_already(self) -> set[tuple[EntryId, str]]:
        bundle = self.since
        known = (*bundle.entries, *bundle.garage) if bundle else ()
        return {(entry.id, entry.digest) for entry in known}


def _info(name: str, method: int) -> ZipInfo:
    # One moment for all, so that the same entries give the same bytes.
    info = ZipInfo(name, date_time=(1980, 1, 1, 0, 0, 0))
    info.compress_type = method
    info.external_attr = 0o644 << 16
    return info


def _is_private(entry: Entry) -> bool:
    """Whether it tells of money or names, or is of a kind of which nobody here can say."""
    kind = KINDS.get(entry.kind)
    return kind is None or kind.PRIVATE


def _sync_folder(folder: Path) -> None:
    """Make sure that the new name outlives a power cut."""
    handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
