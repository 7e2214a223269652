"""The fold of descriptions: a vehicle's records from the fields that people gave, one by one."""

import json
from collections.abc import Iterable, Mapping
from typing import Any

from putback.logbook.cells.common import Placed, said
from putback.logbook.entries.describing import Described
from putback.logbook.told_twice import (
    DESCRIBED_WITHIN_MS,
    Contest,
    Telling,
    settled_in,
    told_apart,
)
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


def fold_contests(entries: Iterable[Placed]) -> tuple[Contest, ...]:
    """Find the fields that several people gave otherwise, each apart from the other.

    Two records that turned out to be of one part were named by two people: that is no contest.
    """
    entries = list(entries)
    if len({entry.who for _, entry in entries if isinstance(entry.body, Described)}) < 2:
        return ()
    told: dict[tuple[str, str], list[Telling]] = {}
    for placed in entries:
        if isinstance(body := placed[1].body, Described):
            for name, value in body.fields.items():
                text = json.dumps(value, ensure_ascii=False, sort_keys=True)
                told.setdefault((name, body.id), []).append(Telling(said(placed), text))
    settled = settled_in(entry.body for _, entry in entries)
    for _, entry in entries:
        if isinstance(entry.body, Described):
            settled |= frozenset(entry.body.instead_of)
    found = (
        Contest(name, told_apart(tellings, settled, DESCRIBED_WITHIN_MS))
        for (name, _), tellings in sorted(told.items())
    )
    return tuple(each for each in found if each.tellings)
