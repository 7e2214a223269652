"""Stores whose tables are there already: to make them takes longer than most tests.

That Putback makes them itself is seen in web/store/test_connect.py and wherever the program is
started by a process of its own.
"""

import subprocess
import tempfile
from functools import cache
from pathlib import Path

import psycopg

from putback.web.store import setup
from putback.workshop.logbooks.files import make_folder
from tests.postgres import Server, binary

FILE = "putback.sqlite3"


def lay_file(home: Path) -> None:
    """Put the file of an empty SQLite store into a home, unless it has one."""
    make_folder(home)
    if not (home / FILE).exists():
        (home / FILE).write_bytes(_file())
        (home / FILE).chmod(0o600)


def lay_tables(server: Server, url: str) -> None:
    """Make the tables of an empty store in an empty database of this PostgreSQL server."""
    with psycopg.connect(url, autocommit=True) as connection:
        connection.execute(_statements(server))


@cache
def _file() -> bytes:
    with tempfile.TemporaryDirectory() as home:
        setup(home, "").close()
        return Path(home, FILE).read_bytes()


@cache
def _statements(server: Server) -> bytes:
    """Let Putback make the tables once, and PostgreSQL tell what that made."""
    with tempfile.TemporaryDirectory() as home, server.database() as url:
        setup(home, url).close()
        dump = subprocess.run(
            [binary("pg_dump"), "--inserts", "--no-owner", "--schema=public", url],
            capture_output=True,
            check=True,
        ).stdout
    # Lines for its own terminal, and one that would forget where tables are looked for.
    lines = dump.splitlines(keepends=True)
    return b"".join(each for each in lines if not each.startswith((b"\\", b"CREATE SCHEMA")))
