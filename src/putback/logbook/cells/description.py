"""The fold of descriptions: a vehicle's records from the fields that people gave, one by one."""

from collections.abc import Iterable, Mapping
from typing import Any

from putback.logbook.cells.common import Placed
from putback.logbook.entries.describing import Described
from putback.vehicle.codec import RecordFaults, from_plain, key_field
from putback.vehicle.ids import NOT_SAID

UNNAMED = "not named yet"
_JOB, _JOINT = f"job:{NOT_SAID}", f"joint:{NOT_SAID}"

_NEEDED: Mapping[str, Mapping[str, Any]] = {
    "about": {"name": UNNAMED},
    "zones": {"name": UNNAMED},
    "parts": {"name": UNNAMED, "zone": NOT_SAID},
    "joints": {"name": UNNAMED, "parts": ()},
    "openings": {"name": UNNAMED, "part": NOT_SAID},
    "fluids": {"name": UNNAMED, "part": NOT_SAID},
    "standings": {"name": UNNAMED},
    "temporary_supports": {
        "kind": UNNAMED,
        "bears_on": NOT_SAID,
        "first": _JOB,
        "last": _JOB,
    },
    "jobs": {"name": UNNAMED, "kind": "prepare"},
    "obstructions": {"any_of": (), "of": _JOINT},
    "befores": {"first": _JOB, "then": _JOB, "why": ""},
    "harder_afters": {"job": _JOB, "after": _JOB, "factor": None},
    "assemblies": {"name": UNNAMED, "parts": ()},
    "goals": {"name": UNNAMED, "datum": NOT_SAID},
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
