"""What is told of a list of parts that was imported, beside what it described."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from putback.cli.output import count
from putback.vehicle.ids import PartId, part_ref

if TYPE_CHECKING:
    from putback.logbook.state import State
    from putback.vehicle.table_import import Imported

MOST_NAMED = 12
"""Names that are told at once; ``--json`` has all of them."""


def list_told(imported: "Imported", state: "State") -> Iterator[str]:
    """Say what was there already, what else is on the vehicle, and what was not taken over."""

    def name(part: PartId) -> str:
        return state.name_of(part_ref(part))

    if imported.known:
        are = "is" if len(imported.known) == 1 else "are"
        told = count(len(imported.known), "part")
        yield f"{told} of the list {are} on the vehicle already, and not there twice."
    if imported.changed:
        anew = [f"{name(part)} ({', '.join(said)})" for part, said in imported.changed.items()]
        yield f"Of these the list says otherwise: {_first(anew)}."
    if imported.known and imported.not_listed:
        others = [name(part) for part in imported.not_listed]
        yield f"On the vehicle, and not in the list: {_first(others)}."
    if left_out := imported.ignored_columns:
        them = "it" if len(left_out) == 1 else "one of them"
        holds = "it holds" if len(left_out) == 1 else "they hold"
        told = f"{', '.join(left_out)}; --column FIELD=HEADING says what {them} holds"
        yield f"Not taken over, as nobody knows what {holds}: {told}."


def _first(names: list[str]) -> str:
    more = len(names) - MOST_NAMED
    return "; ".join(names[:MOST_NAMED]) + (f" and {more} more" if more > 0 else "")
