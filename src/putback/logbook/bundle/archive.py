"""Zip files from strangers, read so that they can do no harm.

Nothing is ever unpacked to a path that the archive names: members are read by names we know. All
the same, an archive with a name that would lead elsewhere is refused, since other programs would
follow it; and so is one that would swell beyond all measure.
"""

import re
import stat
import struct
import zlib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from io import BufferedReader
from pathlib import Path
from typing import IO
from zipfile import ZIP_DEFLATED, ZIP_STORED, BadZipFile, LargeZipFile, ZipFile, ZipInfo

from putback.errors import BundleError, UnsafeArchive

MANIFEST = "manifest.json"
README = "README.txt"
LOGBOOK = "logbook.jsonl"
GARAGE = "garage.jsonl"

PHOTO = re.compile(r"photos/(?P<digest>[0-9a-f]{64})\.[a-z0-9]{1,8}")
"""The name of a photo or sound in a bundle."""


@dataclass(frozen=True, slots=True)
class Limits:
    """What an archive may hold before it is taken for a trap; sizes as unpacked [bytes]."""

    members: int = 100_000
    text_bytes: int = 2**30
    """Of the manifest, the logbook or the garage's entries."""
    photo_bytes: int = 2**28
    total_bytes: int = 2**38
    ratio: int = 100
    """Unpacked to packed, over the whole archive; entries shrink to a tenth, photos hardly."""
    unsuspicious_bytes: int = 2**26
    """An archive that unpacks to no more than this may shrink by any ratio."""


LIMITS = Limits()

_NO_SOUND_ZIP = (
    *(BadZipFile, LargeZipFile, zlib.error, struct.error, EOFError, OSError),
    *(ValueError, OverflowError, LookupError, RuntimeError),
)
"""What Python's zipfile raises for files that are none, or damaged ones (RuntimeError and its
subclass NotImplementedError for what is encrypted or in an unknown method)."""

_PIECE = 1 << 16


@dataclass(frozen=True, slots=True)
class Archive:
    """An open archive in which no member is unsafe; `others` are files that mean nothing here."""

    path: Path
    members: Mapping[str, ZipInfo]
    others: tuple[str, ...]
    packed: ZipFile

    def read(self, name: str) -> bytes:
        """Give all of a member."""
        return b"".join(self.pieces(name))

    def pieces(self, name: str) -> Iterator[bytes]:
        """Give a member piece by piece."""
        with self._open(name) as file:
            while piece := self._or_refuse(name, file, _PIECE):
                yield piece

    def lines(self, name: str, longest: int) -> Iterator[bytes]:
        """Give a member line by line, each with its end; one that is longer comes in parts."""
        with self._open(name) as file, BufferedReader(file, _PIECE) as lines:  # type: ignore[type-var]
            while line := self._or_refuse(name, lines, longest, by_line=True):
                yield line

    def _open(self, name: str) -> IO[bytes]:
        try:
            return self.packed.open(self.members[name])
        except _NO_SOUND_ZIP as error:
            raise self._damaged(name, error) from error

    def _or_refuse(
        self, name: str, file: IO[bytes] | BufferedReader, size: int, *, by_line: bool = False
    ) -> bytes:
        try:
            return file.readline(size) if by_line else file.read(size)
        except _NO_SOUND_ZIP as error:
            raise self._damaged(name, error) from error

    def _damaged(self, name: str, error: Exception) -> BundleError:
        return BundleError(self.path, f"is damaged: {error}", member=name)


@contextmanager
def open_archive(path: Path, limits: Limits = LIMITS) -> Iterator[Archive]:
    """Open a zip file, if it is one and can do no harm.

    Raises
    ------
    BundleError
        If it is no zip file, or a damaged one.
    UnsafeArchive
        If a name in it leads elsewhere or stands there twice, or if it is beyond the limits.
    """
    try:
        file = path.open("rb")
    except (OSError, ValueError) as error:
        why = f"cannot be opened: {getattr(error, 'strerror', None) or error}"
        raise BundleError(path, why, "see that the path is right") from error
    with file:
        try:
            if _directory_bytes(file) > limits.members * _MOST_BYTES_A_NAME:
                raise UnsafeArchive(path, f"holds more than {limits.members} files")
            packed = ZipFile(file)
        except _NO_SOUND_ZIP as error:
            raise BundleError(path, f"is not a sound zip file: {error}") from error
        with packed:
            yield _survey(path, packed, limits)


_END = struct.Struct("<4s4H2LH")
_END_64 = struct.Struct("<4sQ2H2L4Q")
_LOCATOR_64 = struct.Struct("<4sLQL")
_MOST_BYTES_A_NAME = 200
"""A photo takes 153 in the archive's directory, other programs' additions not counted."""


def _directory_bytes(file: IO[bytes]) -> int:
    """Tell how large the directory of a zip file is, before it is read as a whole.

    APPNOTE.TXT 6.3.10, 4.3.14 to 4.3.16: the record at the very end, found from behind.
    """
    size = file.seek(0, 2)
    file.seek(max(0, size - 0xFFFF - _END.size - _LOCATOR_64.size - _END_64.size))
    tail = file.read()
    file.seek(0)
    at = tail.rfind(b"PK\x05\x06", 0, max(0, len(tail) - _END.size) + 4)
    if at < 0:
        raise BadZipFile("it has no end record")
    found = int(_END.unpack_from(tail, at)[5])
    before = at - _LOCATOR_64.size - _END_64.size
    if before >= 0 and tail.startswith(b"PK\x06\x06", before):
        found = max(found if found != 0xFFFFFFFF else 0, _END_64.unpack_from(tail, before)[8])
    return found


def _survey(path: Path, packed: ZipFile, limits: Limits) -> Archive:
    """Look at every name and size before anything is read."""
    members: dict[str, ZipInfo] = {}
    others: list[str] = []
    infos = packed.infolist()
    if len(infos) > limits.members:
        raise UnsafeArchive(path, f"holds {len(infos)} files; at most {limits.members} are read")
    for info in infos:
        name = info.filename
        why = _harm(info)
        if not why and name in members:
            why = "is in it twice"
        if not why and info.file_size > (most := _most_bytes(name, limits)):
            why = f"unpacks to {info.file_size} bytes; at most {most} are read"
        if why:
            raise UnsafeArchive(path, why, member=repr(info.orig_filename[:100]))
        members[name] = info
        if name not in {MANIFEST, README, LOGBOOK, GARAGE} and not PHOTO.fullmatch(name):
            others.append(name)
    total = sum(info.file_size for info in infos)
    swollen = total > limits.unsuspicious_bytes and total > limits.ratio * path.stat().st_size
    if total > limits.total_bytes or swollen:
        raise UnsafeArchive(path, f"unpacks to {total} bytes, far more than it can honestly hold")
    return Archive(path, members, tuple(others), packed)


def _most_bytes(name: str, limits: Limits) -> int:
    return limits.text_bytes if name in {MANIFEST, LOGBOOK, GARAGE} else limits.photo_bytes


def _harm(info: ZipInfo) -> str:
    """Say what is wrong with a member before it is opened; empty if nothing is."""
    name = info.orig_filename
    steps = name.split("/")
    if name != info.filename or not name.isprintable() or "\\" in name or ":" in steps[0]:
        return "has a name that is no plain path"
    if name.startswith("/") or ".." in steps:
        return "has a name that leads out of the archive"
    if stat.S_ISLNK(info.external_attr >> 16):
        return "is a link, not a file"
    if info.flag_bits & 0x1:
        return "is encrypted"
    if info.compress_type not in {ZIP_STORED, ZIP_DEFLATED}:
        return "is packed in a way that is not read here"
    return ""
