"""Tables of data beside the calculators: CSV files with their source at their top.

The first lines of a file are comments, ``# key: words``; a line ``#   more words`` goes on with
the key above it. Every table has ``title``, ``source``, ``edition`` and ``checked``, which says
how far its rows may be trusted: published, from memory, common practice.
"""

import csv
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType

_KEY = re.compile(r"# (?P<key>[a-z]+): (?P<words>.*)")


@dataclass(frozen=True, slots=True)
class DataTable:
    """A table as it is in its file: what is said of it, and its rows by the names of its head."""

    about: Mapping[str, str]
    rows: tuple[Mapping[str, str], ...]

    @property
    def source(self) -> str:
        """Where its numbers come from, in the words of its file."""
        return self.about["source"]


@cache
def data_table(name: str) -> DataTable:
    """Read the table ``data/NAME.csv``.

    Examples
    --------
    >>> data_table("threads").rows[0]["series"]
    'UNC'
    """
    text = (files("putback.bench") / "data" / f"{name}.csv").read_text(encoding="utf-8")
    lines = text.splitlines()
    about: dict[str, str] = {}
    key = ""
    for line in lines:
        if not line.startswith("#"):
            break
        if found := _KEY.match(line):
            key = found["key"]
            about[key] = found["words"].strip()
        elif key:
            about[key] = f"{about[key]} {line.lstrip('# ').strip()}"
    rows = csv.DictReader(line for line in lines if not line.startswith("#"))
    return DataTable(MappingProxyType(about), tuple(MappingProxyType(row) for row in rows))
