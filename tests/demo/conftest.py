"""The demo, replayed once for all these tests."""

import json
import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest


@dataclass
class Demo:
    """What ``putback demo`` answered, and the copies it kept."""

    code: int
    found: dict[str, Any]
    said: str
    kept: Path

    def answer(self, sitting: str, name: str) -> str:
        """What it answered about one thing in a sitting, the last time it was asked."""
        answers = [
            "\n".join(each["answer"])
            for each in self.found["asked"]
            if each["sitting"].startswith(f"{sitting},") and each["name"].startswith(name)
        ]
        return answers[-1]

    def open_after(self, sitting: str) -> list[str]:
        """The open items at the end of a sitting, in words."""
        (each,) = [
            each for each in self.found["sittings"] if each["sitting"].startswith(f"{sitting},")
        ]
        return [item["words"] for item in each["open"]]


@pytest.fixture(scope="session")
def replayed(tmp_path_factory) -> Demo:
    """The whole of it, by the command that ``make demo`` runs."""
    kept = tmp_path_factory.mktemp("demo") / "kept"
    command = [sys.executable, "-c", "from putback.cli.main import main; main()", "demo"]
    environment = {**os.environ, "PUTBACK_HOME": str(kept.parent / "untouched")}
    done = subprocess.run(
        [*command, "--json", "--keep", str(kept)],
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.stderr == ""
    assert not (kept.parent / "untouched").exists(), "the demo leaves a person's own home alone"
    return Demo(done.returncode, json.loads(done.stdout), done.stderr, kept)
