"""Reading threads out of what people type."""

import re
from dataclasses import replace

from putback.bench.thread_spoken import plain_thread
from putback.bench.threads import (
    SERIES_WORD,
    Series,
    Thread,
    canonical_size,
    inch_thread,
    metric_pitches,
    metric_thread,
    series_named,
)
from putback.errors import BadInput
from putback.units.figures import CROSS, NUMBER, plain_decimal, read_number, tidy

LIKE_A_THREAD = re.compile(r"M ?\d|(?:\d+ )?\d+(?:/\d+)? ?- ?\d", re.IGNORECASE)
"""How a thread begins, but no measure."""

_SHORTEST_MM = 4  # no bolt is shorter, and no pitch that is met with is coarser but by its size
_PIPE = re.compile(r"^(?:G|R[cp]?) ?(?=\d)")
"""ISO's own letters for pipe threads: G parallel (ISO 228-1), R and Rc taper, Rp (ISO 7-1)."""
_PIPE_SERIES = {"G": "BSP", "Rp": "BSP", "R": "BSPT", "Rc": "BSPT"}
_LEFT_HAND = re.compile(r"(?<!\S)(?:LH|left[- ]hand(?: thread)?)(?!\S)", re.IGNORECASE)
_METRIC = re.compile(r"M ?(?P<size>\d+(?:\.\d+)?)(?: ?- ?(?P<pitch>\d*\.?\d+))?", re.IGNORECASE)
_INCH = re.compile(
    r"(?:(?:No\.?|#) ?)?(?P<size>(?:\d+ )?\d+/[1-9]\d*|\d+)(?: ?\"| ?in(?![a-z]))?"
    r"(?: ?- ?(?P<tpi>\d+(?:\.\d+)?)(?: ?tpi(?![a-z]))?)?",
    re.IGNORECASE,
)
_FIRST_NUMBER = re.compile(rf"({NUMBER})(?= ?x|$)", re.IGNORECASE)


def thread_named(text: str) -> Thread:
    """Find a thread by what people call it.

    Raises
    ------
    BadInput
        No such thread, or not one alone; says which there are.

    Examples
    --------
    >>> thread_named("5/16 UNF").name, thread_named("M8").name, thread_named("2BA").name
    ('5/16-24 UNF', 'M8x1.25', '2 BA')
    """
    thread, rest = take_thread(plain_thread(tidy(text)))
    if thread is None or rest:
        mend = "write it like 5/16-24 UNF, M8x1.25 or 1/8-27 NPT"
        raise BadInput(f"cannot read {text!r} as a thread", mend=mend)
    return thread


def take_thread(text: str) -> tuple[Thread | None, str]:
    """Take a thread off the front of a tidy text; give it and the rest.

    The series and the word for a left-hand thread may stand anywhere. ``None``, and the text as
    it was, where there is no thread, or only a diameter.
    """
    if pipe := _PIPE.match(text):
        text = f"{_PIPE_SERIES[pipe[0].strip()]} {text[pipe.end() :]}"
    series_found = SERIES_WORD.search(text)
    series = series_named(series_found[0]) if series_found else None
    bare, left_hand = _LEFT_HAND.subn(" ", SERIES_WORD.sub(" ", text, count=1))
    bare = " ".join(bare.split())
    if found := _METRIC.match(bare):
        thread, rest = _metric(found, bare, special=series is Series.SPECIAL)
    elif (found := _INCH.match(bare)) and (series is not None or found["tpi"]):
        thread = inch_thread(canonical_size(found["size"]), found["tpi"] or "", series)
        rest = bare[found.end() :]
    else:
        return None, text
    return (replace(thread, left_hand=True) if left_hand else thread), rest.strip()


def _metric(found: re.Match[str], bare: str, *, special: bool) -> tuple[Thread, str]:
    """Find the thread of an M size; the first number after a cross is its pitch or a length."""
    size, pitch = plain_decimal(found["size"]), found["pitch"] and plain_decimal(found["pitch"])
    rest = bare[found.end() :].strip()
    cross = CROSS.match(rest)
    if cross and not pitch and (number := _FIRST_NUMBER.match(rest, cross.end())):
        is_first_of_two = len(CROSS.split(rest)) > 2
        if special or is_first_of_two or _is_pitch(size, number[1]):
            pitch, rest = plain_decimal(number[1]), rest[number.end() :]
    return metric_thread(size, pitch or "", special=special), rest


def _is_pitch(size: str, number: str) -> bool:
    """Tell ``M8 x 1`` from ``M8 x 30``."""
    if "/" in number:
        return False
    return plain_decimal(number) in metric_pitches(size) or read_number(number) < _SHORTEST_MM
