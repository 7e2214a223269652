"""The executable itself: exit codes, what it loads, how it ends."""

import gc
import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from typer.testing import CliRunner

from putback.cli import look
from putback.cli import main as main_module
from putback.cli.complete import BASH
from putback.cli.main import TRACEBACK, app
from putback.cli.output import count
from tests.cli.warm import Warm, warmed

HEAVY = ("django", "ortools", "numpy", "scipy", "pint", "openpyxl", "psycopg")
COMMANDS = sorted(
    [each.name for each in app.registered_commands if each.name]
    + [f"tags {name}" for name in ("reserve", "list", "check")]
)
PUTBACK = (sys.executable, "-c", "from putback.cli.main import main; main()")


def run(home: Path, *words: str, **more) -> subprocess.CompletedProcess[str]:
    """Run the command line as a program of its own."""
    environment = {**os.environ, "PUTBACK_HOME": str(home)}
    environment.pop(TRACEBACK, None)
    return subprocess.run(
        [*PUTBACK, *words], env=environment, capture_output=True, text=True, check=False, **more
    )


ENVIRONMENT = {name: each for name, each in os.environ.items() if name != TRACEBACK}


@pytest.fixture(scope="module")
def warm() -> Iterator[Warm]:
    """The command line, loaded and waiting."""
    with warmed(ENVIRONMENT) as waiting:
        yield waiting


@pytest.fixture(scope="module")
def warm_with_stores() -> Iterator[Warm]:
    """The same with what opens a store."""
    with warmed(ENVIRONMENT, "putback.web.store") as waiting:
        yield waiting


@pytest.mark.parametrize("words", [(), ("--version",), *(each.split() for each in COMMANDS)])
def test_help_loads_nothing_heavy(tmp_path, warm, words):
    """Neither the framework nor solver nor numbers are loaded to say what a command is for."""
    told = warm(*words, *([] if words == ("--version",) else ["--help"]), cwd=tmp_path)
    assert told.code == 0, told.err
    assert told.out
    assert [each for each in HEAVY if each in told.loaded] == []
    assert not list(tmp_path.iterdir())


@pytest.mark.slow
def test_a_program_of_its_own(tmp_path, warm_with_stores):
    """Begin, log, look, in three processes; a usage mistake and a wrong name exit with 2."""
    home = tmp_path / "home"
    assert run(home, "new", "Old Plover").returncode == 0
    assert run(home, "log", "off", "radiator", "--new").returncode == 0
    assert run(home, "where", "radiator").stdout.splitlines()[:2] == ["radiator:", "  off"]
    done = run(home, "nonsense")
    assert done.returncode == 2
    assert "Traceback" not in done.stderr
    for words in (["log"], ["--colour", "state"], ["where", "dynamo"]):
        told = warm_with_stores(*words, environment={"PUTBACK_HOME": str(home)})
        assert told.code == 2, words
        assert "Traceback" not in told.err


@pytest.mark.slow
def test_bytes_that_are_no_text(blank):
    """An argument in another encoding is a person's mistake, not a traceback."""
    home = blank.home
    done = run(home, "log", "note", b"caf\xe9")  # type: ignore[arg-type]
    assert (done.returncode, done.stderr) == (
        2,
        "'caf\\udce9' holds characters that are no text; type it anew\n",
    )
    done = run(home, "new", b"caf\xe9")  # type: ignore[arg-type]
    assert done.returncode == 2
    assert "Traceback" not in done.stderr


@pytest.mark.slow
def test_a_reader_that_goes_away(demo):
    """Piped into head, it ends without complaint."""
    for words in (["strip", "--all"], ["state", "--json"], ["kinds"]):
        with subprocess.Popen(
            [*PUTBACK, *words],
            env={**os.environ, "PUTBACK_HOME": str(demo.home)},
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
        ) as process:
            assert process.stdout
            assert process.stderr
            process.stdout.close()
            assert process.stderr.read() == b""


@pytest.mark.slow
def test_ctrl_c_ends_in_a_sentence(tmp_path):
    """Stopped by Ctrl-C in the middle of work, it says that what was acknowledged is saved."""
    process = subprocess.Popen(
        [*PUTBACK, "demo", "--keep", str(tmp_path / "kept")],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert process.stdout
    process.stdout.readline()  # it is at work
    process.send_signal(signal.SIGINT)
    _, said = process.communicate(timeout=60)
    assert process.returncode == 130
    assert said == "\nstopped; what was acknowledged before is saved\n"


def test_what_nobody_foresaw_is_told_without_a_traceback(blank, monkeypatch):
    """A fault of the program says so, and how to report it; exit code 1."""

    def broken(_: object) -> str:
        raise ZeroDivisionError("division by zero")

    monkeypatch.setattr(look, "far_text", broken)
    with pytest.raises(ZeroDivisionError):
        blank("state")  # these tests ask for the traceback
    monkeypatch.delenv(TRACEBACK)
    answer = blank("state")
    assert answer.code == 1
    assert answer.err == (
        "a fault of Putback, not yours: ZeroDivisionError: division by zero; what was "
        "acknowledged before is saved; please report it with what PUTBACK_TRACEBACK=1 putback ... "
        "says\n"
    )


def test_every_command_has_help(putback):
    """And the help of the whole names every command."""
    whole = putback.ok("--help")
    for command in COMMANDS:
        assert command.split()[0] in whole
        assert putback.ok(f"{command} --help").startswith("Usage: ")
    assert putback.ok("--version").startswith("putback ")


def test_the_list_of_commands_is_not_cut(putback, monkeypatch):
    """In a terminal of 80 columns each command is told whole."""
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.setenv("TERMINAL_WIDTH", "80")
    assert "..." not in putback.ok("--help").partition("Commands:")[2]


def complete(warm: Warm, home: Path, line: str) -> list[str]:
    """What bash would offer at the end of a line."""
    words = line.split("\t")
    environment = {
        "PUTBACK_HOME": str(home),
        "_PUTBACK_COMPLETE": "complete_bash",
        "COMP_WORDS": "\n".join(words),
        "COMP_CWORD": str(len(words) - 1),
    }
    told = warm(environment=environment)
    assert told.err == ""
    return told.out.splitlines()


@pytest.mark.parametrize(
    ("line", "offered"),
    [
        ("putback\tres", ["resume", "restore"]),
        ("putback\twhere\tzzz", []),
        ("putback\twhere\tstarter", ["starter\\ aperture\\ in\\ bellhousing"]),
        ("putback\twhere\tStarter m", ["Starter\\ motor"]),
        ("putback\twhere\tstarter\\ m", ["starter\\ motor"]),
        ("putback\twhere\t'starter m", ["starter motor"]),
        ('putback\twhere\t"STARTER M', ["STARTER Motor"]),
        ("putback\tlog\tund", ["undone"]),
        ("putback\tlog\tclosed\ttank", ["tank\\ outlet", "tank\\ vent"]),
        ("putback\tlog\tmoved\tgrille\trented", ["rented\\ dry\\ store"]),
        ("putback\tstrip\tbody", ["body\\ off"]),
        ("putback\tadd\tdrum", ["drum\\ brake"]),
        ("putback\t--vehicle\ttarn", ["tarnbeck\\ Dunlin\\ Fourteen"]),
        ("putback\tdescribe\tpa", ["parts"]),
        ("putback\tbench\tuni", ["units"]),
    ],
)
def test_names_are_completed(warm_with_stores, demo_home, line, offered):
    """Names with blanks come with strokes before them, unless a quote is open."""
    found = complete(warm_with_stores, demo_home, line)
    assert set(offered) <= set(found)
    if not offered:
        assert found == []


def test_completion_of_an_empty_home_offers_nothing(warm_with_stores, tmp_path):
    """And complains of nothing."""
    assert complete(warm_with_stores, tmp_path / "home", "putback\twhere\tx") == []


def test_the_completion_variable_is_the_shells(monkeypatch):
    """What the script for bash sets is what is looked for, whatever shell runs the tests."""
    asked, shell = BASH
    monkeypatch.setattr("shellingham.detect_shell", lambda: ("bash", "/bin/bash"))
    shown = CliRunner().invoke(app, ["--show-completion", "bash"], prog_name="putback")
    assert f"{asked}={shell}" in shown.output


def test_garbage_is_looked_for_seldom_while_a_command_runs(monkeypatch):
    """A plan makes hundreds of thousands of objects that live on, and hardly any circle."""
    usual, found = gc.get_threshold(), []
    monkeypatch.setattr(
        main_module, "answering_the_shell", lambda _: found.append(gc.get_threshold())
    )
    try:
        main_module.main()
    finally:
        gc.set_threshold(*usual)
    assert found[0] > usual


def test_large_numbers_are_parted_as_on_the_pages():
    """Groups of three digits with a narrow space between, from five digits on; one is one."""
    assert count(10_000, "entry", "entries") == "10\u202f000 entries"
    assert [count(many, "entry", "entries") for many in (1, 9999)] == ["1 entry", "9999 entries"]
