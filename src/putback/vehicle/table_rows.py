"""Rows of text out of a CSV or XLSX file, whatever wrote it; nothing is known of parts here."""

import csv
import io
import warnings
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from itertools import islice
from pathlib import Path

from putback.errors import UnreadableFile

LARGEST_BYTES = 16 * 2**20
"""Of the file, and four times that unpacked: a list of parts is far smaller."""

MOST_ROWS = 20_000
MOST_COLUMNS = 200

_DELIMITERS = ",;\t|"
_MARKS = {b"\xff\xfe": "utf-16", b"\xfe\xff": "utf-16", b"\xef\xbb\xbf": "utf-8-sig"}
_MOST_MEMBERS = 2_000
_XLSX = b"PK\x03\x04"


@dataclass(frozen=True, slots=True)
class Row:
    """One row; ``number`` is the line it begins on, or the spreadsheet's own number."""

    number: int
    cells: tuple[str, ...]


def read_rows(path: Path) -> tuple[Row, ...]:
    """Read the rows of a file that have anything in them.

    An XLSX file is known by its first bytes, its first sheet is read, and of formulas their
    values. Of a CSV file encoding and delimiter are found out.

    Raises
    ------
    UnreadableFile
        It is no table, too large, damaged or unsafe to unpack.
    """
    try:
        with path.open("rb") as file:
            content = file.read(LARGEST_BYTES + 1)
    except OSError as error:
        raise UnreadableFile(path, None, error.strerror or "cannot be opened") from error
    if len(content) > LARGEST_BYTES:
        why = f"is larger than {LARGEST_BYTES // 2**20} MB"
        raise UnreadableFile(path, None, why, "is it a list of parts?")
    rows = _xlsx(content, path) if content.startswith(_XLSX) else _csv(content, path)
    found = tuple(islice((row for row in rows if any(row.cells)), MOST_ROWS + 1))
    if len(found) > MOST_ROWS:
        raise UnreadableFile(path, None, f"has more than {MOST_ROWS} rows", "split it")
    return found


# --- CSV ----------------------------------------------------------------------------------------


def _csv(content: bytes, path: Path) -> Iterator[Row]:
    text = _decoded(content, path)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=_delimiter(text), strict=True)
    begins = 1
    try:
        for cells in reader:
            yield Row(begins, tuple(cell.strip() for cell in cells))
            begins = reader.line_num + 1
    except csv.Error as error:
        raise UnreadableFile(path, begins, f"is no CSV: {error}", "mend the quotes") from error


def _decoded(content: bytes, path: Path) -> str:
    """Decode by the mark at the start, else as UTF-8, else as old spreadsheets wrote."""
    marked = next((name for mark, name in _MARKS.items() if content.startswith(mark)), None)
    for encoding in (marked,) if marked else ("utf-8", "cp1252"):
        try:
            text = content.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\0" not in text:
            return text
    raise UnreadableFile(path, None, "is not text in any usual encoding", "save it as CSV, UTF-8")


def _delimiter(text: str) -> str:
    """Choose what parts most cells of the first row with anything in it, outside its quotes."""
    first = next(filter(str.strip, text.splitlines()), "")
    bare = "".join(first.split('"')[::2])
    return max(_DELIMITERS, key=bare.count)


# --- XLSX ---------------------------------------------------------------------------------------


def _xlsx(content: bytes, path: Path) -> Iterator[Row]:
    from openpyxl import load_workbook  # heavy, and only needed for one of two formats

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # openpyxl warns of charts and styles it leaves out
            book = load_workbook(_unpacked(content, path), read_only=True, data_only=True)
            sheet = book.worksheets[0]
            sheet.reset_dimensions()  # what a sheet claims of its size need not be true
            rows = sheet.iter_rows(max_col=MOST_COLUMNS, values_only=True)
            for number, cells in enumerate(islice(rows, 4 * MOST_ROWS), 1):
                yield Row(number, tuple(map(_shown, cells)))
    except UnreadableFile:
        raise
    except Exception as error:  # a damaged workbook makes zipfile and openpyxl raise anything
        mend = "save it again without a password, or as CSV"
        raise UnreadableFile(path, None, "is no workbook that can be read", mend) from error


def _unpacked(content: bytes, path: Path) -> io.BytesIO:
    """Unpack an archive within bounds; what it states of its sizes need not be true either.

    Only a read of a stated length stops a member there; openpyxl would read on.
    """
    unpacked = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as packed, zipfile.ZipFile(unpacked, "w") as safe:
        members = packed.infolist()
        swollen = sum(member.file_size for member in members) > 4 * LARGEST_BYTES
        if swollen or len(members) > _MOST_MEMBERS:
            raise UnreadableFile(path, None, "would swell beyond all measure when unpacked")
        for member in members:
            with packed.open(member) as file:
                data = file.read(member.file_size)
            if b"<!DOCTYPE" in data:  # entities swell while they are read
                raise UnreadableFile(path, None, "has definitions in it that no workbook needs")
            safe.writestr(member.filename, data)
    return unpacked


def _shown(cell: object) -> str:
    """Say a cell as the spreadsheet shows it."""
    match cell:
        case None:
            return ""
        case float() if cell.is_integer():
            return str(int(cell))
        case datetime():
            return cell.date().isoformat()
    return str(cell).strip()
