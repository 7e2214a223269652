"""What was worked out of a logbook, kept as long as the logbook is as it was.

A cache in the process, never the truth: each thing is kept for the position at which it was made,
that of the garage's logbook included, and made anew as soon as anything was logged in either.
"""

from collections.abc import Callable, Hashable
from dataclasses import dataclass, field
from threading import Lock
from typing import Any, TypeVar

from putback.logbook.entries.base import LogbookId
from putback.workshop.logbooks.ports import GARAGE, EntryStore

MOST_KEPT = 256
"""Things that are kept at once, of all logbooks; the oldest go first."""

T = TypeVar("T")


@dataclass(slots=True)
class Remembered:
    """Things made of logbooks; safe under several threads."""

    _kept: dict[Hashable, tuple[Hashable, Any]] = field(default_factory=dict)
    _lock: Lock = field(default_factory=Lock)

    def give(
        self,
        store: EntryStore,
        logbook: LogbookId,
        what: str,
        make: Callable[[], T],
        besides: Hashable = None,
    ) -> T:
        """Give a thing as it is now; ``make`` is asked only if something was logged since.

        Parameters
        ----------
        what : str
            Names the thing among those made of this logbook.
        besides : hashable, optional
            What else the thing rests on: the day, a setting.
        """
        position = store.position(logbook)
        garage = next((each.position for each in store.logbooks() if each.id == GARAGE), 0)
        basis = (position, garage, besides)
        key = (logbook, what)
        with self._lock:
            kept = self._kept.get(key)
        if kept is not None and kept[0] == basis:
            found: T = kept[1]
            return found
        made = make()
        with self._lock:
            self._kept.pop(key, None)
            self._kept[key] = (basis, made)
            while len(self._kept) > MOST_KEPT:
                self._kept.pop(next(iter(self._kept)))
        return made
