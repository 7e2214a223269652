"""What people say in other words than the short forms: ``took the radiator off into bag 3CAH``."""

import re
from collections.abc import Mapping, Sequence
from difflib import get_close_matches

from putback.errors import InputError, NotFound
from putback.logbook.entries.registry import KINDS
from putback.logbook.state import State
from putback.vehicle.ids import JointId
from putback.vehicle.nearest import fold_words
from putback.workshop.saying.completion import kinds_offered, offered
from putback.workshop.saying.forms import FORMS, form_of, is_form
from putback.workshop.saying.names import find

SPOKEN: Mapping[str, tuple[str, ...]] = {
    "took off": ("off",),
    "take off": ("off",),
    "taken off": ("off",),
    "pulled off": ("off",),
    "lifted off": ("off",),
    "took out": ("off",),
    "taken out": ("off",),
    "pulled out": ("off",),
    "lifted out": ("off",),
    "removed": ("off",),
    "remove": ("off",),
    "undid": ("undone",),
    "undo": ("undone",),
    "unbolted": ("undone",),
    "unscrewed": ("undone",),
    "disconnected": ("undone",),
    "cracked loose": ("cracked",),
    "put back": ("on",),
    "refitted": ("on",),
    "plugged": ("closed",),
    "capped": ("closed",),
    "binned": ("scrapped",),
    "threw away": ("scrapped",),
    "topped up": ("filled",),
    "soaked": ("note", "soaked in penetrating oil"),
    "oiled": ("note", "oiled"),
}
"""What people say, and the words of the short form that it means. Of two words the second may
stand behind what it is about: ``took the radiator off``."""

ARTICLES = frozenset({"the", "a", "an", "my"})
_WHO = frozenset({"i", "we", "i've", "we've"})
_INTO = frozenset({"in", "into"})
_BAGS = frozenset({"bag", "box", "crate", "tag"})
_TAG = re.compile(r"[0-9A-Za-z]{4}")
_NEAR = 0.75
"""Likeness of a verb from which its line is offered: a slip of one letter in four."""
_FEWEST = 3
"""A line that ends in a bag has as many words: what was done, to what, the tag."""
_NUMBER_AT = 2
"""Where a count stands behind the name of a joint."""
_WHOLE = re.compile(r"[0-9]{1,5}")
_DETAIL = re.compile(r"[a-z_]+=.*|[0-9]+\s*/\s*[0-9]+", re.DOTALL)


def in_short_form(words: Sequence[str]) -> list[str]:
    """Say a line by the words of a short form; one that is such already is given as it is.

    Raises
    ------
    NotFound
        If it begins with no word that is known; with the nearest lines that could be meant.
    """
    said = list(words)
    while len(said) > 1 and said[0].casefold() in _WHO:
        del said[0]
    if not said or not said[0].strip():
        return said
    meant = _spoken(said)
    if meant is None:
        if not is_form(said[0]):
            raise NotFound("kind of entry", said[0], _lines_near(said))
        meant = said
    return _with_tag(meant)


def _spoken(said: Sequence[str]) -> list[str] | None:
    """Give the words of the short form, where a line begins as people speak."""
    first = said[0].casefold()
    for phrase, form in SPOKEN.items():
        verb, _, particle = phrase.partition(" ")
        if verb != first:
            continue
        if not particle:
            return [*form, *said[1:]]
        for at in range(1, len(said)):
            if said[at].casefold() == particle and (at == 1 or _ends_name(said, at)):
                return [*form, *said[1:at], *said[at + 1 :]]
    return None


def _ends_name(said: Sequence[str], at: int) -> bool:
    """Whether what stands behind a word is no more of the name before it."""
    return at + 1 == len(said) or bool(
        _DETAIL.fullmatch(said[at + 1]) or said[at + 1].casefold() in _INTO | _BAGS
    )


def _with_tag(said: list[str]) -> list[str]:
    """Read ``bag 3CAH`` and ``into 3CAH`` at the end as the tag of the bag."""
    if len(said) <= _FEWEST or not _TAG.fullmatch(said[-1]):
        return said
    if "tag" not in KINDS[form_of(said[0]).kind].model_fields:
        return said
    before = said[:-1]
    is_bag = before[-1].casefold() in _BAGS
    if is_bag:
        before.pop()
    while len(before) > 1 and before[-1].casefold() in ARTICLES:
        before.pop()
    is_into = before[-1].casefold() in _INTO
    if is_into:
        before.pop()
    return [*before, f"tag={said[-1]}"] if (is_bag or is_into) and len(before) > 1 else said


def _lines_near(said: Sequence[str]) -> tuple[str, ...]:
    """Offer lines that could be meant: by the nearest verb, else that it came off."""
    kinds = (kind.replace(" ", "-") for kind in KINDS)
    known = {**{word: (word,) for word in (*FORMS, *kinds)}, **SPOKEN}
    found = get_close_matches(said[0].casefold(), known, n=3, cutoff=_NEAR)
    about = said[1:]
    if not found:
        return (_line(("off",), about or said),)
    return tuple(_line(known[each], about) for each in found)


def _line(form: Sequence[str], about: Sequence[str]) -> str:
    plain = [each for each in about if each.casefold() not in ARTICLES]
    return " ".join([*(f'"{each}"' if " " in each else each for each in form), *plain])


def with_counts(words: Sequence[str], state: State) -> list[str]:
    """Write how many fixings are out as a count: ``3 of 4``, and a number after a quoted name.

    A number alone is of all that are known, else of itself; not where it is of the name.
    """
    said = re.sub(r"(?<=\0)([0-9]+)[\0 ]+of[\0 ]+([0-9]+)(?=\0|$)", r"\1/\2", "\0".join(words))
    found = said.split("\0")
    if len(found) > _NUMBER_AT and " " in found[1] and _WHOLE.fullmatch(found[_NUMBER_AT]):
        number = found[_NUMBER_AT]
        if _fixings_of(f"{found[1]} {number}", state) is None:
            of = max(_fixings_of(found[1], state) or 1, int(number))
            found[_NUMBER_AT] = f"{number}/{of}"
    return found


def _fixings_of(named: str, state: State) -> int | None:
    """How many fixings a joint of this name has; ``None`` if there is no such joint."""
    try:
        joint = JointId(find(state, "joint", named))
    except InputError:
        return None
    about, seen = state.vehicle.joints.get(joint), state.joints.get(joint)
    return max(about.fixing_count if about else 0, seen.of if seen else 0)


def with_whole_names(words: Sequence[str], state: State, bare: Sequence[str]) -> list[str]:
    """Join the bare words that together are a name: the longest that is known.

    An article before a name goes. Where a line ends in a name and none is known, all words up to
    the first detail are one, so that it is refused, or described, whole.

    Parameters
    ----------
    bare
        The fields that bare words fill, one after another.
    """
    joined = list(words[:1])
    at = 1
    while at < len(words):
        plain = [each for each in joined if not _DETAIL.fullmatch(each)]
        kinds = () if _DETAIL.fullmatch(words[at]) else kinds_offered(plain)
        known = {fold_words(name) for name in offered(state, kinds)} if kinds else set()
        end = _end_of_name(words, at, known) if len(words) > at + 1 else at + 1
        has_more = at + 1 < len(words) and not _DETAIL.fullmatch(words[at + 1])
        if end == at + 1 and fold_words(words[at]) not in known and kinds and has_more:
            if words[at].casefold() in ARTICLES:
                at += 1
                continue
            if len(plain) == len(bare):
                end = next(
                    (n for n in range(at, len(words)) if _DETAIL.fullmatch(words[n])), len(words)
                )
        joined.append(" ".join(words[at:end]))
        at = end
    return joined


def _end_of_name(words: Sequence[str], at: int, known: set[str]) -> int:
    ends = range(len(words), at + 1, -1)
    return next((end for end in ends if fold_words(" ".join(words[at:end])) in known), at + 1)
