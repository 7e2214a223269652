"""The fold of 50,000 entries: loaded, cold from rows, from a snapshot, and one more entry late."""

import random
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from time import perf_counter

from benchmarks.logbooks import BEGIN, LOGBOOK, entry, logbook, work
from benchmarks.measure import Figure, figure, timed
from benchmarks.stores import open_workshop
from putback.logbook.entries.base import Entry
from putback.logbook.entries.bookkeeping import Struck
from putback.logbook.entries.registry import decode
from putback.logbook.fold import Fold, fold
from putback.vehicle.vehicle import Vehicle

ENTRIES = 50_000

_FROM_SNAPSHOT = """
import sys, time
from pathlib import Path
from putback.logbook.fold import Fold
blob = Path(sys.argv[1]).read_bytes()
begin = time.perf_counter()
Fold.from_snapshot(blob, None).state()
print(time.perf_counter() - begin)
"""


def run() -> Iterator[Figure]:
    """Measure the fold."""
    vehicle, entries = logbook(ENTRIES)
    yield figure(
        f"fold of {ENTRIES} loaded entries",
        timed(lambda: fold(entries).state(), runs=5),
        limit_s=1.0,
    )
    folded = fold(entries)
    with tempfile.TemporaryDirectory() as folder:
        blob = Path(folder, "snapshot")
        blob.write_bytes(folded.snapshot())
        # In a process of its own: a heap full of entries would make the collector's walks longer
        # than they are for somebody who opens the program.
        spent = [
            float(subprocess.check_output([sys.executable, "-c", _FROM_SNAPSHOT, str(blob)]))
            for _ in range(5)
        ]
        yield figure(f"state of {ENTRIES} entries from a snapshot", spent, limit_s=0.3)
    yield from _late(folded, vehicle, entries)
    yield from _cold(entries)


def _late(folded: Fold, vehicle: Vehicle, entries: list[Entry]) -> Iterator[Figure]:
    rnd = random.Random(11)
    bodies = work(vehicle, seed=11)
    late, strikes = [], []
    number = len(entries)
    for _ in range(200):
        number += 1
        happened = BEGIN + timedelta(minutes=rnd.randrange(len(entries)))
        late.append(entry(number, next(bodies), happened))
        number += 1
        strikes.append(entry(number, Struck(entry=rnd.choice(entries).id)))
    for name, these in (("a late entry, anywhere in the log", late), ("a strike", strikes)):
        spent = []
        for each in these:
            begin = perf_counter()
            folded.add([each])
            folded.state()
            spent.append(perf_counter() - begin)
        yield figure(f"{name}, folded into {ENTRIES}", spent, limit_s=0.1, by="p95")


def _cold(entries: list[Entry]) -> Iterator[Figure]:
    with tempfile.TemporaryDirectory() as folder:
        workshop = open_workshop(Path(folder))
        workshop.store.create_logbook(LOGBOOK, "bench", entries[0].who)
        workshop.store.append(LOGBOOK, entries, "bench")

        def cold() -> None:
            rows = workshop.store.read(LOGBOOK)
            fold((decode(row.raw) for row in rows), LOGBOOK).state()

        yield figure(
            f"fold of {ENTRIES} entries cold from SQLite rows", timed(cold, runs=3), limit_s=4.0
        )
