"""The closed vocabularies of a fastener's specification: grade, head and finish."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cached_property

from putback.errors import BadInput


@dataclass(frozen=True)
class Vocabulary:
    """Words of which a specification has at most one, each with the other ways to say it."""

    name: str
    words: Mapping[str, tuple[str, ...]]

    @cached_property
    def phrases(self) -> Mapping[str, str]:
        """Every way to say each word, to the word."""
        return {
            phrase.casefold(): word
            for word, others in self.words.items()
            for phrase in (word, *others)
        }

    @cached_property
    def _finder(self) -> re.Pattern[str]:
        longest_first = "|".join(map(re.escape, sorted(self.phrases, key=len, reverse=True)))
        # Standing alone, and neither a length after a cross nor a measure before its unit.
        return re.compile(
            rf"(?<!\S)(?<!x )(?:{longest_first})(?!\S)(?! (?:mm|in)\b)", re.IGNORECASE
        )

    def canonical(self, typed: str) -> str:
        """Write one word canonically; empty stays empty.

        Raises
        ------
        BadInput
            It is no word of this vocabulary.
        """
        if not typed:
            return ""
        phrase = " ".join(typed.split()).casefold()
        if phrase not in self.phrases:
            near = get_close_matches(phrase, self.phrases, n=1)
            mend = f"did you mean {self.phrases[near[0]]}?" if near else "say it in the size"
            raise BadInput(f"no {self.name} {typed!r} is known", mend=mend)
        return self.phrases[phrase]

    def take(self, text: str) -> tuple[str, str]:
        """Take the word out of a text; give the text without it, and the word.

        Raises
        ------
        BadInput
            There are two.
        """
        found = self._finder.findall(text)
        if not found:
            return text, ""
        if len(found) > 1:
            raise self.twice(found[0], found[1])
        rest = self._finder.sub(" ", text)
        return " ".join(rest.split()), self.phrases[found[0].casefold()]

    def twice(self, first: str, second: str) -> BadInput:
        """The error of two words where one is all there is room for."""
        return BadInput(
            f"its {self.name} is said twice, {first} and {second}", mend="leave one out"
        )


def _as_they_are(words: Iterable[str]) -> dict[str, tuple[str, ...]]:
    return dict.fromkeys(words, ())


_FORMS_OF_HEAD = {
    "hex": ("hexagon",),
    "cheese": (),
    "pan": (),
    "round": ("dome", "domed"),
    "countersunk": ("csk",),
    "raised countersunk": ("raised csk", "oval"),
    "socket": ("socket cap", "cap", "allen"),
    "socket button": ("button",),
    "socket countersunk": ("countersunk socket", "csk socket"),
    "square": (),
    "mushroom": ("coach",),
}
HEADS = Vocabulary(
    "head",
    {
        form: (*others, *(f"{name} head" for name in (form, *others)))
        for form, others in _FORMS_OF_HEAD.items()
    },
)

FINISHES = Vocabulary(
    "finish",
    {
        "plated": ("zinc plated", "zinc", "bzp"),
        "plain": ("self colour", "bright"),
        "black": ("blackened",),
        "stainless": ("stainless steel",),
        "brass": (),
        "bronze": (),
        "copper": (),
        "aluminium": ("aluminum", "alloy"),
        "nylon": (),
        "cadmium plated": ("cadmium", "cad plated"),
        "nickel plated": ("nickel",),
        "chromed": ("chrome", "chrome plated"),
        "galvanised": ("galvanized",),
    },
)
"""What it is covered with or made of."""

GRADES = Vocabulary(
    "grade",
    {
        **_as_they_are(("3.6", "4.6", "4.8", "5.6", "5.8", "6.8")),  # ISO 898-1
        **_as_they_are(("8.8", "9.8", "10.9", "12.9")),
        **_as_they_are(("A2", "A2-50", "A2-70", "A2-80")),  # ISO 3506-1, stainless
        **_as_they_are(("A4", "A4-50", "A4-70", "A4-80")),
        **{f"class {n}": (f"cl {n}",) for n in (4, 5, 6, 8, 9, 10, 12)},  # nuts, ISO 898-2
        **{f"grade {n}": (f"gr {n}", f"gr.{n}") for n in (1, 2, 5, 8)},  # SAE J429
        **{letter: (f"grade {letter}",) for letter in "RSTV"},  # old British, by strength
    },
)
"""Marks of strength."""

VOCABULARIES = (GRADES, HEADS, FINISHES)
"""In the order in which a specification says them."""
