"""Plain values as TOML that reads well: a line a field, wide values broken item by item.

A general writer would give every nested table a heading of its own and scatter one joint over
twenty lines; here a record stays together and a change of one value is a change of one line.
"""

import json
import re
from collections.abc import Mapping, Sequence
from typing import Any

WIDTH = 99
INDENT = "    "

_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")


def write_record(plain: Mapping[str, Any]) -> str:
    """Write the fields of one record, each on a line of its own."""
    return "".join(
        f"{_key(name)} = {_value(value, len(name) + 3)}\n" for name, value in plain.items()
    )


def _value(value: Any, column: int, indent: str = "") -> str:
    """Write a value that starts in ``column``; on one line if it fits."""
    one_line = _inline(value)
    if column + len(one_line) <= WIDTH:
        return one_line
    match value:
        case Mapping():  # TOML 1.0 keeps the braces on one line, but not the lists between them
            fields = (
                f"{_key(name)} = {_value(each, WIDTH, indent)}" for name, each in value.items()
            )
            return f"{{ {', '.join(fields)} }}"
        case [_, *_]:
            deeper = indent + INDENT
            lines = _filled(value, deeper) or [
                f"{deeper}{_value(each, len(deeper), deeper)}," for each in value
            ]
            return "\n".join(["[", *lines, f"{indent}]"])
    return one_line


def _filled(items: Sequence[Any], indent: str) -> list[str]:
    """Fill lines with numbers and points; nothing where items deserve a line each."""
    if not all(isinstance(item, int | float | list) for item in items):
        return []
    lines = [indent]
    for item in map(_inline, items):
        if len(lines[-1]) + len(item) + 1 > WIDTH:
            lines.append(indent)
        lines[-1] += f"{'' if lines[-1] == indent else ' '}{item},"
    return lines


def _inline(value: Any) -> str:
    match value:
        case bool():
            return "true" if value else "false"
        case str():
            return json.dumps(value, ensure_ascii=False)  # TOML has the same escapes
        case float() if value.is_integer():
            return str(int(value))
        case int() | float():
            return repr(value)
        case Mapping():
            fields = ", ".join(f"{_key(name)} = {_inline(each)}" for name, each in value.items())
            return f"{{ {fields} }}" if fields else "{}"
        case _:
            return f"[{', '.join(map(_inline, value))}]"


def _key(name: str) -> str:
    return name if _BARE_KEY.fullmatch(name) else json.dumps(name, ensure_ascii=False)
