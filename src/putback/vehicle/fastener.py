"""Fasteners: what one is (`FastenerSpec`), and how it is read from what people type (`parse`).

``parse(spec.text) == spec`` for every specification, so that its text can stand for it in files,
in entries and as the name of a hardware account.
"""

import re
from difflib import get_close_matches
from functools import lru_cache

from putback.bench.designation import LIKE_A_THREAD, take_thread, thread_named
from putback.bench.threads import Series, Thread
from putback.errors import BadInput, InputError
from putback.units.figures import CROSS, NUMBER, read_number
from putback.units.parse import length_m as read_length_m
from putback.vehicle.fastener_kind import (
    FastenerKind,
    Role,
    find_kind,
    is_piece,
    kind_named,
    role_of,
)
from putback.vehicle.fastener_spec import FastenerSpec, tidy_specification, words_of
from putback.vehicle.fastener_words import VOCABULARIES
from putback.vehicle.measure import LONG, canonical_measure

__all__ = [
    "FastenerKind",
    "FastenerSpec",
    "Role",
    "is_piece",
    "kind_named",
    "parse",
    "role_of",
    "thread_named",
]

_LONGEST_DIAMETERS = 24  # a bare length beyond this many was meant in the other unit
_COUNT = re.compile(r"\d+ ?(?:x|off) ?(?=[A-Za-z]|\d+/|\d+-\d)", re.IGNORECASE)
_LONG_IN_HEAD = re.compile(rf"(?<!x) {LONG.pattern}", re.IGNORECASE)
_SILENT = re.compile(r"(?<!\S)(?:head(?:ed)?|thread(?:ed)?|long|dia\.?|size)(?!\S)", re.IGNORECASE)
_REMARK = re.compile(r"(?:^| )(?=(?:on|for|with|under|to) )", re.IGNORECASE)
_COMMA_IN_KIND = re.compile(r"cap, threaded,?(?!\S)", re.IGNORECASE)
_EXAMPLE = "write it like 'bolt 5/16-24 UNF x 1 in plated'; anything else goes after a comma"


@lru_cache(maxsize=8192)
def parse(text: str, kind: FastenerKind | None = None) -> FastenerSpec:
    """Read a specification from what people type.

    Parameters
    ----------
    text : str
        Kind, thread or size, length, and the words for grade, head and finish in any order;
        whatever follows a comma is taken as it stands.
    kind : FastenerKind, optional
        What it is, where the text does not say. With neither, a thread and a length are a bolt's.

    Raises
    ------
    InputError
        Something in it cannot be read; says what is near.

    Examples
    --------
    >>> parse("5/16-24 x 1").text
    'bolt 5/16-24 UNF x 1 in'
    >>> parse("M8x1.25x30 8.8").text
    'bolt M8x1.25 x 30 mm 8.8'
    >>> parse("7/16 UNF", FastenerKind.CASTLE_NUT).text
    'castle nut 7/16-20 UNF'
    """
    try:
        return _read(tidy_specification(text), kind)
    except InputError as error:
        where = error.place() or f"fastener {text!r}"
        raise BadInput(error.fault(), where, error.remedy()) from error


def _read(typed: str, expected: FastenerKind | None) -> FastenerSpec:
    if _COUNT.match(typed):
        raise BadInput("how many is no part of a specification", mend="give the number apart")
    if comma_in_kind := _COMMA_IN_KIND.match(typed):
        typed = f"{FastenerKind.THREADED_CAP} {typed[comma_in_kind.end() :]}"
    said, _, size = (part.strip() for part in typed.partition(","))
    kind, said = _take_kind(said, expected)
    if kind is None or kind.has_length:
        said, size = _length_crossed(said, size)
    if kind is not None and not kind.is_threaded:
        return _unthreaded(kind, said, size)
    if not said and LIKE_A_THREAD.match(size):  # "bolt, 5/16-24 x 1"
        said, _, size = size.partition(",")
    if remark := _REMARK.search(said):
        said, size = said[: remark.start()], _joined(said[remark.end() :], size)
    return _threaded(kind, said, size)


def _length_crossed(said: str, size: str) -> tuple[str, str]:
    """Write a length that is said in words, there or after a comma, with a cross."""
    said = _LONG_IN_HEAD.sub(r" x \1", said, count=1)
    parts = [part.strip() for part in size.split(",")]
    for part in parts:
        if long := LONG.fullmatch(part):
            parts.remove(part)
            return f"{said} x {long[1]}", ", ".join(parts)
    return said, size


def _take_kind(said: str, expected: FastenerKind | None) -> tuple[FastenerKind | None, str]:
    """Take the kind out of what is said; two kinds of thread cannot both be meant."""
    found, rest = find_kind(said)
    if expected is None or found is expected:
        return found, rest
    if found is not None and expected.is_threaded:
        raise BadInput(f"it says {found}, where a {expected} is meant", mend="leave one out")
    return expected, said


def _unthreaded(kind: FastenerKind, said: str, size: str) -> FastenerSpec:
    """Read a measure and the words beside it; what is no measure is a description."""
    words, measure, length_m = {}, said, None
    for vocabulary in words_of(kind):
        measure, words[vocabulary.name] = vocabulary.take(measure)
    if kind.has_length:
        bare = "in" if "/" in measure else "mm"
        measure, crossed = _split_length(measure)
        length_m = _length_m(crossed, bare) if crossed else None
        if re.fullmatch(NUMBER, measure) and "/" not in measure:
            measure += " mm"
    if measure and not canonical_measure(measure):
        return FastenerSpec(kind, size=_joined(said, size))
    return FastenerSpec(kind, size=_joined(measure, size), length_m=length_m, **words)


def _threaded(kind: FastenerKind | None, said: str, size: str) -> FastenerSpec:
    words = {}
    for vocabulary in VOCABULARIES:
        said, words[vocabulary.name] = vocabulary.take(said)
    thread, rest = take_thread(" ".join(_SILENT.sub(" ", said).split()))
    rest, crossed = _split_length(rest)
    if rest and (thread is not None or not canonical_measure(rest)):
        raise BadInput(f"cannot read {rest!r}", mend=_mend(rest))
    if kind is None and (thread is None or not crossed):
        raise BadInput("it does not say what it is", mend="name its kind, like bolt, nut or clip")
    if thread is not None:
        length_m = _length_m(crossed, "mm" if thread.is_metric else "in", thread)
        return FastenerSpec(kind or FastenerKind.BOLT, thread.name, size, length_m, **words)
    length_m = _length_m(crossed, "in" if rest.endswith(('"', "in")) or "/" in rest else "mm")
    return FastenerSpec(kind or FastenerKind.BOLT, "", _joined(rest, size), length_m, **words)


def _split_length(text: str) -> tuple[str, str]:
    """Part what stands before a cross from the length after it."""
    before, *lengths = (part.strip() for part in CROSS.split(text))
    if len(lengths) > 1:
        raise BadInput("it has more than one length", mend="write one, after the last x")
    return before, lengths[0] if lengths else ""


def _length_m(text: str, bare: str, thread: Thread | None = None) -> float | None:
    """Read a length, in the unit of its thread if it says none [m]."""
    if not text:
        return None
    if not re.fullmatch(NUMBER, text):
        return read_length_m(text)
    length_m = read_length_m(f"{text} {'in' if '/' in text else bare}")
    if thread is not None and bare == "in" and length_m > _LONGEST_DIAMETERS * thread.major_m:
        number = float(read_number(text))
        meant = f"write {number:g} mm or {number:g} in, whichever is meant"
        raise BadInput(f"{text} inches would be long for {thread.name}", mend=meant)
    return length_m


def _joined(first: str, rest: str) -> str:
    return ", ".join(filter(None, (first.strip(), rest.strip())))


def _mend(unread: str) -> str:
    """What to write instead of something that cannot be read."""
    if unread.isdecimal():
        return f"write M{unread} for millimetres, or the number with its thread, like 10-32"
    known = (*Series, *FastenerKind, *(w for v in VOCABULARIES for w in v.phrases))
    by_word = {word.casefold(): word for word in map(str, known)}
    for typed in (unread, *unread.split()):
        if near := get_close_matches(typed.casefold(), by_word, n=1, cutoff=0.65):
            return f"did you mean {by_word[near[0]]}?"
    return _EXAMPLE
