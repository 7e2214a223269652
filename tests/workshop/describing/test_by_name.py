"""Descriptions at a prompt that call things by their names."""

import pytest

from putback.errors import NotFound
from putback.vehicle.ids import PartId, StandingId
from putback.vehicle.nearest import SeveralMeant
from putback.vehicle.part import Part, Side
from putback.vehicle.standing import Standing
from putback.workshop.describing.by_name import fields_by_name, identity_of
from tests.makers import ZONE, vehicle
from tests.workshop.lines import Lines


@pytest.fixture
def state():
    """A heater, two seats of one name, a joint of the heater, a standing."""
    parts = (
        Part(PartId("h"), "Heater unit", ZONE),
        Part(PartId("sl"), "Seat", ZONE, side=Side.LEFT),
        Part(PartId("sr"), "Seat", ZONE, side=Side.RIGHT),
    )
    stood = Standing(StandingId("w"), "on its wheels")
    return Lines(vehicle(*parts, "heater bolts = h - sl: 2 bolt M6", stood)).state


@pytest.mark.parametrize(
    ("table", "called", "given", "meant"),
    [
        ("parts", "h", {}, "h"),
        ("parts", "heater unit", {"mass_kg": 8}, "h"),
        ("parts", "Heater unit", {"name": "Heater"}, "h"),  # called otherwise from now on
        ("parts", "heater hose", {"name": "Heater hose"}, "heater hose"),  # a new one
        ("parts", "seat right", {"mass_kg": 8}, "sr"),
        ("joints", "Heater bolts", {"minutes": {}}, "heater bolts"),
        ("runs", "heater unit", {"ends": []}, "h"),
        ("runs", "cable", {"ends": []}, "cable"),  # the part may be described later
        ("befores", "b1", {"why": "so"}, "b1"),  # facts have no names
    ],
)
def test_a_record_is_found_by_its_name(state, table, called, given, meant):
    """By its identity or its name; what is new keeps what was typed."""
    assert identity_of(state, table, called, given) == meant


def test_a_new_record_has_a_name(state):
    """A mistyped one does not become a second thing that nobody named."""
    with pytest.raises(NotFound) as told:
        identity_of(state, "parts", "Heeter", {"mass_kg": 8})
    assert str(told.value) == (
        "no part 'Heeter'; did you mean 'Heater unit'? "
        "Else, to describe a new part, say what it is called too: name=..."
    )
    with pytest.raises(NotFound, match=r"^no zone 'xyzzy'; to describe a new zone, say what"):
        identity_of(state, "zones", "xyzzy", {"note": "x"})


def test_of_several_the_identities_are_told(state):
    """Of the record, and of what its fields name."""
    several = "2 parts are called 'seat'; say which: sl (Seat, left), sr (Seat, right)"
    with pytest.raises(SeveralMeant) as told:
        identity_of(state, "parts", "seat", {"mass_kg": 8})
    assert str(told.value) == several
    for table, given in (
        ("joints", {"parts": ["seat"]}),
        ("befores", {"first": "seat"}),
        ("befores", {"first": "part:seat"}),
    ):
        with pytest.raises(SeveralMeant) as told:
            fields_by_name(state, table, given)
        assert str(told.value) == several


@pytest.mark.parametrize(
    ("table", "given", "meant"),
    [
        (
            "parts",
            {"zone": "here", "name": "Heater unit"},
            {"zone": "here", "name": "Heater unit"},
        ),
        ("joints", {"parts": ["Heater unit", "seat left"]}, {"parts": ["h", "sl"]}),
        ("joints", {"parts": ["Heater unit", "later"]}, {"parts": ["h", "later"]}),
        ("joints", {"standings": ["on its wheels"]}, {"standings": ["w"]}),
        ("goals", {"datum": "heater unit", "off_rest": True}, {"datum": "h", "off_rest": True}),
        ("obstructions", {"any_of": ["heater unit"], "of": "heater bolts"}, None),
        (
            "befores",
            {"first": "joint:heater bolts", "then": "seat left", "why": "heater unit"},
            None,
        ),
        (
            "befores",
            {"first": "joint:later", "then": "stage:x"},
            {"first": "joint:later", "then": "stage:x"},
        ),
        ("standings", {"change_minutes": {"on its wheels": 20}}, {"change_minutes": {"w": 20}}),
        (
            "standings",
            {"supports": [{"id": "s1", "kind": "heater unit", "bears_on": "heater unit"}]},
            {"supports": [{"id": "s1", "kind": "heater unit", "bears_on": "h"}]},
        ),
        ("runs", {"ends": [{"joint": "Heater bolts", "at": "Seat"}]}, None),
        (
            "parts",
            {"side": None, "nonsense": ["Heater unit"]},
            {"side": None, "nonsense": ["Heater unit"]},
        ),
    ],
)
def test_fields_that_hold_identities_take_names(state, table, given, meant):
    """At any depth; words that are no identities stay, and so does what nobody described yet."""
    expected = (
        meant
        or {
            "obstructions": {"any_of": ["h"], "of": "joint:heater bolts"},
            "befores": {"first": "joint:heater bolts", "then": "part:sl", "why": "heater unit"},
            "runs": {"ends": [{"joint": "heater bolts", "at": "Seat"}]},
        }[table]
    )
    assert fields_by_name(state, table, given) == expected


def test_a_reference_to_nothing_is_answered_with_the_nearest(state):
    """Without its kind it could not be kept until the thing is described."""
    with pytest.raises(NotFound, match="no part, joint, job or assembly 'heeter'; did you mean"):
        fields_by_name(state, "befores", {"first": "heeter"})
