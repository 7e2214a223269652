"""Appending one act to a vehicle of 5,000 entries, with the state brought up to date."""

import tempfile
from collections.abc import Iterator
from pathlib import Path
from time import perf_counter

from benchmarks.logbooks import LOGBOOK, logbook, work
from benchmarks.measure import Figure, figure
from benchmarks.stores import open_workshop
from putback.logbook.entries.base import DeviceId, PersonId

ENTRIES = 5_000


def run() -> Iterator[Figure]:
    """Measure appending, on SQLite with full synchronisation."""
    vehicle, entries = logbook(ENTRIES)
    with tempfile.TemporaryDirectory() as folder:
        workshop = open_workshop(Path(folder))
        workshop.store.create_logbook(LOGBOOK, "bench", entries[0].who)
        workshop.store.append(LOGBOOK, entries, "bench")
        workshop.state(LOGBOOK)
        bodies = work(vehicle, seed=3)
        spent = []
        for _ in range(200):
            act = [next(bodies), next(bodies)]
            begin = perf_counter()
            workshop.log(LOGBOOK, act, who=PersonId("A"), device=DeviceId("phone"))
            workshop.state(LOGBOOK)
            spent.append(perf_counter() - begin)
        yield figure(
            f"one act appended to {ENTRIES} entries, state up to date", spent, limit_s=0.015
        )
