"""What a database refuses is said in our words, with how to mend it; nothing is half done."""

import sqlite3
from pathlib import Path

import psycopg
import pytest
from django.db import connections

from putback.errors import Damaged, StoreBusy, StoreError
from putback.logbook.entries.base import LogbookId
from tests.stores import ANN, PLOVER


@pytest.fixture
def impatient(opener, kind):
    """A store with one logbook, that waits for others but a moment."""
    store = opener.open(kind).entries
    store.create_logbook(PLOVER, "Plover", ANN)
    with connections[store.alias].cursor() as cursor:
        is_sqlite = kind == "sqlite"
        cursor.execute("PRAGMA busy_timeout=50" if is_sqlite else "SET lock_timeout='50ms'")
    return store


def test_somebody_elses_long_writing_is_told(impatient, opener, kind, phone):
    """Who waits in vain hears that nothing was saved; afterwards it works."""
    if kind == "sqlite":
        other = sqlite3.connect(impatient.name, isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
    else:
        other = psycopg.connect(opener.url())
        other.execute("SELECT * FROM putback_logbook FOR UPDATE")
    entry = phone.entry()
    with pytest.raises(StoreBusy, match="is writing to it; nothing was saved; try again"):
        impatient.append(PLOVER, [entry], "")
    assert list(impatient.read(PLOVER)) == []  # who only looks is not kept waiting
    other.rollback()
    other.close()
    assert impatient.append(PLOVER, [entry], "").new == (entry.id,)


def test_a_logbook_is_not_held_up_by_another_on_a_server(opener, phone):
    """PostgreSQL locks one logbook, and those who write in others go on."""
    store = opener.open("postgresql").entries
    for logbook in (PLOVER, LogbookId("wagon-1")):
        store.create_logbook(logbook, logbook, ANN)
    with psycopg.connect(opener.url()) as other:
        other.execute("SELECT * FROM putback_logbook WHERE id = 'wagon-1' FOR UPDATE")
        assert store.append(PLOVER, [phone.entry()], "").position == 1
        other.rollback()


def test_a_connection_that_broke_is_opened_anew(opener, phone):
    """The server threw us out: the call fails and says that it may be repeated, and then works."""
    store = opener.open("postgresql").entries
    store.create_logbook(PLOVER, "Plover", ANN)
    with psycopg.connect(opener.url(), autocommit=True) as other:
        other.execute(
            "SELECT pg_terminate_backend(pid) FROM pg_stat_activity"
            " WHERE datname = current_database() AND pid <> pg_backend_pid()"
        )
    entry = phone.entry()
    with pytest.raises(StoreError, match=r"nothing is doubled|the database refused"):
        store.append(PLOVER, [entry], "")
    assert store.append(PLOVER, [entry], "").position == 1


def test_a_file_that_is_no_database_is_told(opener, phone):
    """Somebody wrote over the file: damaged, and what to do with it."""
    opened = opener.open("sqlite")
    opened.entries.create_logbook(PLOVER, "Plover", ANN)
    opened.close()
    for path in opened.home.glob("putback.sqlite3*"):
        path.write_bytes(b"not a database at all" * 1000)
    with pytest.raises(Damaged, match="keep it as it is and restore the last good backup"):
        opened.entries.append(PLOVER, [phone.entry()], "")


def test_a_page_that_was_spoilt_is_found(opener, phone):
    """The database's own check finds what no query happened to touch."""
    opened = opener.open("sqlite")
    store = opened.entries
    store.create_logbook(PLOVER, "Plover", ANN)
    store.append(PLOVER, phone.entries(500), "")
    assert store.faults() == ()
    with connections[store.alias].cursor() as cursor:
        cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    opened.close()
    path = Path(store.name)
    content = bytearray(path.read_bytes())
    middle = len(content) // 2 // 4096 * 4096
    content[middle : middle + 4096] = b"\xa5" * 4096
    path.write_bytes(content)
    try:
        found = store.faults()
    except Damaged as error:
        found = (str(error),)
    assert found


def test_a_row_that_names_nothing_is_found(opener, phone):
    """Foreign keys are checked too."""
    opened = opener.open("sqlite")
    store = opened.entries
    store.create_logbook(PLOVER, "Plover", ANN)
    store.append(PLOVER, phone.entries(1), "")
    with sqlite3.connect(store.name) as other:
        other.execute("PRAGMA foreign_keys=OFF")
        other.execute("DELETE FROM putback_logbook")
    other.close()
    assert [each for each in store.faults() if "of putback_entry names nothing" in each]


def test_a_file_that_cannot_be_opened_is_told(opener):
    """The database is gone and a folder stands in its place."""
    opened = opener.open("sqlite")
    opened.close()
    for path in opened.home.glob("putback.sqlite3*"):
        path.unlink()
    (opened.home / "putback.sqlite3").mkdir()
    with pytest.raises(StoreError, match="cannot be opened; see that the folder is there"):
        opened.entries.logbooks()


def test_a_file_that_may_not_be_written_is_told(opener, phone):
    """A store on a medium that is write-protected can be read, and says so when written to."""
    opened = opener.open("sqlite")
    opened.entries.create_logbook(PLOVER, "Plover", ANN)
    with connections[opened.entries.alias].cursor() as cursor:
        cursor.execute("PRAGMA query_only=ON")
    with pytest.raises(StoreError, match="may not be written to; see that its folder is yours"):
        opened.entries.append(PLOVER, [phone.entry()], "")
    assert opened.entries.position(PLOVER) == 0
