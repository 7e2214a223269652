"""Which entries of the garage the logbook of one vehicle refers to."""

import json
from collections.abc import Iterable, Iterator
from typing import Any

from putback.logbook.entries.base import Entry, Unread
from putback.logbook.entries.bookkeeping import STRUCK_ACT

_SHARED = ("place", "person", "tag")
"""Subjects of the garage that a vehicle's entries name by their identity alone."""


class Mentions:
    """Every identity that entries name, gathered while they pass by."""

    def __init__(self) -> None:
        self._words: set[str] = set()

    def note(self, entry: Entry) -> None:
        """Remember who logged it and every text in its body, of whatever kind it is."""
        self._words.add(entry.who)
        self._words.update(_texts(json.loads(entry.raw)["body"]))

    def in_garage(self, entries: Iterable[Entry]) -> Iterator[Entry]:
        """Give the garage's entries on what was named, what cannot be read, and their strikes.

        Of stock the vehicle has what its own entries took from it, and so none goes along.
        """
        taken: set[str] = set()
        strikes: list[Entry] = []
        for entry in entries:
            if entry.brief.strikes:
                strikes.append(entry)
            elif isinstance(entry.body, Unread) or self._names(entry):
                taken |= {entry.id, f"{STRUCK_ACT}{entry.act}"}
                yield entry
        found = True
        while found:  # a strike may itself be struck out
            found = False
            for entry in list(strikes):
                if entry.brief.strikes in taken:
                    strikes.remove(entry)
                    taken |= {entry.id, f"{STRUCK_ACT}{entry.act}"}
                    found = True
                    yield entry

    def _names(self, entry: Entry) -> bool:
        return any(
            kind in _SHARED and identity in self._words
            for kind, _, identity in (each.partition(":") for each in entry.brief.subjects)
        )


def _texts(value: Any) -> Iterator[str]:
    """Give every text in a JSON value, however deep; ``place:barn`` also as ``barn``."""
    queue = [value]
    while queue:
        match queue.pop():
            case str() as text:
                yield text
                kind, _, identity = text.partition(":")
                if identity and kind in _SHARED:
                    yield identity
            case dict() as table:
                queue.extend(table.values())
            case list() as row:
                queue.extend(row)
