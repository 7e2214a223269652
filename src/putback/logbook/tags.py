"""Tags: the four characters written on a bag, a box or a part.

Three characters and one check character by ISO/IEC 7064 MOD 37,36. A tag is written with a marker
on a greasy bag and read by somebody else a year later, so four rules stand behind it:

1. **Only characters that cannot be confused by hand.** Of every family of look-alikes at most one
   is used: D and none of O, 0, Q; 7 and neither 1 nor I, J, L; 2 and not Z; 8 and not B; F and not
   E; P and not R; W and neither M (itself upside down) nor V, U; 4 and 6 and not 9; neither 5 nor
   S, which are 3, 6 or 8 in a hurry; C and not G. One vowel is left, so that hardly a word arises.
   The check character must be one of these too: a body that takes another is never issued.
2. **Every single wrong character is found**, which MOD 37,36 guarantees.
3. **Every two neighbours swapped are found**, which it does not: it misses a few, and a code with
   such a twin is never issued.
4. **Neighbours in the order of issue look different**, so that two bags filled one after the other
   are not taken for each other: they never begin alike, and all but a dozen pairs differ in three
   characters or four. And no issued code reads as another one upside down.

Since a character outside the alphabet is never on a tag, one that is typed was misread, and where
it can only have been one it is mended: ``o`` is D, ``z`` is 2. That costs no safety. If the mended
character is wrong, one character of the code is wrong, and rule 2 finds it.

Alphabet and order of issue are part of the file format, since tags on bags outlive a version of
the program: neither may ever change.
"""

from collections.abc import Collection
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from itertools import pairwise, product
from typing import Self

from putback.errors import BadInput, InputError

ALPHABET = "234678ACDFHKNPTWXY"
"""The characters of a tag, in their own order."""

_ISO_7064 = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
_BODY_LENGTH = 3
_MENDED = str.maketrans("O0QZ1BERV", "DDD278FPY")
_STRIDE = 542
"""Step in the alphabetical list from one tag to the next. It has no divisor in common with
`TAG_COUNT`, so that every code has its turn; of all such steps it leaves the fewest tags within
twelve places of each other that differ in two characters only."""


@dataclass(eq=False)
class BadTag(InputError):
    """A tag that cannot have been issued; `where` says on which line or page."""

    text: str
    why: str
    mend: str
    where: str = ""

    def fault(self) -> str:
        """What is wrong with it."""
        return f"tag {self.text!r} {self.why}"

    def place(self) -> str:
        """Where it was met."""
        return self.where

    def remedy(self) -> str:
        """How to mend it."""
        return self.mend


class Tag(str):
    """A tag that checks, in capitals; made from what a person types or a scanner reads.

    Raises
    ------
    BadTag
        It was misread: no tag like this is ever issued.

    Examples
    --------
    >>> Tag("k7f 4")
    Tag('K7F4')
    """

    __slots__ = ()

    def __new__(cls, text: str, *, where: str = "") -> Self:
        """Read a tag, in any case, with or without spaces and hyphens; `where` is for errors."""
        code = _tidied(text)
        body, check = code[:_BODY_LENGTH], code[_BODY_LENGTH:]
        mend = "one character was misread; look at the bag again"
        if foreign := [character for character in code if character not in ALPHABET]:
            raise BadTag(text, f"has {foreign[0]} in it, which is on no tag", mend, where)
        if len(code) != _BODY_LENGTH + 1:
            raise BadTag(text, f"has {len(code)} characters", "a tag has four, like K7F4", where)
        if check != check_character(body):
            true = check_character(body)
            why = f"{body} takes {true}" if true in ALPHABET else f"no tag begins with {body}"
            raise BadTag(text, f"does not check: {why}", mend, where)
        if not issuable(body):
            swapped = "two characters were swapped; look at the bag again"
            raise BadTag(text, "is never issued", swapped, where)
        return super().__new__(cls, code)

    def __repr__(self) -> str:
        return f"Tag({str(self)!r})"


def _tidied(text: str) -> str:
    """What was read, in the alphabet of the tags as far as that is certain."""
    return "".join(text.replace("-", " ").split()).upper().translate(_MENDED)


def check_character(body: str) -> str:
    """Compute the check character of a body by ISO/IEC 7064 MOD 37,36.

    Parameters
    ----------
    body : str
        Digits and capitals, of any length.

    Returns
    -------
    str
        One digit or capital.

    Notes
    -----
    Hybrid system: P = 36; for each character S = P + value, reduced to 1 ... 36, then P = 2 S mod
    37; the check character makes the last S congruent to 1.

    Examples
    --------
    >>> check_character("K7F")
    '4'
    """
    product_so_far = 36
    for character in body:
        total = (product_so_far + _ISO_7064.index(character)) % 36 or 36
        product_so_far = 2 * total % 37
    return _ISO_7064[(37 - product_so_far) % 36]


@cache
def issuable(body: str) -> bool:
    """Tell whether the code with this body may be issued, by rules 1 and 3 above."""
    check = check_character(body)
    if len(body) != _BODY_LENGTH or not set(body + check) <= set(ALPHABET):
        return False
    code = body + check
    swapped = (
        code[:at] + second + first + code[at + 2 :]
        for at, (first, second) in enumerate(pairwise(code))
        if first != second
    )
    return not any(check_character(twin[:-1]) == twin[-1] for twin in swapped)


@cache
def _bodies() -> tuple[str, ...]:
    """Every body that may be issued, in alphabetical order."""
    return tuple(filter(issuable, map("".join, product(ALPHABET, repeat=_BODY_LENGTH))))


TAG_COUNT = 2889
"""How many tags there are: twenty vehicles of 140 bags."""


def tag_at(index: int) -> Tag:
    """Give the tag at a place in the order of issue, counted from 0.

    Raises
    ------
    BadInput
        There are not so many tags.
    """
    if not 0 <= index < TAG_COUNT:
        mend = f"there are {TAG_COUNT}; take tags of vehicles that are finished"
        raise BadInput(f"there is no tag number {index}", mend=mend)
    body = _bodies()[index * _STRIDE % TAG_COUNT]
    return Tag(body + check_character(body))


def index_of(tag: Tag) -> int:
    """Give the place of a tag in the order of issue."""
    place = _places()[tag[:_BODY_LENGTH]]
    return place * pow(_STRIDE, -1, TAG_COUNT) % TAG_COUNT


@cache
def _places() -> dict[str, int]:
    return {body: place for place, body in enumerate(_bodies())}


def reserve(taken_upto: int, size: int) -> range:
    """Reserve the next block of places in the order of issue, for one device.

    Blocks never overlap, so two phones that each hold one never issue the same tag, with or
    without a connection.

    Parameters
    ----------
    taken_upto : int
        The first place that nobody has reserved yet: the end of the last block, or 0.
    size : int
        How many tags the device wants.

    Returns
    -------
    range
        Places for `tag_at`; its ``stop`` is the next ``taken_upto``. Shorter than wanted where the
        tags run out.

    Raises
    ------
    BadInput
        No tag is left, or none is wanted.

    Examples
    --------
    >>> [tag_at(place) for place in reserve(40, 3)]
    [Tag('F32C'), Tag('NC7D'), Tag('WT8F')]
    """
    if size < 1:
        raise BadInput(f"a block of {size} tags is none", mend="reserve one or more")
    if taken_upto >= TAG_COUNT:
        mend = "take tags of vehicles that are finished"
        raise BadInput(f"all {TAG_COUNT} tags are reserved", mend=mend)
    return range(taken_upto, min(taken_upto + size, TAG_COUNT))


def nearest(text: str, known: Collection[str]) -> tuple[Tag, ...]:
    """Suggest which of the tags in use was meant, best first, at most three.

    One wrong character and two neighbours swapped come first, as these are how tags are misread.
    """
    code = _tidied(text)
    slips = [tag for tag in sorted(known) if _is_one_slip(code, tag)]
    likely = get_close_matches(code, sorted(set(known) - set(slips)), n=3, cutoff=0.5)
    return tuple(Tag(tag) for tag in (*slips, *likely)[:3])


def _is_one_slip(code: str, tag: str) -> bool:
    """Tell whether one character, or the order of two neighbours, makes all the difference."""
    if len(code) != len(tag):
        return False
    wrong = [at for at, (read, true) in enumerate(zip(code, tag, strict=True)) if read != true]
    match wrong:
        case [_]:
            return True
        case [first, second]:
            return (
                second == first + 1 and code[first] == tag[second] and code[second] == tag[first]
            )
        case _:
            return False
