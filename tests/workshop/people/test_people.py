"""Who may come in: names and passwords, passes, and the wait after wrong passwords."""

from datetime import timedelta

import pytest

from putback.errors import AlreadyExists, BadInput, NotFound
from putback.logbook.entries.base import DeviceId, LogbookId, PersonId
from putback.workshop.logbooks.memory import MemoryEntryStore, MemoryPhotoStore
from putback.workshop.logbooks.ports import GARAGE, Role
from putback.workshop.logbooks.workshop import Workshop
from putback.workshop.people.attempts import ADDRESS, ANYWHERE, PAIR, WaitFirst, network_of
from putback.workshop.people.letting_in import INVITATION_LASTS, LettingIn, StaleLink
from putback.workshop.people.memory_people import MemoryPeopleStore
from putback.workshop.people.passes import PassKind
from putback.workshop.people.people import DeviceKind, People
from putback.workshop.people.who import access_to
from tests.stores import Watch

GOOD = "a rusty old gate hinge"
LAPTOP = DeviceId("laptop")
HOME, ELSEWHERE = "192.168.1.5", "203.0.113.9"


class Door:
    """A garage with its door: a workshop, people, and a watch."""

    def __init__(self) -> None:
        self.watch = Watch()
        self.people = People(MemoryPeopleStore(), self.watch)
        self.workshop = Workshop(MemoryEntryStore(self.watch), MemoryPhotoStore(), self.watch)
        self.letting_in = LettingIn(self.workshop, self.people)

    def car(self) -> LogbookId:
        """A vehicle of Ann's."""
        return self.workshop.new_vehicle("Old Dunlin", who=PersonId("ann"), device=LAPTOP)

    def wrong(self, times: int, address: str = ELSEWHERE, name: str = "Ann") -> None:
        """Wrong passwords, each as soon as one may try."""
        for _ in range(times):
            with pytest.raises(BadInput, match="do not fit"):
                self.people.vouch(name, "wrong", address)


@pytest.fixture
def door() -> Door:
    """A door, and Ann who may come in."""
    made = Door()
    made.people.add("Ann", GOOD)
    return made


# -- names and passwords ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("password", "why"),
    [
        ("short", "a password of 5 characters is too short"),
        ("x" * 501, "is too long"),
        ("1234567890", "one of those tried first"),
        ("aaaaaaaaaaaa", "one of those tried first"),
        ("Bertha Miller", "the password is the name"),
    ],
)
def test_a_password_that_is_easily_guessed_is_refused(door, password, why):
    """It says what is wrong with it, and nobody was added."""
    with pytest.raises(BadInput, match=why):
        door.people.add("Bertha Miller", password)
    assert [each.name for each in door.people.store.people()] == ["Ann"]


def test_two_people_do_not_share_a_name(door):
    """Or nobody could tell who signs in."""
    with pytest.raises(AlreadyExists, match="there is a person 'ANN' already"):
        door.people.add(" ANN ", GOOD)


def test_people_sign_in_by_name_or_identity(door):
    """And with their own password only."""
    assert door.people.vouch("ann", GOOD, HOME).name == "Ann"
    door.wrong(1, HOME)


def test_ending_all_devices_may_leave_the_one_in_hand(door):
    """The lost phone is out, the laptop stays."""
    laptop, phone = (
        door.people.sign_in(PersonId("ann"), each, DeviceKind.BROWSER) for each in ("l", "p")
    )
    assert door.people.end_all(PersonId("ann"), but=laptop.device.id) == 1
    assert door.people.by_token(phone.token) is None
    assert door.people.by_token(laptop.token) is not None
    assert door.people.end_all(PersonId("ann")) == 1


# -- passes -----------------------------------------------------------------------------------


def test_the_first_start_makes_the_machines_person_the_owner():
    """What was begun on the command line is theirs, and sentences say their name."""
    door = Door()
    car = door.workshop.new_vehicle("Old Dunlin", who=PersonId("pat"), device=LAPTOP)
    link = door.letting_in.first_start(PersonId("pat"))
    person = door.letting_in.begin(link.token, "Pat Smith", GOOD, LAPTOP)
    assert (person.id, person.name) == ("pat", "Pat Smith")
    assert door.workshop.store.roles(car) == {"pat": Role.OWNER}
    assert door.workshop.state(GARAGE).people == {"pat": "Pat Smith"}
    assert door.letting_in.first_start(PersonId("pat")) is None


def test_only_the_last_link_of_a_first_start_opens():
    """An older start's link is withdrawn, and none opens once somebody has an account."""
    door = Door()
    old = door.letting_in.first_start(PersonId("pat"))
    new = door.letting_in.first_start(PersonId("pat"))
    with pytest.raises(StaleLink, match="opens nothing any more"):
        door.letting_in.shown(old.token, PassKind.FIRST_START)
    door.people.add("Somebody", GOOD)
    with pytest.raises(StaleLink):
        door.letting_in.begin(new.token, "Pat", GOOD, LAPTOP)


def test_a_bad_password_does_not_use_the_link_up():
    """Whoever mistypes tries again by the same link."""
    door = Door()
    link = door.letting_in.first_start(PersonId("pat"))
    with pytest.raises(BadInput, match="too short"):
        door.letting_in.begin(link.token, "Pat", "short", LAPTOP)
    assert door.letting_in.begin(link.token, "Pat", GOOD, LAPTOP).id == "pat"


def test_an_invitation_lets_one_in_and_no_second(door):
    """With the role that was chosen."""
    car = door.car()
    link = door.letting_in.invite(car, Role.WORKER, PersonId("ann"))
    ben = door.letting_in.join_anew(link.token, "Ben", GOOD, LAPTOP)
    assert door.workshop.store.roles(car)[ben.id] is Role.WORKER
    with pytest.raises(StaleLink):
        door.letting_in.join_anew(link.token, "Mallory", GOOD, LAPTOP)
    assert [each.name for each in door.people.store.people()] == ["Ann", "Ben"]


def test_an_invitation_never_takes_a_greater_role_away(door):
    """An owner who tries her own invitation stays an owner."""
    car = door.car()
    link = door.letting_in.invite(car, Role.VIEWER, PersonId("ann"))
    assert door.letting_in.join(link.token, PersonId("ann")) == car
    assert door.workshop.store.roles(car) == {"ann": Role.OWNER}


def test_an_invitation_expires_and_can_be_withdrawn(door):
    """Then it opens nothing, and is not listed."""
    car = door.car()
    old = door.letting_in.invite(car, Role.VIEWER, PersonId("ann"))
    taken_back = door.letting_in.invite(car, Role.VIEWER, PersonId("ann"))
    other = door.workshop.new_vehicle("Other", who=PersonId("ben"), device=LAPTOP)
    with pytest.raises(NotFound, match="open invitation"):
        door.letting_in.withdraw(other, taken_back.made.id)
    door.letting_in.withdraw(car, taken_back.made.id)
    assert [each.id for each in door.letting_in.open_invitations(car)] == [old.made.id]
    with pytest.raises(StaleLink):
        door.letting_in.join(taken_back.token, PersonId("ben"))
    door.watch.moment += INVITATION_LASTS
    assert door.letting_in.open_invitations(car) == ()
    with pytest.raises(StaleLink):
        door.letting_in.join(old.token, PersonId("ben"))


def test_a_pass_of_one_kind_opens_nothing_of_another(door):
    """An invitation makes nobody the machine's person."""
    link = door.letting_in.invite(door.car(), Role.WORKER, PersonId("ann"))
    with pytest.raises(StaleLink):
        door.letting_in.shown(link.token, PassKind.FIRST_START)


# -- wrong passwords --------------------------------------------------------------------------


def test_the_wait_grows_from_one_address_and_is_told(door):
    """Five are free; then it doubles, up to a quarter of an hour."""
    door.wrong(PAIR.free)
    door.wrong(1)
    with pytest.raises(WaitFirst, match="too many wrong passwords; try again in 15 seconds"):
        door.people.vouch("Ann", GOOD, ELSEWHERE)
    door.watch.put_on(seconds=16)
    door.wrong(1)
    with pytest.raises(WaitFirst, match="in 30 seconds"):
        door.people.vouch("Ann", GOOD, ELSEWHERE)
    door.watch.put_on(seconds=31)
    assert door.people.vouch("Ann", GOOD, ELSEWHERE).name == "Ann"
    door.wrong(PAIR.free)
    assert [PAIR.wait_s(each) for each in (5, 6, 7, 8, 50)] == [0, 15, 30, 60, 900]


def test_nobody_learns_by_the_wait_who_is_there(door):
    """A name that is nobody's waits like one that is somebody's."""
    door.wrong(PAIR.free + 1, name="Nobody At All")
    with pytest.raises(WaitFirst, match="in 15 seconds"):
        door.people.vouch("Nobody At All", "x", ELSEWHERE)


def test_an_address_that_tries_many_names_waits(door):
    """Whoever it tries; others from elsewhere do not."""
    for number in range(ADDRESS.free + 1):
        door.wrong(1, name=f"Name {number}")
    with pytest.raises(WaitFirst):
        door.people.vouch("Ann", GOOD, ELSEWHERE)
    assert door.people.vouch("Ann", GOOD, HOME).name == "Ann"


def test_a_stranger_cannot_lock_the_owner_out(door):
    """From where she signed in before she gets in at once; from a new address in half a minute."""
    door.people.vouch("Ann", GOOD, HOME)
    for number in range(60):
        door.watch.put_on(seconds=ANYWHERE.longest_s + 1)
        door.wrong(1, f"203.0.113.{number}")
    with pytest.raises(WaitFirst) as told:
        door.people.vouch("Ann", GOOD, "198.51.100.7")
    assert told.value.wait_s <= ANYWHERE.longest_s
    assert door.people.vouch("Ann", GOOD, HOME).name == "Ann"


def test_wrong_passwords_of_yesterday_count_no_more(door):
    """A day later everybody begins anew."""
    door.wrong(PAIR.free)
    door.watch.moment += timedelta(hours=25)
    door.wrong(PAIR.free)


def test_a_new_password_ends_the_wait(door):
    """Whoever is at the machine can help at once."""
    door.wrong(PAIR.free + 1)
    door.people.change_password(PersonId("ann"), "another rusty hinge")
    assert door.people.vouch("Ann", "another rusty hinge", ELSEWHERE).name == "Ann"


def test_own_success_does_not_wash_an_address_clean(door):
    """Who has an account of their own gains no free tries of others by it."""
    door.people.add("Mallory", GOOD)
    for number in range(ADDRESS.free):
        door.wrong(1, name=f"Name {number}")
        door.people.vouch("Mallory", GOOD, ELSEWHERE)
    door.wrong(1, name="Ann")
    with pytest.raises(WaitFirst):
        door.people.vouch("Mallory", GOOD, ELSEWHERE)


@pytest.mark.parametrize(
    ("address", "network"),
    [
        ("192.0.2.7", "192.0.2.7"),
        ("2001:db8:1:2:3:4:5:6", "2001:0db8:0001:0002::"),
        ("::ffff:192.0.2.7", "192.0.2.7"),
        ("", "elsewhere"),
    ],
)
def test_a_household_is_one_address(address, network):
    """Of IPv6 the /64 counts: one household has all of it (RFC 6177, from memory)."""
    assert network_of(address) == network


def test_who_has_access_is_told_owners_first_with_their_devices():
    """Whoever began a vehicle may have no account; a device signed out is not counted."""
    door = Door()
    car = door.car()
    bob = door.people.add("Bob", GOOD).id
    door.workshop.store.grant(car, bob, Role.VIEWER)
    phone, tablet = (door.people.sign_in(bob, each, DeviceKind.BROWSER) for each in ("a", "b"))
    door.people.end(tablet.device.id)
    ann, his = access_to(door.workshop, door.people, car)
    assert (ann.person, ann.role, ann.has_account, ann.devices) == ("ann", Role.OWNER, False, 0)
    assert (his.name, his.role, his.has_account, his.devices) == ("Bob", Role.VIEWER, True, 1)
    assert his.seen_at >= phone.device.seen_at
