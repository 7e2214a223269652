"""The command line in this process: a home of its own for each test, and what it answered."""

import json
import shlex
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from typer.main import get_command
from typer.testing import CliRunner

from putback.cli import context
from putback.cli.main import TRACEBACK, app
from putback.planning.replan import replan
from putback.planning.strip import plan_strip
from putback.workshop.plans import plans
from tests.planned_once import PlannedOnce
from tests.ready_made import lay_file

# Typer makes all commands anew for each run, which takes longer than most of them.
made_once = cache(get_command)
planned_once = {each.__name__: PlannedOnce(each) for each in (plan_strip, replan)}


@dataclass
class Answer:
    """What one command said."""

    code: int
    out: str
    err: str

    @property
    def json(self) -> dict[str, Any]:
        """The answer to ``--json``."""
        return json.loads(self.out)


@dataclass
class Putback:
    """Runs commands in one home, as Ann."""

    home: Path

    def __call__(self, *words: str, line: str = "") -> Answer:
        """Run one command, given as words, or as a line that a shell would part."""
        done = CliRunner().invoke(app, [*words, *shlex.split(line)])
        if done.exception and not isinstance(done.exception, SystemExit):
            raise done.exception
        return Answer(done.exit_code, done.stdout, done.stderr)

    def ok(self, line: str) -> str:
        """Run a line that must succeed, and give what it said."""
        answer = self(line=line)
        assert answer.code == 0, answer.err
        return answer.out

    def refused(self, *words: str, line: str = "") -> str:
        """Run what is a person's mistake, and give the one sentence that says so."""
        answer = self(*words, line=line)
        assert answer.code == 2, answer
        assert answer.out == ""
        return answer.err.rstrip("\n")


@pytest.fixture(autouse=True)
def environment(tmp_path, monkeypatch) -> Iterator[None]:
    """Nobody's own home, plain output, and every store closed again."""
    monkeypatch.setenv("PUTBACK_HOME", str(tmp_path / "home"))
    monkeypatch.setenv("PUTBACK_WHO", "ann")
    monkeypatch.setenv(TRACEBACK, "1")
    monkeypatch.setenv("COLUMNS", "200")
    monkeypatch.setattr("typer.testing._get_command", made_once)
    for name, planner in planned_once.items():
        monkeypatch.setattr(plans, name, planner)
    for name in ("PUTBACK_VEHICLE", "PUTBACK_DATABASE_URL"):
        monkeypatch.delenv(name, raising=False)
    opened = []
    open_store = context.open_store

    def remembered(home: Path | None = None):
        opened.append(open_store(home))
        return opened[-1]

    monkeypatch.setattr(context, "open_store", remembered)
    yield
    for each in opened:
        each.close()


@pytest.fixture
def putback(tmp_path) -> Putback:
    """A home with nothing in it."""
    lay_file(tmp_path / "home")
    return Putback(tmp_path / "home")


@pytest.fixture
def blank(putback) -> Putback:
    """A vehicle of which nothing is known but its name."""
    putback.ok("new 'Old Plover'")
    return putback


@pytest.fixture(scope="session")
def demo_home(tmp_path_factory) -> Path:
    """The demo vehicle, with a joint that two people counted and a brace fitted for now."""
    home = tmp_path_factory.mktemp("demo") / "home"
    runner = CliRunner()
    joint = "radiator to support panel"
    for line in (
        "new --demo",
        "log place 'Home garage'",
        "log place 'Rented dry store' kind=store",
        f"log undone '{joint}' 4/4 tag=3HNA",
        f"--who ben log undone '{joint}' 3/4 tag=3HNA",
        "log fit 'door braces' 'body shell'",
    ):
        done = runner.invoke(app, ["--home", str(home), *shlex.split(line)])
        assert done.exit_code == 0, done.output
    return home


@pytest.fixture
def demo(tmp_path, demo_home) -> Putback:
    """A copy of that."""
    return Putback(shutil.copytree(demo_home, tmp_path / "home"))
