"""The scenario as it was written, and a few ways to look things up in it."""

import json
from collections.abc import Mapping
from functools import cached_property
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
SCENARIO = ROOT / "tests" / "published" / "data" / "scenario.json"
VEHICLE = ROOT / "src" / "putback" / "vehicle" / "data" / "demo-vehicle.toml"

Row = Mapping[str, Any]


def rows(items: list[Row]) -> dict[str, Row]:
    """Index rows by their identities."""
    return {row["id"]: row for row in items}


class Scenario:
    """What the scenario file holds."""

    def __init__(self, path: Path = SCENARIO) -> None:
        self.raw: Row = json.loads(path.read_text(encoding="utf-8"))
        self.parts = rows(self.raw["parts"])
        self.joints = rows(self.raw["joints"])
        self.tasks = rows(self.raw["tasks"])
        self.openings = rows(self.raw["openings"])
        self.lines = rows([row for row in self.raw["lines"] if row["kind"] != "loom branch"])
        self.branches = rows([row for row in self.raw["lines"] if row["kind"] == "loom branch"])
        self.looms = rows(self.raw["looms"])
        self.steps = rows(self.raw["refit"]["steps"])

    @cached_property
    def removed_in(self) -> dict[str, str]:
        """The task that takes each part off."""
        taken = {part: task["id"] for task in self.tasks.values() for part in task["removes"]}
        return taken | {line["id"]: line["comes_off_in"] for line in self.lines.values()}
