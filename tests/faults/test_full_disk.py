"""A disk that fills up: what does not fit is refused whole, and all before it stays."""

import json
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest
from django.db import connections

from putback.errors import DiskFull
from putback.logbook.entries.base import Entry
from putback.logbook.entries.working import NoteMade
from putback.web.store import setup
from putback.workshop.exchange.backup import back_up
from putback.workshop.exchange.verify import verify
from tests.postgres import Server, binary
from tests.stores import ANN, PLOVER, Phone, Watch

ROOT = Path(__file__).parents[2]

pytestmark = pytest.mark.slow


def run(program: str, *arguments: object) -> dict[str, object]:
    """Run a program of its own, since the limit holds for all that a process writes."""
    done = subprocess.run(
        [sys.executable, "-c", PRELUDE + program, *map(str, arguments)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


PRELUDE = """
import json, resource, sys
from pathlib import Path
from putback.errors import DiskFull
from putback.logbook.entries.working import NoteMade
from putback.web.store import setup
from tests.stores import *

def limit(size):
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, resource.RLIM_INFINITY))

def fill(write):
    done = 0
    try:
        while done < 1000:
            write()
            done += 1
    except DiskFull as error:
        return done, str(error)

opened = setup(sys.argv[1], "")
"""

ENTRIES = """
store, phone = opened.entries, Phone()
store.create_logbook(PLOVER, "Plover", ANN)
limit(600_000)
act = lambda: [phone.entry(NoteMade(text=f"{n} " + "x" * 9000)) for n in range(3)]
done, said = fill(lambda: store.append(PLOVER, act(), ""))
position, rows = store.position(PLOVER), len(list(store.read(PLOVER)))
limit(resource.RLIM_INFINITY)
store.append(PLOVER, act(), "")
print(json.dumps([done, said, position, rows, store.position(PLOVER)]))
"""

PHOTOS = """
limit(50_000)
small = opened.photos.put(b"x" * 50_000)
try:
    opened.photos.put(b"y" * 50_001)
except DiskFull as error:
    said = str(error)
files = [path.name for path in opened.photos.folder.glob("*/*")]
limit(resource.RLIM_INFINITY)
opened.photos.put(b"y" * 50_001)
print(json.dumps([said, files == [small], len(list(opened.photos))]))
"""


def test_entries_that_do_not_fit_are_refused_whole(tmp_path, opener):
    """SQLite: the act that does not fit is not there in part; once there is room it goes on."""
    done, said, position, rows, after = run(ENTRIES, tmp_path / "home")
    assert 3 < done < 100
    assert said.endswith("the disk is full; nothing was saved; make room and try again")
    assert position == rows == 3 * done
    assert after == 3 * done + 3
    opened = opener.open("sqlite")
    assert verify(opened.entries, opened.photos).faults == []


def test_a_photo_that_does_not_fit_is_not_there(tmp_path):
    """Neither the photo nor a piece of it."""
    said, only_the_small, after = run(PHOTOS, tmp_path / "home")
    assert said.endswith("the disk is full; nothing was saved; make room and try again")
    assert (only_the_small, after) == (True, 2)


class Cramped(Server):
    """A server that is started by a script of its own, which limits the size of files."""

    __slots__ = ()

    def _control(self, *arguments: str) -> None:
        script = self.folder / "cramped"
        if not script.exists():
            # POSIX: in units of 512 bytes.
            limit = f"ulimit -S -f {16 * 2**20 // 512}"
            script.write_text(f'#!/bin/sh\n{limit}\nexec {binary("postgres")} "$@"\n')
            script.chmod(0o755)
        extra = ["-p", str(script)] if arguments[0] == "start" else []
        super()._control(*arguments, *extra)


@pytest.mark.postgres
def test_a_server_without_room_refuses_whole(tmp_path):
    """PostgreSQL: its processes may not let any file grow beyond one segment of their log."""
    folder = Path(tempfile.mkdtemp(prefix="putback-postgres-"))
    server = Cramped.create(folder)
    try:
        server.start()
        store = setup(tmp_path / "home", server.url()).entries
        store.create_logbook(PLOVER, "Plover", ANN)
        with connections[store.alias].cursor() as cursor:
            # Not to be compressed, so that rows take the room that they seem to.
            cursor.execute("ALTER TABLE putback_entry ALTER raw SET STORAGE EXTERNAL")
        phone, position = Phone(), 0

        def act() -> list[Entry]:
            return [phone.entry(NoteMade(text="x" * 200_000)) for _ in range(5)]

        refused = None
        while refused is None and position < 200:
            try:
                position = store.append(PLOVER, act(), "").position
            except DiskFull as error:
                refused = str(error)
        assert refused.endswith("the disk is full; nothing was saved; make room and try again")
        assert position > 5
        assert store.position(PLOVER) == len(list(store.read(PLOVER))) == position
        store.close()
        server.stop()
        (folder / "cramped").write_text(f'#!/bin/sh\nexec {binary("postgres")} "$@"\n')
        server.start()
        assert store.append(PLOVER, act(), "").position == position + 5
        store.close()
    finally:
        server.stop("immediate")
        shutil.rmtree(folder)


def test_a_backup_that_does_not_fit_is_not_there(opener, kind, tmp_path, monkeypatch):
    """No folder that looks like a backup, and no note of one; the store is as it was."""
    opened = opener.open(kind)
    opened.entries.create_logbook(PLOVER, "Plover", ANN)
    opened.entries.append(PLOVER, Phone().entries(20), "")
    photo = opened.photos.put(b"photo")

    def full(path, content):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("putback.workshop.exchange.backup.write_whole", full)
    stick = tmp_path / "stick"
    with pytest.raises(DiskFull, match=str(stick)):
        back_up(opened.entries, opened.photos, stick, Watch().now(), home=opened.home)
    assert list(stick.iterdir()) == []
    assert opened.entries.last_backup() is None
    assert list(opened.photos) == [photo]
    monkeypatch.undo()
    back_up(opened.entries, opened.photos, stick, Watch().now(), home=opened.home)
    assert opened.entries.last_backup().entries == 20
