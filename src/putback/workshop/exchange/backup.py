"""Backups: all of a store in plain files, one format for whichever database it is in.

A backup is a folder that appears under its name only when it is whole::

    putback-2031-05-02T180000Z/
        README.txt          what this is, for somebody who finds it
        manifest.json       when and of what; every file with its SHA-256
        tables/*.jsonl      one record a line, all of one moment
        photos/3f/3f5a...   as in the store, named by their SHA-256

It is restored into an empty store of either kind, by this version or a later one.
"""

import json
import shutil
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from hashlib import sha256
from itertools import groupby
from os import fsync
from pathlib import Path
from typing import Any

from putback.errors import AlreadyExists, BadInput, Damaged, NotFound, UnreadableFile
from putback.progress import NoProgress, Progress
from putback.version import __version__
from putback.workshop.logbooks.files import disk_trouble, make_folder, sync_folder, write_whole
from putback.workshop.logbooks.ports import (
    ENTRY_TABLE,
    BackupNote,
    DurableStore,
    PhotoId,
    PhotoStore,
    Row,
    in_utc,
)

FORMAT = 1
MANIFEST = "manifest.json"

_README = """\
This is a backup made by Putback, the logbook of a vehicle's restoration.

To use it, install Putback and run:  putback restore THIS-FOLDER
into an empty home folder. Without Putback: the files in tables/ hold one JSON record a line. In
putback_entry.jsonl, "raw" is a logbook entry as it was received, in base64; it is JSON again, and
says what was done, when and by whom. photos/ holds the photos, named by the SHA-256 of their
bytes.
Do not change anything here: manifest.json has the digest of every file.
"""


@dataclass(frozen=True, slots=True)
class Backup:
    """A backup that is whole; ``made_at`` is an ISO 8601 instant in UTC."""

    folder: Path
    made_at: str
    shape: Mapping[str, str]
    tables: Mapping[str, int]
    """Records in each table."""
    digests: Mapping[str, str] = field(repr=False)
    """SHA-256 of each file, by its path in the folder."""
    left_out: tuple[PhotoId, ...] = ()
    """Photos that were damaged already, and are therefore not in it."""

    @property
    def entries(self) -> int:
        """How many entries it holds."""
        return self.tables.get(ENTRY_TABLE, 0)

    @property
    def photos(self) -> tuple[PhotoId, ...]:
        """The photos it holds."""
        return tuple(
            PhotoId(path.rpartition("/")[2]) for path in self.digests if path.startswith("photos/")
        )


def back_up(
    store: DurableStore,
    photos: PhotoStore,
    into: Path,
    now: datetime,
    *,
    home: Path,
    progress: Progress = NoProgress(),
) -> Backup:
    """Copy all of a store into a new folder under ``into``, and remember that it was done.

    Others may go on writing; what they add meanwhile is in the next backup.

    Raises
    ------
    BadInput
        If ``into`` is inside ``home``, where it would be lost together with the store.
    DiskFull
        If there is no room; nothing of the backup is left then.
    """
    if into.resolve().is_relative_to(home.resolve()):
        raise BadInput(
            f"{into} is inside the store's own folder, and would be lost with it",
            mend="name a folder on another disk or machine",
        )
    backup = _write(store, photos, into, now, progress)
    store.note_backup(BackupNote(backup.made_at, str(backup.folder), backup.entries))
    return backup


def back_up_tables(store: DurableStore, into: Path, now: datetime) -> Backup:
    """Copy the tables without photos: what can be lost when tables are changed."""
    return _write(store, None, into, now, NoProgress())


def open_backup(folder: Path, progress: Progress = NoProgress()) -> Backup:
    """Read a backup's manifest, and look whether every file is the one that was written.

    Raises
    ------
    UnreadableFile
        If this is no backup, or one of a later format.
    Damaged
        If a file is missing or is not as it was written.
    """
    backup = _read_manifest(folder)
    with disk_trouble(folder):
        for done, (path, digest) in enumerate(backup.digests.items()):
            progress.step(done, len(backup.digests), "checking the backup")
            if not (folder / path).is_file():
                raise Damaged(str(folder), f"{path} is missing from the backup")
            if _digest_of_file(folder / path) != digest:
                raise Damaged(str(folder / path), "the file is not as it was written")
    return backup


def restore(
    folder: Path, store: DurableStore, photos: PhotoStore, progress: Progress = NoProgress()
) -> Backup:
    """Fill an empty store from a backup, having looked whether the backup is sound.

    Raises
    ------
    AlreadyExists
        If there is something in the store; nothing is ever overwritten.
    """
    if store.logbooks():
        raise AlreadyExists("store with logbooks", store.name, "restore into an empty home folder")
    backup = open_backup(folder, progress)
    with disk_trouble(folder):
        for done, photo in enumerate(backup.photos):
            progress.step(done, len(backup.photos), "restoring photos")
            photos.put((folder / "photos" / photo[:2] / photo).read_bytes())
        store.restore(backup.shape, _rows(backup))
    return backup


# -- writing ------------------------------------------------------------------------------------


def _write(
    store: DurableStore, photos: PhotoStore | None, into: Path, now: datetime, progress: Progress
) -> Backup:
    with disk_trouble(into):
        make_folder(into)
        folder = _free_name(into, now)
        part = into / f".{folder.name}.part"
        try:
            part.mkdir(mode=0o700)
            shape = dict(store.shape())
            digests: dict[str, str] = {}
            tables = _write_tables(store, part, digests, progress)
            left_out = _copy_photos(photos, part, digests, progress) if photos is not None else ()
            backup = Backup(folder, in_utc(now), shape, tables, digests, left_out)
            write_whole(part / "README.txt", _README.encode())
            write_whole(part / MANIFEST, _manifest(backup, store.name))
            part.rename(folder)
        finally:
            shutil.rmtree(part, ignore_errors=True)
        sync_folder(into)
    return backup


def _free_name(into: Path, now: datetime) -> Path:
    name = f"putback-{now.astimezone(UTC):%Y-%m-%dT%H%M%SZ}"
    tries = [name, *(f"{name}-{number}" for number in range(2, 1000))]
    return next(into / each for each in tries if not (into / each).exists())


def _write_tables(
    store: DurableStore, part: Path, digests: dict[str, str], progress: Progress
) -> dict[str, int]:
    tables: dict[str, int] = {}
    (part / "tables").mkdir()
    with store.dump() as rows:
        for table, group in groupby(rows, key=lambda row: row.table):
            path = f"tables/{table}.jsonl"
            digest, count = sha256(), 0
            with (part / path).open("xb") as file:
                for row in group:
                    progress.step(count, None, f"copying {table}")
                    line = _json(row.values) + b"\n"
                    file.write(line)
                    digest.update(line)
                    count += 1
                file.flush()
                fsync(file.fileno())
            digests[path], tables[table] = digest.hexdigest(), count
    sync_folder(part / "tables")
    return tables


def _copy_photos(
    photos: PhotoStore, part: Path, digests: dict[str, str], progress: Progress
) -> tuple[PhotoId, ...]:
    """Copy every photo that is sound; a spoilt one must not keep the rest from being saved."""
    left_out: list[PhotoId] = []
    for done, photo in enumerate(photos):
        progress.step(done, None, "copying photos")
        try:
            content = photos.get(photo)
        except (Damaged, NotFound):
            left_out.append(photo)
            continue
        path = part / "photos" / photo[:2] / photo
        path.parent.mkdir(parents=True, exist_ok=True)
        write_whole(path, content)
        digests[f"photos/{photo[:2]}/{photo}"] = photo
    return tuple(left_out)


def _manifest(backup: Backup, store: str) -> bytes:
    return json.dumps(
        {
            "format": FORMAT,
            "made_at": backup.made_at,
            "made_by": f"putback {__version__}",
            "of": store,
            "shape": backup.shape,
            "tables": backup.tables,
            "left_out": backup.left_out,
            "digests": backup.digests,
        },
        indent=1,
        ensure_ascii=False,
    ).encode()


def _json(values: Mapping[str, Any]) -> bytes:
    return json.dumps(values, ensure_ascii=False, separators=(",", ":")).encode()


# -- reading ------------------------------------------------------------------------------------


def _read_manifest(folder: Path) -> Backup:
    path = folder / MANIFEST
    try:
        plain = json.loads(path.read_bytes())
        if plain["format"] != FORMAT:
            why = f"is a backup of format {plain['format']}, and this version reads {FORMAT}"
            raise UnreadableFile(
                path, None, why, "install the version that made it, or a later one"
            )
        backup = Backup(
            folder,
            plain["made_at"],
            dict(plain["shape"]),
            dict(plain["tables"]),
            dict(plain["digests"]),
            tuple(plain["left_out"]),
        )
    except (OSError, ValueError, KeyError, TypeError) as error:
        mend = "name the folder that holds manifest.json, tables and photos"
        raise UnreadableFile(path, None, "is not the manifest of a backup", mend) from error
    inside = folder.resolve()
    for name in backup.digests:
        if not (inside / name).resolve().is_relative_to(inside):
            raise UnreadableFile(path, None, f"names a file outside the backup: {name!r}")
    return backup


def _rows(backup: Backup) -> Iterator[Row]:
    for table in backup.tables:
        with (backup.folder / "tables" / f"{table}.jsonl").open("rb") as lines:
            for line in lines:
                yield Row(table, json.loads(line))


def _digest_of_file(path: Path) -> str:
    digest = sha256()
    with path.open("rb") as file:
        while piece := file.read(1 << 20):
            digest.update(piece)
    return digest.hexdigest()
