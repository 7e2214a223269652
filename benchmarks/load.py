"""Twenty phones logging at once against four workers: nothing lost, nothing doubled, no 500.

Each act speaks of a part, one after the other, as what people log does. It asks 127.0.0.1 only. A
server of PostgreSQL is started for it where Debian's is installed.
"""

import http.client
import json
import shutil
import tempfile
from collections import Counter
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, field
from itertools import cycle
from pathlib import Path
from time import perf_counter
from urllib.parse import urlsplit

from benchmarks.measure import Figure, figure
from putback.logbook.entries.base import DeviceId, LogbookId, PersonId
from putback.web.here import open_here
from putback.web.store import Opened, setup
from putback.workshop.exchange.demo import lay_out_demo
from putback.workshop.people.people import DeviceKind
from scripts.serving import IN_THE_STRIP, serving
from tests.postgres import Server

CLIENTS, ACTS, WORKERS = 20, 200, 4
WARM = 5
"""Acts of each client before those that are timed: a worker reads the logbook at its first."""
LIMITS_S = {"SQLite": 1.0, "PostgreSQL": 0.5}


@dataclass(slots=True)
class Said:
    """What one client was answered."""

    spent_s: list[float] = field(default_factory=list)
    entries: list[str] = field(default_factory=list)
    """Those that were acknowledged."""
    refused: Counter[int] = field(default_factory=Counter)
    """Answers that were not 200, by status."""


def run() -> Iterator[Figure]:
    """Load both databases."""
    with tempfile.TemporaryDirectory() as scratch:
        yield _loaded("SQLite", Path(scratch) / "sqlite", "")
    with tempfile.TemporaryDirectory() as scratch, _postgres(Path(scratch)) as url:
        yield _loaded("PostgreSQL", Path(scratch) / "home", url)


def _loaded(name: str, home: Path, url: str) -> Figure:
    opened = setup(home, url)
    here = open_here(opened)
    person = here.people.add("Load", "twenty phones at once", PersonId("load"))
    logbook = lay_out_demo(here.workshop, person.id, DeviceId("laptop"), IN_THE_STRIP)
    tokens = [
        here.people.sign_in(person.id, f"phone {each}", DeviceKind.PROGRAM).token
        for each in range(CLIENTS)
    ]
    parts = [f"part:{each}" for each in here.workshop.state(logbook).vehicle.parts]
    opened.close()
    with serving(home, WORKERS, url) as address, ThreadPoolExecutor(CLIENTS) as pool:
        said = list(pool.map(lambda token: _log(address, logbook, token, parts), tokens))
    opened = setup(home, url)
    faults = _faults(opened, logbook, said)
    opened.close()
    spent = [each for one in said for each in one.spent_s]
    found = figure(
        f"one act of {CLIENTS} clients at once, {name}",
        spent,
        limit_s=LIMITS_S[name],
        by="p95",
        note=faults or f"{sum(len(one.entries) for one in said)} acts, each there exactly once",
    )
    return found if not faults else _failed(found)


def _log(address: str, logbook: LogbookId, token: str, parts: Sequence[str]) -> Said:
    """Log so many acts, one after the other, over one connection."""
    said = Said()
    there = http.client.HTTPConnection(urlsplit(address).netloc, timeout=60)
    headers = {"Authorization": f"Bearer {token}", "Content-Type": "application/json"}
    of = cycle(parts)
    for number in range(WARM + ACTS):
        note = {"kind": "note", "text": f"{token[:6]} {number}", "of": [next(of)]}
        body = json.dumps({"entries": [note]})
        begun = perf_counter()
        there.request("POST", f"/api/vehicles/{logbook}/acts", body, headers)
        answer = there.getresponse()
        content = answer.read()
        if number >= WARM:
            said.spent_s.append(perf_counter() - begun)
        if answer.status == 200:
            said.entries += json.loads(content)["entries"]
        else:
            said.refused[answer.status] += 1
    there.close()
    return said


def _faults(opened: Opened, logbook: LogbookId, said: list[Said]) -> str:
    """Tell what was lost, doubled or refused; nothing if all is as it was acknowledged."""
    stored = Counter(str(each.entry) for each in opened.entries.read(logbook))
    acknowledged = [each for one in said for each in one.entries]
    faults = []
    refused = sum((one.refused for one in said), Counter[int]())
    if refused:
        faults.append(f"refused: {dict(refused)}")
    if lost := sum(not stored[each] for each in acknowledged):
        faults.append(f"{lost} lost")
    if doubled := sum(stored[each] > 1 for each in acknowledged):
        faults.append(f"{doubled} doubled")
    return "; ".join(faults)


def _failed(found: Figure) -> Figure:
    return Figure(
        found.name, found.median_s, found.p95_s, found.runs, found.target, False, found.note
    )


@contextmanager
def _postgres(scratch: Path) -> Iterator[str]:
    """Start a server with durability as it comes, and give the address of an empty database."""
    assert shutil.which("psql") or Path("/usr/lib/postgresql").exists(), "PostgreSQL is not here"
    scratch.chmod(0o711)  # the server's account has to pass through
    folder = scratch / "postgres"
    folder.mkdir()
    server = Server.create(folder)
    server.start()
    try:
        yield server.url()
    finally:
        server.stop()
