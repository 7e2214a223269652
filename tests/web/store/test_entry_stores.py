"""What every store of entries promises: in memory, on SQLite and on PostgreSQL alike."""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import pytest
from django.db import IntegrityError

from putback.errors import AlreadyExists, BadInput, NotFound
from putback.logbook.entries.base import DeviceId, EntryId, LogbookId, PersonId
from putback.logbook.entries.working import NoteMade
from putback.logbook.tags import TAG_COUNT
from putback.workshop.logbooks.ports import BackupNote, KeptPlan, Role, Snapshot
from tests.stores import ANN, BEN, PHONE, PLOVER, Phone

WAGON = LogbookId("wagon-1")


def test_what_was_appended_is_read_as_received(store, phone):
    """Bytes, ids and digests come back, numbered from 1 in the order of arrival."""
    entries = phone.entries(3)
    appended = store.append(PLOVER, entries, "ann's phone")
    rows = list(store.read(PLOVER))
    assert [row.raw for row in rows] == [entry.raw for entry in entries]
    assert [row.entry for row in rows] == [entry.id for entry in entries]
    assert [row.digest for row in rows] == [entry.digest for entry in entries]
    assert [row.position for row in rows] == [1, 2, 3]
    assert {row.received_from for row in rows} == {"ann's phone"}
    assert all(row.received_at.endswith("Z") for row in rows)
    assert appended.new == tuple(entry.id for entry in entries)
    assert (appended.known, appended.position) == ((), 3)


def test_a_logbook_is_listed_under_another_name(store, phone):
    """Its identity and its entries stay."""
    store.append(PLOVER, phone.entries(2), "")
    store.rename(PLOVER, "The black one")
    assert [each.name for each in store.logbooks() if each.id == PLOVER] == ["The black one"]
    assert store.position(PLOVER) == 2
    with pytest.raises(NotFound):
        store.rename(LogbookId("nobody"), "x")


def test_odd_bytes_are_kept_as_they_are(store, phone):
    """White space, escapes and characters of any script survive."""
    entry = phone.entry(NoteMade(text="12 × 5/16″ – 試作 \\ \U0001f529"))
    odd = replace(entry, raw=b"  " + entry.raw.replace(b",", b" ,\r\n") + b"\t")
    store.append(PLOVER, [odd], "")
    assert [row.raw for row in store.read(PLOVER)] == [odd.raw]


def test_appending_again_changes_nothing(store, phone):
    """What is known is named as such; there is no second row, and no gap in the positions."""
    first, second, third = phone.entries(3)
    store.append(PLOVER, [first, second], "")
    appended = store.append(PLOVER, [second, third, third, first], "")
    assert appended.new == (third.id,)
    assert appended.known == (second.id, third.id, first.id)
    assert [row.entry for row in store.read(PLOVER)] == [first.id, second.id, third.id]
    assert store.position(PLOVER) == appended.position == 3


def test_one_id_with_two_bodies_is_kept_twice(store, phone):
    """Neither copy is preferred here; the fold decides, and both stay for ever."""
    entry = phone.entry(NoteMade(text="left"))
    other = phone.entry(NoteMade(text="right"), id=entry.id)
    store.append(PLOVER, [entry], "")
    store.append(PLOVER, [other, entry], "")
    assert {row.digest for row in store.load(PLOVER, [entry.id])} == {entry.digest, other.digest}
    assert store.position(PLOVER) == 2


def test_reading_goes_on_after_a_position_and_backwards(store, phone):
    """A reader that knows its place gets the rest only, across chunks, in either direction."""
    entries = phone.entries(2500)
    store.append(PLOVER, entries, "")
    ids = [entry.id for entry in entries]
    assert [row.entry for row in store.read(PLOVER, 1100)] == ids[1100:]
    assert [row.entry for row in store.read(PLOVER, newest_first=True)] == ids[::-1]
    assert [row.entry for row in store.read(PLOVER, 2499, newest_first=True)] == ids[:-3:-1][:1]
    assert list(store.read(PLOVER, 2500)) == list(store.read(PLOVER, 9999)) == []


def test_reading_keeps_nobody_from_writing(store, phone):
    """Somebody in the middle of reading may append, and reads on undisturbed."""
    store.append(PLOVER, phone.entries(1500), "")
    reading = store.read(PLOVER)
    next(reading)
    store.append(PLOVER, phone.entries(5), "")
    assert len(list(reading)) == 1499


def test_entries_are_loaded_by_id(store, phone):
    """In the order of arrival, however they are asked for; those not there are left out."""
    entries = phone.entries(1200)
    store.append(PLOVER, entries, "")
    wanted = [entry.id for entry in entries[::-1]]
    unknown = EntryId("01890000-0000-7000-8000-000000000000")
    loaded = list(store.load(PLOVER, [*wanted, unknown, wanted[0]]))
    assert [row.entry for row in loaded] == wanted[::-1]
    assert list(store.load(PLOVER, [])) == []


def test_logbooks_do_not_mix(store, phone):
    """Each has its own positions; they are listed by name."""
    store.create_logbook(WAGON, "Estate wagon", BEN)
    store.append(PLOVER, phone.entries(2), "")
    store.append(WAGON, Phone(logbook=WAGON).entries(1), "")
    shelved = [(each.id, each.name, each.position) for each in store.logbooks()]
    assert shelved == [(WAGON, "Estate wagon", 1), (PLOVER, "Plover", 2)]
    with pytest.raises(AlreadyExists, match="there is a logbook 'plover-1' already"):
        store.create_logbook(PLOVER, "Another", BEN)
    assert store.roles(PLOVER) == {ANN: Role.OWNER}


@pytest.mark.parametrize(
    "call",
    [
        lambda store, entry: store.append("plover-l", [entry], ""),
        lambda store, _: store.position("plover-l"),
        lambda store, _: list(store.read("plover-l")),
        lambda store, entry: list(store.load("plover-l", [entry.id])),
        lambda store, _: store.save_snapshot("plover-l", Snapshot(1, b"")),
        lambda store, _: store.latest_snapshot("plover-l"),
        lambda store, _: store.keep_plan("plover-l", "bare", KeptPlan(1, b"")),
        lambda store, _: store.kept_plan("plover-l", "bare"),
        lambda store, _: store.forget_plan("plover-l", "bare"),
        lambda store, _: store.grant("plover-l", BEN, Role.VIEWER),
        lambda store, _: store.keep_setting("plover-l", "calendar", "{}"),
        lambda store, _: store.setting("plover-l", "calendar"),
        lambda store, _: store.roles("plover-l"),
    ],
)
def test_a_logbook_that_is_not_there_is_named(store, phone, call):
    """The nearest names are offered, and nothing is made on the way."""
    with pytest.raises(NotFound, match="no logbook 'plover-l'; did you mean 'plover-1'"):
        call(store, phone.entry())
    assert [each.id for each in store.logbooks()] == [PLOVER]


def test_roles_are_given_and_changed(store):
    """The last word on a person counts."""
    store.grant(PLOVER, BEN, Role.VIEWER)
    store.grant(PLOVER, BEN, Role.WORKER)
    assert store.roles(PLOVER) == {ANN: Role.OWNER, BEN: Role.WORKER}
    store.revoke(PLOVER, BEN)
    assert store.roles(PLOVER) == {ANN: Role.OWNER}
    with pytest.raises(NotFound, match="no person with a role here 'ben'"):
        store.revoke(PLOVER, BEN)


def test_a_vehicle_keeps_its_last_owner(store):
    """Neither a lesser role nor none at all; with a second owner the first may go."""
    for go in (
        lambda: store.grant(PLOVER, ANN, Role.WORKER),
        lambda: store.revoke(PLOVER, ANN),
    ):
        with pytest.raises(BadInput, match="needs an owner, and this is the last"):
            go()
    assert store.roles(PLOVER) == {ANN: Role.OWNER}
    store.grant(PLOVER, BEN, Role.OWNER)
    store.revoke(PLOVER, ANN)
    assert store.roles(PLOVER) == {BEN: Role.OWNER}


@pytest.mark.slow
def test_two_owners_who_leave_at_once_do_not_both_leave(store):
    """One of the two is told to stay, however the two calls fall."""
    store.grant(PLOVER, BEN, Role.OWNER)

    def leave(person):
        try:
            store.revoke(PLOVER, person)
        except BadInput:
            return False
        else:
            return True
        finally:
            getattr(store, "close", lambda: None)()

    with ThreadPoolExecutor(2) as pool:
        assert sorted(pool.map(leave, (ANN, BEN))) == [False, True]
    assert len(store.roles(PLOVER)) == 1


def test_a_newer_snapshot_replaces_an_older_one_only(store):
    """However late a slow worker puts its snapshot away."""
    assert store.latest_snapshot(PLOVER) is None
    store.save_snapshot(PLOVER, Snapshot(200, b"\x00later\xff"))
    store.save_snapshot(PLOVER, Snapshot(100, b"earlier"))
    assert store.latest_snapshot(PLOVER) == Snapshot(200, b"\x00later\xff")
    store.save_snapshot(PLOVER, Snapshot(300, b"last"))
    assert store.latest_snapshot(PLOVER) == Snapshot(300, b"last")


def test_the_last_plan_of_each_goal_is_kept(store):
    """At one position the last word counts, an older plan never; each logbook has its own."""
    store.create_logbook(WAGON, "Wagon", BEN)
    assert store.kept_plan(PLOVER, "bare") is None
    store.keep_plan(PLOVER, "bare", KeptPlan(7, b"\x00first\xff"))
    store.keep_plan(PLOVER, "bare", KeptPlan(7, b"another"))
    store.keep_plan(PLOVER, "bare", KeptPlan(6, b"from a slow worker"))
    store.keep_plan(PLOVER, "rolling\x00", KeptPlan(9, b"rolling"))
    assert store.kept_plan(PLOVER, "bare") == KeptPlan(7, b"another")
    assert store.kept_plan(PLOVER, "rolling\x00") == KeptPlan(9, b"rolling")
    assert store.kept_plan(WAGON, "bare") is None
    store.forget_plan(PLOVER, "bare")
    store.forget_plan(PLOVER, "bare")
    assert store.kept_plan(PLOVER, "bare") is None
    assert store.kept_plan(PLOVER, "rolling\x00") == KeptPlan(9, b"rolling")


def test_the_last_word_on_a_setting_counts(store):
    """Each logbook has its own, and nobody's is none."""
    store.create_logbook(WAGON, "Wagon", BEN)
    assert store.setting(PLOVER, "calendar") is None
    store.keep_setting(PLOVER, "calendar", '{"hoists": 1}')
    store.keep_setting(PLOVER, "calendar", '{"hoists": 2}')
    store.keep_setting(PLOVER, "other\x00", "Zoë")
    assert store.setting(PLOVER, "calendar") == '{"hoists": 2}'
    assert store.setting(PLOVER, "other\x00") == "Zoë"
    assert store.setting(WAGON, "calendar") is None


def test_the_clock_of_a_device_is_its_latest(store, phone):
    """Whatever order its entries came in, and however wild a clock it claims."""
    assert store.last_clock(PHONE) == (0, 0)
    late, early = (replace(phone.entry(), clock=clock) for clock in ((5_000, 2), (5_000, 1)))
    store.append(PLOVER, [late, early], "")
    assert store.last_clock(PHONE) == (5_000, 2)
    wild = replace(phone.entry(), clock=(10**30, -(10**30)), device=DeviceId("wild\x00"))
    store.append(PLOVER, [wild], "\x00")
    assert store.last_clock(PHONE) == (5_000, 2)
    assert store.last_clock(DeviceId("wild\x00"))[0] > 5_000


def test_what_another_device_sent_on_is_from_elsewhere(store, phone):
    """Behind a position too; and whoever is not named has sent it on."""
    own, sent, odd = phone.entry(), phone.entry(), phone.entry()
    store.append(PLOVER, [own], PHONE)
    store.append(PLOVER, [sent], "a bundle")
    store.append(PLOVER, [odd], "")
    first = store.position(PLOVER) - 3
    assert set(store.from_elsewhere(PLOVER, first)) == {sent.id, odd.id}
    assert list(store.from_elsewhere(PLOVER, first + 2)) == [odd.id]
    with pytest.raises(NotFound):
        list(store.from_elsewhere(LogbookId("none")))


def test_tags_are_reserved_once(store):
    """Blocks lie end to end; when the tags run out the last block is short, and then none."""
    first = store.reserve_tags(PHONE, 20)
    second = store.reserve_tags(DeviceId("tablet"), TAG_COUNT - 30)
    assert (first, second) == (range(20), range(20, TAG_COUNT - 10))
    assert store.reserve_tags(PHONE, 20) == range(TAG_COUNT - 10, TAG_COUNT)
    with pytest.raises(BadInput, match="all 2889 tags are reserved"):
        store.reserve_tags(PHONE, 1)
    devices = [device for device, _ in store.reserved_tags()]
    assert devices == [PHONE, DeviceId("tablet"), PHONE]


def test_the_last_backup_is_remembered(store):
    """By when it was made, not when it was noted."""
    assert store.last_backup() is None
    last = BackupNote("2031-05-03T10:00:00.000Z", "the stick", 20)
    store.note_backup(last)
    store.note_backup(BackupNote("2031-05-02T10:00:00.000Z", "the attic", 10))
    assert store.last_backup() == last


def test_several_writers_leave_no_gap_and_double_nothing(store, phone):
    """Eight threads append overlapping batches at once: one row each, positions without gaps."""
    entries = phone.entries(96)
    batches = [entries[start : start + 24] for start in range(0, 96, 12)] * 2

    def write(batch):
        try:
            return store.append(PLOVER, batch, "").new
        finally:
            getattr(store, "close", lambda: None)()

    with ThreadPoolExecutor(8) as pool:
        new = [each for ids in pool.map(write, batches) for each in ids]
    rows = list(store.read(PLOVER))
    assert sorted(new) == sorted(entry.id for entry in entries) == sorted(r.entry for r in rows)
    assert [row.position for row in rows] == list(range(1, 97))


def test_what_is_said_once_is_there_once_whatever_it_says(store, phone):
    """Where one of its ids is there nothing of it is added; without the word, both are kept."""
    first, second, third = phone.entries(3)
    store.append(PLOVER, [first, second], "", once=True)
    otherwise = [phone.entry(id=each.id) for each in (second, third)]
    appended = store.append(PLOVER, otherwise, "", once=True)
    assert (appended.new, appended.known, appended.position) == ((), (second.id,), 2)
    assert [row.raw for row in store.read(PLOVER)] == [first.raw, second.raw]
    assert store.append(PLOVER, otherwise, "").position == 4


def test_of_several_that_say_the_same_at_once_one_is_let_in(store):
    """Eight threads write other words under the same ids, and the words of one are there."""
    said = [Phone(DeviceId(f"phone {number}")).entries(2) for number in range(8)]
    ids = [each.id for each in said[0]]
    acts = [
        [replace(each, id=own) for each, own in zip(entries, ids, strict=True)] for entries in said
    ]

    def write(entries):
        try:
            return store.append(PLOVER, entries, "", once=True).new
        finally:
            getattr(store, "close", lambda: None)()

    with ThreadPoolExecutor(8) as pool:
        let_in = [each for each in pool.map(write, acts) if each]
    assert let_in == [tuple(ids)]
    assert [row.entry for row in store.read(PLOVER)] == ids


def test_several_devices_reserve_different_tags(store):
    """Eight threads reserve at once, and no two blocks overlap."""

    def reserve(number):
        try:
            return store.reserve_tags(DeviceId(f"device {number}"), 7)
        finally:
            getattr(store, "close", lambda: None)()

    with ThreadPoolExecutor(8) as pool:
        blocks = list(pool.map(reserve, range(24)))
    assert sorted(place for block in blocks for place in block) == list(range(24 * 7))
    assert {device for device, _ in store.reserved_tags()} == {f"device {n}" for n in range(24)}


def test_an_append_that_fails_leaves_nothing(opener, kind, phone):
    """All entries of a call or none: the last one breaks, and the first is not there."""
    store = opener.open(kind).entries
    store.create_logbook(PLOVER, "Plover", ANN)
    first, second = phone.entries(2)
    with pytest.raises(IntegrityError):
        store.append(PLOVER, [first, replace(second, raw=None)], "")
    assert (list(store.read(PLOVER)), store.position(PLOVER)) == ([], 0)
    assert store.append(PLOVER, [first], "").position == 1


def test_names_may_hold_anything(store):
    """A person's or a logbook's name is text, whatever is in it."""
    owner = PersonId("o\x00'; DROP TABLE putback_entry; --")
    store.create_logbook(WAGON, "100 % '\"ü\x00", owner)
    assert len(store.roles(WAGON)) == 1
    assert len(store.logbooks()) == 2


def test_one_look_asks_once_and_anew_after_writing(opener, kind, phone):
    """What others write meanwhile is seen after the look; what is written here, at once."""
    store, other = opener.open(kind).entries, opener.open(kind).entries
    store.create_logbook(PLOVER, "Plover", ANN)
    with store.one_look():
        assert store.position(PLOVER) == 0
        other.append(PLOVER, phone.entries(1), "")
        with store.one_look():
            assert store.position(PLOVER) == 0
            assert [each.position for each in store.logbooks()] == [0]
            with pytest.raises(NotFound):
                store.position(WAGON)
        assert store.position(PLOVER) == 0
    assert store.position(PLOVER) == 1
    with store.one_look():
        assert store.position(PLOVER) == 1
        store.append(PLOVER, phone.entries(2), "")
        assert store.position(PLOVER) == 3
