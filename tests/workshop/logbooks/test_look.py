"""The fold kept in a process: right beside other processes, and after a snapshot or without."""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from itertools import pairwise

import pytest

from putback.errors import Damaged, DiskFull
from putback.logbook.entries.base import Subject
from putback.logbook.entries.bookkeeping import Struck
from putback.logbook.entries.working import PartOff
from putback.logbook.fold import Fold
from putback.workshop.logbooks import look
from putback.workshop.logbooks.look import SNAPSHOT_AFTER, read_entry
from putback.workshop.logbooks.memory import MemoryEntryStore, MemoryPhotoStore
from putback.workshop.logbooks.ports import Snapshot
from putback.workshop.logbooks.workshop import Workshop
from tests.stores import ANN, PLOVER, Phone


class Watched(MemoryEntryStore):
    """Notes from which position it was read, and can be made to refuse snapshots."""

    def __init__(self) -> None:
        super().__init__()
        self.read_from: list[int] = []
        self.full = False
        self.create_logbook(PLOVER, "Plover", ANN)

    def read(self, logbook, after_position=0, *, newest_first=False):
        self.read_from.append(after_position)
        return super().read(logbook, after_position, newest_first=newest_first)

    def save_snapshot(self, logbook, snapshot):
        if self.full:
            raise DiskFull("memory")
        super().save_snapshot(logbook, snapshot)


@pytest.fixture
def watched():
    """A store that notes what is asked of it."""
    return Watched()


def workshop_on(store) -> Workshop:
    """A process of its own on the store."""
    return Workshop(store, MemoryPhotoStore())


def fold_of(store) -> Fold:
    """Everything folded at once, from zero."""
    fold = Fold(PLOVER)
    fold.add([read_entry(row) for row in store.read(PLOVER)])
    return fold


def test_what_others_append_is_seen(watched, phone):
    """Two processes on one store, in turn: each sees all, and reads only what is new to it."""
    here, there = workshop_on(watched), workshop_on(watched)
    for number in range(1, 5):
        watched.append(PLOVER, [phone.entry(PartOff(part=f"part {number}"))], "")
        assert len(here.state(PLOVER).parts) == number
    watched.read_from.clear()
    assert here.state(PLOVER) == there.state(PLOVER)
    assert watched.read_from == [0]


def test_a_state_that_was_given_out_stays(watched, phone):
    """Whoever holds one keeps it, whatever is appended."""
    here = workshop_on(watched)
    watched.append(PLOVER, [phone.entry(PartOff(part="wing"))], "")
    before = here.state(PLOVER)
    watched.append(PLOVER, [phone.entry(PartOff(part="door"))], "")
    assert here.state(PLOVER) != before
    assert set(before.parts) == {"wing"}


def test_a_new_process_begins_from_the_snapshot(watched, phone):
    """It reads what came after it only, and knows the same."""
    here = workshop_on(watched)
    watched.append(PLOVER, phone.entries(SNAPSHOT_AFTER), "")
    here.state(PLOVER)
    watched.append(PLOVER, phone.entries(3), "")
    watched.read_from.clear()
    there = workshop_on(watched)
    assert there.state(PLOVER) == here.state(PLOVER)
    assert there.facts(PLOVER) == here.facts(PLOVER)
    assert watched.read_from == [SNAPSHOT_AFTER, SNAPSHOT_AFTER]


def test_a_late_strike_is_folded_in_after_a_snapshot(watched, phone):
    """The entries that it concerns are fetched, though nobody read them in this process."""
    entries = [phone.entry(PartOff(part=f"part {n % 7}")) for n in range(SNAPSHOT_AFTER)]
    watched.append(PLOVER, entries, "")
    workshop_on(watched).state(PLOVER)
    strikes = [phone.entry(Struck(entry=entry.id)) for entry in entries if entry is not entries[8]]
    watched.append(PLOVER, strikes, "")
    state = workshop_on(watched).state(PLOVER)
    assert set(state.parts) == {"part 1"}
    assert state == fold_of(watched).state()
    [left] = workshop_on(watched).history(PLOVER, Subject("part:part 1"))
    assert left == entries[8]


@pytest.mark.parametrize("spoil", [lambda blob: blob[: len(blob) // 2], lambda _: b"other"])
def test_a_spoilt_snapshot_is_as_none(watched, phone, spoil):
    """Torn or of another version: the entries are read from the beginning."""
    watched.append(PLOVER, phone.entries(SNAPSHOT_AFTER), "")
    state = workshop_on(watched).state(PLOVER)
    snapshot = watched.latest_snapshot(PLOVER)
    watched._books[PLOVER].snapshot = Snapshot(snapshot.position, spoil(snapshot.blob))
    watched.read_from.clear()
    assert workshop_on(watched).state(PLOVER) == state
    assert watched.read_from == [0]


def test_a_full_disk_keeps_nobody_from_looking(watched, phone):
    """A snapshot that cannot be put away is done without."""
    watched.full = True
    watched.append(PLOVER, phone.entries(SNAPSHOT_AFTER + 1), "")
    assert workshop_on(watched).facts(PLOVER).entries == SNAPSHOT_AFTER + 1
    assert watched.latest_snapshot(PLOVER) is None


def test_snapshots_grow_rarer_as_a_logbook_grows(watched, phone, monkeypatch):
    """All of them together stay cheap: each waits for a share of the whole to be new."""
    monkeypatch.setattr(look, "SNAPSHOT_AFTER", 10)
    here = workshop_on(watched)
    positions = set()
    for _ in range(60):
        watched.append(PLOVER, phone.entries(10), "")
        here.state(PLOVER)
        positions.add(watched.latest_snapshot(PLOVER).position)
    gaps = [later - sooner for sooner, later in pairwise(sorted(positions))]
    assert gaps[0] == 10
    assert gaps[-1] > 20
    assert gaps == sorted(gaps)


def test_an_entry_that_was_spoilt_is_named(watched, phone):
    """By its identity and position; nothing is folded over it."""
    entry = phone.entry()
    watched.append(PLOVER, [entry], "")
    row = watched._books[PLOVER].rows[0]
    for raw, why in (
        (entry.raw[:-2], "not an entry"),
        (entry.raw.replace(b"note 0", b"note 1"), "digest"),
    ):
        watched._books[PLOVER].rows[0] = replace(row, raw=raw)
        with pytest.raises(Damaged, match=f"entry {entry.id} at position 1: .*{why}"):
            workshop_on(watched).state(PLOVER)


def test_an_interrupted_fold_is_begun_anew(watched, phone, monkeypatch):
    """Half of what arrived is worse than none: the next look folds from the beginning."""
    here = workshop_on(watched)
    watched.append(PLOVER, phone.entries(2), "")
    here.state(PLOVER)
    watched.append(PLOVER, [phone.entry(PartOff(part="wing"))], "")

    def interrupted(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr(Fold, "add", interrupted)
    with pytest.raises(KeyboardInterrupt):
        here.state(PLOVER)
    monkeypatch.undo()
    watched.read_from.clear()
    assert set(here.state(PLOVER).parts) == {"wing"}
    assert watched.read_from == [0]


def test_threads_share_one_fold(watched):
    """Eight threads log and look at once: all is there, once, in every state."""
    here = workshop_on(watched)

    def work(number: int) -> None:
        phone = Phone(device=f"phone {number}")
        for each in range(20):
            watched.append(PLOVER, [phone.entry(PartOff(part=f"{number}-{each}"))], "")
            assert f"{number}-{each}" in here.state(PLOVER).parts

    with ThreadPoolExecutor(8) as pool:
        list(pool.map(work, range(8)))
    assert len(here.state(PLOVER).parts) == 160
    assert here.state(PLOVER) == fold_of(watched).state()
