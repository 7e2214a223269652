"""The catalogue: what stands for each English text in another language.

A language has a folder of CSV files, one for each part of the program, with a row ``english,
other`` for each text. Lines that begin with ``#`` are remarks. In both columns ``{...}`` stands
for what is put in: ``{n}`` for a number, ``{tag}`` for a tag's four characters, ``{=name}`` for
words that are told again themselves, ``{names}`` for names of which only what joins them is,
``{some}`` for names of which only how many there are besides is, any other ``{name}`` for words
that stay as they are. An empty pair of braces is no slot.
"""

import csv
import re
from collections import Counter
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from types import MappingProxyType

ENGLISH, GERMAN = "en", "de"
"""ISO 639-1 codes."""
FOLDERS = MappingProxyType({GERMAN: "german"})
CODES = (ENGLISH, *FOLDERS)
"""Languages that there are; the first is what everything is written in."""

SLOT = re.compile(r"\{(=?[a-z_][a-z_0-9]*)\}")
"""Where something is put in."""


@cache
def rows_of(language: str, part: str = "") -> Mapping[str, str]:
    """Give the rows of a language, or those of one part of the program: English to the other.

    Raises
    ------
    ValueError
        If a row does not have two columns, stands twice with different words, or puts in
        something else than the English does.
    KeyError
        If there is no such language.
    """
    rows: dict[str, str] = {}
    for file in sorted(files(__package__).joinpath(FOLDERS[language]).iterdir(), key=str):
        if not file.name.endswith(".csv") or part not in ("", file.name.removesuffix(".csv")):
            continue
        lines = file.read_text(encoding="utf-8").splitlines()
        numbered = ((at, line) for at, line in enumerate(lines, 1) if line and line[0] != "#")
        for at, line in numbered:
            _take(rows, next(csv.reader([line])), f"{file.name}, line {at}")
    return MappingProxyType(rows)


def _take(rows: dict[str, str], columns: list[str], where: str) -> None:
    if len(columns) != 2 or not all(each.strip() for each in columns):
        raise ValueError(f"{where}: a row is an English text and what stands for it: {columns}")
    english, other = columns
    if rows.setdefault(english, other) != other:
        raise ValueError(f"{where}: {english!r} stands twice, with different words")
    if Counter(SLOT.findall(english)) != Counter(SLOT.findall(other)):
        raise ValueError(f"{where}: both columns put in the same: {english!r}, {other!r}")
