"""A form that logs, read as the entries of one act.

Fields are named by the entry's number and the path in its body: ``1.kind``, ``1.joint``,
``1.went.0.count``; ``[]`` at the end gathers values in a list; ``2-7.place`` is said of all these
entries. Empty fields are left out, as a
person left them, and so is an entry without a kind: a tick or a button that bears the kind chooses
whether it is made. The script of the page reads the same: ``static/putback/js/fields.js``.
"""

import re
from collections.abc import Iterable
from typing import Any

_ENTRIES = re.compile(r"([1-9][0-9]?)(?:-([1-9][0-9]?))?")


def read_act(fields: Iterable[tuple[str, str]]) -> list[dict[str, Any]]:
    """Read named values as entries, each with its ``kind`` and the fields of its body."""
    entries: dict[int, dict[str, Any]] = {}
    for name, value in fields:
        numbers, _, path = name.partition(".")
        found = _ENTRIES.fullmatch(numbers)
        if path and value and found:
            for number in range(int(found[1]), int(found[2] or found[1]) + 1):
                _place(entries.setdefault(number, {}), path.split("."), value)
    return [
        _with_lists(entries[number]) for number in sorted(entries) if "kind" in entries[number]
    ]


def _place(into: dict[str, Any], path: list[str], value: str) -> None:
    at = into
    for step in path[:-1]:
        below = at.setdefault(step, {})
        if not isinstance(below, dict):
            return  # the field is a value already: no form of ours says both
        at = below
    last = path[-1]
    if last.endswith("[]"):
        at.setdefault(last[:-2], []).append(value)
    else:
        at[last] = value


def _with_lists(value: Any) -> Any:
    """Turn what is keyed by numbers alone into a list in their order."""
    if not isinstance(value, dict):
        return value
    below = {key: _with_lists(each) for key, each in value.items()}
    if below and all(key.isdecimal() for key in below):
        return [below[key] for key in sorted(below, key=int)]
    return below
