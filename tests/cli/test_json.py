"""Every ``--json`` answer has the fields that docs/cli-json.md describes, and no others."""

import json
import re
import shlex
from collections.abc import Iterator
from pathlib import Path

import pytest

from putback.cli.main import app
from tests.pictures.photographs import packed, scene

PAGE = Path(__file__).parents[2] / "docs" / "cli-json.md"
ALWAYS = {"putback", "command"}
NOT_ASKED_HERE = {"demo", "serve", "push", "pull"}
"""Commands that their own tests ask."""
ELSEWHERE = {
    *NOT_ASKED_HERE,
    *("people reset-password", "people end-devices"),  # tests/cli/test_people.py
    *("people role", "people rename"),  # tests/cli/test_people.py
    *("partners list", "partners add", "partners forget"),  # tests/cli/test_partners.py
}
"""Headings of the page that are asked elsewhere."""


def described() -> dict[str, set[str]]:
    """The fields of each heading of the page, by command."""
    found: dict[str, set[str]] = {}
    for section in re.split(r"^## ", PAGE.read_text(), flags=re.MULTILINE)[1:]:
        heading, _, body = section.partition("\n")
        names = re.findall(r"^- ((?:`\w+`(?:, )?)+):", body, flags=re.MULTILINE)
        fields = {field for each in names for field in re.findall(r"`(\w+)`", each)}
        kind = heading.partition("` of ")[2]
        for command in re.findall(r"`([^`]+)`", heading):
            found[f"{command} of {kind}" if kind else command] = fields
    return found


def asked(folder: Path) -> Iterator[tuple[str, str]]:
    """A heading of the page, and a line that answers so, in an order that works."""
    table = folder / "parts.csv"
    table.write_text("name,zone\nGadget,Front end\n")
    picture = folder / "p.png"
    picture.write_bytes(packed(scene(40, 30), "PNG"))
    other = f"--home {folder / 'other'}"
    third = f"--home {folder / 'third'}"
    one = "-v 'Tarnbeck Dunlin Fourteen'"
    yield "log", "log off radiator tag=3CAH"
    yield "photo", f"photo {picture} radiator"
    yield "history", "history radiator"
    yield "undo", "undo"
    yield "kinds", "kinds"
    yield "state", "state"
    yield "state of one thing", "state 'rear brake drum, left'"
    yield "open", "open"
    yield "where", "where radiator"
    yield "hardware", "hardware"
    yield "hardware of one joint or tag", "hardware 'radiator to support panel'"
    yield "schedule", "schedule --seconds 0.1"
    yield "risk", "risk --seconds 0.1 --runs 200"
    yield "resume", "resume"
    yield "ahead", "ahead --sittings 3"
    yield "stretch", "stretch 4h"
    yield "pack-up", "pack-up"
    yield "reach", "reach 'tunnel cover to floor'"
    yield "ties", "ties 'body shell'"
    yield "ties", "ties 'body shell' --tick 'body mountings 1 to 12 (through their pads)'"
    yield "print", f"print tags -o {folder / 'tags.pdf'}"
    yield "print --list", "print --list"
    yield "drops", "drops 'bonnet hinges to shell'"
    yield "balance", "balance --standing STANDS"
    yield "balance", "balance --plan strip"
    yield "bench", "bench"
    yield "bench of its inputs", "bench units --inputs"
    yield "bench of one calculator", "bench units 'value=5 lb' to=kg"
    yield "strip", "strip"
    yield "not-now", "not-now radiator --why no-helper"
    yield "rebuild", "rebuild"
    yield "why", "why 'gearbox with bellhousing'"
    yield "why of two things", "why 'front seats (pair)' --before 'carpets and underfelt'"
    yield "tags reserve", "tags reserve 2"
    yield "tags list", "tags list"
    yield "tags check", "tags check 3CAH"
    yield "check-vehicle", "check-vehicle"
    yield "write-vehicle", "write-vehicle"
    yield "write-vehicle", f"write-vehicle {folder / 'v.toml'}"
    yield "export", f"export {folder / 'b.zip'}"
    yield "check", f"check {folder / 'b.zip'}"
    yield "import", f"{other} import {folder / 'b.zip'}"
    yield "merge", f"{other} merge {folder / 'b.zip'}"
    yield "vehicles", "vehicles"
    yield "templates", "templates"
    yield "learned", "learned"
    yield "describe", "describe parts x name=Thing zone=FE"
    yield "import-parts", f"import-parts {table}"
    yield "describe-from", f"describe-from {folder / 'v.toml'}"
    yield "add", "add 'drum brake, rear, left'"
    yield "verify", "verify"
    yield "backup", f"backup {folder / 'elsewhere'}"
    yield "restore", f"{third} restore {folder}/elsewhere/*"
    yield "doctor", "doctor"
    yield "planner", "planner --once"
    yield "people list", "people list"
    yield "new", "new 'Old Plover'"
    yield "strike", f"{one} strike LAST"


def test_answers_have_the_fields_described(demo, tmp_path):
    """Field by field, for every heading of the page."""
    page = described()
    seen = set()
    last = ""
    for heading, line in asked(tmp_path):
        words = shlex.split(line.replace("LAST", last))
        words = [
            str(next(Path(each[:-2]).iterdir())) if each.endswith("/*") else each for each in words
        ]
        answer = demo(*words, "--json")
        assert answer.code in {0, 1}, (line, answer.err)
        document = answer.json
        assert document["putback"] == 1
        assert set(document) - ALWAYS == page[heading], heading
        last = document.get("act") or last
        seen.add(heading)
    commands = {each.name for each in app.registered_commands} - NOT_ASKED_HERE
    assert {each.split(" of ")[0].split(" ")[0] for each in page} == commands | {
        "tags",
        "people",
        "partners",
        *NOT_ASKED_HERE,
    }
    assert seen == set(page) - ELSEWHERE


def test_a_mistake_is_an_object_too(demo):
    """As the page shows it, word for word; the sentence goes to standard error."""
    example = re.search(r"```json\n(.*?)```", PAGE.read_text(), flags=re.DOTALL)
    assert example
    answer = demo("where", "joint:gearbox rear mount", "--json")
    shown = json.loads(example[1])
    assert answer.code == 2
    assert answer.json == shown
    assert answer.err == f"{shown['error']['what']}; {shown['error']['mend']}\n"


@pytest.mark.parametrize("line", ["state", "open", "strip", "resume", "hardware"])
def test_an_answer_is_one_object_and_nothing_else(blank, line):
    """Even of a vehicle with nothing but a name."""
    answer = blank(*line.split(), "--json")
    assert isinstance(json.loads(answer.out), dict)
