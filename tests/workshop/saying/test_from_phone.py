"""Entries that a phone kept until it could send them: there once, or refused with a reason."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.errors import BadInput
from putback.logbook.entries.base import ActId, DeviceId, PersonId, canonical, digest_of_set
from putback.logbook.entries.working import NoteMade
from putback.workshop.logbooks.memory import MemoryEntryStore, MemoryPhotoStore
from putback.workshop.logbooks.workshop import Workshop
from putback.workshop.saying.from_phone import SaidByAnother, take_from_phone
from tests.stores import ANN, Phone

PHONES = 3
STEP = st.tuples(
    st.integers(0, PHONES - 1), st.sampled_from(["log", "send", "cut", "answer lost", "again"])
)


def opened():
    """A workshop with one vehicle."""
    workshop = Workshop(MemoryEntryStore(), MemoryPhotoStore())
    return workshop, workshop.new_vehicle("Old Dunlin", who=ANN, device=DeviceId("laptop"))


def garbled(entry, **said):
    """The entry with other values in its body."""
    document = json.loads(entry.raw)
    document["body"] |= said
    return canonical(document)


@given(st.lists(STEP, max_size=40))
def test_whatever_is_lost_on_the_way_the_store_has_the_union_once(steps):
    """Phones log and send in any order; requests and answers get lost, and acts come again."""
    workshop, book = opened()
    first = workshop.facts(book).entries
    phones = [Phone(DeviceId(f"phone {n}"), PersonId(f"p{n}"), book) for n in range(PHONES)]
    queues = [[] for _ in phones]
    acknowledged = [[] for _ in phones]
    logged = []

    def send(at, act):
        lines = [entry.raw for entry in act]
        who, device = phones[at].who, phones[at].device
        return take_from_phone(workshop, book, lines, who=who, received_from=device)

    for at, step in [*steps, *((n, "send") for n in range(PHONES) for _ in range(len(steps)))]:
        queue = queues[at]
        if step == "log":
            act = phones[at].identities.next(0)
            queue.append([phones[at].entry(act=act) for _ in range(2)])
            logged += queue[-1]
        elif step == "again" and acknowledged[at]:
            taken = send(at, acknowledged[at][0])
            assert taken.appended.new == ()
            assert len(taken.told) == 1
        elif step == "answer lost" and queue:
            send(at, queue[0])
        elif step == "send" and queue:
            taken = send(at, queue[0])
            ids = {*taken.appended.new, *taken.appended.known}
            assert ids == {entry.id for entry in queue[0]}
            acknowledged[at].append(queue.pop(0))
    stored = [each.entry for each in workshop.since(book)][first:]
    assert sorted(stored) == sorted(entry.id for entry in logged)
    fresh = Workshop(MemoryEntryStore(), MemoryPhotoStore())
    fresh.store.create_logbook(book, "", ANN)
    beginning = [each.raw for each in workshop.since(book)][:first]
    fresh.receive(book, beginning, received_from="")
    fresh.take(book, logged[::-1], received_from="")
    assert fresh.facts(book).digest == workshop.facts(book).digest
    assert fresh.state(book) == workshop.state(book)
    assert digest_of_set(each.digest for each in workshop.since(book)) == (
        workshop.facts(book).digest
    )


def test_what_cannot_be_meant_is_refused_whole_with_its_reason():
    """The act's other entry is not taken in either; the words are those of a form."""
    workshop, book = opened()
    phone = Phone(logbook=book, who=ANN)
    good, bad = phone.entries(2)
    before = workshop.store.position(book)
    lines = [good.raw, garbled(bad, text=["no", "text"])]
    with pytest.raises(BadInput, match="entry 2, note: text"):
        take_from_phone(workshop, book, lines, who=ANN, received_from="phone")
    assert workshop.store.position(book) == before
    other = bad.raw.replace(b'"note"', b'"sang"')
    with pytest.raises(BadInput, match="unknown kind"):
        take_from_phone(workshop, book, [other], who=ANN, received_from="phone")


def test_nobody_sends_what_another_logged():
    """It waits on the phone until its person signs in."""
    workshop, book = opened()
    entry = Phone(logbook=book, who=ANN).entry(NoteMade(text="mine"))
    before = workshop.store.position(book)
    with pytest.raises(SaidByAnother, match="ann"):
        take_from_phone(workshop, book, [entry.raw], who=PersonId("bob"), received_from="phone")
    assert workshop.store.position(book) == before


def test_each_act_is_told_by_itself():
    """In the order in which they came, one sentence an entry."""
    workshop, book = opened()
    phone = Phone(logbook=book, who=ANN)
    one, two = phone.identities.next(0), phone.identities.next(0)
    lines = [phone.entry(act=each).raw for each in (one, one, two)]
    told = take_from_phone(workshop, book, lines, who=ANN, received_from="phone").told
    assert [(each.act.id, len(each.sentences)) for each in told] == [
        (ActId(one), 2),
        (ActId(two), 1),
    ]
