"""What the command line says: for people by default, as JSON for programs.

Every JSON answer is one object; its shapes are in ``docs/cli-json.md``. Names of fields are those
of the records, and only ever get more.
"""

import json
import sys
from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass
from enum import Enum
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from rich.console import Console

JSON_FORMAT = 1


def plain(value: Any) -> Any:
    """Turn records into what JSON can hold."""
    if isinstance(value, Enum):
        return value.value
    if is_dataclass(value) and not isinstance(value, type):
        return {each.name: plain(getattr(value, each.name)) for each in fields(value)}
    if isinstance(value, Mapping):
        return {_key(key): plain(each) for key, each in value.items()}
    if isinstance(value, (tuple, list, set, frozenset)):
        items = sorted(value) if isinstance(value, (set, frozenset)) else value
        return [plain(each) for each in items]
    if isinstance(value, Path):
        return str(value)
    return value


def _key(key: object) -> str:
    return "/".join(map(str, key)) if isinstance(key, tuple) else str(plain(key))


def console(*, stderr: bool = False) -> "Console":
    """Give the terminal; plain text where it is none."""
    from rich.console import Console

    return Console(stderr=stderr, highlight=False, soft_wrap=not sys.stdout.isatty())


def emit(
    command: str, document: Mapping[str, Any], say: Callable[["Console"], None], *, as_json: bool
) -> None:
    """Print one answer, either way."""
    if as_json:
        answer = {"putback": JSON_FORMAT, "command": command, **plain(document)}
        sys.stdout.write(json.dumps(answer, ensure_ascii=False, indent=2) + "\n")
    else:
        say(console())


class TerminalProgress:
    """Progress of long work, on one line of the terminal that disappears when it is done."""

    def __init__(self) -> None:
        self._shown = sys.stderr.isatty()

    def step(self, done: int, total: int | None, what: str) -> None:
        """Show how far it is; Ctrl-C stops the work, which the caller tells the person."""
        if self._shown:
            of = f" of {total}" if total else ""
            sys.stderr.write(f"\r\x1b[2K{what}: {done}{of}")
            if total and done >= total:
                sys.stderr.write("\r\x1b[2K")
            sys.stderr.flush()


def minutes_text(minutes: float) -> str:
    """Say minutes as a person would: ``1 h 30 min``."""
    whole = round(minutes)
    hours, rest = divmod(whole, 60)
    if not hours:
        return f"{rest} min"
    return f"{hours} h {rest:02} min" if rest else f"{hours} h"
