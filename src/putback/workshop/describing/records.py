"""The records of each table of a description, and what each is called."""

from collections.abc import Mapping
from typing import Any

from putback.logbook.state import State
from putback.vehicle.facts import Before, HarderAfter, Obstruction
from putback.vehicle.standing import TemporarySupport


def records_of(state: State, table: str) -> Mapping[str, Any]:
    """Give the records of a table by identity; of the vehicle itself there is always one."""
    found = getattr(state.vehicle, table)
    return {found.id: found} if table == "about" else found


def title_of(state: State, table: str, identity: str) -> str:
    """Say which record that is: by its name, or what it says where it has none."""
    record = records_of(state, table).get(identity)
    match record:
        case Obstruction():
            parts = " or ".join(state.name_of(f"part:{each}") for each in record.any_of)
            return f"{parts} in the way of {state.name_of(record.of)}"
        case Before():
            return f"{state.name_of(record.first)} → {state.name_of(record.then)}"
        case HarderAfter():
            many = "never" if record.factor is None else f"{record.factor:g} ×"
            return f"{state.name_of(record.job)} after {state.name_of(record.after)}: {many}"
        case TemporarySupport():
            return f"{record.kind} under {state.name_of(f'part:{record.bears_on}')}"
    if table == "runs":
        return state.name_of(f"part:{identity}")
    side = getattr(record, "side", None)
    name = getattr(record, "name", "") or identity
    return f"{name}, {side}" if side and side not in name.casefold() else name
