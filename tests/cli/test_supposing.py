"""Asking on the command line what would be, and that nothing of it is kept."""

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


def bytes_of(home) -> dict[str, bytes]:
    """Everything in the folder of the store."""
    return {
        str(path.relative_to(home)): path.read_bytes()
        for path in sorted(home.rglob("*"))
        if path.is_file() and path.suffix not in {".sqlite3-shm", ".lock"}
    }


def entries_of(putback) -> str:
    """What the store says of itself."""
    told = putback(line="state --json").json
    return f"{told['entries']} {told['digest']} {putback(line='vehicles --json').out}"


@pytest.mark.parametrize("line", ASKING)
def test_an_answer_says_what_is_supposed(demo, line):
    """To a person in the first lines, to a program in a field; and the store stays as it was."""
    before = entries_of(demo)
    photos = bytes_of(demo.home / "photos") if (demo.home / "photos").exists() else {}
    said = demo.ok(f"{OFF} {line}").splitlines()
    assert said[:2] == ["Supposed: off radiator", "Nothing of this is logged."]
    assert demo(line=f"{OFF} {line} --json").json["supposed"] == ["off radiator"]
    assert entries_of(demo) == before
    assert (bytes_of(demo.home / "photos") if photos else {}) == photos
    assert "supposed" not in demo(line=f"{line} --json").json


def test_several_suppositions_hold_together(demo):
    """One after another, the later ones on the earlier."""
    joint = "undone 'hoses to water pump inlets' 1/4"
    out = demo.ok(f'--suppose "{joint}" {OFF} state')
    assert out.startswith(f"Supposed: {joint}\nSupposed: off radiator\n")
    assert "1 of 122 parts off" in out


@pytest.mark.parametrize("command", sorted(WRITING))
def test_what_writes_refuses(demo, command):
    """Before it does anything, and as JSON where a program asks."""
    before = entries_of(demo)
    words = ["--suppose", "off radiator", command]
    error = demo.refused(*words)
    assert error == (
        f"nothing can be supposed with putback {command}: "
        "it writes, or asks about the store; leave --suppose away"
    )
    answer = demo(*words, "--json")
    assert answer.code == 2
    assert answer.json["error"]["mend"] == "leave --suppose away"
    assert entries_of(demo) == before


def test_reserving_tags_refuses(demo):
    """The sheet itself refuses what no list of commands names."""
    error = demo.refused(line=f"{OFF} tags reserve 2")
    assert error == (
        "reserving tags writes, and what is supposed is never written; leave --suppose away"
    )


def test_every_command_that_writes_is_there():
    """The list names commands, not slips."""
    assert set(get_command(app).commands) >= WRITING


def test_a_slip_in_a_supposed_line_is_told(demo):
    """With the nearest names, as after ``log``."""
    error = demo.refused(line="--suppose 'off radiatr' strip")
    assert error.startswith("no part 'radiatr'; did you mean 'Radiator'?")
