"""The fold of descriptions: a vehicle's records from the fields that people gave, one by one."""

from collections.abc import Iterable, Mapping
from typing import Any

from putback.logbook.cells.common import Placed
from putback.logbook.entries.describing import Described
from putback.vehicle.codec import RecordFaults, from_plain, key_field

UNNAMED = "not named yet"

_NEEDED: Mapping[str, Mapping[str, Any]] = {
    "about": {"name": UNNAMED},
    "zones": {"name": UNNAMED},
    "parts": {"name": UNNAMED, "zone": "?"},
    "joints": {"name": UNNAMED, "parts": ()},
    "openings": {"name": UNNAMED, "part": "?"},
    "fluids": {"name": UNNAMED, "part": "?"},
    "standings": {"name": UNNAMED},
    "temporary_supports": {"kind": UNNAMED, "bears_on": "?", "first": "job:?", "last": "job:?"},
    "jobs": {"name": UNNAMED, "kind": "prepare"},
    "obstructions": {"any_of": (), "of": "joint:?"},
    "befores": {"first": "job:?", "then": "job:?", "why": ""},
    "harder_afters": {"job": "job:?", "after": "job:?", "factor": None},
    "assemblies": {"name": UNNAMED, "parts": ()},
    "goals": {"name": UNNAMED, "datum": "?"},
}
"""What stands for a field that a record must have and nobody gave yet."""


def fold_record(table: str, identity: str, entries: Iterable[Placed]) -> Any | None:
    """Fold one record, last writer wins, field by field; ``None`` if nobody describes it.

    Each field was readable when its entry was made; should fields that were given one by one not
    hold together, those given last are left out until they do.
    """
    given: dict[str, Any] = {}
    described = False
    for _, entry in entries:
        if isinstance(body := entry.body, Described):
            described = True
            for name, value in body.fields.items():
                given.pop(name, None)
                if value is not None:
                    given[name] = value
    if not described:
        return None
    while True:
        try:
            return from_plain(
                table, {**_NEEDED.get(table, {}), **given, key_field(table): identity}
            )
        except RecordFaults:
            if not given:
                raise
            given.popitem()
