"""Files and rows torn in the middle: what is whole is used, and the rest is as if not there."""

import shutil
from collections import Counter
from random import Random

import pytest
from django.db import connections

from putback.logbook.entries.working import NoteMade, PartOff
from putback.web.store import setup
from putback.workshop.exchange.verify import verify
from putback.workshop.logbooks.look import SNAPSHOT_AFTER, read_entry
from putback.workshop.logbooks.ports import KeptPlan
from putback.workshop.logbooks.workshop import Workshop
from tests.stores import ANN, PHONE, PLOVER

pytestmark = pytest.mark.slow


def test_a_torn_snapshot_is_folded_anew(opener, kind, phone):
    """Half a snapshot in the database: the entries are read from the beginning, all the same."""
    opened = opener.open(kind)
    store = opened.entries
    store.create_logbook(PLOVER, "Plover", ANN)
    store.append(
        PLOVER, [phone.entry(PartOff(part=f"{n % 9}")) for n in range(SNAPSHOT_AFTER)], ""
    )
    state = Workshop(store, opened.photos).state(PLOVER)
    whole = store.latest_snapshot(PLOVER)
    with connections[store.alias].cursor() as cursor:
        half = whole.blob[: len(whole.blob) // 2]
        cursor.execute("UPDATE putback_snapshot SET blob = %s", [half])
    assert store.latest_snapshot(PLOVER) is None
    assert Workshop(store, opened.photos).state(PLOVER) == state
    assert verify(store, opened.photos).faults == []


def test_a_torn_plan_is_as_if_not_there(opener, kind):
    """Half a kept plan in the database: planned afresh, and no fault of the store."""
    opened = opener.open(kind)
    store = opened.entries
    store.create_logbook(PLOVER, "Plover", ANN)
    store.keep_plan(PLOVER, "bare", KeptPlan(0, b"the whole of it"))
    with connections[store.alias].cursor() as cursor:
        cursor.execute("UPDATE putback_plan SET blob = %s", [b"the who"])
    assert store.kept_plan(PLOVER, "bare") is None
    assert verify(store, opened.photos).faults == []
    store.keep_plan(PLOVER, "bare", KeptPlan(0, b"another"))
    assert store.kept_plan(PLOVER, "bare") == KeptPlan(0, b"another")


def test_a_torn_log_of_the_database_leaves_no_half_act(opener, tmp_path):
    """SQLite's write-ahead log, cut off at random places: a beginning of the acts, each whole."""
    opened = opener.open("sqlite")
    workshop = Workshop(opened.entries, opened.photos)
    opened.entries.create_logbook(PLOVER, "Plover", ANN)
    with connections[opened.entries.alias].cursor() as cursor:
        cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        cursor.execute("PRAGMA wal_autocheckpoint=0")
    acts = [
        workshop.log(PLOVER, [NoteMade(text=f"{n}"), PartOff(part=f"{n}")], who=ANN, device=PHONE)
        for n in range(40)
    ]
    database, log = (opened.home / f"putback.sqlite3{ending}" for ending in ("", "-wal"))
    content, random, kept = log.read_bytes(), Random(7), set()
    for number in range(25):
        home = tmp_path / f"torn {number}"
        home.mkdir()
        shutil.copy(database, home)
        (home / log.name).write_bytes(content[: random.randrange(len(content))])
        torn = setup(home, "")
        entries = [read_entry(stored) for stored in torn.entries.read(PLOVER)]
        counted = Counter(entry.act for entry in entries)
        assert list(counted) == [act.id for act in acts[: len(counted)]]
        assert set(counted.values()) <= {2}
        assert verify(torn.entries, torn.photos).faults == []
        kept.add(len(counted))
        torn.close()
    assert len(kept) > 10
