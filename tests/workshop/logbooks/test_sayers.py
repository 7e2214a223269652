"""Who said what, where another workshop's logbook was taken in."""

import pytest

from putback.logbook.entries.base import DeviceId, PersonId, Subject
from putback.logbook.entries.bookkeeping import PersonNamed
from putback.logbook.entries.working import NoteMade, PhotoTaken
from putback.workshop.exchange.exchange import export_bundle, take_in
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.ports import GARAGE
from putback.workshop.logbooks.sayers import sayers_of
from putback.workshop.now.newcomer import newcomer
from putback.workshop.people.memory_people import MemoryPeopleStore
from putback.workshop.people.people import People
from putback.workshop.people.who import names_here
from putback.workshop.pictures.album import album
from putback.workshop.saying.whereabouts import whereabouts
from putback.workshop.things.book import history_lines, read_book
from putback.workshop.things.thing import history_of
from tests.makers import vehicle
from tests.workshop.lines import CAR, Lines

ROOT = PersonId("root")
SHED, HOUSE = DeviceId("shed"), DeviceId("house")
LID = vehicle("lid - frame: 4 bolt M8 x 20")
SHOT = "f" * 64


def named(lines: Lines, name: str, device: DeviceId) -> None:
    """Say in the garage's logbook how its own root is called."""
    body = PersonNamed(person=ROOT, name=name)
    lines.workshop.log(GARAGE, [body], who=ROOT, device=device)


@pytest.fixture
def house(tmp_path):
    """Ann's workshop, where she is root, with a vehicle of the shed, where Zoe is root."""
    shed, house = Lines(LID), Lines()
    named(shed, "Zoe", SHED)
    for body in (
        NoteMade(text="smells of mice", of=(Subject("part:lid"),)),
        PhotoTaken(photo=SHOT, media_type="image/jpeg", of=(Subject("part:lid"),)),
        *shed.read("seen-free lid-frame"),
    ):
        shed.watch.put_on(minutes=1)
        shed.workshop.log(CAR, [body], who=ROOT, device=SHED)
    export_bundle(shed.workshop, CAR, tmp_path / "car.zip")
    named(house, "Ann", HOUSE)
    house.watch.put_on(days=1)
    take_in(house.workshop, tmp_path / "car.zip", who=ROOT)
    return house


def test_a_name_from_elsewhere_is_as_claimed_wherever_it_is_shown(house):
    """History, for programs and for the page, album, newcomer, book, and where a thing is."""
    workshop = house.workshop
    told = history_of(workshop, CAR, "part:lid")
    assert {
        (each.who, each.is_claimed) for each in told if each.sentence == "noted: smells of mice"
    } == {("Zoe", True)}
    lines = history_lines(workshop, CAR, Subject("part:lid"))
    assert ("Zoe", True) in {(each.who, each.is_claimed) for each in lines}
    assert [each.who for each in album(workshop, CAR)] == ["Zoe (as claimed)"]
    hands = newcomer(house.state, workshop.standing(CAR), sayers_of(workshop, CAR)).hands
    assert [each.name for each in hands] == ["Zoe (as claimed)"]
    assert (ROOT, "Zoe (as claimed)") in read_book(workshop, CAR).people
    assert "seen free by Zoe (as claimed)" in whereabouts(house.state, "joint:lid-frame")


def test_what_is_written_here_keeps_the_name_that_is_known_here(house):
    """One identity, two people: each entry is told with its own, and neither takes the other's."""
    workshop = house.workshop
    house.watch.put_on(minutes=1)
    body = NoteMade(text="so it does", of=(Subject("part:lid"),))
    workshop.log(CAR, [body], who=ROOT, device=HOUSE)
    told = {
        each.sentence: (each.who, each.is_claimed)
        for each in history_of(workshop, CAR, "part:lid")
    }
    assert told["noted: so it does"] == ("Ann", False)
    assert told["noted: smells of mice"] == ("Zoe", True)
    assert in_its_garage(workshop, CAR).people[ROOT] == "Ann"
    people = People(MemoryPeopleStore(), house.watch)
    assert names_here(workshop, people)[ROOT] == "Ann"


def test_an_account_names_what_is_written_here_alone(house):
    """The name of an account says nothing of what came from elsewhere."""
    act = house.workshop.log(CAR, [NoteMade(text="mine")], who=ROOT, device=HOUSE)
    sayers = sayers_of(house.workshop, CAR, {ROOT: "Annie"})
    (mine,) = act.entries
    (first, *_) = (each for each in house.workshop.standing(CAR) if each.device == SHED)
    assert sayers.words(mine.id, mine.who) == "Annie"
    assert sayers.words(first.id, first.who) == "Zoe (as claimed)"


def test_what_arrives_later_is_told_apart_too(house, tmp_path):
    """A second bundle is read on from where the first ended."""
    sayers = sayers_of(house.workshop, CAR)
    other = Lines()
    (entry,) = other("note later", who=PersonId("yan")).entries
    house.workshop.take(CAR, [entry], received_from="another bundle")
    assert not sayers.is_claimed(entry.id)
    assert sayers_of(house.workshop, CAR).words(entry.id, entry.who) == "yan (as claimed)"
