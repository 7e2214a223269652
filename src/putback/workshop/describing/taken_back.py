"""Taking a description back: the entries that would strike it out, and what would miss it."""

from collections.abc import Sequence
from dataclasses import dataclass

from putback.logbook.entries.base import Entry
from putback.logbook.entries.bookkeeping import Struck
from putback.logbook.entries.describing import Described
from putback.logbook.state import State
from putback.vehicle.check import check
from putback.workshop.describing.records import records_of


@dataclass(frozen=True, slots=True)
class TakenBack:
    """What striking a description out would say, and what would name it in vain afterwards."""

    bodies: tuple[Struck, ...]
    missed: tuple[str, ...]
    """Faults that the description would have then; empty where nothing rests on it."""


def take_back(
    state: State, standing: Sequence[Entry], table: str, identity: str, why: str = ""
) -> TakenBack:
    """Say how a record is taken out of the description: all that was described of it is struck.

    Parameters
    ----------
    standing
        The entries that are not struck out.
    """
    bodies = tuple(
        Struck(entry=each.id, why=why or "described by mistake")
        for each in standing
        if isinstance(each.body, Described)
        and (each.body.table, each.body.id) == (table, identity)
    )
    left = {key: each for key, each in records_of(state, table).items() if key != identity}
    known = {str(each) for each in check(state.vehicle)}
    faults = check(state.vehicle.with_records(**{table: left}))
    missed = tuple(str(each) for each in faults if each.is_error and str(each) not in known)
    return TakenBack(bodies, missed)
