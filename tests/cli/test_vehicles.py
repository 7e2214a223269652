"""Vehicles and their descriptions from the command line."""

import tomllib

import pytest


def test_two_vehicles_are_told_apart(blank):
    """With more than one, a command asks which; a name or an identity says it."""
    blank.ok("new 'Old Dunlin'")
    assert blank.refused(line="state") == (
        "there are 2 vehicles; say which, as in: putback --vehicle NAME ...; "
        "they are 'Old Dunlin', 'Old Plover'"
    )
    assert blank.ok("--vehicle 'old plover' state").startswith("Old Plover\n")
    assert blank.refused(line="-v 'Old Plovr' state").startswith(
        "no vehicle 'Old Plovr'; did you mean 'Old Plover'"
    )
    assert "There is another of this name: " in blank.ok("new 'Old Plover'")


def test_a_vehicle_needs_a_name(putback):
    """Nothing begins without one."""
    assert putback.refused(line="new ''") == (
        "a vehicle needs a name; call it what you call it in the garage"
    )
    assert putback.refused(line="new --demo --from x").startswith(
        "a vehicle begins from one thing"
    )


def test_a_vehicle_is_written_and_begun_again(demo, tmp_path):
    """What is written as a file begins the same vehicle; a file that is there is kept."""
    target = tmp_path / "dunlin.toml"
    demo.ok(f"write-vehicle {target}")
    assert demo.refused(line=f"write-vehicle {target}").endswith(
        "already; name another, or write over it with --force"
    )
    demo.ok(f"write-vehicle {target} --force")
    text = target.read_text()
    assert demo.ok("write-vehicle") == text
    demo.ok(f"new 'The other' --from {target}")
    assert (
        demo("-v", "The other", "write-vehicle", "--json")
        .json["text"]
        .replace("The other", "Tarnbeck Dunlin Fourteen")
        == text
    )
    assert demo.refused(line="-v 'The other' write-vehicle /nowhere/x.toml") == (
        "/nowhere: there is no such folder; make it first"
    )


def test_a_sub_assembly_comes_in_one_step(blank):
    """By its name as people say it; a mistaken one is answered with the nearest."""
    assert blank.ok("add 'drum brake, rear, left'").startswith("Described ")
    assert "drum brake, left or right" in blank.ok("templates")
    assert blank.refused(line="add 'drum brak'").startswith(
        "no template 'drum brak'; did you mean 'drum brake'"
    )
    assert blank.refused(line="add 'drum brake, rear, left' --part hub").startswith(
        "--part: 'hub'"
    )
    assert "Rear brake drum, left" in blank.ok("where 'rear brake drum, left'")


def test_new_from_templates(putback):
    """A vehicle can begin with sub-assemblies."""
    said = putback.ok("new 'Trailer' --template 'drum brake, rear, left'")
    assert said.startswith("Began 'Trailer' (trailer-")


def test_a_description_takes_names(blank):
    """Of the record and of what its fields name: the answer tells the identities."""
    blank.ok("describe parts radiator name=Radiator")
    blank.ok("describe parts s1 name='Body shell'")
    blank.ok("""describe joints j1 name='radiator to shell' parts='["Radiator", "body shell"]'""")
    document = blank("describe", "parts", "body shell", "mass_kg=80", "--json").json
    assert document["records"] == [{"table": "parts", "id": "s1"}]
    assert 'parts = ["radiator", "s1"]' in blank.ok("write-vehicle")


def test_a_description_is_checked_before_it_is_logged(blank):
    """Each mistake names the field, and nothing is saved."""
    blank.ok("describe zones FE name='Front end'")
    blank.ok("describe parts radiator name=Radiator zone=FE mass_kg=8.4")
    for line, said in {
        "describe part x name=y": "no table of a vehicle's description 'part'; did you mean",
        "describe parts '' name=x": "parts: the identity is empty; give it one",
        "describe parts x name": "'name' is no field; write name=value",
        "describe parts x =y": "'=y' is no field; write name=value",
        "describe parts x mass_kg=heavy": "parts x: mass_kg: should be a number, not 'heavy'",
        "describe parts x namee=y": "parts x: namee: is not a field here; did you mean 'name'",
    }.items():
        assert blank.refused(line=line).startswith(said)
    assert blank("vehicles", "--json").json["vehicles"][0]["position"] == 3


@pytest.mark.parametrize(
    "said",
    [
        '{"best": 10, "likely": 15, "worst": 40}',
        "{best = 10, likely = 15.0, worst = 40}",
    ],
)
def test_a_value_is_written_as_in_a_vehicle_file_or_as_json(blank, said):
    """A table either way; a name that begins like a list or a day stays what was typed."""
    blank.ok("describe zones FE name='Front end'")
    fields = ["zone=FE", f"minutes={said}", "name=[old] lamp = {2}", "cautions=['a', \"b\"]"]
    assert blank("describe", "parts", "lamp", *fields).code == 0
    (lamp,) = tomllib.loads(blank.ok("write-vehicle"))["parts"]
    assert lamp["minutes"] == {"best": 10.0, "likely": 15.0, "worst": 40.0}
    assert (lamp["name"], lamp["cautions"]) == ("[old] lamp = {2}", ["a", "b"])
    assert "should be" in blank.refused(line="describe parts lamp 'minutes={best 10}'")
    blank.ok("describe parts lamp name=1955-03-01")
    assert 'name = "1955-03-01"' in blank.ok("write-vehicle")


def test_a_description_that_contradicts_itself_is_told(blank):
    """It is logged, since reality is never refused, and the check fails with exit code 1."""
    blank.ok("describe zones front name=Front")
    said = blank.ok("describe parts x name=Thing zone=nowhere")
    assert "  part 'x' names zone 'nowhere' under zone, and there is none" in said
    assert "1 contradiction in the description: putback check-vehicle" in said
    answer = blank(line="check-vehicle")
    assert answer.code == 1
    assert "error: part 'x' names zone 'nowhere' under zone, and there is none" in answer.out
    assert blank("check-vehicle", "--json").json["sound"] is False


def test_what_is_said_of_many_parts_is_said_once(blank, tmp_path):
    """A list of names: no joint of any is described; what differs is told one by one."""
    table = tmp_path / "parts.csv"
    names = [f"Part {number}" for number in range(30)]
    table.write_text("\n".join(["name,zone", *(f"{name},Front" for name in names)]))
    blank.ok(f"import-parts {table}")
    told = blank.ok("check-vehicle").splitlines()
    assert told[0].startswith(
        "doubt: part 'Part 0' (part-0) has no joint, so that nothing holds it,"
    )
    assert "and so of 29 more: Part 1, Part 10, Part 11, Part 12 and 25 more;" in told[0]
    assert told[1:] == ["0 contradictions, 30 doubts."]
    assert len(blank("check-vehicle", "--json").json["faults"]) == 30
    for each in range(5):
        blank.ok(f"describe parts part-{each} zone=place-{each}")
    found = [line for line in blank(line="check-vehicle").out.splitlines() if "names zone" in line]
    assert len(found) == 5


def test_a_list_of_parts_comes_in_whole_or_not_at_all(blank, tmp_path):
    """Bad rows are reported with their numbers; nothing is half imported."""
    table = tmp_path / "parts.csv"
    table.write_text("name,zone\nRadiator,Front end\n,Front end\n")
    assert "row 3, name: is empty" in blank.refused(line=f"import-parts {table}")
    table.write_text("name,zone\nRadiator,Front end\nDynamo,Engine bay\n")
    assert blank.ok(f"import-parts {table}").startswith(
        "Described 4 records (2 in zones, 2 in parts)"
    )
    table.write_text("name,colour,shade\nStarter,red,dark\n")
    told = " ".join(blank.ok(f"import-parts {table}").split())
    assert "Not taken over, as nobody knows what they hold: colour, shade; --column" in told
    table.write_text("Ding,Stelle\nKühler,vorn\n")
    refused = blank.refused(line=f"import-parts {table}")
    assert "no column is headed like a name" in refused
    assert "add --column name=HEADING; there are Ding, Stelle" in " ".join(refused.split())
    blank.ok(f"import-parts {table} --column name=Ding --column zone=Stelle")
    assert "Kühler" in blank.ok("where Kühler")


def test_a_list_of_parts_is_imported_again_with_corrections(blank, tmp_path):
    """What was there is not there twice, what is told otherwise is named, and what it has not."""
    table = tmp_path / "parts.csv"
    table.write_text("name,zone,weight kg\nRadiator,Front end,8\nDynamo,Engine bay,7\n")
    blank.ok(f"import-parts {table}")
    blank.ok("log off 'oil filter' --new")
    blank.ok("log off radiator")
    same = blank("import-parts", str(table), "--json").json
    assert (same["act"], same["records"]) == (None, [])
    assert "All of it is described so already." in blank.ok(f"import-parts {table}")
    table.write_text("name,zone,weight kg\nradiator,Front end,9\nDynamo,Engine bay,\nFan,,\n")
    told = " ".join(blank.ok(f"import-parts {table}").split())
    assert "Described 3 records (1 in zones, 2 in parts)." in told
    assert "2 parts of the list are on the vehicle already, and not there twice." in told
    assert "Of these the list says otherwise: Radiator (mass_kg)." in told
    assert "On the vehicle, and not in the list: oil filter." in told
    assert "1 of 4 parts" not in blank.ok("state")
    assert "2 of 4 parts off" in blank.ok("state")


def test_describe_from_a_vehicle_file(demo, tmp_path):
    """All but what the vehicle itself is called comes over."""
    target = tmp_path / "dunlin.toml"
    demo.ok(f"write-vehicle {target}")
    demo.ok("new 'Old Plover'")
    demo.ok(f"-v 'Old Plover' describe-from {target}")
    assert demo.ok("-v 'Old Plover' state").startswith("Old Plover\nNot begun; 122 parts and")


def test_what_the_logbook_teaches_is_taken_up(blank):
    """A count that differs is told with its key, taken up by it, and then both agree."""
    blank.ok("describe parts lid name=Lid")
    blank.ok("describe parts frame name=Frame")
    blank.ok(
        """describe joints bolts name=Bolts 'parts=["lid", "frame"]' """
        """'fixings=[{"id": "A", "count": 4, "stack": [{"spec": "bolt M8 x 20"}]}]'"""
    )
    assert blank.ok("learned") == "Logbook and description agree.\n"
    blank.ok("log undone bolts 3/3")
    told = blank.ok("learned")
    assert "described: 4 fixings; logged: 3 were counted" in told
    assert blank.refused(line="learned --accept nothing").startswith("no proposal 'nothing'")
    assert blank.ok("learned --accept count:bolts:A:3") == "Taken up: Bolts, describe 3.\n"
    assert blank.ok("learned") == "Logbook and description agree.\n"
