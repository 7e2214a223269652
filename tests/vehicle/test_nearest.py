"""Finding parts and joints by what people call them."""

from dataclasses import replace
from difflib import SequenceMatcher

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.errors import NotFound
from putback.vehicle.ids import PartId
from putback.vehicle.nearest import NEAR, NEAR_WORD, SeveralMeant, find, find_joint, find_part
from putback.vehicle.part import Part, Side
from putback.vehicle.vehicle import Vehicle
from tests.makers import vehicle


@pytest.fixture(name="one")
def _one() -> Vehicle:
    """A vehicle whose parts have names like those of a real one."""
    named = {
        "m1": ("rear gearbox mounting", "", None),
        "m2": ("front gearbox mounting", "", None),
        "wl": ("front wing", "front fender", Side.LEFT),
        "wr": ("front wing", "front fender", Side.RIGHT),
        "b": ("Bonnet", "hood", None),
    }
    made = vehicle("j7 = m1 - b: 2 nut M8", "wl - wr: 2 nut M8", "m2 - b: 1 clip")
    parts = {
        PartId(identity): Part(PartId(identity), name, "here", name_us=us, side=side)
        for identity, (name, us, side) in named.items()
    }
    joints = {**made.joints, "j7": replace(made.joints["j7"], name="gearbox to tunnel")}
    return made.with_records(parts=parts, joints=joints)


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("m1", "m1"),
        ("rear gearbox mounting", "m1"),
        ("Rear  Gearbox-Mounting", "m1"),
        ("mounting gearbox, rear", "m1"),
        ("bonnet", "b"),
        ("HOOD", "b"),
        ("front wing left", "wl"),
        ("right front wing", "wr"),
    ],
)
def test_a_part_is_found_by_what_it_is_called(one: Vehicle, typed: str, meant: str) -> None:
    """Capitals, stops, the order of words and the American name make no difference."""
    assert find_part(one, typed).id == meant


def test_the_nearest_names_are_offered(one: Vehicle) -> None:
    """A name that nothing goes by is answered with the likeliest, best first."""
    with pytest.raises(NotFound) as caught:
        find_part(one, "gearbox rear mount")
    assert str(caught.value) == (
        "no part 'gearbox rear mount'; did you mean 'rear gearbox mounting' or "
        "'front gearbox mounting'?"
    )


def test_nothing_is_offered_for_nonsense(one: Vehicle) -> None:
    """A name like no other gets no silly suggestion."""
    with pytest.raises(NotFound) as caught:
        find_part(one, "xyzzy")
    assert str(caught.value) == "no part 'xyzzy'"


def test_two_of_one_name_are_asked_about(one: Vehicle) -> None:
    """A name that two parts share is answered with both identities, never with a guess."""
    with pytest.raises(SeveralMeant) as caught:
        find_part(one, "Front wing")
    assert str(caught.value) == "2 parts are called 'Front wing'; say which: wl, wr"


def test_an_exact_name_wins_over_a_like_one() -> None:
    """Typed exactly, a name means its own part, though another differs only in capitals."""
    names = {"1": ("Cover",), "2": ("cover",)}
    assert find("part", names, "cover") == "2"
    with pytest.raises(SeveralMeant, match="2 parts are called 'COVER'; say which: 1, 2"):
        find("part", names, "COVER")


def test_a_joint_is_found_by_name_and_identity(one: Vehicle) -> None:
    """Joints are found in the same way."""
    assert find_joint(one, "Gearbox to tunnel").id == "j7"
    assert find_joint(one, "j7").id == "j7"
    with pytest.raises(NotFound, match="no joint 'gearbox to floor'; did you mean"):
        find_joint(one, "gearbox to floor")


WORDS = st.lists(st.text("abc", min_size=1, max_size=4), min_size=1, max_size=3).map(" ".join)


def _by_word(typed: str, name: str) -> bool:
    """Whether each word typed is one of the name's, begins one, or is like one; plainly."""

    def like(word: str, own: str) -> bool:
        begins = len(word) >= 3 and own.startswith(word)
        slip = len(word) >= 4 and SequenceMatcher(None, word, own).ratio() >= NEAR_WORD
        return word == own or begins or slip

    return all(any(like(word, own) for own in name.split()) for word in typed.split())


@given(typed=WORDS, name=WORDS)
def test_a_name_is_offered_if_difflib_finds_it_like(typed: str, name: str) -> None:
    """`difflib.SequenceMatcher` is the measure, of words as they stand, sorted or one by one."""
    pairs = [(typed, name), tuple(" ".join(sorted(each.split())) for each in (typed, name))]
    like = max(SequenceMatcher(None, *pair).ratio() for pair in pairs)
    if like == 1:
        assert find("part", {"": (name,)}, typed) == ""
        return
    with pytest.raises(NotFound) as unknown:
        find("part", {"": (name,)}, typed)
    assert unknown.value.nearest == ((name,) if like >= NEAR or _by_word(typed, name) else ())


@pytest.mark.parametrize(
    ("typed", "offered"),
    [
        ("Heeter", ("Heater unit",)),  # one word mistyped, the other left out
        ("carb", ("Carburettor",)),  # cut short
        ("heater of the hood", ()),  # a word that is like none
        ("un", ()),  # too short to be a beginning
    ],
)
def test_a_word_of_a_name_is_enough_to_have_it_offered(
    typed: str, offered: tuple[str, ...]
) -> None:
    """Mistyped, or cut short as people say it."""
    with pytest.raises(NotFound) as unknown:
        find("part", {"1": ("Heater unit",), "2": ("Carburettor",), "3": ("Hood",)}, typed)
    assert unknown.value.nearest == offered
