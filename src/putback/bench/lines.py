"""Read a field of several lines: survey distances, points of a pipe, pieces to cut, parts.

A line holds cells with spaces, commas, semicolons or tabs between them; ``#`` begins a comment,
and a name with spaces stands in quotes. A new line begins at a line break or, for whoever types
all of it at a prompt, at ``|``; points in brackets are a line each, and so are what semicolons
part where spaces or commas part the columns. A number is in the unit that is chosen beside the
field (`LENGTH_UNITS`) unless it says its own::

    FL RR 3214       # across the chassis
    "front left" 1-2/3
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from math import isfinite
from types import MappingProxyType

from putback.errors import BadInput

LENGTH_UNITS: Mapping[str, float] = MappingProxyType(
    {"mm": 1e-3, "cm": 1e-2, "m": 1.0, "in": 0.0254, "ft": 0.3048}
)
"""Metres in one of the units that a field of lengths may be in [m]; exact by definition."""
MASS_UNITS: Mapping[str, float] = MappingProxyType(
    {"kg": 1.0, "g": 1e-3, "lb": 0.45359237, "oz": 0.45359237 / 16}
)
"""Kilograms in one of the units that a field of masses may be in [kg]; exact by definition."""

_CELL = re.compile(r'[\s,;]*(?:"([^"]*)"|\'([^\']*)\'|(#.*)|([^\s,;"\'#][^\s,;"#]*))')
_BLANK = re.compile(r"[\s,;]*\Z")
_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?\Z")
_WHOLE = re.compile(r"[+-]?\d+\Z")
_PROPER = re.compile(r"\d+/\d+\Z")
_BRACKETED = re.compile(r"\s*[(\[]")
_NEXT_BRACKET = re.compile(r"[)\]]\s*[,;]?\s*[(\[]")
_WITH_UNIT = re.compile(r"([+-]?[\d./-]*\d\.?)([a-z]+|\")\Z", re.IGNORECASE)
_INCH_MARK = re.compile(r"(?<![^\s,;])([\d./-]+)\"")
_MIXED_INCHES = re.compile(r"(?<!\S)(\d+) (\d+/\d+)(?= ?in)", re.IGNORECASE)
_ONE_COMMA = re.compile(r"(?<![\d,])\d+,\d+(?![\d,])")
_FRACTION = re.compile(r"([+-]?)(?:(\d+)[- ])?(\d+)/(\d+)\Z")


@dataclass(frozen=True, slots=True)
class Line:
    """One line that says something; ``number`` counts from 1 as a person does, blank ones too."""

    field: str
    number: int
    cells: tuple[str, ...]

    def __len__(self) -> int:
        """Count its cells."""
        return len(self.cells)

    def text(self, place: int, what: str) -> str:
        """Give the cell at a place, the first is 0; ``what`` names it for a message.

        Raises
        ------
        BadInput
            The line is too short.
        """
        if place >= len(self.cells):
            raise self.fault(
                f"the {what} is missing", f"write it as number {place + 1} on the line"
            )
        return self.cells[place]

    def value(self, place: int, what: str) -> float:
        """Read the cell at a place as a number: ``12``, ``0.5``, ``7/8``, ``2-1/4`` [-].

        Raises
        ------
        BadInput
            The line is too short, or this is not one bare number.
        """
        cell = self.text(place, what)
        number = read_number(cell)
        if number is None:
            mend = "write a bare number; the unit is chosen beside the lines"
            raise self.fault(f"{cell!r} is not a number for the {what}", mend)
        return number

    def mixed(self, place: int) -> "Line":
        """Take a whole number and the fraction behind it at a place for one: ``39 1/2``.

        Only where no second number may follow the first: else ``3 1/2`` could be two.
        """
        whole, *others = self.cells[place:] or ("",)
        if not (others and _WHOLE.match(whole) and _PROPER.match(others[0])):
            return self
        cells = (*self.cells[:place], f"{whole}-{others[0]}", *others[1:])
        return replace(self, cells=cells)

    def values(self, what: tuple[str, ...], start: int = 0) -> tuple[float, ...]:
        """Read so many cells as numbers, from a place on, each with its name [-]."""
        return tuple(self.value(start + place, name) for place, name in enumerate(what))

    def is_number(self, place: int) -> bool:
        """Whether there is a cell at a place that reads as a number."""
        return place < len(self.cells) and read_number(self.cells[place]) is not None

    def at_most(self, count: int, like: str) -> None:
        """Refuse a line of more cells than that; ``like`` is a line as it should be.

        Raises
        ------
        BadInput
            There are more.
        """
        if len(self.cells) > count:
            extra = self.cells[count]
            raise self.fault(f"{extra!r} is one too many", f"write it like: {like}")

    def fault(self, what: str, mend: str = "") -> BadInput:
        """Make the error that says what is wrong with this line, and names the line."""
        return BadInput(what, f"line {self.number} of {self.field}", mend)


def unit_words(unit: str, mass_unit: str = "") -> dict[str, float]:
    """Give what a unit behind a number makes of it, in the units chosen beside the field [-].

    Examples
    --------
    >>> round(unit_words("mm")["in"], 6), unit_words("mm", "kg")["g"]
    (25.4, 0.001)
    """
    words = {word: size / LENGTH_UNITS[unit] for word, size in LENGTH_UNITS.items()}
    words |= dict.fromkeys(('"', "inch", "inches"), words["in"])
    if mass_unit:
        words |= {word: size / MASS_UNITS[mass_unit] for word, size in MASS_UNITS.items()}
        words["lbs"] = words["lb"]
    return words


def read_lines(
    text: str, field: str, units: Mapping[str, float] = MappingProxyType({})
) -> tuple[Line, ...]:
    """Split a field into its lines; blank ones and comments are left out.

    Parameters
    ----------
    text, field : str
        What was typed, and the field's name for messages.
    units : Mapping of str to float
        As `unit_words`; a number that says such a unit is brought to the field's own.

    Raises
    ------
    BadInput
        A quote is not closed, or a comma may stand for a point.
    """
    split = enumerate(re.split(r"\r\n|\r|\n|\|", _parted(text)), 1)
    lines = (
        Line(field, number, tuple(_in_own_unit(_cells(_inches(line), field, number), units)))
        for number, line in split
    )
    return tuple(line for line in lines if line.cells)


def _parted(text: str) -> str:
    """Part lines that somebody wrote on one: ``(0,0,0) (9,0,0)`` or ``0 0 0; 9 0 0``."""
    if _BRACKETED.match(text):
        return re.sub(r"[()\[\]]", " ", _NEXT_BRACKET.sub("|", text))
    if "\n" in text or "|" in text or ";" not in text or "#" in text:
        return text
    parts = text.split(";")
    are_lines = sum(1 for part in parts if re.search(r"\S[\s,]+\S", part)) > 1
    return "|".join(parts) if are_lines else text


def _inches(line: str) -> str:
    """Write ``39 1/2"`` as ``39-1/2in``: one cell, and no quote that is never closed."""
    if line.count('"') % 2:
        line = _INCH_MARK.sub(r"\1in", line)
    return _MIXED_INCHES.sub(r"\1-\2", line)


def _in_own_unit(cells: Iterator[str], units: Mapping[str, float]) -> Iterator[str]:
    """Bring each number that says its unit to the field's; the unit may stand apart from it."""
    before: str | None = None
    for cell in cells:
        glued = _WITH_UNIT.match(cell)
        if glued and glued[2].casefold() in units and read_number(glued[1]) is not None:
            if before is not None:
                yield before
            before = _times(glued[1], units[glued[2].casefold()])
        elif before is not None and cell.casefold() in units and read_number(before) is not None:
            yield _times(before, units[cell.casefold()])
            before = None
        else:
            if before is not None:
                yield before
            before = cell
    if before is not None:
        yield before


def _times(number: str, factor: float) -> str:
    return f"{(read_number(number) or 0.0) * factor:.12g}"


def read_number(cell: str) -> float | None:
    """Read a bare number or fraction; None where it is neither, or too large to be one [-]."""
    if found := _FRACTION.match(cell):
        sign, whole, over, under = found.groups()
        if not int(under):
            return None
        number = float(int(whole or 0) + Fraction(int(over), int(under)))
        return -number if sign == "-" else number
    if _NUMBER.match(cell):
        number = float(cell)
        return number if isfinite(number) else None
    return None


def _cells(line: str, field: str, number: int) -> Iterator[str]:
    if _ONE_COMMA.search(line.partition("#")[0]) and re.search(r"\S\s+\S", line):
        raise BadInput(
            f"a comma in {line.strip()!r} may part columns or stand for a point",
            f"line {number} of {field}",
            "write a point, or a blank between columns",
        )
    place = 0
    while not _BLANK.match(line, place):
        found = _CELL.match(line, place)
        if found is None:
            mend = "close the quote, or leave it out"
            raise BadInput(f"a quote in {line!r} is not closed", f"line {number} of {field}", mend)
        place = found.end()
        double, single, comment, plain = found.groups()
        if comment is not None:
            return
        yield next(cell for cell in (double, single, plain) if cell is not None)
