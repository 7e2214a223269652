"""The vehicle file: one vehicle as text that a person can read, edit by hand and compare.

The format is TOML 1.0 and docs/vehicle-file.md describes it. Writing and reading are lossless.
Whether a vehicle makes sense is not asked here but by `putback.vehicle.check`: what is known so
far must be kept even while it contradicts itself.
"""

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cached_property
from pathlib import Path
from typing import Any

from putback.errors import UnreadableFile, VehicleFileError
from putback.vehicle.codec import (
    TABLES,
    FieldFault,
    RecordFaults,
    from_plain,
    key_field,
    show,
    to_plain,
)
from putback.vehicle.toml import write_record
from putback.vehicle.vehicle import Vehicle

FORMAT = "putback vehicle 1"

LARGEST_BYTES = 16 * 2**20
"""A vehicle of 2,000 parts takes about 2 MB; photos are not in the file."""

MOST_RECORDS = 50_000
"""In all tables together."""

_HEAD = f"""\
# A vehicle in Putback's own format: plain text, to be read, edited and compared by hand.
# Masses in kg, lengths in m, torques in N·m, times in minutes. What is not said is not known.
format = "{FORMAT}"
"""


@dataclass(frozen=True, slots=True)
class FileFault:
    """One thing in a vehicle file that cannot be read, and where it stands."""

    table: str
    record: str
    """Its identity, or its place in the table where it has none."""
    fault: FieldFault
    line: int | None = None

    def __str__(self) -> str:
        line = "" if self.line is None else f"line {self.line}: "
        record = f"[{self.table}] {self.record}".strip()
        return f"{line}{record}, {self.fault}" if self.table else f"{line}{self.fault}"


def write(vehicle: Vehicle) -> str:
    """Write a vehicle as the text of a vehicle file."""
    records = [f"[about]\n{write_record(to_plain('about', vehicle.about))}"]
    records += [
        f"[[{table}]]\n{write_record(to_plain(table, record))}"
        for table in TABLES
        if table != "about"
        for record in getattr(vehicle, table).values()
    ]
    return "\n".join([_HEAD, *records])


def read(source: str | Path) -> Vehicle:
    """Read a vehicle from the text of a vehicle file, or from the file at a path.

    Raises
    ------
    UnreadableFile
        If it is no vehicle file at all: missing, too large, not text, not TOML, a later format.
    VehicleFileError
        If anything in it cannot be read; every such value is named.
    """
    path = source if isinstance(source, Path) else Path("vehicle file")
    text = _text(source) if isinstance(source, Path) else source.removeprefix("\ufeff")
    reader = _Reader(_parse(text, path), text)
    tables = reader.tables()
    if reader.faults:
        in_order = sorted(reader.faults, key=lambda fault: fault.line or 0)
        raise VehicleFileError(tuple(in_order), str(path))
    (about,) = tables.pop("about").values()
    return Vehicle(about, **tables)


_DEEP_KEY = re.compile(
    r"""(?:^|[{,])[ \t[]*(?:(?:[\w-]+|"[^"\n]*"|'[^'\n]*')[ \t]*\.[ \t]*){200}""", re.MULTILINE
)
"""``a.b.c ...`` of more steps than any file has: tomllib takes the square of their number in time
and memory."""

# --- from bytes to plain values -----------------------------------------------------------------


def _text(path: Path) -> str:
    try:
        with path.open("rb") as file:
            content = file.read(LARGEST_BYTES + 1)
    except OSError as error:
        raise UnreadableFile(path, None, error.strerror or "cannot be opened") from error
    if len(content) > LARGEST_BYTES:
        raise _too_large(path)
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        raise UnreadableFile(path, line, "is not UTF-8 text", "save it as UTF-8") from error


def _too_large(path: Path) -> UnreadableFile:
    why = f"is larger than {LARGEST_BYTES // 2**20} MB"
    return UnreadableFile(path, None, why, "is it a vehicle file?")


def _parse(text: str, path: Path) -> dict[str, Any]:
    if len(text) > LARGEST_BYTES:
        raise _too_large(path)
    if deep := _DEEP_KEY.search(text):
        at = text[: deep.end()].count("\n") + 1
        raise UnreadableFile(path, at, "has a key of too many steps to be a vehicle file")
    try:
        document = tomllib.loads(text)
    except RecursionError as error:
        raise UnreadableFile(path, None, "is nested too deeply to be a vehicle file") from error
    except ValueError as error:  # TOMLDecodeError, and what int() and date() say of wild values
        line = re.search(r" \(at line (\d+), column \d+\)$", str(error))
        why = str(error)[: line.start()] if line else str(error)
        raise UnreadableFile(
            path, int(line[1]) if line else None, f"is not TOML: {why}", "mend it there"
        ) from error
    said = document.pop("format", None)
    if said is None:
        why, mend = "does not say that it is a vehicle file", f'begin it with format = "{FORMAT}"'
        raise UnreadableFile(path, None, why, mend)
    if said != FORMAT:
        why = f"is in the format {show(said)}, and this Putback reads {FORMAT!r}"
        raise UnreadableFile(path, None, why, "a later Putback may have written it: update yours")
    return document


# --- from plain values to records ---------------------------------------------------------------


_HEADING = re.compile(r"\[\[?\s*(\w+)\s*\]")

_LONGEST_RECORD = 500
"""Lines looked through for the one at fault."""


class _Reader:
    """Reads the tables of one file and gathers everything that is wrong with them."""

    def __init__(self, document: Mapping[str, Any], text: str) -> None:
        self.faults: list[FileFault] = []
        self._document = document
        self._lines = text.splitlines()

    def tables(self) -> dict[str, Any]:
        """Read every table, its records by their identities."""
        for name in (each for each in self._document if each not in TABLES):
            near = get_close_matches(name, TABLES, n=1)
            mend = f"did you mean {near[0]!r}?" if near else "see docs/vehicle-file.md"
            self._say(name, 0, "", FieldFault("", "is no table of a vehicle", mend=mend))
        count = sum(len(rows) for rows in self._document.values() if isinstance(rows, list))
        if count > MOST_RECORDS:
            self._say(
                "", 0, "", FieldFault("", f"should have at most {MOST_RECORDS} records", count)
            )
            return {}
        return {table: self._table(table) for table in TABLES}

    def _table(self, table: str) -> dict[str, Any]:
        rows = self._document.get(table, [])
        if table == "about":
            rows = [rows] if rows else []
            if not rows:
                self._say(table, 0, "", FieldFault("", "is missing", mend="give id and name"))
        if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
            one = "a table headed [about]" if table == "about" else f"tables headed [[{table}]]"
            wanted = f"should be {one}"
            self._say(table, 0, "", FieldFault("", wanted, rows))
            return {}
        key = key_field(table)
        read: dict[str, Any] = {}
        names: set[str] = set()
        for place, row in enumerate(rows):
            name = row[key] if isinstance(row.get(key), str) else f"number {place + 1}"
            if name in names:
                self._say(table, place, name, FieldFault(key, "is given twice", mend="change one"))
            names.add(name)
            try:
                read[name] = from_plain(table, row)
            except RecordFaults as error:
                for fault in error.faults:
                    self._say(table, place, name, fault)
        return read

    def _say(self, table: str, place: int, record: str, fault: FieldFault) -> None:
        self.faults.append(FileFault(table, record, fault, self._line(table, place, fault.where)))

    def _line(self, table: str, place: int, where: str) -> int | None:
        """Find the line of a value, else of its record, else none: the parser does not tell us."""
        headings = self._headings.get(table, [])
        if place >= len(headings):
            return None
        field = re.compile(rf"\s*{re.escape(re.split('[.[]', where)[0])}\s*=")
        start = headings[place] + 1
        for number, line in enumerate(self._lines[start : start + _LONGEST_RECORD], start):
            if field.match(line):
                return number + 1
            if _HEADING.match(line):
                break
        return headings[place] + 1

    @cached_property
    def _headings(self) -> Mapping[str, list[int]]:
        found: dict[str, list[int]] = {}
        for number, line in enumerate(self._lines):
            if heading := _HEADING.match(line):
                found.setdefault(heading[1], []).append(number)
        return found
