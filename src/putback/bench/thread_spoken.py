"""Ways of writing a thread's name that people have, brought to the one that is looked up.

A size in decimal inches, a class of tolerance behind the name, a series said first.
"""

import re
from fractions import Fraction

from putback.units.figures import fraction_text

_CLASS = re.compile(
    r"(?:[ -]+|(?<=UNC)|(?<=UNF)|(?<=UNEF))"
    r"(?:[3-9][efgh](?:[3-9][efgh])?|[4-8][GH]|[1-3][AB])(?: ?/ ?\w{2})?$"
)
"""A class of tolerance at the end: 6g, 6H, 2A, 2B, 6H/6g."""
_SERIES_FIRST = re.compile(
    r"^(?P<series>BA|UNC|UNF|UNEF|BSF|BSW|BSPT|BSPP?|NPT)[ -]?(?=[\d#]|No)(?P<size>.+)$",
    re.IGNORECASE,
)
_DECIMAL_INCHES = re.compile(r"^(?P<inches>\d*\.\d+)(?= ?(?:\"|in\b|-| ?UN| ?BS| ?Whit))")
_SAID = (
    (re.compile(r"^MF ?(?=\d)", re.IGNORECASE), "M"),
    (re.compile(r"(?<=\d) ?\* ?(?=[\d.])"), "x"),
    (re.compile(r"(?<=\d) ?W(?=[ -]|$)", re.IGNORECASE), " BSW"),
    (re.compile(r"\bUNRF\b", re.IGNORECASE), "UNF"),
    (re.compile(r"\bUNRC\b", re.IGNORECASE), "UNC"),
    (re.compile(r"^(M.*\d) ?(?:coarse|standard)$", re.IGNORECASE), r"\1"),
    (re.compile(r"^(M\d.*(?:x|-) ?[\d.]+) ?fine$", re.IGNORECASE), r"\1"),
    (re.compile(r"^(\d+)[.-](?=\d+/\d)"), r"\1 "),
    (re.compile(r"(\d/\d+(?: ?\"| ?in)?|^\d+) ?(?:x|,)? ?(?=\d+(?:\.5)? ?tpi)", re.I), r"\1-"),
    (re.compile(r"(\d/\d+(?: ?\"| ?in)?) ?(?:x|\*) ?(?=\d\d?(?:\D|$))", re.IGNORECASE), r"\1-"),
)
"""MF10x1, M8*1.25, 1/4 W, 1-1/8-12, 3/8 24 tpi, 3/8 x 24."""


def plain_thread(text: str) -> str:
    """Write a tidy name of a thread as it is looked up; what is not known stays as it is.

    Examples
    --------
    >>> plain_thread("1-1/8-12 UNF-2A"), plain_thread("BA2"), plain_thread("0.375-24")
    ('1 1/8-12 UNF', '2 BA', '3/8-24')
    """
    plain = _CLASS.sub("", text)
    if first := _SERIES_FIRST.match(plain):
        plain = f"{first['size']} {first['series']}"
    for way, plainly in _SAID:
        plain = way.sub(plainly, plain)
    return _DECIMAL_INCHES.sub(_as_fraction, plain)


def _as_fraction(found: re.Match[str]) -> str:
    """Write decimal inches as the fraction of a 64th that they are rounded from."""
    inches = float(found["inches"])
    mark = Fraction(round(inches * 64), 64)
    places = len(found["inches"].partition(".")[2])
    is_it = mark and round(float(mark), places) == inches and places > 1
    return fraction_text(mark) if is_it else found[0]
