"""Verifying a store finds whatever is not as it was written, and names it."""

from hashlib import sha256

import pytest
from django.db import connections

from putback.errors import StoreError
from putback.logbook.entries.working import PhotoTaken, SoundTaken
from putback.workshop.exchange.verify import StoreFault, verify
from putback.workshop.logbooks.look import SNAPSHOT_AFTER
from putback.workshop.logbooks.ports import Snapshot
from putback.workshop.logbooks.workshop import Workshop
from tests.stores import ANN, PLOVER


@pytest.fixture
def opened(opener, kind, phone):
    """A store with entries, a snapshot, and a photo that an entry names."""
    opened = opener.open(kind)
    opened.entries.create_logbook(PLOVER, "Plover", ANN)
    photo = opened.photos.put(b"photo")
    opened.entries.append(PLOVER, phone.entries(SNAPSHOT_AFTER), "")
    Workshop(opened.entries, opened.photos).state(PLOVER)
    opened.entries.append(PLOVER, [phone.entry(PhotoTaken(photo=photo))], "")
    return opened


def change(opened, sql: str, *values: object) -> None:
    """Do what nobody should: write into the tables past the program."""
    with connections[opened.entries.alias].cursor() as cursor:
        cursor.execute(sql, values)


def faults(opened) -> list[StoreFault]:
    """What is found wrong."""
    return verify(opened.entries, opened.photos).faults


def test_a_sound_store_is_found_sound(opened):
    """All is counted, and nothing is wrong."""
    found = verify(opened.entries, opened.photos)
    assert found.is_sound, found.faults
    assert (found.logbooks, found.entries, found.photos) == (1, SNAPSHOT_AFTER + 1, 1)
    assert found.photos_not_here == set()


def test_changed_bytes_are_found(opened):
    """Somebody wrote history anew: the digest no longer agrees."""
    raw = next(iter(opened.entries.read(PLOVER))).raw
    changed = raw.replace(b"note 0", b"note X")
    change(opened, "UPDATE putback_entry SET raw = %s WHERE position = 1", changed)
    [first, *_] = faults(opened)
    assert "at position 1" in first.where
    assert first.what == "its digest is not that of the bytes"
    assert str(first).endswith("; restore the last good backup beside it, and compare")


def test_bytes_that_are_no_entry_are_found(opened):
    """Torn in the middle."""
    change(opened, "UPDATE putback_entry SET raw = %s WHERE position = 201", b'{"id": ')
    [fault] = faults(opened)
    assert "at position 201" in fault.where
    assert "it is not an entry" in fault.what


def test_a_missing_row_is_found(opened):
    """Positions have no gaps, and end where the logbook says."""
    change(opened, "DELETE FROM putback_entry WHERE position IN (7, 201)")
    said = [fault.what for fault in faults(opened)]
    assert said[:2] == ["position 8 follows 6", "ends at position 200, and should at 201"]


def test_a_snapshot_that_says_otherwise_is_found(opened, kind, opener):
    """It is compared with what the entries up to it fold to."""
    other = opener.open(kind, "other").entries
    other.create_logbook(PLOVER, "Plover", ANN)
    wrong = Workshop(other, opened.photos)
    wrong.new_vehicle("Another", who=ANN, device="phone", logbook="another")
    with wrong._folds.up_to_date("another") as fold:
        blob = fold.snapshot()
    opened.entries.save_snapshot(PLOVER, Snapshot(SNAPSHOT_AFTER + 1, blob))
    [fault] = faults(opened)
    assert fault.what == "its snapshot at position 201 is not what its entries say"


def test_a_snapshot_of_another_version_is_no_fault(opened):
    """It is passed over, as it is when a program starts."""
    opened.entries.save_snapshot(PLOVER, Snapshot(SNAPSHOT_AFTER + 1, b"another version"))
    assert faults(opened) == []


def test_a_photo_that_was_not_sent_is_named_but_no_fault(opened, phone):
    """Withdrawn, or still on the phone: the entries stay sound."""
    missing = sha256(b"elsewhere").hexdigest()
    entries = [phone.entry(PhotoTaken(photo=missing)), phone.entry(SoundTaken(sound=missing))]
    opened.entries.append(PLOVER, entries, "")
    found = verify(opened.entries, opened.photos)
    assert (found.faults, found.photos_not_here) == ([], {missing})


def test_what_the_database_finds_is_passed_on(opened, monkeypatch):
    """Its own check is one of ours."""
    monkeypatch.setattr(opened.entries, "faults", lambda: ("page 7 is spoilt",))
    [fault] = faults(opened)
    assert fault.where == opened.entries.name
    assert fault.what == "page 7 is spoilt"


def test_progress_may_stop_it(opened):
    """It reads everything, which may be long; whoever waits can end it."""

    class Stops:
        """The person pressed stop."""

        def step(self, done, total, what):
            raise StoreError("stopped", what)

    with pytest.raises(StoreError, match="reading Plover"):
        verify(opened.entries, opened.photos, Stops())
