"""Sheets: lists to tick, fill in and sign, each of titled tables under one heading.

A walk-round, a torque sheet and a manifest are the same thing to a printer: rows that stay whole,
columns of which some are boxes to tick and some are left white to write in.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from putback.paper.page import USUAL_PAGE, Page
from putback.paper.typeset import typeset
from putback.paper.words import ENGLISH, Words


class Kind(StrEnum):
    """What stands in a column."""

    TEXT = "text"
    NUMBER = "number"
    CODE = "code"  # a tag
    TICK = "tick"  # a box: see `Tick`
    WRITE = "write"  # left white


class Tick(StrEnum):
    """How a box is printed."""

    OPEN = "open"
    HALF = "half"
    LOOK = "look"  # a question mark: undone in the logbook, and nobody looked
    DONE = "done"
    NONE = ""  # no box


@dataclass(frozen=True, slots=True)
class Column:
    """One column; ``width`` is its share of what is left, or 0 for as wide as its kind needs."""

    heading: str
    kind: Kind = Kind.TEXT
    width: float = 0.0


@dataclass(frozen=True, slots=True)
class Row:
    """One row: a cell for each column, and lines below its first words."""

    cells: tuple[str, ...]
    details: tuple[str, ...] = ()
    is_critical: bool = False


@dataclass(frozen=True, slots=True)
class Section:
    """A titled table with what is said of it; without a title it belongs to the one before."""

    heading: str
    columns: tuple[Column, ...] = ()
    rows: tuple[Row, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Sheet:
    """One document."""

    title: str
    vehicle: str
    day: str
    sections: tuple[Section, ...]
    lead: tuple[str, ...] = ()
    """Sentences under the title."""
    cautions: tuple[str, ...] = ()
    signatures: tuple[str, ...] = ()
    """Who signs, a line for each."""


@dataclass(frozen=True, slots=True)
class _Printed:
    """What the template is given."""

    sheet: Sheet
    size_mm: tuple[float, float]
    text_pt: float
    words: Words


def sheet_pdf(sheet: Sheet, page: Page = USUAL_PAGE, words: Words = ENGLISH) -> bytes:
    """Print a sheet."""
    for section in sheet.sections:
        _check(section.columns, section.rows)
    return typeset(
        "sheet", _Printed(sheet, page.size_mm, page.text_pt, words), respell=words.respell
    )


def _check(columns: Sequence[Column], rows: Sequence[Row]) -> None:
    uneven = [row for row in rows if len(row.cells) != len(columns)]
    if uneven:
        raise ValueError(f"{len(columns)} columns, and a row of {len(uneven[0].cells)} cells")
