"""What a database refuses, in our words: who is busy, what is full, what is damaged."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from django.db import DatabaseError, IntegrityError, InterfaceError, connections

from putback.errors import Damaged, DiskFull, StoreBusy, StoreError

_SQLITE_BUSY = frozenset({"SQLITE_BUSY", "SQLITE_BUSY_SNAPSHOT", "SQLITE_LOCKED"})
_SQLITE_FULL = frozenset({"SQLITE_FULL", "SQLITE_IOERR_WRITE"})
"""A write that the system refuses is, short of a broken disk, one beyond a quota or a limit."""
_SQLITE_DAMAGED = frozenset({"SQLITE_CORRUPT", "SQLITE_NOTADB", "SQLITE_IOERR_SHORT_READ"})

# SQLSTATE, PostgreSQL's documentation, appendix A.
_POSTGRES_BUSY = frozenset({"55P03", "40P01", "40001"})  # lock timeout, deadlock, serialization
_POSTGRES_FULL = frozenset({"53100"})
_POSTGRES_DAMAGED = frozenset({"XX001", "XX002"})
_POSTGRES_NO_EXTENSION = "could not extend file"
"""What a limit on file size leads to has no code of its own."""


@contextmanager
def database_trouble(alias: str, store: str) -> Iterator[None]:
    """Turn the errors of one database into errors of our family.

    A connection that broke is closed, so that the next call opens a new one. A broken constraint
    is the caller's affair.
    """
    try:
        yield
    except IntegrityError:
        raise
    except (DatabaseError, InterfaceError) as error:
        connections[alias].close_if_unusable_or_obsolete()
        raise _in_our_words(error, store) from error


def _in_our_words(error: Exception, store: str) -> StoreError:
    cause = error.__cause__
    code = getattr(cause, "sqlite_errorname", None) or getattr(cause, "sqlstate", None) or ""
    if code in _SQLITE_BUSY or code in _POSTGRES_BUSY:
        return StoreBusy(store)
    if code in _SQLITE_FULL or code in _POSTGRES_FULL or _POSTGRES_NO_EXTENSION in str(error):
        return DiskFull(store)
    if code in _SQLITE_DAMAGED or code in _POSTGRES_DAMAGED:
        return Damaged(store, f"the database is damaged: {error}")
    if code == "SQLITE_CANTOPEN":
        return StoreError(store, "cannot be opened", "see that the folder is there and yours")
    if code == "SQLITE_READONLY":
        return StoreError(store, "may not be written to", "see that its folder is yours to write")
    if isinstance(cause, sqlite3.Error) or code:
        return StoreError(store, f"the database refused: {error}")
    return StoreError(
        store,
        f"the database does not answer ({str(error).splitlines()[0]})",
        "see that it runs and that PUTBACK_DATABASE_URL names it; what was not confirmed may be"
        " sent again, nothing is doubled",
    )
