"""The vehicle file: lossless, readable, and clear about everything that is wrong with it."""

import random
import tomllib
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.errors import PutbackError, UnreadableFile, VehicleFileError
from putback.vehicle import file as vehicle_file
from putback.vehicle.codec import TABLES, key_field
from putback.vehicle.file import FORMAT, LARGEST_BYTES, read, write
from putback.vehicle.generate import generate
from putback.vehicle.part import PartKind
from putback.vehicle.vehicle import Vehicle
from tests.makers import vehicle
from tests.strategies.vehicles import generated_vehicles, records

HEAD = f'format = "{FORMAT}"\n[about]\nid = "v"\nname = "V"\n'


def faults(text: str) -> list[str]:
    """What is wrong with a file, each fault in its own words."""
    with pytest.raises(VehicleFileError) as caught:
        read(text)
    return list(map(str, caught.value.faults))


@pytest.mark.parametrize("table", TABLES)
@given(st.data())
def test_anything_a_field_can_hold_comes_back(table: str, data: st.DataObject) -> None:
    """Written and read again, a record is the same, field by field, whatever is in it."""
    record = data.draw(records(table))
    if table == "about":
        wild = Vehicle(record)
    else:
        wild = vehicle().with_records(**{table: {getattr(record, key_field(table)): record}})
    assert read(write(wild)) == wild


@given(generated_vehicles())
def test_generated_vehicles_come_back_in_order(generated: Vehicle) -> None:
    """Written and read again, a generated vehicle is the same, its records in the same order."""
    again = read(write(generated))
    assert again == generated
    assert list(again.joints) == list(generated.joints)


def test_writing_again_changes_nothing() -> None:
    """A file read and written is the file, so that versions of it can be compared."""
    text = write(generate(60, 1))
    assert write(read(text)) == text


def test_a_record_reads_at_a_glance() -> None:
    """A record is a line a field, nothing said that is not known, wide values item by item."""
    text = write(
        vehicle(
            "lid - frame: 4 bolt 5/16-24 UNF x 1 in + spring washer 5/16!; 10 min; critical",
            "lid blocks lid - frame",
            "frame never after lid",
        )
    )
    assert (
        text.partition("[[joints]]\n")[2]
        == """\
id = "lid-frame"
name = "lid-frame"
parts = ["lid", "frame"]
fixings = [
    { id = "a", count = 4, stack = [
        { spec = "bolt 5/16-24 UNF x 1 in" },
        { spec = "spring washer 5/16 in", single_use = true },
    ] },
]
minutes = { best = 5, likely = 10, worst = 20 }
tightening = { torque_nm = 25, origin = "invented", condition = "dry" }
critical = true

[[obstructions]]
id = "o1"
any_of = ["lid"]
of = "joint:lid-frame"

[[harder_afters]]
id = "h1"
job = "part:frame"
after = "part:lid"
factor = "never"
"""
    )


def test_numbers_fill_lines() -> None:
    """A long outline takes a few full lines, not one for each point."""
    outline = tuple((float(x), x / 8) for x in range(40))
    one = vehicle("lid - frame")
    drawn = one.with_records(
        parts={**one.parts, "lid": replace(one.parts["lid"], outline_side=outline)}
    )
    lines = write(drawn).splitlines()
    start = lines.index("outline_side = [")
    assert lines.index("]", start) - start < 9
    assert max(map(len, lines)) <= 99
    assert read(write(drawn)) == drawn


def test_every_fault_is_named_with_its_line_and_how_to_mend_it() -> None:
    """Faults all over a file are all told at once: line, record, field, value, mend."""
    text = f"""{HEAD}
[[zones]]
id = "z"
nam = "Zone"

[[parts]]
id = "p1"
name = "lid"
zone = "z"
mass_kg = "heavy"
kind = "panle"

[[parts]]
id = "p1"
name = "lid"
zone = "z"

[[parts]]
name = "no identity"
zone = "z"

[[joints]]
id = "j1"
name = "lid bolts"
parts = ["p1", 2]
fixings = [
    {{ id = "a", count = 4, stack = [
        {{ spec = "bolt 5/17-24 UNF x 1 in" }}, {{ spec = "nut M8", single_used = true }},
    ] }},
]
minutes = {{ best = 3, likely = 2, worst = 9 }}

[[partss]]
id = "p3"
"""
    kinds = ", ".join(map(repr, list(map(str, PartKind))[:-1]))
    assert faults(text) == [
        "line 6: [zones] z, name: is missing",
        "line 8: [zones] z, nam: is not a field here; did you mean 'name'?",
        "line 14: [parts] p1, mass_kg: should be a number, not 'heavy'",
        f"line 15: [parts] p1, kind: should be {kinds} or 'loom', not 'panle'",
        "line 18: [parts] p1, id: is given twice; change one",
        "line 22: [parts] number 3, id: is missing",
        "line 29: [joints] j1, parts[2]: should be text, not 2",
        "line 30: [joints] j1, fixings[1].stack[1].spec: fastener 'bolt 5/17-24 UNF x 1 in': no "
        "thread 5/17-24 UNF is in the tables; if it was measured so, write 5/17-24 special",
        "line 30: [joints] j1, fixings[1].stack[2].single_used: is not a field here; did you mean "
        "'single_use'?",
        "line 35: [joints] j1, minutes: minutes 3.0, 2.0, 9.0 are not in order: give best, likely "
        "and worst, each at least as long as the one before",
        "line 37: [partss], is no table of a vehicle; did you mean 'parts'?",
    ]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", f'does not say that it is a vehicle file; begin it with format = "{FORMAT}"'),
        (
            'format = "putback vehicle 2"',
            "is in the format 'putback vehicle 2', and this Putback reads 'putback vehicle 1'; "
            "a later Putback may have written it: update yours",
        ),
        ("format = 1", "is in the format 1, and this Putback reads 'putback vehicle 1'"),
        (f'{HEAD}[[parts]\nid = "p"', "line 5: is not TOML: Expected ']]' at the end of an array"),
        ("a = " + "[" * 100_000, "is nested too deeply to be a vehicle file"),
        (f"x = {'9' * 5000}", "is not TOML: Exceeds the limit"),
        ("#" * (LARGEST_BYTES + 1), "is larger than 16 MB; is it a vehicle file?"),
        ("x = 1\nd = 1962-02-30", "line 2: is not TOML: Invalid date"),
    ],
)
def test_what_is_no_vehicle_file_is_refused(text: str, said: str) -> None:
    """Text that is no vehicle file, or a later one, says so in one sentence."""
    with pytest.raises(UnreadableFile) as caught:
        read(text)
    assert said in str(caught.value)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("parts = 3", "[parts], should be tables headed [[parts]], not 3"),
        ("parts = [1]", "[parts], should be tables headed [[parts]], not a list of 1"),
        ('zones = [{ id = "z" }]', "[zones] z, name: is missing"),
        ('zones = [{ id = " z", name = "Z" }]', "id: should be one line without blanks at its"),
        (
            f'zones = [{{ id = "{"z" * 81}", name = "Z" }}]',
            "id: should have at most 80 characters",
        ),
        (
            'zones = [{ id = "z", name = "a\\u0000b" }]',
            "name: should be text without control characters, not 'a\\x00b'",
        ),
        (
            f'standings = [{{ id = "s", name = "s", change_minutes = {{ x = 0x{"f" * 9999} }} }}]',
            "change_minutes.x: should be a number below 1e+15, not a number of 39996 bits",
        ),
        (
            'standings = [{ id = "s", name = "s", change_minutes = { x = nan } }]',
            "change_minutes.x: should be a number that can be counted to, not nan",
        ),
        (
            f'zones = [{{ id = "z", name = "Z", {".".join("a" * 200)} = 1 }}]',
            "is nested more than 12 levels deep",
        ),
        (
            'zones = [{ id = "z", name = 1962-01-01 }]',
            "name: should be text, not datetime.date(1962, 1, 1)",
        ),
        (
            'joints = [{ id = "j", name = "j", parts = ["a", "b"], when_undone = { does = [] } }]',
            "when_undone.does: should be 'stays', 'falls', 'swings', 'hangs' or 'flies', not a",
        ),
    ],
)
def test_values_of_the_wrong_shape_are_faults(line: str, said: str) -> None:
    """However wild a value is, the fault says where it stands and what is wanted."""
    text = f'format = "{FORMAT}"\n{line}\n[about]\nid = "v"\nname = "V"\n'
    assert said in "\n".join(faults(text))


def test_about_is_asked_for() -> None:
    """A vehicle says at least its identity and name."""
    assert faults(f'format = "{FORMAT}"') == ["[about], is missing; give id and name"]


def test_too_many_records_are_one_fault(monkeypatch: pytest.MonkeyPatch) -> None:
    """A file beyond all measure is refused before its records are read."""
    monkeypatch.setattr(vehicle_file, "MOST_RECORDS", 2)
    text = HEAD + '[[zones]]\nid = "z"\n' * 3
    assert faults(text) == ["should have at most 2 records, not 3"]


def test_reads_from_a_path(tmp_path: Path) -> None:
    """A file is read from where it lies, a mark of byte order at its start or not."""
    path = tmp_path / "v.toml"
    one = vehicle("lid - frame: 2 nut M8")
    path.write_text("\ufeff" + write(one), encoding="utf-8")
    assert read(path) == one
    assert read("\ufeff" + write(one)) == one


def test_about_is_one_table() -> None:
    """What the vehicle is stands in one table, not in several."""
    text = f'format = "{FORMAT}"\nabout = 3'
    assert faults(text) == ["[about], should be a table headed [about], not a list of 1"]


def test_a_file_that_cannot_be_read_says_why(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A missing file, a large one and one that is not text are named with the reason."""
    with pytest.raises(UnreadableFile, match=r"none\.toml: No such file or directory"):
        read(tmp_path / "none.toml")
    with monkeypatch.context() as patched:
        patched.setattr(vehicle_file, "LARGEST_BYTES", 2**20 + 1)
        path = tmp_path / "large.toml"
        path.write_bytes("é".encode() * 2**20)
        with pytest.raises(UnreadableFile, match=r"large\.toml: is larger than 1 MB; is it a"):
            read(path)
    path = tmp_path / "latin.toml"
    path.write_bytes(b"# one\n# B\xf6rge\n")
    with pytest.raises(UnreadableFile, match=r"latin\.toml, line 2: is not UTF-8 text; save it"):
        read(path)


@pytest.mark.slow
def test_mutated_files_are_read_or_refused() -> None:
    """A damaged file is refused with one of our errors or read whole; nothing else happens."""
    rng = random.Random(11)
    text = write(generate(20, 1))
    refused = 0
    for _ in range(400):
        try:
            again = read(mutated(text, rng))
        except PutbackError:
            refused += 1
        else:
            assert read(write(again)) == again
    assert 100 < refused < 400


def mutated(text: str, rng: random.Random) -> str:
    """A text with a few characters changed, lines dropped, doubled, swapped or cut short."""
    lines = text.splitlines()
    for _ in range(rng.randint(1, 3)):
        place, other = rng.randrange(len(lines)), rng.randrange(len(lines))
        line = lines[place]
        at = rng.randrange(len(line) + 1)
        lines[place] = rng.choice(
            (
                line[:at] + rng.choice("\"'[]{}=.,0x\x00é9e-") + line[at + 1 :],
                line[:at],
                "",
                f"{line}\n{lines[other]}",
                lines[other],
                line.replace("= ", "= -", 1),
            )
        )
    return "\n".join(lines)


def test_is_toml_that_others_can_read() -> None:
    """What is written is TOML by the standard library's own reader."""
    document = tomllib.loads(write(generate(97, 2)))
    assert len(document["parts"]) == 97


def test_a_key_of_endless_steps_is_refused_at_once() -> None:
    """A line of some kilobytes that would keep the parser busy for minutes is not parsed."""
    with pytest.raises(UnreadableFile, match="line 5: has a key of too many steps"):
        read(f"{HEAD}{'a.' * 50_000}a = 1\n")
