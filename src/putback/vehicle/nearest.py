"""Finding what somebody means by a name, and offering the nearest when nothing goes by it."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from difflib import SequenceMatcher
from functools import lru_cache
from typing import TypeVar

from putback.errors import InputError, NotFound

NEAR = 0.6
"""Likeness from which a name is worth offering; difflib's own usual measure."""

NEAR_WORD = 0.75
"""Likeness of single words: one letter of four may be another."""

SHORTEST_BEGINNING = 3
"""Letters that are a beginning of a word: ``car``."""

SHORTEST_MISTYPED = 4
"""Letters of a word of which one may be another; shorter ones are like too many."""

MOST_OFFERED = 3

Identity = TypeVar("Identity", bound=str)


@dataclass(eq=False)
class SeveralMeant(InputError):
    """More than one thing goes by this name; `meant` says which, so that each can be typed."""

    kind: str
    wanted: str
    meant: tuple[str, ...]
    identities: tuple[str, ...] = ()
    """Theirs, where `meant` says names."""

    def fault(self) -> str:
        """What is wrong, with the value shown."""
        return f"{len(self.meant)} {self.kind}s are called {self.wanted!r}"

    def remedy(self) -> str:
        """How to mend it."""
        return f"say which: {', '.join(self.meant)}"


def find(kind: str, names: Mapping[Identity, Iterable[str]], text: str) -> Identity:
    """Find an identity by itself or by one of its names, as people type names.

    An identity typed exactly wins; then a name typed exactly; then whatever is the same but for
    capitals, stops and the order of words, if one alone is.

    Raises
    ------
    NotFound
        Nothing goes by it; names the nearest.
    SeveralMeant
        More than one does.
    """
    called = {one: [str(one), *filter(None, own)] for one, own in names.items()}
    exact = [one for one in called if one == text]
    if exact:
        return exact[0]
    for fold in (str.strip, fold_words, _any_order):
        wanted = fold(text)
        meant = [one for one, own in called.items() if wanted in map(fold, own)]
        if len(meant) == 1:
            return meant[0]
        if meant:
            raise SeveralMeant(kind, text, tuple(meant))
    best = (max((_likeness(text, each), each) for each in own) for own in called.values())
    near = sorted((-like, len(name), name) for like, name in best if like > 0)
    raise NotFound(kind, text, tuple(name for *_, name in near[:MOST_OFFERED]))


def _likeness(text: str, name: str) -> float:
    """Say how alike two names are, from `NEAR` to 1; words may stand in another order.

    Less than `NEAR` where only each word that was typed is like one of the name: ``heeter`` like
    ``Heater unit``. 0 where they are less alike still, which is mostly told from their lengths
    and letters alone.
    """
    as_a_whole = max(_alike(fold(text), fold(name)) for fold in (fold_words, _any_order))
    return as_a_whole if as_a_whole >= NEAR else _alike_by_word(text, name)


def _alike_by_word(text: str, name: str) -> float:
    """Say how alike the words typed are to those of a name they are most like, below `NEAR`.

    Words may be cut short, as ``carb``; 0 if any is like none.
    """
    own = fold_words(name).split()
    typed = fold_words(text).split()
    found = [max((_alike_words(word, each) for each in own), default=0.0) for word in typed]
    return NEAR * sum(found) / (len(found) + 1) if found and all(found) else 0.0


def _alike_words(typed: str, word: str) -> float:
    if len(typed) >= SHORTEST_BEGINNING and word.startswith(typed):
        return 1.0
    if len(typed) < SHORTEST_MISTYPED:
        return float(typed == word)
    alike = _alike(typed, word)
    return alike if alike >= NEAR_WORD else 0.0


def _alike(one: str, other: str) -> float:
    """Give difflib's ratio, or 0 where a cheaper measure, which is never less, is below `NEAR`."""
    if 2 * min(len(one), len(other)) < NEAR * (len(one) + len(other)):
        return 0.0
    matcher = SequenceMatcher(None, one, other)
    if matcher.quick_ratio() < NEAR:
        return 0.0
    return matcher.ratio()


@lru_cache(maxsize=20_000)
def fold_words(text: str) -> str:
    """Bring a name to its bare words: no capitals, no stops, single spaces."""
    return " ".join(re.findall(r"\w+", text.casefold()))


@lru_cache(maxsize=20_000)
def _any_order(text: str) -> str:
    return " ".join(sorted(fold_words(text).split()))
