"""Files that are whole or not there, and what a disk may answer, in our words."""

import errno
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from secrets import token_hex
from shutil import copyfileobj
from typing import BinaryIO

from putback.errors import DiskFull, StoreError

NO_ROOM = frozenset({errno.ENOSPC, errno.EDQUOT, errno.EFBIG})
"""No space, no quota, or the largest size a file may have here."""


@contextmanager
def disk_trouble(place: Path) -> Iterator[None]:
    """Turn what the disk under ``place`` refuses into errors of our family."""
    try:
        yield
    except OSError as error:
        if error.errno in NO_ROOM:
            raise DiskFull(str(place)) from error
        raise StoreError(str(place), f"cannot be used: {error.strerror or error}") from error


def write_whole(path: Path, content: bytes, mode: int = 0o666) -> None:
    """Write a file that is there with all of its content, for good, or not at all.

    ``mode`` is who may do what with it, less what this account's umask keeps back.
    """
    with _whole(path, mode) as file:
        file.write(content)


def copy_whole(source: Path, path: Path) -> None:
    """Copy a file so that the copy is there whole, for good, or not at all."""
    with source.open("rb") as content, _whole(path, 0o666) as file:
        copyfileobj(content, file)


@contextmanager
def _whole(path: Path, mode: int) -> Iterator[BinaryIO]:
    """Let a file be written that gets its name once all of it is on the disk."""
    part = path.with_name(f".{path.name}.{token_hex(4)}.part")
    try:
        with os.fdopen(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, mode), "wb") as file:
            yield file
            file.flush()
            os.fsync(file.fileno())
        part.replace(path)
    finally:
        part.unlink(missing_ok=True)
    sync_folder(path.parent)


def sync_folder(folder: Path) -> None:
    """Make sure that the names in a folder outlive a power cut."""
    handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def make_folder(folder: Path) -> None:
    """Make a folder and those above it, for good; others of this machine may not look in."""
    missing = [each for each in (folder, *folder.parents) if not each.exists()]
    for each in reversed(missing):
        each.mkdir(mode=0o700, exist_ok=True)
        sync_folder(each.parent)
