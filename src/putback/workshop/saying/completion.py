"""Completion of a line while it is typed: the kinds of entry, then names of what it is about."""

from collections.abc import Iterable, Sequence

from putback.errors import NotFound
from putback.logbook.state import State
from putback.workshop.saying.forms import FORMS, form_of
from putback.workshop.saying.names import names_of

ANYTHING = ("part", "joint", "tag", "opening", "job", "assembly")
"""Kinds that are offered where a field may name any of several."""
MOST_OFFERED = 12
"""So many words are offered on a page at once."""
_ANY_OF_THEM = frozenset({"of", "what", "on", "subject", "before"})
_LOOKED_UP = frozenset({"part", "joint", "opening", "fluid", "job", "standing", "place"})
_ELSE = {"same_as": "part", "fit": "fit", "tag": "tag", "goal": "goal"}


def kinds_offered(words: Sequence[str]) -> tuple[str, ...]:
    """Say of which kinds the next word of a line may name something; none before the first."""
    if not words:
        return ()
    try:
        bare = form_of(words[0]).bare
    except NotFound:
        return ()
    field = bare[len(words) - 1] if len(words) <= len(bare) else ""
    if field in _ANY_OF_THEM:
        return ANYTHING
    kind = field if field in _LOOKED_UP else _ELSE.get(field, "")
    return (kind,) if kind else ()


def offered(state: State, kinds: Iterable[str]) -> tuple[str, ...]:
    """Name everything of these kinds."""
    named = (
        names[0] if names and names[0] else identity
        for kind in kinds
        for identity, names in names_of(state, kind).items()
    )
    return tuple(dict.fromkeys(named))


def completions(state: State, line: str) -> tuple[str, ...]:
    """Offer whole lines that go on from what was typed.

    A name is found by any of its words, and stands in quotes where it has blanks: those whose
    beginning was typed come first.
    """
    head, said = _last_word(line)
    words = head.split()
    if not words:
        typed = said.casefold()
        return tuple(word for word in FORMS if word.startswith(typed))[:MOST_OFFERED]
    kinds = kinds_offered([words[0], *["x"] * _whole_words(head)])
    found = names_offered(state, said.strip("\"'"), kinds)
    return tuple(f"{head}{_quoted(name)}" for name in found)


def names_offered(
    state: State, typed: str, kinds: Iterable[str] = (*ANYTHING, "place")
) -> tuple[str, ...]:
    """Offer names of things that go on from what was typed."""
    said = typed.strip().casefold()
    found = [name for name in offered(state, kinds) if _goes_on(name, said)]
    found.sort(key=lambda name: (not name.casefold().startswith(said), name.casefold()))
    return tuple(found[:MOST_OFFERED])


def _goes_on(name: str, typed: str) -> bool:
    """Whether every word that was typed begins one of the name's."""
    words = name.casefold().replace(",", " ").replace(":", " ").split()
    return all(any(word.startswith(each) for word in words) for each in typed.split())


def _last_word(line: str) -> tuple[str, str]:
    """Part a line into what is said for good and what is being typed: the first word, or a name.

    A name that was begun without quotes goes on to the end of the line.
    """
    first, blank, rest = line.lstrip().partition(" ")
    if not blank:
        return "", first
    head, begun = f"{first} ", rest.lstrip()
    while begun.startswith(('"', "'")) and begun[0] in begun[1:]:
        end = begun.index(begun[0], 1) + 1
        head, begun = f"{head}{begun[:end]} ", begun[end:].lstrip()
    return head, begun


def _whole_words(head: str) -> int:
    """Count the names in quotes that are said for good."""
    return (head.count('"') + head.count("'")) // 2


def _quoted(name: str) -> str:
    if " " not in name:
        return name
    return f'"{name}"' if '"' not in name else f"'{name}'"
