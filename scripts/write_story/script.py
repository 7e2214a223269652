"""The script of the story: sittings, in which phones send what they logged to a copy of it."""

import json
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from putback.logbook.entries.base import Entry
from scripts.map_scenario.source import ROOT

STORY = ROOT / "src" / "putback" / "workshop" / "data" / "demo-story.jsonl"


@dataclass
class Script:
    """The lines of the story file, in order."""

    lines: list[dict[str, Any]] = field(default_factory=list)
    copy: str = "home"

    def sitting(self, title: str, words: str = "") -> None:
        """Begin a sitting."""
        self.lines.append({"sitting": title, "words": words})

    def send(self, entries: Iterable[Entry], *, to: str | None = None) -> list[Entry]:
        """Let a phone send entries to a copy of the logbook."""
        sent = list(entries)
        self.lines.append(
            {
                "to": to or self.copy,
                "from": sent[0].device,
                "logbook": sent[0].logbook,
                "entries": [json.loads(entry.raw) for entry in sent],
            }
        )
        return sent

    def ask(self, question: str, **details: str) -> None:
        """Have the program answer a question at this point of the story."""
        self.lines.append({"ask": question, **details})

    def do(self, what: str, **details: str) -> None:
        """Have something done with the copies: taken over, exchanged."""
        self.lines.append({"do": what, **details})

    def write(self, path: Path = STORY) -> int:
        """Write the story file, one line a record."""
        path.parent.mkdir(parents=True, exist_ok=True)
        text = "".join(
            json.dumps(line, ensure_ascii=False, separators=(",", ":")) + "\n"
            for line in self.lines
        )
        path.write_text(text, encoding="utf-8")
        return len(self.lines)
