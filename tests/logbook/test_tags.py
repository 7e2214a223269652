"""Tags: what may be issued, in which order, and what is made of a misread one."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.errors import BadInput, InputError
from putback.logbook.tags import (
    ALPHABET,
    TAG_COUNT,
    BadTag,
    Tag,
    check_character,
    index_of,
    issuable,
    nearest,
    reserve,
    tag_at,
)

ISSUED = [tag_at(index) for index in range(TAG_COUNT)]

# Look alike under a marker, on a greasy bag or in a hurry; the families overlap.
LOOKALIKES = (
    "0OQD", "0OQC", "CG", "G6", "1IL7", "1IJ", "2Z", "5S", "8B", "49", "EF", "PR", "MW", "UVY",
)  # fmt: skip


def is_tag(text):
    """Whether a text is accepted as a tag."""
    try:
        Tag(text)
    except BadTag:
        return False
    return True


def differing(one, other):
    """In how many places two codes differ."""
    return sum(a != b for a, b in zip(one, other, strict=True))


def test_every_code_has_one_place_in_the_order_of_issue():
    """The order is a list of all codes that may be issued, each once, and its inverse agrees."""
    assert len(set(ISSUED)) == TAG_COUNT
    assert [index_of(tag) for tag in ISSUED] == list(range(TAG_COUNT))
    assert {tag[:3] for tag in ISSUED} == {
        a + b + c for a in ALPHABET for b in ALPHABET for c in ALPHABET if issuable(a + b + c)
    }


def test_the_order_of_issue_never_changes():
    """Tags on bags outlive the program: the first and the last stay what they are."""
    assert ISSUED[:4] == ["2237", "6AT2", "APDC", "H3AD"]
    assert ISSUED[-1] == "TH7F"
    assert TAG_COUNT == 2889


def test_at_most_one_of_each_family_of_lookalikes_is_used():
    """No two characters of a tag are taken for each other, the check character included."""
    assert not [family for family in LOOKALIKES if len(set(family) & set(ALPHABET)) > 1]
    assert set("".join(ISSUED)) == set(ALPHABET)


def test_every_single_wrong_character_is_found_or_mended():
    """One misread character never gives another tag: it is refused, or read as what it was."""
    for tag in ISSUED:
        for place in range(4):
            for wrong in "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ":
                misread = tag[:place] + wrong + tag[place + 1 :]
                if is_tag(misread):
                    assert Tag(misread) == tag


def test_every_swap_of_neighbours_is_found():
    """Two neighbours swapped never give a tag, nor a code that checks."""
    for tag in ISSUED:
        for at, (first, second) in enumerate(pairwise(tag)):
            swapped = tag[:at] + second + first + tag[at + 2 :]
            assert swapped == tag or not is_tag(swapped)
            assert swapped == tag or check_character(swapped[:3]) != swapped[3]


def test_a_code_with_a_checking_swap_is_never_issued():
    """The codes that the check character cannot protect are left out, and said to be."""
    left_out = [
        body + check_character(body)
        for body in (a + b + c for a in ALPHABET for b in ALPHABET for c in ALPHABET)
        if check_character(body) in ALPHABET and not issuable(body)
    ]
    assert len(left_out) == 4
    for code in left_out:
        with pytest.raises(BadTag) as caught:
            Tag(code)
        assert str(caught.value) == (
            f"tag {code!r} is never issued; two characters were swapped; look at the bag again"
        )


def test_no_tag_reads_as_another_one_upside_down():
    """A bag lies as it fell; a code of characters that look the same on their heads is no trap."""
    readable = [tag for tag in ISSUED if set(tag) <= set("8HNX")]
    assert len(readable) == 9
    assert not [tag for tag in readable if is_tag(tag[::-1])]


def test_neighbours_in_the_order_of_issue_look_different():
    """Two bags filled one after the other do not begin alike, and hardly ever share much."""
    assert not [pair for pair in pairwise(ISSUED) if pair[0][0] == pair[1][0]]
    assert sum(differing(*pair) < 3 for pair in pairwise(ISSUED)) <= 12


@pytest.mark.parametrize("typed", ["K7F4", "k7f4", " k7 f4 ", "K7-F4", "k7e4", "K1F4"])
def test_a_tag_is_read_however_it_is_typed(typed):
    """Case, spaces and hyphens do not matter, nor a lookalike that can only be one character."""
    assert Tag(typed) == "K7F4"
    assert repr(Tag(typed)) == "Tag('K7F4')"
    assert Tag(Tag(typed)) == Tag(typed)


@pytest.mark.parametrize(
    ("typed", "message"),
    [
        (
            "K7F8",
            "line 12: tag 'K7F8' does not check: K7F takes 4; one character was misread; look at "
            "the bag again",
        ),
        (
            "K2F4",
            "line 12: tag 'K2F4' does not check: no tag begins with K2F; one character was "
            "misread; look at the bag again",
        ),
        (
            "K7S4",
            "line 12: tag 'K7S4' has S in it, which is on no tag; one character was misread; look "
            "at the bag again",
        ),
        ("K7F", "line 12: tag 'K7F' has 3 characters; a tag has four, like K7F4"),
        ("", "line 12: tag '' has 0 characters; a tag has four, like K7F4"),
    ],
)
def test_a_misread_tag_says_what_is_wrong_and_where(typed, message):
    """The error shows the code, the place, what it takes and what to do."""
    with pytest.raises(BadTag) as caught:
        Tag(typed, where="line 12")
    assert str(caught.value) == message


@given(st.text(max_size=6))
def test_no_text_is_a_tag_by_chance_but_those_issued(text):
    """Whatever is read, a `Tag` is one that may be issued."""
    try:
        tag = Tag(text)
    except InputError:
        return
    assert tag in ISSUED


@given(st.lists(st.integers(1, 400), min_size=1, max_size=20))
def test_blocks_never_overlap(sizes):
    """However many each device asks for, no tag is in two blocks, until none are left."""
    taken_upto, held = 0, []
    for size in sizes:
        if taken_upto == TAG_COUNT:
            with pytest.raises(
                BadInput, match="all 2889 tags are reserved; take tags of vehicles"
            ):
                reserve(taken_upto, size)
            break
        block = reserve(taken_upto, size)
        assert len(block) == min(size, TAG_COUNT - taken_upto)
        held += block
        taken_upto = block.stop
    assert held == list(range(taken_upto))


def test_an_empty_block_and_a_place_beyond_the_last_are_refused():
    """Nothing is reserved by mistake, and the tags are finite."""
    with pytest.raises(BadInput, match="a block of 0 tags is none; reserve one or more"):
        reserve(0, 0)
    with pytest.raises(BadInput, match="there is no tag number 2889; there are 2889"):
        tag_at(TAG_COUNT)
    with pytest.raises(BadInput, match="there is no tag number -1"):
        tag_at(-1)


def test_the_tags_in_use_that_were_likely_meant_are_named():
    """One wrong character or two swapped come first, whatever else looks alike."""
    known = ["K7F4", "3CAH", "3HNA", "X88H"]
    assert nearest("3CHA", known)[0] == "3CAH"
    assert nearest("3cax", known)[0] == "3CAH"
    assert nearest("4K7F", known)[0] == "K7F4"
    assert nearest("222222", known) == ()
    assert len(nearest("3CAH", ISSUED)) == 3
