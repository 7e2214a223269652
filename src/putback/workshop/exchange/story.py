"""A recorded story: what phones sent to the copies of a logbook, replayed as it came in.

The file has one JSON object a line: a sitting begins; a phone sends entries to a copy; copies
exchange what they have; a question is asked. Whoever replays it sees the questions, never an
answer: the program has to find them itself.
"""

import json
from base64 import b64decode
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from importlib.resources import files
from typing import Any

from putback.errors import BadInput
from putback.logbook.entries.base import DeviceId, LogbookId, canonical

DEMO_VEHICLE = LogbookId("demo")


@dataclass(frozen=True, slots=True)
class Phones:
    """How many tags each phone reserves before the work."""

    tags: Mapping[DeviceId, int]


@dataclass(frozen=True, slots=True)
class Sitting:
    """A sitting begins."""

    title: str
    words: str


@dataclass(frozen=True, slots=True)
class Sent:
    """A phone sends entries to a copy, as raw lines."""

    to: str
    sent_from: DeviceId
    logbook: LogbookId
    lines: tuple[bytes, ...]


@dataclass(frozen=True, slots=True)
class PhotoSent:
    """A phone sends the bytes of a photo, ahead of the entry that names it."""

    to: str
    content: bytes


@dataclass(frozen=True, slots=True)
class Exchange:
    """One copy is taken over by another place, or two copies exchange what they have."""

    how: str
    source: str
    target: str


@dataclass(frozen=True, slots=True)
class Question:
    """Something is asked; ``of`` names what about, in a person's words."""

    what: str
    of: str
    words: str


Event = Phones | Sitting | Sent | PhotoSent | Exchange | Question


def demo_story() -> Iterator[Event]:
    """Read the demo's story."""
    text = files("putback.workshop").joinpath("data/demo-story.jsonl").read_text("utf-8")
    for number, line in enumerate(text.splitlines(), 1):
        yield _event(json.loads(line), number)


def _event(line: Mapping[str, Any], number: int) -> Event:
    match line:
        case {"phones": tags}:
            return Phones({DeviceId(name): count for name, count in tags.items()})
        case {"sitting": title, "words": words}:
            return Sitting(title, words)
        case {"to": to, "from": sent_from, "logbook": logbook, "entries": entries}:
            lines = tuple(canonical(entry) for entry in entries)
            return Sent(to, DeviceId(sent_from), LogbookId(logbook), lines)
        case {"photo": content, "to": to}:
            return PhotoSent(to, b64decode(content))
        case {"do": how, "source": source, "target": target}:
            return Exchange(how, source, target)
        case {"ask": what, **details}:
            return Question(what, details.get("of", ""), details.get("words", ""))
    raise BadInput("this line of the story says nothing", f"line {number}", "write it anew")
