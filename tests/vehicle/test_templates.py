"""Templates: found by what people type, added without clash, joined with what is there."""

from dataclasses import replace

import networkx as nx
import pytest

from putback.errors import AlreadyExists, BadInput, NotFound
from putback.vehicle.check import Severity, check
from putback.vehicle.codec import from_plain, to_plain
from putback.vehicle.facts import Obstruction
from putback.vehicle.fastener import Role
from putback.vehicle.file import read, write
from putback.vehicle.generate import draw
from putback.vehicle.ids import PartId, StandingId, VehicleId, ZoneId
from putback.vehicle.joint import FinalWhen
from putback.vehicle.part import Part, PartKind, Side
from putback.vehicle.standing import Standing, Support
from putback.vehicle.templates import (
    Template,
    add,
    find,
    list_templates,
    with_additions,
)
from putback.vehicle.vehicle import About, Vehicle
from tests.published.test_scenario_figures import SCENARIO

EMPTY = Vehicle(About(VehicleId("v"), "Nothing yet"))
TEMPLATES = {template.id: template for template in list_templates()}


def put_on(vehicle: Vehicle, *wanted: str) -> Vehicle:
    """Add what was asked for, one after another."""
    for text in wanted:
        asked = find(text)
        additions = add(vehicle, asked.template, side=asked.side, place=asked.place)
        vehicle = with_additions(vehicle, additions)
    return vehicle


def sides(template: Template) -> tuple[Side | None, ...]:
    """The sides that a template is added on."""
    return (Side.LEFT, Side.RIGHT) if template.sided else (None,)


def whole(template: Template, vehicle: Vehicle = EMPTY) -> Vehicle:
    """The vehicle with a template on all its sides."""
    for side in sides(template):
        vehicle = with_additions(vehicle, add(vehicle, template, side=side, place="rear"))
    return vehicle


@pytest.mark.parametrize(
    ("typed", "template", "place", "side"),
    [
        ("drum brake, rear, left", "drum-brake", "rear", Side.LEFT),
        ("Rear Drum Brake LH", "drum-brake", "rear", Side.LEFT),
        ("disc brake front right", "disc-brake", "front", Side.RIGHT),
        ("leaf-sprung axle, rear, r", "live-axle", "rear", Side.RIGHT),
        ("prop shaft", "propeller-shaft", "", None),
        ("pedal box with master cylinders", "pedal-box", "", None),
        ("door, left", "door", "", Side.LEFT),
    ],
)
def test_it_is_found_by_what_people_type(
    typed: str, template: str, place: str, side: Side | None
) -> None:
    """Template, place and side are read in any order and case."""
    found = find(typed)
    assert (found.template.id, found.place, found.side) == (template, place, side)


def test_a_misspelt_template_gets_the_nearest_names() -> None:
    """What is not found says what it might have been."""
    with pytest.raises(NotFound, match="no template 'drm brake, left'; did you mean 'drum brake'"):
        find("drm brake, left")


def test_there_are_the_eight_of_the_scenario() -> None:
    """All eight sub-assemblies of the scenario, with as many parts and joints each."""
    asked = sorted(
        (len(each["parts"]), len(each["joints"])) for each in SCENARIO["generic_assemblies"]
    )
    found = sorted(
        (len(each.tables["parts"]), len(each.tables["joints"])) for each in list_templates()
    )
    assert found == asked
    assert sum(joints for _, joints in found) == 61


@pytest.mark.parametrize("template", TEMPLATES)
def test_a_template_by_itself_is_a_sound_description(template: str) -> None:
    """On all its sides it has no error, hangs together, and survives the vehicle file."""
    vehicle = whole(TEMPLATES[template])
    assert [fault for fault in check(vehicle) if fault.severity is Severity.ERROR] == []
    graph = nx.Graph()
    for joint in vehicle.joints.values():
        nx.add_path(graph, joint.parts)
    assert set(graph) == vehicle.parts.keys()
    assert read(write(vehicle)) == vehicle


@pytest.mark.parametrize("template", TEMPLATES)
def test_no_gap_is_left_open(template: str) -> None:
    """Nothing that is added still has a placeholder in it."""
    asked = TEMPLATES[template]
    for side in sides(asked):
        for table, record in add(EMPTY, asked, side=side):
            told = str(to_plain(table, record))
            assert not any(gap in told for gap in ("{place}", "{side}", "{zone}", "{wheels}"))


@pytest.mark.parametrize("template", TEMPLATES)
def test_additions_are_ordinary_records(template: str) -> None:
    """Each addition goes through the codec, as an entry that describes it would carry it."""
    asked = TEMPLATES[template]
    for table, record in add(EMPTY, asked, side=sides(asked)[0], place="front"):
        assert from_plain(table, to_plain(table, record)) == record


@pytest.mark.parametrize("template", TEMPLATES)
def test_pieces_are_those_of_the_scenario(template: str) -> None:
    """Every joint has as many pieces of each role as the scenario's."""
    said = TEMPLATES[template]
    (theirs,) = (
        each
        for each in SCENARIO["generic_assemblies"]
        if {_key(part["id"]) for part in each["parts"]} == set(said.part_keys)
    )
    additions = add(EMPTY, said, side=sides(said)[0])
    ours = [record for table, record in additions if table == "joints"]
    for joint, row in zip(ours, theirs["joints"], strict=True):
        for role, lines in (
            (Role.HOLD, "holding"),
            (Role.LOCK, "locking"),
            (Role.SEAL, "sealing"),
        ):
            pieces = sum(
                piece.per_fixing * fixing.count
                for fixing in joint.fixings
                for piece in fixing.stack
                if piece.role is role
            )
            assert pieces == sum(line["qty"] for line in row[lines]), joint.id
        assert joint.critical == row["safety_critical"]


def _key(identity: str) -> str:
    return str(identity).replace("_{side}", "").replace("_", "-")


def test_two_sides_share_what_they_share() -> None:
    """The second side finds casing, frame and hose, and adds its own spring to them."""
    vehicle = put_on(EMPTY, "live axle, rear, left", "live axle, rear, right")
    assert len(vehicle.parts) == 3 + 2 * 5
    springs = [part for part in vehicle.parts.values() if "leaf spring" in part.name]
    assert [(part.name, part.side) for part in springs] == [
        ("Rear leaf spring, left", Side.LEFT),
        ("Rear leaf spring, right", Side.RIGHT),
    ]
    assert len([joint for joint in vehicle.joints if joint.startswith("rear-hose")]) == 1


def test_templates_meet_in_the_parts_they_share() -> None:
    """A drum brake on a live axle takes the axle's hub as its own."""
    vehicle = put_on(EMPTY, "live axle, rear, left", "drum brake, rear, left")
    hubs = [part.id for part in vehicle.parts.values() if part.name == "Rear hub, left"]
    assert hubs == ["rear-hub-left"]
    assert "rear-hub-left" in vehicle.joints[_id(vehicle, "Rear drum screws, left")].parts


def _id(vehicle: Vehicle, name: str) -> str:
    return next(joint.id for joint in vehicle.joints.values() if joint.name == name)


def test_a_part_of_the_vehicle_can_stand_for_one_of_the_template() -> None:
    """A part that is named is not added again, and joints and facts speak of it."""
    hub = Part(PartId("P7"), "That rusty hub", ZoneId("back"), side=Side.LEFT)
    vehicle = with_additions(EMPTY, (("parts", hub),))
    additions = add(
        vehicle, TEMPLATES["drum-brake"], side=Side.LEFT, place="rear", parts={"hub": hub.id}
    )
    added = with_additions(vehicle, additions)
    assert [part.id for part in added.parts.values() if "hub" in part.name] == ["P7"]
    assert added.joints[_id(added, "Rear wheel nuts, left")].parts == ("rear-wheel-left", "P7")
    hidden = [each for each in added.obstructions.values() if each.any_of == ("P7",)]
    assert [obstruction.of for obstruction in hidden] == ["part:rear-plate-left"]
    assert {part.zone for part in added.parts.values()} == {"back"}


def test_a_joint_that_is_there_is_not_described_twice() -> None:
    """Parts of the vehicle that a joint already holds together get no second one."""
    first = put_on(EMPTY, "drum brake, rear, left")
    hub, drum = PartId("rear-hub-left"), PartId("rear-drum-left")
    joint = replace(first.joints[_id(first, "Rear drum screws, left")], id="mine", name="mine")
    parts = {each: first.parts[each] for each in (hub, drum)}
    vehicle = Vehicle(EMPTY.about, first.zones, parts, {joint.id: joint})
    added = put_on(vehicle, "drum brake, rear, left")
    assert [each for each, joint in added.joints.items() if joint.parts == (drum, hub)] == ["mine"]


def test_identities_never_clash() -> None:
    """Something else of the same identity keeps it, and the template takes the next."""
    other = Part(PartId("rear-drum-left"), "Rubbish", ZoneId("shed"))
    blocked = Obstruction("rear-wheel-hides-drum-left", (other.id,), f"part:{other.id}")
    vehicle = with_additions(EMPTY, (("parts", other), ("obstructions", blocked)))
    added = put_on(vehicle, "drum brake, rear, left")
    assert added.parts[other.id] is other
    assert added.obstructions[blocked.id] is blocked
    assert added.parts[PartId("rear-drum-left-2")].name == "Rear brake drum, left"
    assert added.obstructions["rear-wheel-hides-drum-left-2"].of == "part:rear-drum-left-2"


def test_adding_it_again_changes_nothing() -> None:
    """What is there already is refused in one sentence."""
    vehicle = put_on(EMPTY, "drum brake, rear, left")
    message = "there is a sub-assembly 'drum brake, rear, left' already; add the other side"
    with pytest.raises(AlreadyExists, match=message):
        put_on(vehicle, "drum brake, rear, left")


def test_a_side_is_asked_for_where_there_is_one() -> None:
    """A brake without a side and a propeller shaft with one are refused."""
    with pytest.raises(BadInput, match="a drum brake is on one side; say left or right"):
        put_on(EMPTY, "drum brake, rear")
    with pytest.raises(BadInput, match="propeller shaft: it has no side; leave left away"):
        put_on(EMPTY, "propeller shaft, left")


def test_a_part_that_is_not_there_cannot_stand_for_one() -> None:
    """Both the template's part and the vehicle's must exist."""
    drum = TEMPLATES["drum-brake"]
    with pytest.raises(NotFound, match="no part of the template 'drum brake' 'hubcap'"):
        add(EMPTY, drum, side=Side.LEFT, parts={"hubcap": PartId("P1")})
    vehicle = put_on(EMPTY, "live axle, rear, left")
    with pytest.raises(NotFound, match="no part 'rear-hub'; did you mean 'rear-hub-left'"):
        add(vehicle, drum, side=Side.LEFT, parts={"hub": PartId("rear-hub")})


def test_a_zone_is_taken_made_or_given() -> None:
    """The zone is the one given, else that of the parts it meets, else one of its own."""
    own = add(EMPTY, TEMPLATES["radiator"])
    assert [record.name for table, record in own if table == "zones"] == ["Front end"]
    given = add(EMPTY, TEMPLATES["radiator"], zone=ZoneId("bay"))
    assert {record.zone for table, record in given if table == "parts"} == {"bay"}
    assert "zones" not in {table for table, _ in given}


def test_wheel_nuts_are_cracked_on_the_wheels_where_that_is_described() -> None:
    """Without a standing on the wheels nothing is said of cracking; with one it is named."""
    plain = put_on(EMPTY, "drum brake, rear, left")
    nuts = _id(plain, "Rear wheel nuts, left")
    assert plain.joints[nuts].crack_in is None
    assert plain.joints[nuts].final_when is FinalWhen.ON_WHEELS
    wheel = Part(PartId("W"), "Wheel", ZoneId("z"), kind=PartKind.WHEEL)
    stands = Standing(StandingId("stands"), "on stands", (Support("S", "stand", "F", (0, 0)),))
    wheels = Standing(StandingId("wheels"), "on its wheels", (Support("T", "wheel", "W", (0, 0)),))
    vehicle = with_additions(
        EMPTY, (("parts", wheel), ("standings", stands), ("standings", wheels))
    )
    added = put_on(vehicle, "drum brake, rear, left")
    assert added.joints[nuts].crack_in == "wheels"


@pytest.mark.parametrize("template", TEMPLATES)
def test_templates_go_on_to_any_vehicle(template: str) -> None:
    """On a generated vehicle they add no error, and change nothing that was there."""
    vehicle = draw(40, 3).vehicle
    added = whole(TEMPLATES[template], vehicle)
    errors = [fault for fault in check(added) if fault.severity is Severity.ERROR]
    assert errors == [fault for fault in check(vehicle) if fault.severity is Severity.ERROR]
    for table in ("parts", "joints", "obstructions", "standings"):
        assert getattr(vehicle, table).items() <= getattr(added, table).items()
