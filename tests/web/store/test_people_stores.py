"""What every store of people promises: in memory, on SQLite and on PostgreSQL alike."""

from concurrent.futures import ThreadPoolExecutor
from contextlib import nullcontext
from dataclasses import replace

import pytest
from django.test.utils import override_settings

from putback.errors import AlreadyExists, BadInput, NotFound
from putback.logbook.entries.base import DeviceId, LogbookId, PersonId
from putback.workshop.logbooks.ports import Role
from putback.workshop.people.attempts import Wrong
from putback.workshop.people.memory_people import MemoryPeopleStore
from putback.workshop.people.passes import Pass, PassId, PassKind
from putback.workshop.people.people import Device, DeviceKind, Person
from tests.stores import KINDS, QUICK_DIGESTS

ANN = Person(PersonId("ann"), "Ann", "2031-05-02T08:30:00.000Z")
PHONE = Device(
    DeviceId("phone"), ANN.id, "Ann's phone", DeviceKind.BROWSER, ANN.created_at, ANN.created_at
)
PASS = Pass(
    PassId("p1"),
    PassKind.INVITATION,
    ANN.id,
    "2031-05-02T08:30:00.000Z",
    "2031-05-09T08:30:00.000Z",
    LogbookId("plover-1"),
    Role.WORKER,
)


class Opened:
    """A store of people, and how a thread lets go of it."""

    def __init__(self, people, let_go) -> None:
        self.people, self.let_go = people, let_go


@pytest.fixture(params=KINDS)
def opened(opener, request):
    """A store of each kind, with Ann."""
    kind = request.param
    if kind == "memory":
        made = Opened(MemoryPeopleStore(), lambda: None)
    else:
        store = opener.open(kind)
        made = Opened(store.people, store.close)
    with override_settings(**QUICK_DIGESTS) if kind != "memory" else nullcontext():
        made.people.add_person(ANN, "a rusty old gate hinge")
        yield made


def test_a_person_is_called_otherwise(opened):
    """The identity stays, and whoever is not there cannot be renamed."""
    opened.people.rename(ANN.id, "Anne")
    assert opened.people.people() == (replace(ANN, name="Anne"),)
    with pytest.raises(NotFound):
        opened.people.rename(PersonId("zoe"), "Zoe")


def test_a_person_has_one_password(opened):
    """The last one given; nobody else's opens, and who is not there has none."""
    store = opened.people
    assert store.people() == (ANN,)
    assert store.is_password(ANN.id, "a rusty old gate hinge")
    assert not store.is_password(ANN.id, "another")
    assert not store.is_password(PersonId("ben"), "a rusty old gate hinge")
    store.set_password(ANN.id, "another rusty hinge")
    assert store.is_password(ANN.id, "another rusty hinge")
    with pytest.raises(NotFound):
        store.set_password(PersonId("ben"), "x")
    with pytest.raises(AlreadyExists):
        store.add_person(ANN, "x")


def test_what_is_tried_first_is_known(opened):
    """Whatever the case of its letters."""
    assert opened.people.is_common("Password123")
    assert not opened.people.is_common("a rusty old gate hinge")


def test_a_device_is_found_by_its_token_until_it_is_ended(opened):
    """And afterwards as ended, at the first of the moments named."""
    store = opened.people
    store.add_device(PHONE, "d" * 64)
    assert store.device_of("d" * 64) == PHONE
    store.note_seen(PHONE.id, "2031-05-03T08:30:00.000Z")
    store.end_device(PHONE.id, "2031-05-04T08:30:00.000Z")
    store.end_device(PHONE.id, "2031-05-05T08:30:00.000Z")
    (ended,) = store.devices(ANN.id)
    assert (ended.seen_at[:10], ended.ended_at[:10]) == ("2031-05-03", "2031-05-04")
    assert store.device_of("e" * 64) is None


def test_a_pass_comes_back_as_it_was_kept(opened):
    """By its token's digest, and in the list of its vehicle, the newest first."""
    store = opened.people
    newer = replace(PASS, id=PassId("p2"), made_at="2031-05-03T08:30:00.000Z")
    store.add_pass(PASS, "a" * 64)
    store.add_pass(newer, "b" * 64)
    assert store.pass_of("a" * 64) == PASS
    assert store.pass_of("c" * 64) is None
    assert store.passes(PASS.logbook) == (newer, PASS)
    assert store.passes(LogbookId("other")) == ()


def test_a_pass_is_used_once_and_not_when_it_is_too_late(opened):
    """Given back it opens again; withdrawn never."""
    store, now, late = opened.people, "2031-05-04", "2031-05-10"
    store.add_pass(PASS, "a" * 64)
    assert not store.use_pass("a" * 64, late, ANN.id)
    assert store.use_pass("a" * 64, now, ANN.id)
    assert not store.use_pass("a" * 64, now, ANN.id)
    assert store.pass_of("a" * 64).used_by == ANN.id
    store.give_pass_back(PASS.id)
    assert store.pass_of("a" * 64) == PASS
    store.withdraw_pass(PASS.id, now)
    assert not store.use_pass("a" * 64, now, ANN.id)


def test_of_many_at_once_one_uses_a_pass(opened):
    """However many tap the link in the same moment."""
    opened.people.add_pass(PASS, "a" * 64)

    def use(number):
        try:
            return opened.people.use_pass("a" * 64, "2031-05-04", PersonId(f"p{number}"))
        finally:
            opened.let_go()

    with ThreadPoolExecutor(6) as pool:
        assert sorted(pool.map(use, range(12))) == [False] * 11 + [True]


def test_counts_of_many_at_once_are_all_there(opened):
    """Each change sees what the others did; one that raises changes nothing."""

    def add(_):
        try:
            opened.people.change_attempts(
                ["at:here", "person:ann"],
                lambda known: {
                    key: Wrong(known.get(key, Wrong()).count + 1, "2031", "2032", welcome=True)
                    for key in ("at:here", "person:ann")
                },
            )
        finally:
            opened.let_go()

    def refuse(known):
        assert known["at:here"] == Wrong(24, "2031", "2032", welcome=True)
        raise BadInput("no")

    with ThreadPoolExecutor(6) as pool:
        list(pool.map(add, range(24)))
    with pytest.raises(BadInput):
        opened.people.change_attempts(["at:here"], refuse)


def test_counts_are_forgotten_by_how_their_keys_end(opened):
    """Of one person from wherever; others' stay."""
    keys = ["at:here", "at:here person:ann", "person:ann", "person:joann"]
    opened.people.change_attempts(keys, lambda _: {key: Wrong(3) for key in keys})
    opened.people.forget_attempts("person:ann")
    seen = {}
    opened.people.change_attempts(keys, lambda known: seen.update(known) or {})
    counted = {key: each.count for key, each in seen.items() if each.count}
    assert counted == {"at:here": 3, "person:joann": 3}


def test_a_vehicle_is_put_away_for_one_person(opened):
    """Twice is once, and it comes back."""
    store, car = opened.people, LogbookId("plover-1")
    store.set_put_away(ANN.id, car, True)
    store.set_put_away(ANN.id, car, True)
    assert store.put_away(ANN.id) == {car}
    assert store.put_away(PersonId("ben")) == frozenset()
    store.set_put_away(ANN.id, car, False)
    assert store.put_away(ANN.id) == frozenset()
