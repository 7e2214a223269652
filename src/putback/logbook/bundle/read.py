"""Reading bundles: checked from end to end before anything is given out."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from hashlib import sha256
from pathlib import Path

from putback.errors import BundleError
from putback.logbook.bundle.archive import (
    GARAGE,
    LIMITS,
    LOGBOOK,
    MANIFEST,
    PHOTO,
    Archive,
    Limits,
    open_archive,
)
from putback.logbook.bundle.lines import LONGEST_LINE, from_line
from putback.logbook.bundle.manifest import Manifest, read_manifest
from putback.logbook.entries.base import (
    Entry,
    EntryId,
    LogbookId,
    MalformedEntry,
    Unread,
    digest_of_set,
)
from putback.logbook.entries.bookkeeping import LocationLeftOut
from putback.logbook.entries.registry import decode
from putback.logbook.entries.working import PhotoTaken, SoundTaken
from putback.progress import NoProgress, Progress

_GARAGE_ID = LogbookId("garage")


@dataclass(frozen=True, slots=True)
class BundleFault:
    """One thing in a bundle that is not as it was written; lines count from 1."""

    member: str
    what: str
    line: int | None = None

    @property
    def where(self) -> str:
        """The file in the bundle, and the line."""
        return self.member if self.line is None else f"{self.member}, line {self.line}"

    def __str__(self) -> str:
        return f"{self.where}: {self.what}"


@dataclass(frozen=True, slots=True)
class Bundle:
    """A bundle that was read: its entries at hand, its photos still in the file."""

    path: Path
    manifest: Manifest
    entries: tuple[Entry, ...] = field(repr=False)
    """Of the vehicle, each once, in the order of the file."""
    garage: tuple[Entry, ...] = field(repr=False)
    """Of the garage, as far as the vehicle's refer to them."""
    photo_files: Mapping[str, str] = field(repr=False)
    """Name of each photo's file in the bundle, by its digest."""

    @property
    def logbook(self) -> LogbookId:
        """Whose entries these are."""
        return self.manifest.logbook

    @property
    def photos_missing(self) -> tuple[str, ...]:
        """Photos that entries name and that are not in it: withdrawn, or left out. No fault.

        One of which a copy without its place is there is not missing.
        """
        entries = (*self.entries, *self.garage)
        named = {photo for entry in entries for photo in photos_of(entry)}
        copied = {entry.body.photo for entry in entries if isinstance(entry.body, LocationLeftOut)}
        return tuple(sorted(named - self.photo_files.keys() - copied))

    def photo(self, digest: str) -> bytes | None:
        """Give the bytes of one photo; nothing if it is not there."""
        if digest not in self.photo_files:
            return None
        with open_archive(self.path) as archive:
            return archive.read(self.photo_files[digest])

    def photos(self) -> Iterator[tuple[str, bytes]]:
        """Give every photo with its digest, one after the other."""
        if self.photo_files:
            with open_archive(self.path) as archive:
                for digest, name in self.photo_files.items():
                    yield digest, archive.read(name)


@dataclass(frozen=True, slots=True)
class BundleReport:
    """What a check found: all faults at once, and what is odd but no fault."""

    bundle: Bundle
    faults: tuple[BundleFault, ...]
    duplicates: int
    """Lines that hold an entry once more."""
    conflicts: tuple[EntryId, ...]
    """Identities that stand there with several bodies; all are kept."""
    unread: int
    """Entries of a kind, version or shape that this version does not know; they are kept."""
    others: tuple[str, ...]
    """Files that mean nothing here and are not read."""

    @property
    def is_sound(self) -> bool:
        """Whether it can be taken in."""
        return not self.faults


def read_bundle(
    path: Path, progress: Progress = NoProgress(), *, limits: Limits = LIMITS
) -> Bundle:
    """Read a bundle, all of it or nothing.

    Raises
    ------
    BundleError
        If it is no bundle, or anything in it is not as it was written; the first such is named.
    UnsafeArchive
        If reading it could do harm.
    """

    def refuse(fault: BundleFault) -> None:
        raise BundleError(path, fault.what, member=fault.where)

    return _Reading(path, refuse, progress).read(limits).bundle


def check_bundle(
    path: Path, progress: Progress = NoProgress(), *, limits: Limits = LIMITS
) -> BundleReport:
    """Look through a whole bundle and report everything that is wrong with it.

    Raises
    ------
    BundleError
        If it is no bundle at all: no zip file, or one without a manifest.
    UnsafeArchive
        If reading it could do harm.
    """
    faults: list[BundleFault] = []
    return _Reading(path, faults.append, progress, faults).read(limits)


def photos_of(entry: Entry) -> tuple[str, ...]:
    """Name the photos or sounds whose bytes belong to an entry."""
    match entry.body:
        case (
            PhotoTaken(photo=digest) | SoundTaken(sound=digest) | LocationLeftOut(copied_as=digest)
        ):
            return (digest,)
    return ()


@dataclass(slots=True)
class _Reading:
    """One pass through a bundle; what is wrong with it is said to ``say``."""

    path: Path
    say: Callable[[BundleFault], None]
    progress: Progress
    faults: list[BundleFault] = field(default_factory=list)
    duplicates: int = 0

    def read(self, limits: Limits) -> BundleReport:
        with open_archive(self.path, limits) as archive:
            if MANIFEST not in archive.members:
                raise BundleError(self.path, f"is no bundle: it has no {MANIFEST}")
            manifest = read_manifest(self.path, archive.read(MANIFEST))
            self._compare_names(archive, manifest)
            entries = self._entries(archive, manifest, LOGBOOK, manifest.logbook)
            garage = self._entries(archive, manifest, GARAGE, _GARAGE_ID)
            self._compare_counts(manifest, entries, garage)
            photo_files = self._photo_files(archive, manifest)
            others = archive.others
        bodies: dict[EntryId, int] = {}
        for entry in entries:
            bodies[entry.id] = bodies.get(entry.id, 0) + 1
        return BundleReport(
            bundle=Bundle(self.path, manifest, entries, garage, photo_files),
            faults=tuple(self.faults),
            duplicates=self.duplicates,
            conflicts=tuple(each for each, count in bodies.items() if count > 1),
            unread=sum(isinstance(entry.body, Unread) for entry in (*entries, *garage)),
            others=others,
        )

    def _compare_names(self, archive: Archive, manifest: Manifest) -> None:
        for name in (LOGBOOK, GARAGE, *manifest.files):
            if name not in archive.members:
                self.say(BundleFault(name, "is missing from the bundle"))
        for name in archive.members:
            is_ours = name in {LOGBOOK, GARAGE} or PHOTO.fullmatch(name)
            if is_ours and name not in manifest.files:
                self.say(BundleFault(name, f"is not listed in {MANIFEST}"))

    def _entries(
        self, archive: Archive, manifest: Manifest, name: str, logbook: LogbookId
    ) -> tuple[Entry, ...]:
        found: dict[tuple[EntryId, str], Entry] = {}
        digest = sha256()
        for at, line in enumerate(self._lines(archive, name), start=1):
            if at % 1000 == 1:
                self.progress.step(at - 1, None, f"reading {name}")
            digest.update(line)
            entry = self._entry(name, at, line, logbook)
            if entry is not None:
                self.duplicates += (entry.id, entry.digest) in found
                found.setdefault((entry.id, entry.digest), entry)
        if name in archive.members:
            self._compare_digest(manifest, name, digest.hexdigest())
        return tuple(found.values())

    def _lines(self, archive: Archive, name: str) -> Iterator[bytes]:
        """Give the lines of a file as far as it can be read."""
        if name in archive.members:
            try:
                yield from archive.lines(name, LONGEST_LINE)
            except BundleError as error:
                self.say(BundleFault(name, error.why))

    def _entry(self, name: str, at: int, line: bytes, logbook: LogbookId) -> Entry | None:
        if line.isspace():
            return None
        try:
            entry = decode(from_line(line))
        except MalformedEntry as error:
            self.say(BundleFault(name, error.fault(), at))
            return None
        except ValueError as error:
            self.say(BundleFault(name, f"not a logbook entry: {error}", at))
            return None
        if entry.logbook != logbook:
            what = f"is of the logbook {entry.logbook!r}, not of {logbook!r}"
            self.say(BundleFault(name, what, at))
            return None
        return entry

    def _compare_counts(
        self, manifest: Manifest, entries: tuple[Entry, ...], garage: tuple[Entry, ...]
    ) -> None:
        for what, held, wanted in (
            ("entries", len(entries), manifest.entries),
            ("garage entries", len(garage), manifest.garage_entries),
        ):
            if held != wanted:
                self.say(BundleFault(MANIFEST, f"tells of {wanted} {what}; there are {held}"))
        if digest_of_set(entry.digest for entry in entries) != manifest.digest:
            self.say(BundleFault(MANIFEST, "the digest of all entries is not the one given"))

    def _photo_files(self, archive: Archive, manifest: Manifest) -> dict[str, str]:
        found: dict[str, str] = {}
        names = [name for name in archive.members if PHOTO.fullmatch(name)]
        for done, name in enumerate(names):
            self.progress.step(done, len(names), "reading photos")
            wanted = name.removeprefix("photos/").partition(".")[0]
            if wanted in found:
                self.say(BundleFault(name, f"is {found[wanted]} once more"))
            digest = sha256()
            try:
                for piece in archive.pieces(name):
                    digest.update(piece)
            except BundleError as error:
                self.say(BundleFault(name, error.why))
                continue
            if digest.hexdigest() != wanted:
                self.say(BundleFault(name, "is not the photo that was put in"))
            else:
                self._compare_digest(manifest, name, wanted)
                found[wanted] = name
        return found

    def _compare_digest(self, manifest: Manifest, name: str, digest: str) -> None:
        if manifest.files.get(name, digest) != digest:
            self.say(BundleFault(name, "is not as it was written"))
