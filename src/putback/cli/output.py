"""What the command line says: for people by default, as JSON for programs.

Every JSON answer is one object; its shapes are in ``docs/cli-json.md``. Names of fields are those
of the records, and only ever get more.
"""

import json
import re
import sys
from collections.abc import Callable, Mapping, Sequence
from contextvars import ContextVar
from dataclasses import fields, is_dataclass
from datetime import date
from decimal import Decimal
from enum import Enum
from pathlib import Path
from typing import TYPE_CHECKING, Any

from putback.errors import AlreadyExists, PutbackError, UnreadableFile

if TYPE_CHECKING:
    from rich.console import Console

JSON_FORMAT = 1

_supposed: ContextVar[tuple[str, ...]] = ContextVar("supposed", default=())
"""What this run of the command line only supposes: every answer says so."""


def plain(value: Any) -> Any:
    """Turn records into what JSON can hold."""
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, type):
        return getattr(value, "KIND", value.__name__)  # a kind of entry goes by its name
    if is_dataclass(value):
        return {each.name: plain(getattr(value, each.name)) for each in fields(value)}
    if isinstance(value, Mapping):
        return {_key(key): plain(each) for key, each in value.items()}
    if isinstance(value, (tuple, list, set, frozenset)):
        items = sorted(value) if isinstance(value, (set, frozenset)) else value
        return [plain(each) for each in items]
    if isinstance(value, date):  # a moment is one too
        return value.isoformat()
    if isinstance(value, (Path, Decimal)):
        return str(value)
    return value


def _key(key: object) -> str:
    return "/".join(map(str, key)) if isinstance(key, tuple) else str(plain(key))


def console(*, stderr: bool = False) -> "Console":
    """Give the terminal; plain text, in lines as long as they are, where it is none."""
    from rich.console import Console

    stream = sys.stderr if stderr else sys.stdout
    return Console(file=stream, highlight=False, soft_wrap=not stream.isatty())


def say(
    out: "Console", text: str, style: str = "", *, lead: str = "", lead_style: str = ""
) -> None:
    """Print text behind a lead, or indented by one of blanks; broken lines keep to its right.

    Where there is no terminal a line is as long as it is, so that ``grep`` finds all of it.
    """
    from rich.table import Table
    from rich.text import Text

    if out.soft_wrap or not lead:
        out.print(Text(lead, style=lead_style) + Text(text, style=style))
        return
    grid = Table.grid()
    grid.add_column(width=len(lead), no_wrap=True)
    grid.add_column()
    grid.add_row(Text(lead, style=lead_style), Text(text, style=style))
    out.print(grid)


def emit(
    command: str, document: Mapping[str, Any], say: Callable[["Console"], None], *, as_json: bool
) -> None:
    """Print one answer, either way; what rests on something supposed says so."""
    supposed = _supposed.get()
    if as_json:
        marked = {"supposed": supposed} if supposed else {}
        answer = {"putback": JSON_FORMAT, "command": command, **marked, **document}
        _print_json(plain(answer))
        return
    out = console()
    for line in supposed:
        out.print(f"Supposed: {line}", style="bold", markup=False)
    if supposed:
        out.print("Nothing of this is logged.", style="dim")
    say(out)


def mark_as_supposed(lines: Sequence[str]) -> None:
    """Say with every answer from now on that these lines are only supposed."""
    _supposed.set(tuple(lines))


def tell(error: PutbackError, *, as_json: bool) -> None:
    """Tell what is wrong: a sentence for the person, and an object for the program."""
    sys.stderr.write(f"{shortened(str(error))}\n")
    if as_json:
        told = {
            "kind": type(error).__name__,
            "what": shortened(error.fault()),
            "where": error.place(),
            "mend": error.remedy(),
            "nearest": getattr(error, "nearest", ()),
        }
        _print_json({"putback": JSON_FORMAT, "error": plain(told)})


def shortened(text: str) -> str:
    """Cut what no person typed: a word of thousands of characters says no more than its begin."""
    return _ENDLESS.sub(lambda found: f"{found[0][:60]}...", text)


_ENDLESS = re.compile(r"\S{300,}")


def _print_json(answer: Mapping[str, Any]) -> None:
    sys.stdout.write(json.dumps(answer, ensure_ascii=False, indent=2, allow_nan=False) + "\n")


def check_target(target: Path, force: bool) -> None:
    """Refuse a file to write that is there already, or whose folder is not.

    Raises
    ------
    AlreadyExists, UnreadableFile
        Nothing was written.
    """
    if target.is_dir() or (target.exists() and not force):
        raise AlreadyExists("file", str(target), "name another, or write over it with --force")
    if not target.parent.is_dir():
        raise UnreadableFile(target.parent, None, "there is no such folder", "make it first")


class TerminalProgress:
    """Progress of long work, on one line of the terminal that disappears when it is done."""

    def __init__(self) -> None:
        self._shown = sys.stderr.isatty()

    def step(self, done: int, total: int | None, what: str) -> None:
        """Show how far it is; Ctrl-C stops the work, which the caller tells the person."""
        if self._shown:
            far = f": {done} of {total}" if total else f": {done}" if done else " ..."
            sys.stderr.write(f"\r\x1b[2K{what}{far}")
            if total and done >= total:
                sys.stderr.write("\r\x1b[2K")
            sys.stderr.flush()

    def clear(self) -> None:
        """Take the line away, so that the answer begins at its left."""
        if self._shown:
            sys.stderr.write("\r\x1b[2K")
            sys.stderr.flush()


def count(number: int, one: str, many: str = "") -> str:
    """Say how many, in the right number and as the pages do: ``1 entry``, ``10 000 entries``."""
    from putback.units.figures import in_groups

    return f"{in_groups(number)} {one if number == 1 else many or f'{one}s'}"


def sentence(words: str) -> str:
    """Begin with a capital and end with a stop."""
    return f"{words[:1].upper()}{words[1:]}{'' if words.endswith(('.', '?', '!')) else '.'}"
