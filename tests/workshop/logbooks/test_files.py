"""A file is whole or not there, and what a disk refuses is said in our words."""

import errno
import os
from pathlib import Path

import pytest

from putback.errors import DiskFull, StoreError
from putback.workshop.logbooks.files import disk_trouble, make_folder, write_whole


def test_a_file_is_whole_or_not_there(tmp_path, monkeypatch):
    """A disk that fills up while writing leaves neither the file nor a piece of it."""
    path = tmp_path / "photo"

    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(DiskFull, match="is full; nothing was saved"), disk_trouble(tmp_path):
        write_whole(path, b"content")
    assert list(tmp_path.iterdir()) == []
    monkeypatch.undo()
    write_whole(path, b"old")
    write_whole(path, b"content")
    assert path.read_bytes() == b"content"
    assert list(tmp_path.iterdir()) == [path]


def test_a_file_is_on_the_disk_before_its_name_is(tmp_path, monkeypatch):
    """First the content, then the name, then the folder: the order a power cut cannot undo."""
    done = []
    fsync = os.fsync

    def noting(handle: int) -> None:
        done.append(str(Path(f"/proc/self/fd/{handle}").readlink()))
        fsync(handle)

    monkeypatch.setattr(os, "fsync", noting)
    write_whole(tmp_path / "photo", b"content")
    part, folder = done
    assert part.startswith(f"{tmp_path}/.photo.")
    assert folder == str(tmp_path)


@pytest.mark.parametrize("code", [errno.ENOSPC, errno.EDQUOT, errno.EFBIG])
def test_no_room_has_one_name(tmp_path, code):
    """Space, quota or the largest size of a file."""
    with pytest.raises(DiskFull), disk_trouble(tmp_path):
        raise OSError(code, os.strerror(code))


def test_other_refusals_name_the_place(tmp_path):
    """With what the system says of it."""
    refused = pytest.raises(StoreError, match=r"cannot be used: Permission denied")
    with refused as error, disk_trouble(tmp_path):
        raise OSError(errno.EACCES, os.strerror(errno.EACCES))
    assert error.value.place() == str(tmp_path)


def test_folders_are_made_for_their_owner_alone(tmp_path):
    """All that are missing; those that are there stay as they are."""
    make_folder(tmp_path / "a" / "b")
    make_folder(tmp_path / "a" / "b" / "c")
    for folder in ("a", "a/b", "a/b/c"):
        assert (tmp_path / folder).stat().st_mode & 0o777 == 0o700
