"""The rebuild on the command line: a stranger's list of parts, dirty hands, and a useful plan."""

from dataclasses import replace

import pytest

from putback.vehicle.file import write
from putback.vehicle.standing import Zone
from tests.cli.conftest import Putback
from tests.makers import vehicle
from tests.planning.hand_made import likely

PARTS = """name
bonnet
front bumper
grille
left headlamp
right headlamp
radiator
top hose
bottom hose
fan
battery
battery tray
air cleaner
carburettor
inlet manifold
exhaust manifold
exhaust pipe
starter
dynamo
distributor
fuel pump
left front wing
right front wing
left front door
right front door
driver's seat
passenger seat
steering wheel
propshaft
gearbox
engine
"""


@pytest.fixture
def stranger(blank, tmp_path):
    """Thirty names from a table, and a strip logged in any order that dirty hands allow."""
    table = tmp_path / "parts.csv"
    table.write_text(PARTS)
    blank.ok(f"import-parts {table}")
    for line in (
        "log off bonnet",
        "log undone 'front bumper irons' 3/4 sheared=1 --new",
        "log off 'front bumper'",
        "log off battery",
        "log off radiator",
        "log undone 'radiator bolts' --new",
        "log off 'heater box' --new",
        "log off engine",
        "log sent 'front bumper' firm=Plater work=chrome due=2032-01-01",
    ):
        blank.ok(line)
    return blank


def steps(said: str) -> list[str]:
    """The steps of a plan as printed, without what is said under them."""
    actions = ("put on", "make", "tighten", "prepare")
    return [line.strip() for line in said.splitlines() if line.strip().startswith(actions)]


def test_a_stranger_is_told_what_the_strip_does_not_know(stranger):
    """With a goal and no joints any order will do, and nobody is told that it was worked out."""
    stranger.ok("describe goals bare name='all off' datum=engine off_rest=true")
    assert "Nobody described what is fixed to what" in stranger.ok("strip")


def test_a_stranger_gets_a_useful_plan(stranger):
    """No standing, mass, position or time is known: the strip turned round, and what to see to."""
    said = stranger.ok("rebuild --all")
    assert "turned round: the one order proven to work" in said
    found = [" ".join(each.split()) for each in steps(said)]
    assert found == [
        "prepare front bumper irons",
        "put on engine",
        "put on heater box",
        "put on radiator",
        "make radiator bolts",
        "tighten radiator bolts",
        "put on battery",
        "prepare front bumper",
        "put on front bumper",
        "make front bumper irons",
        "tighten front bumper irons",
        "put on bonnet",
    ]
    assert "No plan can take less" not in said
    assert "0 min" not in said
    assert "Not here yet: front bumper: at Plater for chrome, due 2032-01-01" in said
    assert "did not come out whole" in said
    assert "masking" in said


def test_the_lists_stand_alone(stranger):
    """Each list by its option, without the plan; nothing to list is said in words."""
    assert stranger.ok("rebuild --finals") == "No joint waits for its final tightening.\n"
    sheared = "1 × fixing of unknown size (lost, scrap or kept as a pattern): front bumper irons"
    assert stranger.ok("rebuild --to-have").strip() == sheared
    lately = "Every part that is off, and here, has been in somebody's hand lately.\n"
    assert stranger.ok("rebuild --hands") == lately


def test_nothing_to_have_new_is_said_in_words(blank):
    """Where what came off came off whole."""
    blank.ok("log off radiator --new")
    assert blank.ok("rebuild --to-have").startswith("Nothing is to be had new")


def test_parts_put_away_long_ago_are_to_be_found_first(blank):
    """Place by place, in one list; the plan says how many they are."""
    nothing = "No part is off yet, so there is none to lay hands on.\n"
    assert blank.ok("rebuild --hands") == nothing
    blank.ok("log off radiator --new --when 2020-03-01")
    assert "First lay hands on 1 part that nobody has seen for long: --hands" in blank.ok(
        "rebuild"
    )
    said = blank.ok("rebuild --hands")
    assert "radiator (last seen 2020-03-01)" in said
    blank.ok("log seen radiator")
    assert "Every part" in blank.ok("rebuild --hands")


def test_the_demo_lists_what_waits_and_what_to_buy(demo):
    """Finals with figure, reason and the job that does them; pieces by specification."""
    for line in (
        "log undone 'lower wishbone pivots, left' tag=3CAH",
        "log undone 'grille to support panel' tag=3HNA",
    ):
        demo.ok(line)
    finals = demo.ok("rebuild --finals")
    assert "at laden height: rubber tightened out of its place is twisted" in finals
    assert "lower wishbone pivots, left: " in finals
    assert "Final torque of every joint" in finals
    assert "maker's data win" in finals
    document = demo("rebuild", "--json").json
    assert document["finals"][0]["nipped"] is None
    assert {each["spec"] for each in document["to_have"]}
    assert "lower wishbone pivots" in demo.ok("rebuild --to-have")


def test_what_changed_since_the_last_rebuild_is_told_with_its_entry(stranger):
    """Once; and the document has it too."""
    stranger.ok("rebuild")
    stranger.ok("log off dynamo")
    document = stranger("rebuild", "--json")
    assert "changed: " not in stranger.ok("rebuild")
    (more,) = [each for each in document.json["changes"] if each["sort"] == "more"]
    assert more["words"] == "1 job more: dynamo"
    assert more["why"] == "logged: took off dynamo"


@pytest.fixture
def apart(putback, tmp_path) -> Putback:
    """A heavy engine, a lamp beside it and a tank at the other end, all of them off."""
    v = vehicle(
        Zone("front", "front"),
        Zone("rear", "rear"),
        "engine - frame: 2 bolt M12 x 40",
        "lamp - frame: 2 bolt M5 x 10",
        "tank - frame: 2 bolt M8 x 20",
        datum="frame",
    )
    parts = {
        part.id: replace(
            part,
            crew=2 if part.id == "engine" else 1,
            zone="rear" if part.id == "tank" else "front",
            minutes=likely(40),
        )
        for part in v.parts.values()
        if part.id != "frame"
    }
    (tmp_path / "car.toml").write_text(write(v.with_records(parts=dict(v.parts) | parts)))
    putback.ok(f"new --from {tmp_path / 'car.toml'}")
    for name in ("tank", "lamp", "engine"):
        putback.ok(f"log undone {name}-frame")
        putback.ok(f"log off {name}")
    return putback


def names(answer) -> list[str]:
    """What the plan of an answer deals with, in its order."""
    return [f"{step['action']} {step['what']}" for step in answer.json["plan"]["steps"]]


def test_it_is_looked_at_as_far_as_a_part_or_a_stage(apart):
    """The beginning of the one order; what is on, or called by no such name, is said."""
    whole = names(apart("rebuild", "--json"))
    said = apart.ok("rebuild lamp --all")
    assert said.startswith("Rebuild as far as: lamp back on\n")
    assert "The order is that of the whole rebuild, which has 9 steps; what comes after" in said
    assert "No plan can take less" not in said
    answer = apart("rebuild", "lamp", "--json")
    assert answer.json["to"] == {"id": "part:lamp", "words": "lamp back on"}
    assert len(steps(said)) == answer.json["steps_so_far"] < len(whole) == 9
    assert names(answer) == whole
    assert whole[answer.json["steps_so_far"] - 1] == "tighten joint:lamp-frame"
    assert len(steps(apart.ok("rebuild 'Final build' --all"))) == 9
    assert "No job that is left leads there: it is on, or is not" in apart.ok("rebuild frame")
    assert apart.refused("rebuild", "lampp") == (
        "no stage, assembly or part 'lampp'; did you mean 'lamp'?"
    )


def test_another_order_is_seen_chosen_and_forgotten(apart):
    """The engine, which takes two, is left for last; nothing is logged by choosing it."""
    usual = names(apart("rebuild", "--json"))
    before = apart("vehicles", "--json").json
    said = apart.ok("rebuild --alternatives")
    assert said.endswith("Follow one: putback rebuild --choose N; nothing is logged by it.\n")
    number = [line.split()[0] for line in said.splitlines() if "no helpers wanted" in line][-1]
    chosen = apart.ok(f"rebuild --choose {number}")
    assert "You follow this order from now on: " in chosen
    assert apart("vehicles", "--json").json == before
    pinned = apart("rebuild", "--json")
    assert pinned.json["pinned"]
    assert pinned.json["alternatives"] == []
    assert names(pinned)[-3:] == [
        "put on part:engine",
        "make joint:engine-frame",
        "tighten joint:engine-frame",
    ]
    assert names(pinned) != usual
    assert "You chose this order; --afresh leaves it." in apart.ok("rebuild tank")
    assert names(apart("rebuild", "--afresh", "--json")) == usual
    assert not apart("rebuild", "--json").json["pinned"]
    assert apart.refused(line="rebuild --choose 9").startswith("no alternative 9: there ")


def test_what_only_waits_is_not_called_done(blank):
    """A lost radiator is all that is off: there is something left to do, and nobody can."""
    blank.ok("log off radiator --new")
    blank.ok("log lost radiator")
    said = blank.ok("rebuild")
    assert "Nothing can be done yet." in said
    assert "Waiting: radiator: lost" in said
    assert "Radiator cannot be done yet: lost" in blank.ok("why radiator")
