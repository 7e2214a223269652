"""Partners: kept in plain files that nobody else may read."""

import stat

import pytest

from putback.errors import AlreadyExists, BadInput, NotFound
from putback.logbook.bundle import read_bundle
from putback.logbook.entries.base import LogbookId
from putback.logbook.entries.bookkeeping import MoneySpent
from putback.logbook.entries.working import NoteMade, PhotoTaken
from putback.workshop.exchange.by_file import export_for
from putback.workshop.exchange.course import Course
from putback.workshop.exchange.exchange import take_in
from putback.workshop.exchange.over_https import site_of
from putback.workshop.exchange.partners import Partner, Partners
from putback.workshop.logbooks.memory import MemoryEntryStore, MemoryPhotoStore
from putback.workshop.logbooks.workshop import Workshop
from tests.stores import ANN, BEN, PHONE

SECRET = "s3cret-token"
CAR = LogbookId("car/../../1")
BARN = Partner("The barn", "https://barn.local:8443", SECRET, "", ANN)


@pytest.fixture
def partners(tmp_path):
    return Partners(tmp_path)


def test_a_partner_is_kept_and_nobody_else_may_read_it(partners, tmp_path):
    """The file with the token is for this account alone; no record shows the token."""
    partners.add(BARN)
    assert partners.all() == (BARN,)
    assert partners.called(" the BARN") == BARN
    files = [each for each in tmp_path.rglob("*") if each.is_file()]
    assert files
    assert {stat.S_IMODE(each.stat().st_mode) for each in files} == {0o600}
    assert stat.S_IMODE((tmp_path / "partners").stat().st_mode) == 0o700
    assert SECRET not in repr(partners.all())


def test_one_name_is_one_partner(partners):
    """A second of the name only in its place; with another address its courses count no longer."""
    partners.add(BARN)
    partners.keep_course(BARN.name, CAR, Course(sent=7))
    with pytest.raises(AlreadyExists):
        partners.add(BARN)
    renewed = Partner("The barn", BARN.address, "new-token")
    partners.add(renewed, instead=True)
    assert partners.course("The barn", CAR) == Course(sent=7)
    partners.add(Partner("The barn", "https://other.local", "t"), instead=True)
    assert partners.course("The barn", CAR) == Course()


def test_courses_are_kept_by_vehicle_and_a_torn_one_begins_anew(partners, tmp_path):
    """Whatever the vehicle's identity, its file stays in the partner's folder."""
    partners.add(BARN)
    partners.keep_course(BARN.name, CAR, Course(3, "e", 4, 5, "f", again=True, pushed_at="2031"))
    assert partners.course(BARN.name, CAR).got == 4
    assert partners.course(BARN.name, LogbookId("other")) == Course()
    (path,) = tmp_path.rglob("course-*")
    assert path.parent.parent == tmp_path / "partners"
    path.write_text('{"course": {"sent"')
    assert partners.course(BARN.name, CAR) == Course()


def test_a_forgotten_partner_leaves_nothing(partners, tmp_path):
    """Token and courses are gone, and a course that comes late brings nothing back."""
    partners.add(BARN)
    partners.keep_course(BARN.name, CAR, Course(3))
    partners.forget("the barn")
    partners.keep_course(BARN.name, CAR, Course(4))
    assert [each for each in tmp_path.rglob("*") if each.is_file()] == []
    with pytest.raises(NotFound, match="no partner 'The barn'"):
        partners.forget("The barn")


@pytest.mark.parametrize(
    ("partner", "words"),
    [
        (Partner(""), "no name"),
        (Partner("list"), "cannot be called"),
        (Partner("x" * 61), "no name"),
        (Partner("barn", "https://barn.local"), "no token"),
        (Partner("barn", "https://barn.local", "two words"), "no token"),
        (Partner("barn", "http://barn.local", "t"), "would show the token"),
        (Partner("barn", "https://me:pw@barn.local", "t"), "no address"),
        (Partner("barn", "https://barn.local/elsewhere", "t"), "no address"),
        (Partner("barn", "ftp://barn.local", "t"), "would show the token"),
        (Partner("barn", "https://barn.local:99999", "t"), "no address"),
    ],
)
def test_what_will_not_do_is_refused(partners, partner, words):
    """A name, an address or a token that cannot be meant; nothing is kept."""
    with pytest.raises(BadInput, match=words):
        partners.add(partner)
    assert partners.all() == ()


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("barn.local:8443", "https://barn.local:8443"),
        ("https://barn.local/", "https://barn.local"),
        ("http://127.0.0.1:8000", "http://127.0.0.1:8000"),
        ("https://[fd00::1]:8443", "https://[fd00::1]:8443"),
    ],
)
def test_an_address_is_read_as_people_type_it(typed, read):
    """By https, unless it is this very machine."""
    assert site_of(typed) == read


# -- by file ------------------------------------------------------------------------------------


@pytest.fixture
def here():
    workshop = Workshop(MemoryEntryStore(), MemoryPhotoStore())
    workshop.new_vehicle("Old Dunlin", who=ANN, device=PHONE)
    return workshop


def test_a_file_holds_what_the_partner_was_not_given_yet(here, partners, tmp_path):
    """Each file goes on where the last ended; together they are the whole, photos included."""
    car = here.logbooks()[0].id
    partners.add(Partner("Ben"))
    late = Workshop(MemoryEntryStore(), MemoryPhotoStore()).photos.put(b"late")
    here.log(car, [PhotoTaken(photo=late)], who=ANN, device=PHONE)
    first = export_for(here, partners, "ben", car, tmp_path / "1.zip")
    here.log(car, [NoteMade(text="more")], who=ANN, device=PHONE)
    here.photos.put(b"late")
    second = export_for(here, partners, "ben", car, tmp_path / "2.zip")
    assert (first.entries, second.entries) == (here.store.position(car) - 1, 1)
    assert second.since == first.digest
    assert list(read_bundle(tmp_path / "2.zip").photo_files) == [late]
    there = Workshop(MemoryEntryStore(), MemoryPhotoStore())
    take_in(there, tmp_path / "1.zip", who=BEN)
    take_in(there, tmp_path / "2.zip", who=BEN)
    assert there.facts(car).digest == here.facts(car).digest
    assert there.photos.has(late)
    assert export_for(here, partners, "ben", car, tmp_path / "3.zip").entries == 0
    again = export_for(here, partners, "ben", car, tmp_path / "4.zip", again=True)
    assert again.entries == here.store.position(car)


def test_what_was_left_out_as_private_is_not_taken_for_given(here, partners, tmp_path):
    """Who first gives without sums of money and then with, gives them."""
    car = here.logbooks()[0].id
    partners.add(Partner("Ben"))
    here.log(car, [MoneySpent(amount="3", currency="EUR")], who=ANN, device=PHONE)
    export_for(here, partners, "Ben", car, tmp_path / "1.zip", without_private=True)
    second = export_for(here, partners, "Ben", car, tmp_path / "2.zip")
    assert second.entries == here.store.position(car)


def test_a_failed_file_counts_as_not_given(here, partners, tmp_path):
    """Nothing is remembered of a file that could not be written."""
    car = here.logbooks()[0].id
    partners.add(Partner("Ben"))
    with pytest.raises(Exception, match="cannot be used"):
        export_for(here, partners, "Ben", car, tmp_path / "nowhere" / "1.zip")
    assert partners.filed("Ben", car).position == 0
