"""Lists of parts from spreadsheets: all of it or none of it."""

import zipfile
from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path
from random import Random

import pytest
from openpyxl import Workbook

from putback.errors import PutbackError, UnreadableFile
from putback.vehicle import table_rows
from putback.vehicle.nearest import fold_words
from putback.vehicle.part import PartNumber, Side
from putback.vehicle.standing import Zone
from putback.vehicle.table_import import (
    GERMAN_HEADINGS,
    HEADINGS,
    Imported,
    TableFaults,
    import_parts,
)
from putback.vehicle.vehicle import Vehicle
from tests.makers import vehicle


@pytest.fixture(name="known")
def _known() -> Vehicle:
    """A vehicle that has a lid and an engine bay already."""
    bay = Zone("eb", "Engine bay")
    return vehicle("lid - frame: 2 nut M8").with_records(zones={"eb": bay})


@pytest.fixture(name="csv")
def _csv(tmp_path: Path):
    """A way to write a CSV file."""

    def written(content: str | bytes) -> Path:
        path = tmp_path / "parts.csv"
        path.write_bytes(content.encode() if isinstance(content, str) else content)
        return path

    return written


@pytest.fixture(name="xlsx")
def _xlsx(tmp_path: Path):
    """A way to write a workbook."""

    def written(rows: Sequence[Sequence[object]]) -> Path:
        book = Workbook()
        for row in rows:
            book.active.append(row)
        path = tmp_path / "parts.xlsx"
        book.save(path)
        return path

    return written


def faults(path: Path, known: Vehicle, **columns: str) -> list[str]:
    """What is wrong with a list, each fault in its own words."""
    with pytest.raises(TableFaults) as caught:
        import_parts(path, known, columns)
    assert str(path) in str(caught.value)
    assert "nothing was imported" in str(caught.value)
    return list(map(str, caught.value.faults))


FULL = """\
Ref;Description;US name;Area;Hand;Qty;Type;Group;Weight (lb);Crew;Part No;Serial No.;Hazards;Colour
w1;Front wing;Front fender;Engine bay;LH;1;Panel;body;22;2;123-45;;sharp;red
;Front wing;;engine  bay;R;1;panel;body;22 lb 8 oz;;;;"sharp; rusty";
;Clips;;Boot floor;;12;;;0,5;;;A77;;
"""


def test_columns_are_recognised_by_their_headings(csv, known: Vehicle) -> None:
    """British and American headings, units in them, any case and stops: all become fields."""
    imported = import_parts(csv(FULL), known)
    left, right, clips = imported.parts
    assert (left.id, left.name, left.name_us, left.side) == (
        "w1",
        "Front wing",
        "Front fender",
        Side.LEFT,
    )
    assert (left.zone, left.kind, left.system, left.crew) == ("eb", "panel", "body", 2)
    assert left.numbers == (PartNumber("part number", "123-45"),)
    assert left.mass_kg == pytest.approx(22 * 0.45359237)  # the pound is exact, BIPM
    assert right.mass_kg == pytest.approx(22.5 * 0.45359237)
    assert (right.id, right.side, right.zone) == ("front-wing-right", Side.RIGHT, "eb")
    assert right.cautions == ("sharp", "rusty")
    assert clips.mass_kg == pytest.approx(0.5 * 0.45359237)
    assert (clips.quantity, clips.zone) == (12, "boot-floor")
    assert clips.numbers == (PartNumber("serial number", "A77"),)
    assert imported.zones == (Zone("boot-floor", "Boot floor"),)
    assert imported.ignored_columns == ("Colour",)


def test_headings_may_be_written_as_programs_do(csv, known: Vehicle) -> None:
    """With an underline for the space: our own vehicle files have them so."""
    imported = import_parts(csv("name,mass_kg,part_number,as_found\nPump,3.25,A7,worn\n"), known)
    (pump,) = imported.parts
    assert (pump.mass_kg, pump.as_found) == (3.25, "worn")
    assert pump.numbers == (PartNumber("part number", "A7"),)
    assert imported.ignored_columns == ()


def test_joins_the_vehicle_whole(csv, known: Vehicle) -> None:
    """Imported parts and zones come into the vehicle beside what is there."""
    both = import_parts(csv("name,zone\npump,Engine bay\nseat,Cabin\n"), known).into(known)
    assert list(both.parts) == ["lid", "frame", "pump", "seat"]
    assert list(both.zones) == ["eb", "cabin"]


@pytest.mark.parametrize("table", [HEADINGS, GERMAN_HEADINGS])
def test_every_field_has_a_heading_of_its_own(table) -> None:
    """No heading stands for two fields, and each is written as it is looked for."""
    headings = [each for own in table.values() for each in own]
    assert table.keys() <= HEADINGS.keys()
    assert all(table.values())
    assert len(headings) == len(set(headings))
    assert headings == list(map(fold_words, headings))


GERMAN = """\
Bezeichnung;Anzahl;Gewicht in kg;Seite;Einbauort;Zustand;Bemerkung;Farbe
Kotflügel;1;12,5;links;Vorderwagen;verbeult;kommt vom Händler;rot
Kotflügel;1;12,5;Rechts;Vorderwagen;;;rot
Stoßfänger;2;;L/R;;;;
Stoßfänger;1;;vorn;;;;
Scheinwerfer;1;;vorne links;;;;
Rückleuchte hinten;1;;hinten, re.;;;;
"""


def test_a_german_list_is_read_like_an_english_one(csv, known: Vehicle) -> None:
    """Its headings and sides; which end of the vehicle goes into the name, if it says it not."""
    imported = import_parts(csv(GERMAN), known)
    assert [(part.name, part.side) for part in imported.parts] == [
        ("Kotflügel", Side.LEFT),
        ("Kotflügel", Side.RIGHT),
        ("Stoßfänger", None),
        ("Stoßfänger, vorn", None),
        ("Scheinwerfer, vorne", Side.LEFT),
        ("Rückleuchte hinten", Side.RIGHT),
    ]
    wing, _, bumpers, *_ = imported.parts
    assert (wing.mass_kg, wing.as_found, wing.note) == (12.5, "verbeult", "kommt vom Händler")
    assert bumpers.quantity == 2
    assert imported.zones[0].name == "Vorderwagen"
    assert imported.ignored_columns == ("Farbe",)


def test_an_english_heading_goes_before_a_german_one(csv, known: Vehicle) -> None:
    """A list with both was read by the English one before German ones were known."""
    imported = import_parts(csv("Bezeichnung,name\nPumpe,pump\n"), known)
    assert [part.name for part in imported.parts] == ["pump"]
    assert imported.ignored_columns == ("Bezeichnung",)


def test_a_side_that_nobody_knows_is_told_as_it_was_typed(csv, known: Vehicle) -> None:
    """Not as it was looked for."""
    assert faults(csv("name,side\npump,L/M\n"), known) == [
        "row 2, side: should be 'left' or 'right', not 'L/M'"
    ]


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16"])
def test_delimiter_and_encoding_are_found_out(
    csv, known: Vehicle, delimiter: str, encoding: str
) -> None:
    """Whatever program wrote the list, its letters and cells come out right."""
    text = f'name{delimiter}"note, or; such"{delimiter}note\nHülse{delimiter}x{delimiter}¼ in\n'
    (part,) = import_parts(csv(text.encode(encoding)), known).parts
    assert (part.name, part.note) == ("Hülse", "¼ in")


def test_identities_are_made_without_clash(csv, known: Vehicle) -> None:
    """Made identities differ from each other and from what is in the vehicle."""
    imported = import_parts(csv("name\nlid\nLid\nlid!\n???\n" + "long " * 40 + "\n"), known)
    assert imported.known == ("lid",)
    assert [part.id for part in imported.parts] == [
        "lid-2",
        "lid-3",
        "part",
        "long-long-long-long-long-long-long-long-",
    ]
    assert {part.zone for part in imported.parts} == {"unsorted"}


def test_a_list_imported_again_tells_of_the_same_parts(csv, known: Vehicle) -> None:
    """Nothing stands there twice; what was mended in the list is what changes, and is told."""
    head = "description,area,side,qty,weight kg,part no,note\n"
    first = (
        "wing,Front end,L,1,8,A1,\nwing,Front end,R,1,8,A2,\nclip,Front end,,6,,,\n"
        "clip,Rear end,,4,,,\nclip,Rear end,,2,,,long\n"
    )
    before = import_parts(csv(head + first), known).into(known)
    again = import_parts(csv(head + first), before)
    assert (again.parts, again.zones, again.changed, again.not_listed) == (
        (),
        (),
        {},
        ("lid", "frame"),
    )
    assert again.into(before) == before
    mended = (
        first.replace("R,1,8,A2", "R,1,9.5,A3").replace(",,2,,,long", ",,,,,") + "hook,,,1,,,\n"
    )
    found = import_parts(csv(head + mended), before)
    assert [part.id for part in found.parts] == ["hook"]
    numbers = [{"kind": "part number", "value": "A3"}]
    assert found.changed == {"wing-right": {"mass_kg": 9.5, "numbers": numbers}}
    after = found.into(before)
    assert after.parts["wing-right"].mass_kg == 9.5
    assert (after.parts["clip-3"].quantity, after.parts["clip-3"].note) == (2, "long")
    usual = import_parts(csv(head + first.replace("6", "1")), before)
    assert usual.changed == {"clip": {"quantity": None}}
    assert usual.into(before).parts["clip"].quantity == 1


def test_a_part_that_came_off_before_the_list_is_that_of_the_list(csv, known: Vehicle) -> None:
    """What was logged by its name alone gets zone and mass; its name stays as it was said."""
    lid = known.parts["lid"]
    logged = known.with_records(parts={**known.parts, "lid": replace(lid, zone="?")})
    found = import_parts(csv("name,zone,weight kg\nLID,Engine bay,3\n"), logged)
    assert not found.parts
    assert found.changed == {"lid": {"mass_kg": 3, "zone": "eb"}}


def test_a_part_is_named_anew_by_its_identity(csv, known: Vehicle) -> None:
    """An identity says which part a row is, and so its name can be mended; no other row is it."""
    found = import_parts(csv("id,name\n,lid\nlid,cover\n"), known)
    assert [(part.id, part.name) for part in found.parts] == [("lid-2", "lid")]
    assert found.changed == {"lid": {"name": "cover"}}


def test_a_part_of_that_name_elsewhere_is_asked_about(csv, known: Vehicle) -> None:
    """Whether it is the same in another zone or another part is not guessed."""
    before = import_parts(csv("name,zone\nbracket,Engine bay\n"), known).into(known)
    (told,) = faults(csv("name,zone\nbracket,Rear end\n"), before)
    assert told == (
        "row 2, zone: 'bracket' is in the vehicle already, in another zone (Engine bay); if it is "
        "the same part, write its identity, bracket, into a column headed id; else call it "
        "otherwise"
    )
    moved = import_parts(csv("id,name,zone\nbracket,bracket,Rear end\n"), before)
    assert moved.changed == {"bracket": {"zone": "rear-end"}}
    assert [zone.name for zone in moved.zones] == ["Rear end"]


def test_a_workbook_is_read_like_a_list(xlsx, known: Vehicle) -> None:
    """Numbers, dates and blanks of a workbook are read as shown."""
    path = xlsx(
        [
            [],
            ["Name", "Qty", "Mass kg", "Crew", "Note", "Condition"],
            ["pump", 2, 3.25, 1.0, date(1962, 4, 1), 1e16],
            [],
            ["seat", None, 14],
        ]
    )
    pump, seat = import_parts(path, known).parts
    assert (pump.quantity, pump.mass_kg, pump.crew) == (2, 3.25, 1)
    assert (pump.note, pump.as_found) == ("1962-04-01", "10000000000000000")
    assert (seat.quantity, seat.mass_kg) == (1, 14.0)


def test_every_bad_row_is_told_and_nothing_is_imported(csv, known: Vehicle) -> None:
    """Faults all over a list are told at once, each with the line its row begins on."""
    path = csv(
        "id,name,qty,mass,side,kind,crew,note\n"
        'a,"two\nlines",1,2 kg,left,panel,1,\n'
        "a,pump,many,heavy,up,thing,1,\n"
        "lid,lid,1,5,,,,#REF!\n"
        "\n"
        ",,3,,,,,\n"
        "c,seat,1,,,,,,,over\n"
        "d,grille,-1,,,,0,\n"
    )
    kinds = "'part', 'structure', 'panel', 'glass', 'trim', 'machine', 'wheel', 'spring', 'pipe', "
    assert faults(path, known) == [
        "row 4, mass: cannot read 'heavy' as a mass; write it like '12.5 kg' or '27 lb 8 oz'",
        "row 4, id: 'a' is in row 2; give another",
        "row 4, side: should be 'left' or 'right', not 'up'",
        "row 4, qty: should be a whole number, not 'many'",
        f"row 4, kind: should be {kinds}'hose', 'cable' or 'loom', not 'thing'",
        "row 5, note: is #REF!; mend the formula",
        "row 5, mass: cannot read '5' as a mass; say in which unit, like '12.5 kg' or "
        "'27 lb 8 oz'",
        "row 7, name: is empty",
        "row 8: has more cells than there are headings",
        "row 9, qty: should be 1 or more, not -1",
        "row 9, crew: should be 1 or more, not 0",
    ]


@pytest.mark.parametrize(
    ("typed", "kind"),
    [("Schläuche", "hose"), ("Blech", "panel"), ("Pipes", "pipe"), ("Kabelbaum", "loom")],
)
def test_a_kind_is_read_in_german_and_of_many(csv, known: Vehicle, typed, kind) -> None:
    """Under a German heading as well, each with its capital; another word is told by its row."""
    (part,) = import_parts(csv(f"Bezeichnung;Art\nPumpe;{typed}\n"), known).parts
    assert part.kind == kind
    (fault,) = faults(csv(f"Bezeichnung;Art\nPumpe;{typed}\nSitz;Krempel\n"), known)
    assert fault.startswith("row 3, Art: should be 'part', ")


def test_a_column_of_other_kinds_is_left_out(csv, known: Vehicle) -> None:
    """A list's own classes, none of which is a kind of part; chosen for it, each is told."""
    path = csv("name,type\nPump,cooling\nSeat,body\n")
    found = import_parts(path, known)
    assert [part.kind for part in found.parts] == ["part", "part"]
    assert found.ignored_columns == ("type",)
    with pytest.raises(TableFaults) as refused:
        import_parts(path, known, {"kind": "type"})
    assert len(refused.value.faults) == 2


@pytest.mark.parametrize(
    ("typed", "side", "name"),
    [
        ("N/S", "left", "Wing"),
        ("offside", "right", "Wing"),
        ("NSF", "left", "Wing, front"),
        ("RR", "right", "Wing, rear"),
        ("HL", "left", "Wing, hinten"),
    ],
)
def test_sides_as_the_trade_writes_them(csv, known: Vehicle, typed, side, name) -> None:
    """Nearside is the kerb's, the left; a corner in two or three letters tells the end too."""
    (part,) = import_parts(csv(f"name,side\nWing,{typed}\n"), known).parts
    assert (part.side, part.name) == (side, name)


def test_columns_may_be_chosen(csv, known: Vehicle) -> None:
    """A caller's choice goes over what would be recognised."""
    path = csv("Bezeichnung,name,Gew. kg\nPumpe,P1,2.5\n")
    columns = {"name": "bezeichnung", "id": "Name", "mass_kg": "Gew. kg"}
    (part,) = import_parts(path, known, columns).parts
    assert (part.id, part.name, part.mass_kg) == ("P1", "Pumpe", 2.5)


@pytest.mark.parametrize(
    ("head", "chosen", "said"),
    [
        ("what,qty", {}, "row 1: no column is headed like a name; choose one"),
        (
            "name,part name",
            {},
            "row 1: columns 'name' and 'part name' both look like name; choose one",
        ),
        (
            "name,Mass kg",
            {"mass_kg": "mas kg"},
            "row 1, mas kg: no column is headed so; did you mean 'mass kg'?",
        ),
        ("name", {"zone": "colour"}, "row 1, colour: no column is headed so"),
        ("name", {"colour": "name"}, "row 1, colour: is no field of a part; there are id, name,"),
        ("name,qty", {}, "row 1: no part is below the headings"),
    ],
)
def test_headings_at_fault_are_told(
    csv, known: Vehicle, head: str, chosen: dict[str, str], said: str
) -> None:
    """Headings that name nothing, or the same twice, are told before any row is read."""
    assert faults(csv(head), known, **chosen)[0].startswith(said)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b'name\n"open\n', "line 2: is no CSV: unexpected end of data; mend the quotes"),
        (b"name\nA\0B\n", "is not text in any usual encoding; save it as CSV, UTF-8"),
        (b"name\n\x81\xff\n", "is not text in any usual encoding"),
        (b"", "has nothing in it; save the list again"),
        (b";;\n\n", "has nothing in it"),
        (b"PK\x03\x04 not really", "is no workbook that can be read; save it again without a"),
    ],
)
def test_what_is_no_table_is_refused(csv, known: Vehicle, content: bytes, said: str) -> None:
    """A file that is no table says so, with the line where there is one."""
    with pytest.raises(UnreadableFile) as caught:
        import_parts(csv(content), known)
    assert said in str(caught.value)


def test_a_missing_file_is_named(tmp_path: Path, known: Vehicle) -> None:
    """A file that is not there is named with the reason."""
    with pytest.raises(UnreadableFile, match=r"none\.csv: No such file"):
        import_parts(tmp_path / "none.csv", known)


def test_limits_are_told(csv, known: Vehicle, monkeypatch: pytest.MonkeyPatch) -> None:
    """A list beyond all measure is refused before it is read."""
    monkeypatch.setattr(table_rows, "MOST_ROWS", 3)
    with pytest.raises(UnreadableFile, match="has more than 3 rows; split it"):
        import_parts(csv("name\na\nb\nc\n"), known)
    monkeypatch.setattr(table_rows, "LARGEST_BYTES", 10)
    with pytest.raises(UnreadableFile, match="is it a list of parts"):
        import_parts(csv("name\n" + "a" * 20), known)


def test_a_workbook_that_would_swell_is_refused(tmp_path: Path, known: Vehicle) -> None:
    """A zip bomb is refused by the sizes it states, before anything is unpacked."""
    path = tmp_path / "bomb.xlsx"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for number in range(3):
            archive.writestr(f"xl/{number}.xml", b"0" * (30 * 2**20))
    assert path.stat().st_size < 200_000
    with pytest.raises(UnreadableFile, match="would swell beyond all measure"):
        import_parts(path, known)


def test_a_workbook_that_defines_entities_is_refused(tmp_path: Path, known: Vehicle) -> None:
    """XML that could swell while it is read is refused by its definitions."""
    path = tmp_path / "laughs.xlsx"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("xl/workbook.xml", '<!DOCTYPE a [<!ENTITY b "c">]><a>&b;</a>')
    with pytest.raises(UnreadableFile, match="has definitions in it"):
        import_parts(path, known)


def test_a_workbook_that_lies_about_its_sizes_is_refused(
    xlsx, tmp_path: Path, known: Vehicle
) -> None:
    """A member that holds more than it states is not read beyond what it states."""
    content = bytearray(xlsx([["name"], ["pump"]]).read_bytes())
    directory = content.index(b"PK\x01\x02")
    content[directory + 24 : directory + 28] = (5).to_bytes(4, "little")  # its size unpacked
    path = tmp_path / "liar.xlsx"
    path.write_bytes(content)
    with pytest.raises(UnreadableFile, match="is no workbook that can be read"):
        import_parts(path, known)


def test_a_workbook_that_claims_a_wrong_size_is_read(xlsx, tmp_path: Path, known: Vehicle) -> None:
    """The size that a sheet claims for itself is not believed."""
    path, changed = xlsx([["name"], ["pump"]]), tmp_path / "changed.xlsx"
    with zipfile.ZipFile(path) as before, zipfile.ZipFile(changed, "w") as after:
        for name in before.namelist():
            content = before.read(name).replace(b'ref="A1:A2"', b'ref="A1:XFD1048576"')
            after.writestr(name, content)
    assert [part.name for part in import_parts(changed, known).parts] == ["pump"]


def test_damaged_workbooks_are_read_or_refused(xlsx, tmp_path: Path, known: Vehicle) -> None:
    """A workbook with bytes changed is read whole or refused with one of our errors."""
    rng = Random(5)
    content = xlsx([["name", "qty"], *([f"part {n}", n + 1] for n in range(20))]).read_bytes()
    path = tmp_path / "damaged.xlsx"
    outcomes = set()
    for _ in range(150):
        damaged = bytearray(content)
        for _ in range(rng.randint(1, 6)):
            damaged[rng.randrange(len(damaged))] = rng.randrange(256)
        path.write_bytes(damaged[: rng.choice((len(damaged), rng.randrange(len(damaged))))])
        try:
            outcomes.add(type(import_parts(path, known)))
        except PutbackError as error:
            outcomes.add(type(error))
    assert outcomes >= {Imported, UnreadableFile}
