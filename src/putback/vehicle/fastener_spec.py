"""One canonical specification for every fastener.

Two bolts are the same to the hardware accounts if, and only if, their specifications have the same
text. So there is one way to write each: a specification puts itself into canonical form when it is
made, and its `text` says all of it, in this order::

    kind  thread-or-measure  x length  grade  head  finish, anything else

    bolt 5/16-24 UNF x 1 in S plated
    wheel nut 7/16-20 UNF, taper seat
    split pin 2.4 mm x 25 mm
    cup washer, eye, 34 mm

How many there are is never part of a specification.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from putback.bench.designation import LIKE_A_THREAD, thread_named
from putback.errors import BadInput
from putback.units.figures import CROSS, tidy
from putback.vehicle.fastener_kind import FastenerKind, Form
from putback.vehicle.fastener_words import FINISHES, GRADES, HEADS, Vocabulary
from putback.vehicle.measure import LONG, canonical_measure, exact_length_text, snapped

_DECIMAL_COMMA = re.compile(r"(?<=\d),(?=\d)")
_SAY_NOTHING: Mapping[FastenerKind, frozenset[str]] = {
    FastenerKind.SCREW: frozenset(),
    FastenerKind.COUNTERSUNK_SCREW: frozenset({"countersunk"}),
}
"""Heads that a kind has when nothing is said; hex for every other threaded kind."""


def words_of(kind: FastenerKind) -> tuple[Vocabulary, ...]:
    """The vocabularies that a specification of this kind may use, in the order of its text."""
    if kind.is_threaded:
        return (GRADES, HEADS, FINISHES)
    if kind.form is Form.PIN:
        return (HEADS, FINISHES)  # a rivet has a head
    return (FINISHES,) if kind.form is Form.SHAPE else ()


def tidy_specification(text: str) -> str:
    """Write what people type with one kind of sign each, and points for decimal commas."""
    return _DECIMAL_COMMA.sub(".", tidy(text))


@dataclass(frozen=True, slots=True)
class FastenerSpec:
    """What a fastener is, in canonical form; equal specifications have equal texts.

    Raises
    ------
    InputError
        It cannot be: a nut with a length, a washer with a thread, a thread that is not made.
    """

    kind: FastenerKind
    thread: str = ""
    """Like ``5/16-24 UNF`` or ``M8x1.25 LH``; empty where there is none or it is unknown."""
    size: str = ""
    """Measures and words for what the other fields do not say, parted by commas."""
    length_m: float | None = None
    """As the trade measures this kind, to the nanometre [m]."""
    grade: str = ""
    finish: str = ""
    head: str = ""
    text: str = field(init=False, repr=False, compare=False, default="")
    """All of it; what files and accounts know it by."""

    def __post_init__(self) -> None:
        """Put every field into canonical form, or refuse."""
        words = {"grade": self.grade, "head": self.head, "finish": self.finish}
        size = self._take_words_from_size(words)
        kind = self.kind
        if kind is FastenerKind.SCREW and words["head"] == "countersunk":
            kind = FastenerKind.COUNTERSUNK_SCREW
        if words["head"] in _SAY_NOTHING.get(kind, {"hex"} if kind.is_threaded else ()):
            words["head"] = ""
        length_m = None if self.length_m is None else snapped(self.length_m)
        thread = thread_named(self.thread).name if self.thread else ""
        canonical = {"kind": kind, "thread": thread, "size": size, "length_m": length_m, **words}
        for name, value in canonical.items():
            object.__setattr__(self, name, value)
        self._refuse_what_cannot_be()
        object.__setattr__(self, "text", self._composed())

    def __str__(self) -> str:
        return self.text

    def _take_words_from_size(self, words: dict[str, str]) -> str:
        """Put words into canonical form, with those that stand among the parts of the size."""
        for vocabulary in (GRADES, HEADS, FINISHES):
            words[vocabulary.name] = vocabulary.canonical(words[vocabulary.name])
        parts = []
        for part in tidy_specification(self.size).split(","):
            typed = part.strip()
            for vocabulary in words_of(self.kind):
                if typed.casefold() in vocabulary.phrases:
                    word = vocabulary.canonical(typed)
                    if words[vocabulary.name] not in ("", word):
                        raise vocabulary.twice(words[vocabulary.name], word)
                    words[vocabulary.name] = word
                    break
            else:
                parts.append(canonical_measure(typed) or typed)
        return ", ".join(filter(None, parts))

    def _refuse_what_cannot_be(self) -> None:
        kind, first = self.kind, self.size.partition(", ")[0]
        allowed = {vocabulary.name for vocabulary in words_of(kind)}
        for name in ("grade", "head", "finish"):
            if (word := getattr(self, name)) and name not in allowed:
                raise BadInput(f"a {kind} has no {name} ({word})", mend="say it in the size")
        if self.thread and not kind.is_threaded:
            raise BadInput(f"a {kind} has no thread ({self.thread})", mend="give its size")
        if self.length_m is not None and not kind.has_length:
            raise BadInput(f"a {kind} has no length", mend="leave it out, or say it in the size")
        if kind.is_threaded and not self.thread and LIKE_A_THREAD.match(first):
            raise BadInput(f"{first!r} is a thread", mend="give it as the thread, not as the size")
        if kind.has_length:
            two = first if canonical_measure(first) and len(CROSS.split(first)) > 1 else ""
            if with_length := two or next(filter(LONG.fullmatch, self.size.split(", ")), ""):
                raise BadInput(f"there is a length in {with_length!r}", mend="give it apart")

    def _composed(self) -> str:
        measure, words, inches = self.thread, self.size, not self.thread.startswith("M")
        if not self.thread:
            first, _, rest = self.size.partition(", ")
            # Beside a thread's place a cross would be taken for that before a length.
            if canonical_measure(first) and not (self.kind.is_threaded and CROSS.search(first)):
                measure, words = first, rest
            inches = measure.endswith("in")
        length = ""
        if self.length_m is not None:
            length = f"x {exact_length_text(self.length_m, inches=inches)}"
        said = (self.kind.value, measure, length, self.grade, self.head, self.finish)
        composed = " ".join(filter(None, said))
        return f"{composed}, {words}" if words else composed
