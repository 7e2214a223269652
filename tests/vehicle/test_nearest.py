"""Finding things by what people call them."""

from difflib import SequenceMatcher

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.errors import NotFound
from putback.vehicle.nearest import NEAR, NEAR_WORD, SeveralMeant, find

NAMES = {
    "m1": ("rear gearbox mounting",),
    "m2": ("front gearbox mounting",),
    "wl": ("front wing", "front fender", "front wing left"),
    "wr": ("front wing", "front fender", "front wing right"),
    "b": ("Bonnet", "hood"),
}
"""Names like those of the parts of a real vehicle; left and right may share one."""


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
def test_a_part_is_found_by_what_it_is_called(typed: str, meant: str) -> None:
    """Capitals, stops, the order of words and the American name make no difference."""
    assert find("part", NAMES, typed) == meant


def test_the_nearest_names_are_offered() -> None:
    """A name that nothing goes by is answered with the likeliest, best first."""
    with pytest.raises(NotFound) as caught:
        find("part", NAMES, "gearbox rear mount")
    assert str(caught.value) == (
        "no part 'gearbox rear mount'; did you mean 'rear gearbox mounting' or "
        "'front gearbox mounting'?"
    )


def test_nothing_is_offered_for_nonsense() -> None:
    """A name like no other gets no silly suggestion."""
    with pytest.raises(NotFound) as caught:
        find("part", NAMES, "xyzzy")
    assert str(caught.value) == "no part 'xyzzy'"


def test_two_of_one_name_are_asked_about() -> None:
    """A name that two parts share is answered with both identities, never with a guess."""
    with pytest.raises(SeveralMeant) as caught:
        find("part", NAMES, "Front wing")
    assert str(caught.value) == "2 parts are called 'Front wing'; say which: wl, wr"


def test_an_exact_name_wins_over_a_like_one() -> None:
    """Typed exactly, a name means its own part, though another differs only in capitals."""
    names = {"1": ("Cover",), "2": ("cover",)}
    assert find("part", names, "cover") == "2"
    with pytest.raises(SeveralMeant, match="2 parts are called 'COVER'; say which: 1, 2"):
        find("part", names, "COVER")


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
