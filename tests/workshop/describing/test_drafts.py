"""Describing by a form that is checked in place."""

import pytest
from hypothesis import given

from putback.errors import NotFound
from putback.logbook.state import State
from putback.vehicle.standing import Zone
from putback.workshop.describing.draft_forms import FORMS
from putback.workshop.describing.drafts import read_draft, texts_of
from tests.makers import ZONE, vehicle
from tests.stores import ANN, PHONE
from tests.strategies.vehicles import generated_vehicles
from tests.workshop.lines import CAR, Lines

ABOUT = vehicle(
    "lid - frame: 4 bolt M8 x 20",
    "bar - frame: 2 bolt M8 x 20",
    Zone(ZONE, "Front end"),
)


def log(lines: Lines, table: str, identity: str | None, **texts: str):
    """Fill in a form and log what it says."""
    draft = read_draft(lines.state, table, identity, texts)
    assert draft.faults == {}
    lines.workshop.log(CAR, draft.bodies, who=ANN, device=PHONE)
    return draft


def test_a_new_part_needs_no_more_than_a_name():
    """It gets an identity of its name, and a zone that says that it is not sorted yet."""
    lines = Lines()
    draft = log(lines, "parts", None, name="Horn, left", side="left")
    part = lines.state.vehicle.parts[draft.identity]
    assert (part.id, part.name, part.zone) == ("horn-left-left", "Horn, left", "unsorted")
    assert lines.state.vehicle.zones["unsorted"].name == "Not sorted yet"
    other = log(lines, "parts", None, name="Horn, left", side="left")
    assert other.identity == "horn-left-left-2"


def test_a_zone_that_is_new_is_described_with_its_first_part():
    """A zone is known by its name; an unknown one is a new one."""
    lines = Lines(ABOUT)
    assert log(lines, "parts", None, name="Horn", zone="front END").before == ()
    draft = log(lines, "parts", None, name="Bell", zone="Under the seat")
    assert lines.state.vehicle.parts["bell"].zone == "under-the-seat"
    assert [each.fields for each in draft.before] == [{"name": "Under the seat"}]


def test_what_cannot_be_read_is_told_beside_its_field():
    """All faults at once, each under the name of its field; nothing is to be logged."""
    draft = read_draft(
        Lines(ABOUT).state,
        "joints",
        None,
        {"name": "", "parts": "lid\nfram", "fixings": "4 gizmo", "tightening.torque_nm": "18"},
    )
    assert set(draft.faults) == {"name", "parts", "fixings", "tightening.torque_nm"}
    assert draft.faults["name"] == ("is needed",)
    assert "frame" in draft.faults["parts"][0]


def test_what_contradicts_is_told_beside_its_field_and_may_be_said():
    """A joint of one part is an error of the description, in the field of its parts."""
    lines = Lines(ABOUT)
    draft = read_draft(lines.state, "joints", None, {"name": "odd", "parts": "lid"})
    assert set(draft.contradictions) == {"parts"}
    assert len(draft.bodies) == 1
    good = {"name": "good", "parts": "lid\nbar", "fixings": "1 bolt M8 x 20", "critical": "yes"}
    draft = read_draft(lines.state, "joints", None, good)
    assert draft.contradictions == {}
    assert "look it up in the maker's data" in " ".join(draft.doubts["tightening.torque_nm"])


def test_a_ring_that_a_fact_would_close_is_told():
    """One part in the way of another and the other of the first: neither ever comes off."""
    lines = Lines(ABOUT)
    log(lines, "obstructions", None, any_of="lid", of="part:bar")
    draft = read_draft(lines.state, "obstructions", None, {"any_of": "bar", "of": "part:lid"})
    assert draft.contradictions


def test_only_what_changed_is_logged():
    """One field of many; what stands beside it inside the same field stays."""
    lines = Lines(ABOUT)
    log(lines, "joints", "lid-frame", **{"tightening.torque_nm": "18 lb ft"})
    draft = log(lines, "joints", "lid-frame", **{"tightening.condition": "oiled"})
    assert set(draft.fields) == {"tightening"}
    tightening = lines.state.vehicle.joints["lid-frame"].tightening
    assert tightening.torque_nm == pytest.approx(24.4047, abs=1e-3)
    assert tightening.condition == "oiled"
    assert lines.state.vehicle.joints["lid-frame"].fixing_count == 4
    log(lines, "joints", "lid-frame", **{"tightening.condition": ""})
    assert lines.state.vehicle.joints["lid-frame"].tightening.condition == ""


def test_quantities_are_said_back():
    """A mass in pounds is told in kilograms."""
    draft = read_draft(Lines(ABOUT).state, "parts", "lid", {"mass_kg": "18 lb"})
    assert draft.read_as == {"mass_kg": "8.2 kg (18 lb)"}


def test_every_table_that_has_a_form_can_be_described():
    """A record of each, one resting on the other, is taken up as it was typed."""
    lines = Lines(ABOUT)
    said = {
        "zones": {"name": "Rear end"},
        "parts": {"name": "Hose", "kind": "hose", "marks": "paint | both ends"},
        "standings": {"name": "On stands", "supports": "axle stand | frame | 2.1, -0.5 | 2 t"},
        "joints": {"name": "hose end", "parts": "Hose\nframe", "fixings": "1 hose clip 20 mm"},
        "openings": {"name": "Hose bore", "part": "Hose", "joints": "hose end", "ends": "2"},
        "obstructions": {"any_of": "lid\nbar", "of": "joint:hose end", "why": "no room"},
        "befores": {"first": "lid", "then": "bar", "why": "light", "phase": "both"},
        "runs": {"part": "Hose", "ends": "hose end | frame", "length_m": "48 in"},
        "assemblies": {"name": "Lid and bar", "parts": "lid\nbar", "minutes": "5 10 20"},
        "goals": {"name": "Bare", "datum": "frame", "off_rest": "yes"},
    }
    for table, texts in said.items():
        draft = log(lines, table, None, **texts)
        assert draft.identity in getattr(lines.state.vehicle, table)
    about = lines.state.vehicle
    assert set(said) == set(FORMS)
    (support,) = about.standings["on-stands"].supports
    assert (support.bears_on, support.rating_kg) == ("frame", 2000)
    assert about.obstructions["no-room"].any_of == ("lid", "bar")
    assert about.runs["hose"].length_m == pytest.approx(1.2192)
    assert about.goals["bare"].off_rest


def test_there_is_no_form_for_what_is_not_a_table():
    """A table that nobody heard of is refused by name."""
    with pytest.raises(NotFound, match="gearboxes"):
        texts_of(Lines().state, "gearboxes", None)


@given(generated_vehicles(most=8))
def test_a_form_that_nobody_changed_changes_nothing(about):
    """Sent back as it was shown, no field of any record of any vehicle is logged."""
    state = State(CAR, about)
    for table in FORMS:
        for identity in list(getattr(about, table))[:1]:
            draft = read_draft(state, table, identity, texts_of(state, table, identity))
            assert (draft.faults, draft.bodies) == ({}, ())
