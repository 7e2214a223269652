"""The use cases: a vehicle, acts, what phones send, striking out and undoing, tags."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.errors import AlreadyExists, BadInput, NotFound
from putback.logbook.entries.base import ActId, DeviceId, EntryId, MalformedEntry, Subject
from putback.logbook.entries.bookkeeping import Struck
from putback.logbook.entries.describing import Described, PlaceDescribed
from putback.logbook.entries.keeping import ContainerMade
from putback.logbook.entries.working import JointUndone, Measured, NoteMade, PartOff
from putback.logbook.tags import tag_at
from putback.vehicle.generate import generate
from putback.workshop.logbooks.identity import Identities, following
from putback.workshop.logbooks.memory import MemoryEntryStore, MemoryPhotoStore
from putback.workshop.logbooks.ports import GARAGE, BackupNote, Role
from putback.workshop.logbooks.said_once import said_as
from putback.workshop.logbooks.workshop import Workshop
from tests.stores import ANN, BEN, PHONE, PLOVER, Phone, Watch

WING = Subject("part:wing")


@pytest.fixture
def watch():
    """The workshop's clock."""
    return Watch()


@pytest.fixture
def workshop(watch):
    """A workshop with one vehicle of which nothing is known yet."""
    workshop = Workshop(MemoryEntryStore(watch), MemoryPhotoStore(), watch)
    workshop.new_vehicle("Plover", who=ANN, device=PHONE, logbook=PLOVER)
    return workshop


def ann(**more):
    """Ann, on her phone."""
    return {"who": ANN, "device": PHONE} | more


# -- a vehicle ----------------------------------------------------------------------------------


def test_a_name_is_enough_for_a_vehicle(workshop):
    """It has a logbook that its maker owns, and a state in which nothing is known."""
    logbook = workshop.new_vehicle("  Estate wagon, 1962 ", **ann())
    assert logbook.startswith("estate-wagon-1962-")
    assert workshop.state(logbook).vehicle.about.name == "Estate wagon, 1962"
    assert workshop.store.roles(logbook) == {ANN: Role.OWNER}
    assert {each.name for each in workshop.logbooks()} == {"Plover", "Estate wagon, 1962"}


def test_two_vehicles_of_one_name_are_two(workshop):
    """Each has an identity of its own; who asks by the name alone is told both."""
    first, second = (workshop.new_vehicle("Wagon", **ann()) for _ in range(2))
    assert first != second
    with pytest.raises(BadInput, match=r"2 vehicles are called 'Wagon'; say wagon-.*, wagon-"):
        workshop.find("Wagon")
    assert workshop.find(second) == second


def test_a_vehicle_is_listed_under_the_name_that_it_has(workshop, phone):
    """Described otherwise it is listed so, also by a phone; struck out, as it was before."""
    name = {"table": "about", "id": PLOVER, "fields": {"name": "The black one"}}
    act = workshop.log(PLOVER, [Described(**name)], **ann())
    assert [each.name for each in workshop.logbooks()] == ["The black one"]
    assert workshop.find("the black one") == PLOVER
    workshop.strike(PLOVER, act.id, **ann())
    assert [each.name for each in workshop.logbooks()] == ["Plover"]
    sent = phone.entry(Described(**name))
    workshop.receive(PLOVER, [sent.raw], received_from=PHONE)
    assert [each.name for each in workshop.logbooks()] == ["The black one"]


@pytest.mark.parametrize("name", ["", " \t"])
def test_a_vehicle_needs_a_name(workshop, name):
    """Nothing is made without one."""
    with pytest.raises(BadInput, match="a vehicle needs a name; call it what you call it"):
        workshop.new_vehicle(name, **ann())
    assert len(workshop.logbooks()) == 1


def test_a_name_in_any_script_makes_an_identity(workshop):
    """Identities are plain letters, and never empty."""
    assert workshop.new_vehicle("試作", **ann()).startswith("vehicle-")


def test_what_is_said_twice_as_one_act_is_there_once(workshop, watch):
    """Acts of any length, and a vehicle; what the first said is given back, at any time."""
    act = ActId(Identities().next(1_000))
    for count in (1, 50, 120):
        named = ActId(following(act, str(count)))
        said = [NoteMade(text=f"note {at}") for at in range(count)]
        first = workshop.log(PLOVER, said, as_act=named, **ann())
        watch.put_on(days=3)
        assert workshop.log(PLOVER, [NoteMade(text="other")], as_act=named, **ann()) == first
        assert said_as(workshop.store, PLOVER, named) == first.entries
        assert len(first.entries) == count
    assert said_as(workshop.store, PLOVER, act) == ()
    first, second = (workshop.new_vehicle("Wagon", as_act=act, **ann()) for _ in range(2))
    assert first == second
    assert len(workshop.logbooks()) == 2


def test_an_identity_that_is_taken_is_refused(workshop):
    """The vehicle that is there stays as it was."""
    before = workshop.state(PLOVER)
    with pytest.raises(AlreadyExists, match="there is a logbook 'plover-1' already"):
        workshop.new_vehicle("Another", **ann(logbook=PLOVER))
    assert workshop.state(PLOVER) == before


@pytest.mark.parametrize("parts", [3, 60])
def test_a_described_vehicle_folds_to_itself(workshop, parts):
    """Said in entries, all in one act, and folded again it is the same vehicle."""
    vehicle = generate(parts=parts, seed=7)
    logbook = workshop.new_vehicle(vehicle, **ann())
    assert workshop.state(logbook).vehicle == vehicle
    assert len({entry.act for entry in workshop.standing(logbook)}) == 1


@pytest.mark.parametrize("named", ["plover-1", "Plover", "PLOVER", "plov"])
def test_a_vehicle_is_found_by_what_a_person_calls_it(workshop, named):
    """By identity, name, or the beginning of the identity."""
    assert workshop.find(named) == PLOVER


def test_a_vehicle_that_is_not_there_is_not_found(workshop):
    """With the nearest names; the garage is no vehicle."""
    workshop.state(GARAGE)
    with pytest.raises(NotFound, match="no logbook 'Plovre'; did you mean 'Plover'"):
        workshop.find("Plovre")
    with pytest.raises(NotFound, match="no logbook 'garage'"):
        workshop.find("garage")


def test_the_garage_is_there_when_it_is_wanted(workshop):
    """Nobody has to make it."""
    place = PlaceDescribed(place="shelf", name="The shelf")
    workshop.log(GARAGE, [place], **ann())
    assert workshop.state(GARAGE).places["shelf"].name == "The shelf"
    assert [each.id for each in workshop.logbooks()] == [PLOVER]


@pytest.mark.parametrize(
    "ask",
    [
        lambda workshop: workshop.history(GARAGE, Subject("place:shelf")),
        lambda workshop: workshop.standing(GARAGE),
        lambda workshop: tuple(workshop.since(GARAGE)),
    ],
)
def test_the_garage_may_be_asked_before_anything_is_in_it(workshop, ask):
    """There is nothing yet, which is no fault."""
    assert ask(workshop) == ()


def test_two_processes_may_want_the_garage_at_once(workshop, monkeypatch):
    """Whoever comes second finds it there."""
    workshop.state(GARAGE)
    monkeypatch.setattr(workshop.store, "logbooks", lambda: ())
    assert workshop.state(GARAGE).places == {}


# -- logging ------------------------------------------------------------------------------------


def test_one_act_may_be_several_entries(workshop, watch):
    """They share the act, stand in the order in which they were said, and are seen at once."""
    watch.put_on(hours=1)
    act = workshop.log(
        PLOVER, [JointUndone(joint="j1", out=4, of=4), PartOff(part="wing")], **ann()
    )
    assert {entry.act for entry in act.entries} == {act.id}
    assert [entry.happened_at for entry in act.entries] == ["2031-05-02T09:30:00.000+00:00"] * 2
    assert list(workshop.standing(PLOVER)[-2:]) == list(act.entries)
    state = workshop.state(PLOVER)
    assert state.parts["wing"].is_off
    assert state.joints["j1"].is_undone


def test_a_late_note_keeps_its_moment(workshop):
    """Yesterday, or after the entry it belongs to."""
    [first] = workshop.log(PLOVER, [NoteMade(text="first")], **ann()).entries
    [second] = workshop.log(PLOVER, [NoteMade(text="second")], **ann()).entries
    [late] = workshop.log(PLOVER, [NoteMade(text="late")], **ann(after=first.id)).entries
    [day] = workshop.log(PLOVER, [NoteMade(text="day")], **ann(happened_at="2031-05-01")).entries
    notes = [entry.id for entry in workshop.history(PLOVER, Subject("notes"))]
    assert notes == [day.id, first.id, late.id, second.id]


@pytest.mark.parametrize(
    ("body", "happened_at", "message"),
    [
        (NoteMade(text="half a \ud800 pair"), None, "this cannot be written down"),
        (Measured(of=WING, what="gap", value=float("nan"), unit="mm"), None, "cannot be written"),
        (NoteMade(text="x"), "last summer", "not a logbook entry: happened_at"),
        (NoteMade(text="x" * 300_000), None, "at most 262144 are read"),
    ],
)
def test_what_cannot_be_written_is_refused(workshop, body, happened_at, message):
    """With the reason, and nothing of the act is saved."""
    before = workshop.store.position(PLOVER)
    with pytest.raises((BadInput, MalformedEntry), match=message):
        workshop.log(PLOVER, [NoteMade(text="fine"), body], **ann(happened_at=happened_at))
    assert workshop.store.position(PLOVER) == before


def test_an_act_of_nothing_is_refused(workshop):
    """There is nothing that could have happened."""
    with pytest.raises(BadInput, match="an act needs something that happened"):
        workshop.log(PLOVER, [], **ann())


def test_clocks_go_on_where_the_device_stood(workshop, watch):
    """A program started anew, with a wall clock gone back, writes behind what it wrote before."""
    [before] = workshop.log(PLOVER, [NoteMade(text="before")], **ann()).entries
    watch.put_on(days=-1)
    again = Workshop(workshop.store, workshop.photos, watch)
    [after] = again.log(PLOVER, [NoteMade(text="after")], **ann()).entries
    assert after.clock > before.clock


def test_clocks_stand_behind_what_was_seen(workshop, watch):
    """An entry made after looking is later than all that was there, if that clock can be right."""
    ahead = Phone(device=DeviceId("ahead"), watch=Watch(watch.now()))
    ahead.watch.put_on(minutes=5)
    wild = Phone(device=DeviceId("wild"), watch=Watch(watch.now()))
    wild.watch.put_on(days=365)
    seen = ahead.entry()
    workshop.store.append(PLOVER, [seen, wild.entry()], "")
    workshop.state(PLOVER)
    [entry] = workshop.log(PLOVER, [NoteMade(text="after")], **ann()).entries
    assert entry.clock > seen.clock
    assert entry.clock[0] < watch.now().timestamp() * 1000 + 600_000


# -- what phones send ---------------------------------------------------------------------------


def test_what_a_phone_sends_is_taken_in_once(workshop, phone):
    """Sent twice, and torn into other portions, it is there once."""
    lines = [entry.raw for entry in phone.entries(4)]
    assert len(workshop.receive(PLOVER, lines[:3], received_from="ann").new) == 3
    again = workshop.receive(PLOVER, lines, received_from="ann")
    assert (len(again.new), len(again.known)) == (1, 3)
    assert [row.raw for row in workshop.since(PLOVER, 1)] == lines
    assert {row.received_from for row in workshop.since(PLOVER, 1)} == {"ann"}


@pytest.mark.parametrize(
    ("spoil", "message"),
    [
        (lambda raw: raw[:-1], r"line 2: not a logbook entry.*nothing was taken in"),
        (
            lambda raw: raw.replace(b'"plover-1"', b'"wagon-1"'),
            "line 2: the entry is of the logbook 'wagon-1', not of 'plover-1'; nothing was taken",
        ),
    ],
)
def test_one_bad_line_keeps_all_out(workshop, phone, spoil, message):
    """The line is named; the phone can leave it out and send the rest."""
    good, bad = phone.entries(2)
    before = workshop.store.position(PLOVER)
    with pytest.raises((BadInput, MalformedEntry), match=message):
        workshop.receive(PLOVER, [good.raw, spoil(bad.raw)], received_from="ann")
    assert workshop.store.position(PLOVER) == before


def test_an_unknown_kind_is_kept(workshop, phone):
    """A newer phone writes what this version cannot read: kept as received, and reported."""
    raw = phone.entry().raw.replace(b'"kind":"note"', b'"kind":"sung"')
    workshop.receive(PLOVER, [raw], received_from="ann")
    assert [row.raw for row in workshop.since(PLOVER, 1)] == [raw]
    assert len(workshop.facts(PLOVER).unread) == 1


# -- striking out -------------------------------------------------------------------------------


def test_a_struck_entry_is_as_if_never_made(workshop):
    """The state is that from before; the entry itself stays in the logbook."""
    before = workshop.state(PLOVER)
    [entry] = workshop.log(PLOVER, [PartOff(part="wing")], **ann()).entries
    assert workshop.state(PLOVER) != before
    strike = workshop.strike(PLOVER, entry.id, why="wrong side", **ann())
    assert workshop.state(PLOVER) == before
    assert workshop.facts(PLOVER).struck == {entry.id}
    assert strike.entries[0].body == Struck(entry=entry.id, why="wrong side")
    assert entry.raw in [row.raw for row in workshop.since(PLOVER)]


def test_a_struck_act_takes_all_its_entries_along(workshop):
    """And striking the strike brings them back."""
    before = workshop.state(PLOVER)
    act = workshop.log(PLOVER, [PartOff(part="wing"), PartOff(part="door")], **ann())
    with_act = workshop.state(PLOVER)
    [strike] = workshop.strike(PLOVER, act.id, **ann()).entries
    assert strike.body == Struck(act=act.id)
    assert workshop.state(PLOVER) == before
    workshop.strike(PLOVER, strike.id, **ann())
    assert workshop.state(PLOVER) == with_act


def test_what_two_struck_out_comes_back_at_once(workshop):
    """Each by a page that the other's strike had not reached: one tap brings it back, once."""
    [entry] = workshop.log(PLOVER, [PartOff(part="wing")], **ann()).entries
    [other] = workshop.log(PLOVER, [PartOff(part="door")], **ann()).entries
    [first] = workshop.strike(PLOVER, entry.id, **ann()).entries
    [second] = workshop.strike(PLOVER, entry.id, why="wrong side", **ann()).entries
    [apart] = workshop.strike(PLOVER, other.id, **ann()).entries
    back = workshop.strike(PLOVER, second.id, **ann())
    assert workshop.facts(PLOVER).struck == {first.id, second.id, other.id}
    assert {each.body.entry for each in back.entries} == {first.id, second.id}
    workshop.strike(PLOVER, entry.id, **ann())
    [late] = workshop.strike(PLOVER, first.id, **ann()).entries  # a page from before it came back
    assert late.body == Struck(entry=first.id)
    assert workshop.facts(PLOVER).struck == {entry.id, first.id, second.id, other.id}
    assert apart.id not in workshop.facts(PLOVER).struck


def test_only_what_is_there_can_be_struck(workshop):
    """A slip in the identity strikes nothing."""
    unknown = EntryId("01890000-0000-7000-8000-000000000000")
    with pytest.raises(NotFound, match=f"no entry or act '{unknown}'"):
        workshop.strike(PLOVER, unknown, **ann())


def test_undo_strikes_ones_own_last_act(workshop):
    """Not that of somebody else or of another device; and again, the one before."""
    first = workshop.log(PLOVER, [PartOff(part="wing")], **ann())
    second = workshop.log(PLOVER, [PartOff(part="door")], **ann())
    workshop.log(PLOVER, [PartOff(part="hood")], **ann(who=BEN))
    workshop.log(PLOVER, [PartOff(part="boot")], **ann(device=DeviceId("tablet")))
    workshop.undo(PLOVER, **ann())
    assert set(workshop.state(PLOVER).parts) == {"wing", "hood", "boot"}
    workshop.undo(PLOVER, **ann())
    assert set(workshop.state(PLOVER).parts) == {"hood", "boot"}
    struck = {entry.id for act in (first, second) for entry in act.entries}
    assert workshop.facts(PLOVER).struck == struck


def test_undo_keeps_the_vehicle(workshop):
    """Who undoes once too often still has the vehicle, as it was described at the beginning."""
    before = workshop.state(PLOVER)
    workshop.log(PLOVER, [PartOff(part="wing")], **ann())
    workshop.undo(PLOVER, **ann())
    with pytest.raises(BadInput, match="there is nothing of yours to undo"):
        workshop.undo(PLOVER, **ann())
    assert workshop.state(PLOVER) == before


def test_when_nothing_is_left_undo_says_so(workshop):
    """Somebody who wrote nothing here has nothing to undo."""
    with pytest.raises(BadInput, match="there is nothing of yours to undo"):
        workshop.undo(PLOVER, who=BEN, device=PHONE)


# -- the rest -----------------------------------------------------------------------------------


def test_tags_are_issued_from_ones_own_block(workshop):
    """In the order of issue; another device's are its own."""
    mine = workshop.reserve_tags(PHONE, 3)
    others = workshop.reserve_tags(DeviceId("tablet"), 2)
    more = workshop.reserve_tags(PHONE, 2)
    assert [*mine, *others, *more] == [tag_at(place) for place in range(7)]
    assert workshop.tags_of(PHONE) == (*mine, *more)
    assert workshop.tags_of(DeviceId("nobody's")) == ()


def test_a_tag_that_a_bag_bears_is_not_issued_again(workshop):
    """It came with a vehicle from elsewhere, whose garage had issued it: it is passed over."""
    workshop.log(PLOVER, [ContainerMade(tag=tag_at(1))], **ann())
    assert workshop.tags_in_use() == {tag_at(1)}
    assert workshop.reserve_tags(PHONE, 3) == (tag_at(0), tag_at(2), tag_at(3))


def test_the_last_backup_can_be_asked_for(workshop):
    """It is what the open item on backups needs to know."""
    assert workshop.last_backup() is None
    note = BackupNote("2031-05-02T10:00:00.000Z", "the stick", 1)
    workshop.store.note_backup(note)
    assert workshop.last_backup() == note


def test_photos_in_memory_are_found_by_digest():
    """The store for tests keeps the promise of the port."""
    photos = MemoryPhotoStore()
    photo = photos.put(b"photo")
    assert (photos.get(photo), photos.has(photo), list(photos)) == (b"photo", True, [photo])
    with pytest.raises(NotFound, match="no photo"):
        photos.get("0" * 64)


@given(st.lists(st.sampled_from(["wing", "door", "hood"]), max_size=8), st.data())
def test_striking_anything_is_as_if_it_had_not_been_said(parts, data):
    """fold(L + strike e) = fold(L without e), through the use cases and the cached fold."""
    watch = Watch()
    one = Workshop(MemoryEntryStore(watch), MemoryPhotoStore(), watch)
    other = Workshop(MemoryEntryStore(watch), MemoryPhotoStore(), watch)
    for each in (one, other):
        each.store.create_logbook(PLOVER, "Plover", ANN)
    entries = []
    for part in parts:
        watch.put_on(minutes=1)
        entries += one.log(PLOVER, [PartOff(part=part)], **ann()).entries
        one.state(PLOVER)
    for entry in entries:
        if data.draw(st.booleans(), label=f"strike {entry.id}"):
            one.strike(PLOVER, entry.id, **ann())
        else:
            other.store.append(PLOVER, [entry], "")
    assert one.state(PLOVER) == other.state(PLOVER)
