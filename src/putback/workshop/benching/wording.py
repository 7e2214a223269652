"""Other words under which people know an input of a calculator, or one of its choices.

``od`` is the major diameter of a thread and ``aluminum`` is aluminium; the words are data
(``bench/data/other_words.csv``).
"""

import re
from collections.abc import Mapping
from functools import cache

from putback.bench.calculator import Calculator
from putback.bench.tables import data_table


def folded(words: str) -> str:
    """Bring words to letters and digits, without capitals, blanks and stops.

    Examples
    --------
    >>> folded("Cast-Iron"), folded("DOT 5.1"), folded("major_diameter")
    ('castiron', 'dot5.1', 'majordiameter')
    """
    return re.sub(r"[^\w.&/]|_", "", words.casefold())


@cache
def _words() -> Mapping[tuple[str, str], Mapping[str, tuple[str, ...]]]:
    """Give the other words by calculator and input, then by choice; the input's own under ''."""
    words: dict[tuple[str, str], dict[str, tuple[str, ...]]] = {}
    for row in data_table("other_words").rows:
        at = words.setdefault((row["calculator"], row["input"]), {})
        at[row["choice"]] = tuple(row["words"].split("; "))
    return words


def choice_words(calculator: str, name: str) -> Mapping[str, tuple[str, ...]]:
    """Give the other words for the choices of an input, by the choice."""
    return {
        choice: said for choice, said in _words().get((calculator, name), {}).items() if choice
    }


@cache
def _beside() -> Mapping[tuple[str, str], Mapping[str, str]]:
    words: dict[tuple[str, str], dict[str, str]] = {}
    for row in data_table("other_words").rows:
        if row["beside"]:
            at = words.setdefault((row["calculator"], row["input"]), {})
            at[row["choice"]] = row["beside"]
    return words


def choice_shown(calculator: str, name: str, choice: str) -> str:
    """Write a choice in a list, with the other word for it that most people look for, if any.

    Examples
    --------
    >>> choice_shown("lift", "thing", "bonnet (steel)"), choice_shown("bolt", "into", "steel")
    ('bonnet (steel), hood', 'steel')
    """
    beside = _beside().get((calculator, name), {}).get(choice)
    return f"{choice}, {beside}" if beside else choice


def input_words(calculator: str, name: str) -> tuple[str, ...]:
    """Give the other names of an input."""
    return _words().get((calculator, name), {}).get("", ())


def input_named(calculator: Calculator, typed: str) -> str | None:
    """Find the input that goes by this name or another word for it; None where none does."""
    names = {folded(each.name): each.name for each in calculator.asked}
    others = {
        folded(word): each.name
        for each in calculator.asked
        for word in input_words(calculator.name, each.name)
    }
    return (others | names).get(folded(typed))
