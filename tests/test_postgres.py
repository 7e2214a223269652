"""The server that the storage tests rely on is a real one, with its durability as it comes."""

import shutil
import tempfile
from pathlib import Path

import psycopg
import pytest

from tests.postgres import Server

pytestmark = pytest.mark.postgres


def test_a_test_gets_an_empty_database_of_its_own(postgres_url):
    """A table made by one test is gone for the next, since the database is."""
    with psycopg.connect(postgres_url) as connection:
        tables = connection.execute("SELECT count(*) FROM pg_tables WHERE schemaname = 'public'")
        assert tables.fetchone() == (0,)
        connection.execute("CREATE TABLE bag (tag text)")


def test_durability_is_not_traded_for_speed(postgres_url):
    """What the server acknowledges is on the disk: fault tests would prove nothing otherwise."""
    with psycopg.connect(postgres_url) as connection:
        for setting in ("fsync", "synchronous_commit", "full_page_writes"):
            assert connection.execute(f"SHOW {setting}").fetchone() == ("on",), setting


def test_a_server_of_its_own_survives_a_power_cut():
    """A test may pull the plug of a server it made; what was committed outlives that."""
    folder = Path(tempfile.mkdtemp(prefix="putback-postgres-"))
    server = Server.create(folder)
    server.start()
    try:
        with psycopg.connect(server.url(), autocommit=True) as connection:
            connection.execute("CREATE TABLE bag AS SELECT 'in the box' AS place")
        server.stop("immediate")
        server.start()
        with psycopg.connect(server.url()) as connection:
            assert connection.execute("SELECT place FROM bag").fetchone() == ("in the box",)
    finally:
        server.stop("immediate")
        shutil.rmtree(folder)


def test_the_server_never_runs_as_root(postgres_server):
    """Started by root, the server runs under the account that its package made for it."""
    written_by_it = postgres_server.folder / "server" / "data" / "postmaster.pid"
    assert written_by_it.owner() != "root"
