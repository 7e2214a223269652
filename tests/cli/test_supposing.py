"""Asking on the command line what would be, and that nothing of it is kept."""

import sqlite3
from contextlib import closing

import pytest
from typer.main import get_command

from putback.cli.main import WRITING, app

ASKING = (
    "state",
    "state radiator",
    "open --all",
    "where radiator",
    "hardware",
    "history radiator",
    "resume",
    "reach radiator",
    "strip",
    "rebuild",
    "why 'hoses to water pump inlets'",
    "check-vehicle",
    "vehicles",
    "kinds",
    "tags list",
)
OFF = "--suppose 'off radiator'"


def kept(home) -> dict[str, list]:
    """All that is in the store, caches too, row by row, and the names of the photos."""
    with closing(sqlite3.connect(home / "putback.sqlite3")) as database:
        rows = {
            table: database.execute(f"SELECT * FROM {table} ORDER BY 1").fetchall()
            for (table,) in database.execute(
                "SELECT name FROM sqlite_master WHERE name LIKE 'putback%' AND type = 'table'"
            ).fetchall()
        }
    photos = sorted(path.name for path in (home / "photos").rglob("*"))
    return {**rows, "photos": photos}


@pytest.mark.parametrize("line", ASKING)
def test_an_answer_says_what_is_supposed(demo, line):
    """To a person in the first lines, to a program in a field; and the store stays as it was."""
    before = kept(demo.home)
    said = demo.ok(f"{OFF} {line}").splitlines()
    assert said[:2] == ["Supposed: off radiator", "Nothing of this is logged."]
    assert demo(line=f"{OFF} {line} --json").json["supposed"] == ["off radiator"]
    assert kept(demo.home) == before


def test_what_was_logged_is_not_called_supposed(demo):
    """Not even after something was, in the same process."""
    assert "supposed" in demo(line=f"{OFF} state --json").json
    assert "supposed" not in demo(line="state --json").json


def test_several_suppositions_hold_together(demo):
    """One after another, the later ones on the earlier."""
    joint = "undone 'hoses to water pump inlets' 1/4"
    out = demo.ok(f'--suppose "{joint}" {OFF} state')
    assert out.startswith(f"Supposed: {joint}\nSupposed: off radiator\n")
    assert "1 of 122 parts off" in out


@pytest.mark.parametrize("command", sorted(WRITING))
def test_what_writes_refuses(demo, command):
    """Before it does anything, and as JSON where a program asks."""
    before = kept(demo.home)
    words = ["--suppose", "off radiator", command]
    error = demo.refused(*words)
    assert error == (
        f"nothing can be supposed with putback {command}: "
        "it writes, or asks about the store; leave --suppose away"
    )
    answer = demo(*words, "--json")
    assert answer.code == 2
    assert answer.json["error"]["mend"] == "leave --suppose away"
    assert kept(demo.home) == before


def test_reserving_tags_refuses(demo):
    """The sheet itself refuses what no list of commands names."""
    error = demo.refused(line=f"{OFF} tags reserve 2")
    assert error == (
        "reserving tags writes, and what is supposed is never written; leave --suppose away"
    )


def test_every_command_that_writes_is_there():
    """The list names commands, not slips."""
    assert set(get_command(app).commands) >= WRITING


def test_the_nearest_kinds_are_each_offered_once(demo):
    """A kind that has a short form of the same word is one word to a person."""
    error = demo.refused(line="--suppose 'fount radiator' strip")
    offered = error.partition("did you mean ")[2].split("'")[1::2]
    assert "found radiator" in offered
    assert len(offered) == len(set(offered))


def test_a_slip_in_a_supposed_line_is_told(demo):
    """With the nearest names, as after ``log``."""
    error = demo.refused(line="--suppose 'off radiatr' strip")
    assert error.startswith("no part 'radiatr'; did you mean 'Radiator'?")
