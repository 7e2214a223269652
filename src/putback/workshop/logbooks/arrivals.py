"""Which entries of each logbook came from elsewhere, as far as the store was read."""

from dataclasses import dataclass, field
from threading import Lock

from putback.logbook.entries.base import EntryId, LogbookId
from putback.workshop.logbooks.ports import EntryStore


@dataclass(slots=True)
class Arrivals:
    """What came from elsewhere, of each logbook; reads on from where it stood, under threads."""

    store: EntryStore
    _kept: dict[LogbookId, tuple[int, frozenset[EntryId]]] = field(default_factory=dict)
    _lock: Lock = field(default_factory=Lock)

    def of(self, logbook: LogbookId) -> frozenset[EntryId]:
        """Name the entries that did not come from the device that wrote them."""
        end = self.store.position(logbook)
        with self._lock:
            position, claimed = self._kept.get(logbook, (0, frozenset[EntryId]()))
        if position < end:
            claimed = claimed.union(self.store.from_elsewhere(logbook, position))
            with self._lock:
                self._kept[logbook] = end, claimed
        return claimed
