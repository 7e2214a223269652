"""Stores for tests, one of each kind, and the phone and the watch that go with them."""

import secrets
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path

import psycopg
import pytest
from django.contrib.auth.hashers import PBKDF2PasswordHasher

from putback.logbook.entries.base import ActId, Body, DeviceId, Entry, EntryId, LogbookId, PersonId
from putback.logbook.entries.registry import encode
from putback.logbook.entries.working import NoteMade
from putback.web.store import Opened, setup
from putback.workshop.logbooks.identity import HybridClock, Identities
from putback.workshop.logbooks.memory import MemoryEntryStore
from putback.workshop.logbooks.ports import EntryStore
from tests.postgres import Server
from tests.ready_made import lay_file, lay_tables

PLOVER = LogbookId("plover-1")
ANN = PersonId("ann")
BEN = PersonId("ben")
PHONE = DeviceId("ann's phone")
MORNING = datetime(2031, 5, 2, 8, 30, tzinfo=UTC)
QUICK_DIGESTS = {"PASSWORD_HASHERS": ["django.contrib.auth.hashers.MD5PasswordHasher"]}
"""Settings for tests: slow digests are for passwords that somebody may steal."""


class OnceOver(PBKDF2PasswordHasher):
    """Digests that a program with the usual settings reads as its own, made in one round."""

    iterations = 1


SERVED_DIGESTS = {"PASSWORD_HASHERS": [f"{__name__}.{OnceOver.__name__}"]}
"""The same for a store that is served by a process of its own."""


@dataclass(slots=True)
class Watch:
    """A clock that stands until it is put on."""

    moment: datetime = MORNING

    def now(self) -> datetime:
        """The moment it shows."""
        return self.moment

    def put_on(self, **by: float) -> None:
        """Turn it, backwards too."""
        self.moment += timedelta(**by)


@dataclass(slots=True)
class Phone:
    """Writes entries as a phone does, a second apart."""

    device: DeviceId = PHONE
    who: PersonId = ANN
    logbook: LogbookId = PLOVER
    watch: Watch = field(default_factory=Watch)
    identities: Identities = field(default_factory=Identities)
    clock: HybridClock = field(default_factory=HybridClock)
    _numbers: Iterator[int] = field(default_factory=count)

    def entry(self, body: Body | None = None, **envelope: str) -> Entry:
        """One entry; a numbered note if nothing is said."""
        self.watch.put_on(seconds=1)
        now = round(self.watch.now().timestamp() * 1000)
        said = self.watch.now().isoformat()
        return encode(
            id=EntryId(envelope.get("id") or self.identities.next(now)),
            act=ActId(envelope.get("act") or self.identities.next(now)),
            logbook=self.logbook,
            happened_at=said,
            logged_at=said,
            clock=self.clock.tick(now),
            device=self.device,
            who=self.who,
            body=body or NoteMade(text=f"note {next(self._numbers)}"),
        )

    def entries(self, how_many: int) -> list[Entry]:
        """So many numbered notes."""
        return [self.entry() for _ in range(how_many)]


KINDS = [
    "memory",
    pytest.param("sqlite", marks=pytest.mark.slow),
    pytest.param("postgresql", marks=[pytest.mark.slow, pytest.mark.postgres]),
]
DURABLE = KINDS[1:]


class Opener:
    """Opens stores in a folder, each kind in databases of its own, by name."""

    def __init__(self, folder: Path, request: pytest.FixtureRequest) -> None:
        self.folder = folder
        self._request = request
        self._opened: list[Opened] = []
        self._urls: dict[str, str] = {}

    def open(self, kind: str, name: str = "home") -> Opened:
        """Open the store of this name: the same one again, if it is there already."""
        home, url = self.folder / name, ""
        if kind == "postgresql":
            is_new = name not in self._urls
            url = self.url(name)
            if is_new:
                lay_tables(self._server, url)
        else:
            lay_file(home)
        opened = setup(home, url)
        self._opened.append(opened)
        return opened

    def url(self, name: str = "home") -> str:
        """Address of the PostgreSQL database of this name."""
        if name not in self._urls:
            self._urls[name] = _spare.pop() if _spare else _new_database(self._server)
        return self._urls[name]

    @property
    def _server(self) -> Server:
        server: Server = self._request.getfixturevalue("postgres_server")
        return server

    def close(self) -> None:
        """Close all stores, and empty the databases for the next test."""
        for opened in self._opened:
            opened.close()
        for url in self._urls.values():
            _empty(url)
            _spare.append(url)


_spare: list[str] = []
"""Empty databases: to make and drop one takes longer than most tests."""


def _new_database(server: Server) -> str:
    database = f"test_{secrets.token_hex(8)}"
    with psycopg.connect(server.url(), autocommit=True) as connection:
        connection.execute(f"CREATE DATABASE {database}")
    return server.url(database)


def _empty(url: str) -> None:
    """Throw everybody out and everything away."""
    with psycopg.connect(url, autocommit=True) as connection:
        connection.execute(
            "SELECT pg_terminate_backend(pid) FROM pg_stat_activity"
            " WHERE datname = current_database() AND pid <> pg_backend_pid()"
        )
        connection.execute("DROP SCHEMA public CASCADE; CREATE SCHEMA public")


@pytest.fixture
def opener(tmp_path, request) -> Iterator[Opener]:
    """Opens stores, and closes them when the test is over."""
    opener = Opener(tmp_path, request)
    yield opener
    opener.close()


@pytest.fixture(params=KINDS)
def store(request, opener) -> EntryStore:
    """An empty store of every kind, with one logbook in it."""
    if request.param == "memory":
        store: EntryStore = MemoryEntryStore()
    else:
        store = opener.open(request.param).entries
    store.create_logbook(PLOVER, "Plover", ANN)
    return store


@pytest.fixture(params=DURABLE)
def kind(request) -> str:
    """Each kind of store that outlives the program."""
    return request.param


@pytest.fixture
def phone() -> Phone:
    """Ann's phone."""
    return Phone()
