"""Pushing and pulling between two workshops, over a line that may fail anywhere."""

from itertools import count

import pytest

from putback.errors import BadInput, NotFound
from putback.logbook.entries.base import DeviceId, PersonId
from putback.logbook.entries.describing import PlaceDescribed
from putback.logbook.entries.working import NoteMade, PartOff, PhotoTaken, SoundTaken
from putback.vehicle.generate import generate
from putback.workshop.exchange import course as course_module
from putback.workshop.exchange import handing
from putback.workshop.exchange.course import Course, Exchange
from putback.workshop.exchange.far import NoExchange
from putback.workshop.logbooks.memory import MemoryEntryStore, MemoryPhotoStore
from putback.workshop.logbooks.ports import GARAGE, Role
from putback.workshop.logbooks.workshop import Workshop
from tests.far import BesideFar
from tests.stores import ANN, BEN, PHONE, Watch

SENDER = "partner barn"
BENS = DeviceId("ben's phone")


def workshop() -> Workshop:
    watch = Watch()
    return Workshop(MemoryEntryStore(watch), MemoryPhotoStore(), watch)


class Kept:
    """One vehicle with one partner; the course is kept from one time to the next."""

    def __init__(self, here: Workshop, there: Workshop, car) -> None:
        self.here, self.there, self.car = here, there, car
        self.far = BesideFar(there, person=BEN)
        self.course = Course()

    def _keep(self, course: Course) -> None:
        self.course = course

    def now(self) -> Exchange:
        return Exchange(
            self.here, self.far, "barn", self.car, SENDER, ANN, self.course, self._keep
        )

    def push(self):
        exchange = self.now()
        list(exchange.push())
        return exchange.done

    def pull(self):
        exchange = self.now()
        list(exchange.pull())
        return exchange.done


@pytest.fixture
def here():
    """Ann's workshop: a small vehicle, a part off onto a described shelf, a photo and a sound."""
    here = workshop()
    car = here.new_vehicle(generate(parts=5, seed=7), who=ANN, device=PHONE)
    ann = {"who": ANN, "device": PHONE}
    here.log(GARAGE, [PlaceDescribed(place="shelf", name="The shelf")], **ann)
    photo, sound = here.photos.put(b"photo"), here.photos.put(b"sound")
    part = next(iter(here.state(car).vehicle.parts))
    shown = [PhotoTaken(photo=photo), SoundTaken(sound=sound)]
    here.log(car, [PartOff(part=part, place="shelf"), *shown], **ann)
    return here


@pytest.fixture
def car(here):
    return here.logbooks()[0].id


@pytest.fixture
def kept(here, car):
    """Her exchange with Ben's barn, where nothing is yet."""
    return Kept(here, workshop(), car)


@pytest.fixture
def small(monkeypatch):
    """Answers of three entries, so that a short logbook takes many."""
    monkeypatch.setattr(handing, "MOST_ENTRIES", 3)
    monkeypatch.setattr(course_module, "MOST_ASKED", 2)


def same(here: Workshop, there: Workshop, car) -> None:
    """Both copies hold the same entries and photos and show the same."""
    assert sorted(row.digest for row in here.since(car)) == sorted(
        row.digest for row in there.since(car)
    )
    assert here.facts(car).digest == there.facts(car).digest
    assert here.state(car) == there.state(car)
    assert here.state(GARAGE).places == there.state(GARAGE).places
    assert set(here.photos) == set(there.photos)


def test_a_pushed_vehicle_is_there_whole(kept, here, car):
    """Entries, photos, sounds and the places that they name; it belongs to whose token it was."""
    done = kept.push()
    same(here, kept.there, car)
    assert (done.entries, done.garage, done.photos) == (here.store.position(car), 1, 2)
    assert kept.there.store.roles(car) == {BEN: Role.OWNER}
    assert kept.there.logbooks()[0].name == here.logbooks()[0].name


def test_a_pulled_vehicle_is_here_whole_and_of_who_pulled(here, car):
    """The other way round: roles are nobody's but this store's."""
    there = workshop()
    kept = Kept(there, here, car)
    done = kept.pull()
    same(here, there, car)
    assert (done.photos, done.left_out) == (2, [])
    assert there.store.roles(car) == {ANN: Role.OWNER}
    assert {row.received_from for row in there.since(car)} == {SENDER}


def test_only_what_is_new_since_the_last_time_goes_over(kept, here, car):
    """Nothing goes twice: neither what was sent, nor what came from there."""
    kept.push()
    kept.there.log(car, [NoteMade(text="in the barn")], who=BEN, device=BENS)
    here.log(car, [NoteMade(text="at home")], who=ANN, device=PHONE)
    assert kept.pull().entries == 1
    assert kept.push().entries == 1
    same(here, kept.there, car)
    kept.far.calls.clear()
    assert (kept.push().entries, kept.pull().entries) == (0, 0)
    assert "send entries" not in kept.far.calls
    assert kept.course.pushed_at
    assert kept.course.pulled_at


def test_a_blob_is_there_before_the_entry_that_names_it(kept, here, car, small):
    """Cut off anywhere, no entry is on either side without the photo that the other has."""

    def check(there: Workshop) -> None:
        if handing.has(there, car):
            for photo in handing.named_by(there, car).photos:
                assert there.photos.has(photo)

    for _ in kept.now().push():
        check(kept.there)
    back = Kept(workshop(), kept.there, car)
    back.far.device = BENS  # a third workshop, to which all of it is new
    for _ in back.now().pull():
        check(back.here)
    assert len(list(back.here.photos)) == 2


@pytest.mark.parametrize("lost", ["request", "answer"])
@pytest.mark.parametrize("way", ["push", "pull"])
def test_cut_off_at_every_call_it_goes_on_where_it_was(here, car, small, lost, way):
    """Each attempt fails one call later than the last; in the end everything is there once."""
    there = workshop()
    kept = Kept(here, there, car) if way == "push" else Kept(there, here, car)
    for number in count(1):
        left = [number]

        def cut(left=left):
            left[0] -= 1
            return lost if left[0] == 0 else ""

        kept.far.cut = cut
        try:
            getattr(kept, way)()
        except NoExchange:
            assert number < 60
        else:
            break
    same(here, there, car)
    assert number > 5


def test_a_photo_that_comes_later_follows(kept, here, car):
    """An entry went over whose picture was not there yet; the next time brings it."""
    late = b"late photo"
    name = workshop().photos.put(late)
    here.log(car, [PhotoTaken(photo=name)], who=ANN, device=PHONE)
    assert kept.push().left_out == [name]
    here.photos.put(late)
    done = kept.push()
    assert (done.entries, done.photos, done.left_out) == (0, 1, [])
    same(here, kept.there, car)


def test_a_copy_restored_from_a_backup_is_filled_again(kept, here, car):
    """Positions are others' now: all is offered again, also what came from there."""
    kept.push()
    kept.there.log(car, [NoteMade(text="in the barn")], who=BEN, device=BENS)
    kept.pull()
    here.log(car, [NoteMade(text="later")], who=ANN, device=PHONE)
    kept.push()
    restored = workshop()
    older = [row.raw for row in kept.there.since(car)][:4]
    restored.store.create_logbook(car, "older", BEN)
    restored.receive(car, older, received_from="backup")
    restored.log(car, [NoteMade(text="since")], who=BEN, device=BENS)
    kept.there = kept.far.workshop = restored
    kept.push()
    kept.pull()
    same(here, restored, car)
    kept.push()
    assert "in the barn" in {
        each.body.text for each in restored.standing(car) if isinstance(each.body, NoteMade)
    }
    assert not kept.course.again


def test_our_own_copy_restored_is_filled_again(kept, here, car):
    """The course is ahead of a store that was put back to an earlier day."""
    here.log(car, [NoteMade(text="today")], who=ANN, device=PHONE)
    kept.push()
    older = workshop()
    older.store.create_logbook(car, "older", ANN)
    older.receive(car, [row.raw for row in here.since(car)][:3], received_from="backup")
    older.log(car, [NoteMade(text="after the fire")], who=ANN, device=PHONE)
    kept.here = older
    kept.pull()
    kept.push()
    same(older, kept.there, car)


def test_what_is_not_there_is_said(kept):
    """A vehicle nobody has there; and the garage itself is never pushed as a vehicle."""
    with pytest.raises(NotFound, match="no vehicle at the partner"):
        kept.pull()
    kept.car = GARAGE
    with pytest.raises(BadInput, match="only vehicles are exchanged"):
        kept.push()


def test_a_photo_that_is_another_stops_with_words(here, car, monkeypatch):
    """Bytes that are not those of their digest are not kept, and the entry not taken."""
    there = workshop()
    kept = Kept(there, here, car)
    monkeypatch.setattr(kept.far, "photo", lambda logbook, photo: b"something else")
    with pytest.raises(NoExchange, match="sends a photo that is spoilt"):
        kept.pull()
    assert list(there.photos) == []
    assert there.logbooks() == ()


def test_entries_of_another_vehicle_are_refused(here, car, monkeypatch):
    """A partner that sends another vehicle's entries begins nothing here."""
    other = here.new_vehicle("Other", who=ANN, device=PHONE)
    there = workshop()
    kept = Kept(there, here, car)
    wrong = handing.hand_out(here, other, 0)[0]
    monkeypatch.setattr(kept.far, "entries", lambda *_, **__: wrong)
    with pytest.raises(NoExchange, match="entries of another vehicle"):
        kept.pull()
    assert there.logbooks() == ()


def test_who_wrote_an_entry_stays_who_they_said(kept, here, car):
    """Imported entries keep their claim; nobody gets a role by it."""
    here.log(car, [NoteMade(text="mine")], who=PersonId("stranger"), device=PHONE)
    kept.push()
    assert {each.who for each in kept.there.standing(car)} >= {PersonId("stranger")}
    assert PersonId("stranger") not in kept.there.store.roles(car)


def test_what_would_change_is_told_past_all_that_is_known(kept, here, car, small):
    """What both have is looked through, as far as a few answers go; nothing is kept."""
    kept.push()
    kept.course = Course(again=True)  # all of it is looked at
    kept.there.log(car, [NoteMade(text="in the barn")], who=BEN, device=BENS)
    position = here.store.position(car)
    ahead = kept.now().look_ahead()
    assert (ahead.new, ahead.is_there) == (0, True)
    assert ahead.more == position + 1 - 3 * course_module.MOST_LOOKED_AT
    assert kept.there.store.position(car) == position + 1
    kept.pull()
    kept.push()
    kept.there.log(car, [NoteMade(text="dry")], who=BEN, device=BENS)
    ahead = kept.now().look_ahead()
    assert [each.sentence for each in ahead.first_new] == ["noted: dry"]
    assert (ahead.new, ahead.more) == (1, 0)


def test_copies_that_are_one_already_send_nothing(kept, here, car):
    """Brought together by a bundle: the first exchange finds that out by one digest."""
    kept.push()
    kept.course = Course()
    kept.far.calls.clear()
    assert (kept.push().entries, kept.pull().entries) == (0, 0)
    assert "send entries" not in kept.far.calls
    assert kept.course.sent == here.store.position(car)
