"""``putback bench``: its answers in words and as JSON, its faults, and what it logs."""

import math
from types import SimpleNamespace

import pytest
from pypdf import PdfReader

from putback.cli.bench import _complete_input
from putback.workshop.benching.every import EVERY
from putback.workshop.benching.keeping import command_line


def test_it_lists_the_calculators_and_what_one_asks_for(putback):
    """With no name, with --list, and with --inputs."""
    listed = putback.ok("bench")
    assert listed == putback.ok("bench --list")
    assert all(f"{name} " in listed for name in EVERY)
    assert [each["name"] for each in putback(line="bench --json").json["calculators"]] == [*EVERY]
    said = putback.ok("bench units --inputs")
    assert "  value  What is to be converted; 27 lbf ft; also called from, quantity\n" in said
    assert said.endswith("Like: putback bench units 'value=27 lbf ft' to=Nm\n")
    asks = putback(line="bench units --inputs --json").json["asks"]
    assert [each["name"] for each in asks["asked"]] == ["value", "to"]


def test_an_answer_says_its_formula_with_the_numbers_and_its_source(putback):
    """First what it comes to."""
    lines = putback.ok("bench units 'value=24 tpi' to=mm").splitlines()
    assert lines[:2] == ["Units", "24 tpi = 1.05833333 mm."]
    assert "  y = 1 / (n u) = 1 / (944.9 × 0.001) = 1.058" in lines
    assert any("NIST SP 811" in line for line in lines[lines.index("Sources") :])


def test_every_calculator_answers_its_own_example_as_json(putback):
    """By the command that its page offers; figures are in SI, named and finite."""
    for name, calculator in EVERY.items():
        typed = command_line(calculator, calculator.example)
        answer = putback(line=f"{typed.removeprefix('putback ')} --json")
        assert answer.code == 0, (name, answer.err)
        document = answer.json
        assert (document["command"], document["calculator"]) == ("bench", name)
        numbers = [each["value"] for each in document["results"].values()]
        assert not any(isinstance(each, float) and not math.isfinite(each) for each in numbers)
        assert putback.ok(typed.removeprefix("putback ")).startswith(calculator.title)


def test_what_is_wrong_is_said_field_by_field(putback):
    """One sentence each, and an exit code of 2."""
    assert putback.refused(line="bench unit") == ("no calculator 'unit'; did you mean 'units'?")
    assert putback.refused(line="bench units value=3 to=mm") == (
        "bench units value: cannot read '3' as a length; say in which unit, like '190.5 mm' or"
        " '1 1/2 in'"
    )
    assert putback.refused(line="bench units 3mm") == (
        "'3mm' is no input; write it like torque='50 Nm'"
    )
    assert putback.refused(line="bench units to=mm to=in") == "to is given twice; give it once"
    assert putback.refused(line="bench units").startswith("bench units: 2 inputs are wrong:\n")
    told = putback(line="bench units value=3 to=mm --json")
    assert told.code == 2
    assert told.json["error"]["where"] == "bench units value"


def test_lines_can_come_from_a_file(putback, tmp_path):
    """``name=@FILE`` is what stands in it; a file that cannot be read is named."""
    path = tmp_path / "value.txt"
    path.write_text("5 mm\n")
    assert "5 mm = 0.196850394 in." in putback.ok(f"bench units value=@{path} to=in")
    path.write_bytes(b"\xff\xfe")
    assert "is no text" in putback.refused(line=f"bench units value=@{path} to=in")
    gone = tmp_path / "gone.txt"
    assert putback.refused(line=f"bench units value=@{gone} to=in").startswith(str(gone))


def test_an_answer_can_be_logged_as_a_note_and_a_reading(blank):
    """On a part or joint; striking it is as of any act."""
    blank.ok("log --new part-off Bonnet")
    assert "Logged on Bonnet.\n" in blank.ok("bench units 'value=5 lb' to=kg --on bonnet")
    answer = blank(line="bench units 'value=5 lb' to=kg --on bonnet --reading si --json").json
    assert answer["logged"]["of"].startswith("part:")
    assert "5 lb = 2.26796185 kg" in blank.ok("history bonnet")
    assert "measured the same in both systems of Bonnet: 2.27 kg" in blank.ok("history bonnet")
    blank.ok(
        "bench wear measured=10.62mm limit=10.4mm --on bonnet --reading measured --called gap"
    )
    assert "measured gap of Bonnet: 10.62 mm" in blank.ok("history bonnet")
    assert "--reading needs --on" in blank.refused(line="bench units value=5lb to=kg --reading si")
    assert "--called needs --reading" in blank.refused(
        line="bench units value=5lb to=kg --on bonnet --called gap"
    )
    assert "no part, joint or assembly 'wing'" in blank.refused(
        line="bench units value=5lb to=kg --on wing"
    )
    assert "nothing can be supposed" in blank.refused(
        line="--suppose 'off bonnet' bench units value=5lb to=kg --on bonnet"
    )


def test_an_answer_is_printed_into_a_file(putback, tmp_path):
    """With its name said; nothing is worked out where the file is there already."""
    file = tmp_path / "adaptor.pdf"
    line = f"bench units 'value=5 lb' to=kg -o {file}"
    assert putback.ok(line).endswith(f"Units: {file}\n")
    sheet = PdfReader(file).pages[0]
    assert "5 lb = 2.26796185 kg." in sheet.extract_text()
    assert f"{file}" in putback.refused(line=line)
    told = putback(line=f"{line} --force --paper letter --language de --json").json
    assert told["file"] == str(file)
    sheet = PdfReader(file).pages[0]
    assert "Ergebnis" in sheet.extract_text()
    assert float(sheet.mediabox.height) == pytest.approx(11 * 72)


@pytest.mark.parametrize(
    ("name", "begun", "offered"),
    [
        ("units", "val", ["value="]),
        ("units", "", ["value=", "to="]),
        ("wear", "kind=dr", ["kind=drum"]),
        ("anvil", "", []),
        (None, "", []),
    ],
)
def test_inputs_and_choices_are_completed(name, begun, offered):
    """Names of what it asks for, and what may be chosen."""
    assert _complete_input(SimpleNamespace(params={"name": name}), begun) == offered
