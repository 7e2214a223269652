"""Files that somebody sent and has not confirmed yet: kept aside, and thrown away after a day."""

import re
import secrets
import time
from collections.abc import Iterable
from pathlib import Path

from putback.errors import BadInput, NotFound
from putback.workshop.logbooks.files import disk_trouble, make_folder

LARGEST_BYTES = 2**30
"""Of one file [bytes]: a vehicle with some hundred pictures."""
KEPT_S = 24 * 3600
"""How long a file waits [s]."""
_TOKEN = re.compile(r"[0-9a-f]{32}")


def put_aside(home: Path, pieces: Iterable[bytes], size: int | None) -> str:
    """Keep a file aside, and give the word by which it is found again.

    Raises
    ------
    BadInput
        If it is too large; nothing of it is kept.
    """
    if size is None or size > LARGEST_BYTES:
        most = LARGEST_BYTES // 2**20
        raise BadInput(f"this file is larger than {most} MB", mend="nothing was kept of it")
    folder = home / "waiting"
    with disk_trouble(folder):
        make_folder(folder)
        _throw_old_away(folder)
        token = secrets.token_hex(16)
        with (folder / token).open("xb") as file:
            for piece in pieces:
                file.write(piece)
    return token


def waiting(home: Path, token: str) -> Path:
    """Give a file that waits.

    Raises
    ------
    NotFound
        If there is none: taken in, thrown away, or never sent.
    """
    path = home / "waiting" / token
    if not _TOKEN.fullmatch(token) or not path.is_file():
        raise NotFound("file that waits to be taken in", "this one")
    return path


def throw_away(home: Path, token: str) -> None:
    """Throw a file away that waits."""
    if _TOKEN.fullmatch(token):
        (home / "waiting" / token).unlink(missing_ok=True)


def _throw_old_away(folder: Path) -> None:
    for each in folder.iterdir():
        if time.time() - each.stat().st_mtime > KEPT_S:
            each.unlink(missing_ok=True)
