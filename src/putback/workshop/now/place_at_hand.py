"""Where a part that comes off is put down: most likely where the last one was."""

from collections.abc import Sequence

from putback.logbook.entries.base import Entry, PlaceId
from putback.logbook.entries.working import PartOff
from putback.logbook.state import State


def place_at_hand(state: State, standing: Sequence[Entry]) -> PlaceId | None:
    """Give the place where the last part was laid that came off; ``None`` if none was named.

    Parameters
    ----------
    standing
        The entries that count, in their order.
    """
    laid = (each.body.place for each in reversed(standing) if isinstance(each.body, PartOff))
    return next((place for place in laid if place in state.places), None)
