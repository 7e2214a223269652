"""Describing by a form that is checked in place."""

from dataclasses import fields

import pytest
from hypothesis import given

from putback.errors import NotFound
from putback.logbook.state import State
from putback.vehicle.codec import TABLES
from putback.vehicle.standing import Zone
from putback.workshop.describing.draft_forms import FORMS
from putback.workshop.describing.drafts import read_draft, texts_of
from putback.workshop.describing.records import records_of, title_of
from putback.workshop.describing.taken_back import take_back
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
        "about": {"name": "Grey saloon", "year": "1951", "wheelbase_m": "84 in"},
        "zones": {"name": "Rear end"},
        "parts": {"name": "Hose", "kind": "hose", "marks": "paint | both ends"},
        "standings": {"name": "On stands", "supports": "axle stand | frame | 2.1, -0.5 | 2 t"},
        "joints": {"name": "hose end", "parts": "Hose\nframe", "fixings": "1 hose clip 20 mm"},
        "fluids": {"name": "Water", "part": "lid", "volume_m3": "7 imp pints"},
        "openings": {
            "name": "Hose bore",
            "part": "Hose",
            "joints": "hose end",
            "ends": "2",
            "fluid": "water",
            "needs_closing": "yes",
        },
        "jobs": {"name": "Drain", "kind": "drain", "fluid": "Water", "openings": "Hose bore"},
        "harder_afters": {"job": "hose end", "after": "part:lid", "factor": "never"},
        "temporary_supports": {
            "kind": "engine hoist",
            "bears_on": "bar",
            "first": "joint:bar-frame",
            "last": "part:bar",
            "rating_kg": "1 t",
            "at_m": "0.2, -0.1",
        },
        "obstructions": {"any_of": "lid\nbar", "of": "joint:hose end", "why": "no room"},
        "befores": {"first": "lid", "then": "bar", "why": "light", "phase": "both"},
        "runs": {"part": "Hose", "ends": "hose end | frame", "length_m": "48 in"},
        "assemblies": {"name": "Lid and bar", "parts": "lid\nbar", "minutes": "5 10 20"},
        "goals": {"name": "Bare", "datum": "frame", "off_rest": "yes"},
    }
    for table, texts in said.items():
        draft = log(lines, table, None, **texts)
        assert draft.identity in records_of(lines.state, table)
    about = lines.state.vehicle
    assert set(said) == set(FORMS)
    (support,) = about.standings["on-stands"].supports
    assert (support.bears_on, support.rating_kg) == ("frame", 2000)
    assert about.obstructions["no-room"].any_of == ("lid", "bar")
    assert about.runs["hose"].length_m == pytest.approx(1.2192)
    assert about.goals["bare"].off_rest
    assert (about.about.name, about.about.year) == ("Grey saloon", 1951)
    assert about.about.wheelbase_m == pytest.approx(84 * 0.0254)
    # 1 imperial pint is 568.26125 ml (Weights and Measures Act 1985, schedule 1)
    assert about.fluids["water"].volume_m3 == pytest.approx(7 * 568.26125e-6)
    assert (about.openings["hose-bore"].needs_closing, about.jobs["drain"].fluid) == (
        False,
        "water",
    )
    assert about.harder_afters["harder-after"].factor is None
    assert about.temporary_supports["engine-hoist"].at_m == (0.2, -0.1)


def test_every_field_of_every_record_is_asked_for():
    """Nothing that a plan or a page reads can only be said in a file."""
    for table, record in TABLES.items():
        asked = {each.name.partition(".")[0] for each in FORMS[table].blanks}
        assert {each.name for each in fields(record)} - {"id"} == asked, table


def test_the_vehicle_is_renamed_by_its_own_form():
    """Its form asks for what there is, and changes only what was changed."""
    lines = Lines(ABOUT)
    assert texts_of(lines.state, "about", None)["name"] == lines.state.vehicle.about.name
    draft = log(lines, "about", None, name="The black one")
    assert (draft.fields, draft.identity) == ({"name": "The black one"}, ABOUT.about.id)
    assert lines.state.vehicle.about.name == "The black one"


def test_a_job_may_be_the_first_in_its_zone():
    """A zone that is new is described with it; a job without one needs none."""
    lines = Lines(ABOUT)
    log(lines, "jobs", None, name="Brace", kind="brace", zone="Door gap")
    assert lines.state.vehicle.jobs["brace"].zone == "door-gap"
    assert lines.state.vehicle.zones["door-gap"].name == "Door gap"
    log(lines, "jobs", None, name="Survey", kind="survey")
    assert lines.state.vehicle.jobs["survey"].zone is None


def test_a_factor_is_a_number_or_never():
    """What is neither is told beside its field, as is one that would undo time."""
    lines = Lines(ABOUT)
    said = {"job": "part:lid", "after": "part:bar", "why": "no room"}
    for wrong in ("soon", "-2"):
        draft = read_draft(lines.state, "harder_afters", None, {**said, "factor": wrong})
        assert set(draft.faults) == {"factor"}
    draft = read_draft(lines.state, "harder_afters", None, {**said, "factor": "0"})
    assert set(draft.contradictions) == {"factor"}
    log(lines, "harder_afters", None, **said, factor="2.5 times as long")
    assert lines.state.vehicle.harder_afters["no-room"].factor == 2.5


def test_what_is_described_by_mistake_is_taken_back():
    """All that was said of it is struck out; a part that joints rest on is not."""
    lines = Lines(ABOUT)
    log(lines, "obstructions", None, any_of="lid", of="part:bar", why="odd")
    log(lines, "obstructions", "odd", why="odder")
    standing = lines.workshop.standing(CAR)
    taken = take_back(lines.state, standing, "obstructions", "odd")
    assert (len(taken.bodies), taken.missed) == (2, ())
    lines.workshop.log(CAR, taken.bodies, who=ANN, device=PHONE)
    assert "odd" not in lines.state.vehicle.obstructions
    assert take_back(lines.state, standing, "parts", "lid").missed


def test_each_record_is_called_by_what_it_says():
    """Facts have no name of their own."""
    lines = Lines(ABOUT)
    said = {"job": "part:lid", "after": "part:bar", "factor": "2", "why": "x"}
    log(lines, "harder_afters", None, **said)
    log(lines, "befores", None, first="part:lid", then="part:bar", why="y")
    log(lines, "obstructions", None, any_of="lid\nbar", of="part:frame", why="z")
    assert title_of(lines.state, "harder_afters", "x") == "lid after bar: 2 ×"
    assert title_of(lines.state, "befores", "y") == "lid → bar"
    assert title_of(lines.state, "obstructions", "z") == "lid or bar in the way of frame"
    assert title_of(lines.state, "parts", "lid") == "lid"
    assert title_of(lines.state, "parts", "nobody") == "nobody"


def test_there_is_no_form_for_what_is_not_a_table():
    """A table that nobody heard of is refused by name."""
    with pytest.raises(NotFound, match="gearboxes"):
        texts_of(Lines().state, "gearboxes", None)


@given(generated_vehicles(most=8))
def test_a_form_that_nobody_changed_changes_nothing(about):
    """Sent back as it was shown, no field of any record of any vehicle is logged."""
    state = State(CAR, about)
    for table in FORMS:
        for identity in list(records_of(state, table))[:1]:
            draft = read_draft(state, table, identity, texts_of(state, table, identity))
            assert (draft.faults, draft.bodies) == ({}, ())


def test_what_was_left_as_it_was_shown_says_nothing():
    """Of a record that was described otherwise since the form was opened: field by field."""
    lines = Lines(ABOUT)
    shown = texts_of(lines.state, "parts", "lid")
    log(lines, "parts", "lid", mass_kg="9 kg", cautions="sharp")
    draft = read_draft(lines.state, "parts", "lid", {**shown, "crew": "2"}, shown)
    assert (draft.faults, draft.fields) == ({}, {"crew": 2})
    typed = {**shown, "mass_kg": "3 kg", "cautions": "sharp"}
    draft = read_draft(lines.state, "parts", "lid", typed, shown)
    assert list(draft.faults) == ["mass_kg"]  # of the other, both said the same
    assert "“9 kg” since the form was opened" in draft.faults["mass_kg"][0]
    emptied = read_draft(lines.state, "parts", "lid", {"crew": "3"}, {"crew": "2"})
    assert "what stood here was taken out" in emptied.faults["crew"][0]
