"""Records to plain values and back, and what is said of plain values that cannot be read."""

import json
from dataclasses import fields

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.vehicle.codec import (
    TABLES,
    RecordFaults,
    from_plain,
    key_field,
    read_fields,
    show,
    to_plain,
)
from putback.vehicle.facts import HarderAfter
from putback.vehicle.fastener import parse
from putback.vehicle.minutes import Minutes
from putback.vehicle.standing import Standing, Zone
from putback.vehicle.vehicle import Vehicle
from tests.makers import joint
from tests.strategies.vehicles import records


@pytest.mark.parametrize("table", TABLES)
@given(st.data())
def test_a_record_survives_json(table: str, data: st.DataObject) -> None:
    """A record goes to plain values, through JSON, and comes back the same."""
    record = data.draw(records(table))
    plain = json.loads(json.dumps(to_plain(table, record)))
    assert from_plain(table, plain) == record


@pytest.mark.parametrize("table", TABLES)
@given(st.data())
def test_fields_read_one_by_one_make_the_record(table: str, data: st.DataObject) -> None:
    """Fields read by themselves are those of the record; what is not said is as usual."""
    record = data.draw(records(table))
    read = read_fields(table, to_plain(table, record))
    assert TABLES[table](**read) == record


def test_tables_are_those_of_the_vehicle() -> None:
    """Each field of a vehicle is a table, in the same order."""
    assert list(TABLES) == [each.name for each in fields(Vehicle)]
    assert {table: key_field(table) for table in TABLES if key_field(table) != "id"} == {
        "runs": "part"
    }


def test_what_is_at_its_default_is_left_out() -> None:
    """A plain record says only what somebody said."""
    assert to_plain("zones", Zone("z", "Zone")) == {"id": "z", "name": "Zone"}
    assert to_plain("standings", Standing("s", "S")) == {"id": "s", "name": "S"}
    plain = to_plain("joints", joint("a - b: 2 nut M8; 10 min"))
    assert plain == {
        "id": "a-b",
        "name": "a-b",
        "parts": ["a", "b"],
        "fixings": [{"id": "a", "count": 2, "stack": [{"spec": "nut M8x1.25"}]}],
        "minutes": {"best": 5.0, "likely": 10.0, "worst": 20.0},
    }


def test_what_can_never_be_done_is_said_in_words() -> None:
    """The factor of a job that cannot be done any more is the word for it, never left out."""
    never = HarderAfter("h", "joint:a", "joint:b", None)
    assert to_plain("harder_afters", never)["factor"] == "never"
    assert from_plain("harder_afters", to_plain("harder_afters", never)) == never
    without = {"id": "h", "job": "joint:a", "after": "joint:b"}
    assert said("harder_afters", without) == ["factor: is missing"]


def test_a_specification_is_read_as_a_person_types_it() -> None:
    """Fasteners in a plain record may be typed; they are written back canonically."""
    plain = {"id": "j", "name": "j", "parts": ["a", "b"]}
    plain["fixings"] = [{"id": "a", "count": 1, "stack": [{"spec": "5/16-24 x 1"}]}]
    read = from_plain("joints", plain)
    assert read.fixings[0].stack[0].spec == parse("bolt 5/16-24 UNF x 1 in")


def said(table: str, plain: object) -> list[str]:
    """What is wrong with a plain record."""
    with pytest.raises(RecordFaults) as caught:
        from_plain(table, plain)
    assert caught.value.table == table
    assert str(caught.value) == "; ".join(map(str, caught.value.faults))
    return list(map(str, caught.value.faults))


JOINT = {"id": "j", "name": "j", "parts": ["a", "b"]}


@pytest.mark.parametrize(
    ("extra", "expected"),
    [
        ({"tol": 1}, "tol: is not a field here; did you mean 'tool'?"),
        ({"qqqq": 1}, "qqqq: is not a field here; leave it out, or say it in a note"),
        (
            {"tightening": {"torque": 3}},
            "tightening.torque: is not a field here; did you mean 'torque_nm'?",
        ),
        ({"tightening": {"torque_nm": "tight"}}, "torque_nm: should be a number, not 'tight'"),
        ({"crew": 1.5}, "crew: should be a whole number, not 1.5"),
        ({"critical": "perhaps"}, "critical: should be true or false, not 'perhaps'"),
        ({"parts": "a"}, "parts: should be a list, not 'a'"),
        ({"minutes": 3}, "minutes: should be a table of its fields, not 3"),
        ({"minutes": {"best": 1}}, "minutes.likely: is missing; minutes.worst: is missing"),
        (
            {"minutes": {"best": -1, "likely": 2, "worst": 3}},
            "minutes: minutes -1.0, 2.0, 3.0 are not in order: give best, likely and worst, "
            "each at least as long as the one before",
        ),
        ({"minutes": {"best": 1, "likely": 2, "worst": float("nan")}}, "counted to, not nan"),
        (
            {"fixings": [{"id": "a", "count": 1, "stack": [{"spec": {"kind": "bolt"}}]}]},
            "fixings[1].stack[1].spec: should be a specification as text, not a table",
        ),
        ({"note": "half \ud800"}, "note: should be text without control characters"),
        ({"crew": 10**30}, "crew: should be a number below 1e+15, not a number of 100 bits"),
        ({"minutes": {"best": 1e300}}, "minutes.best: should be a number below 1e+15, not 1e+300"),
    ],
)
def test_each_fault_says_where_and_what(extra: dict[str, object], expected: str) -> None:
    """A value that cannot be read is named with its place, what is wanted and what is there."""
    assert expected in "; ".join(said("joints", JOINT | extra))


def test_several_faults_are_told_at_once() -> None:
    """All that is wrong with a record is told, not the first thing only."""
    assert len(said("joints", {"id": "j", "tol": 1, "crew": "x", "parts": [1]})) == 4


@pytest.mark.parametrize("identity", ["", " a", "a ", "a\nb", "a" * 81])
def test_an_identity_fits_on_a_tag(identity: str) -> None:
    """Identities are one short line; anything else is a fault."""
    assert said("zones", {"id": identity, "name": "Zone"})[0].startswith("id: should ")


def test_fields_by_themselves_have_faults_by_themselves() -> None:
    """Reading single fields names every one that is unknown, wild or of the wrong type."""
    with pytest.raises(RecordFaults) as caught:
        read_fields("joints", {"nam": 1, "crew": "y", "note": "\x00", "minutes": {"best": 1}})
    assert [fault.where for fault in caught.value.faults] == [
        "nam",
        "crew",
        "note",
        "minutes.likely",
        "minutes.worst",
    ]


def test_single_fields_are_read_as_their_types() -> None:
    """Reading single fields gives domain values, and only those given."""
    read = read_fields("joints", {"minutes": {"best": 1, "likely": 2, "worst": 3}, "crew": 2})
    assert read == {"minutes": Minutes(1, 2, 3), "crew": 2}


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        (True, "true"),
        ("a" * 100, f"'{'a' * 59}..."),
        ({"a": 1}, "a table"),
        ((1, 2), "a list of 2"),
        (1.5, "1.5"),
        (-(10**40), "a number of 133 bits"),
    ],
)
def test_wild_values_are_shown_short(value: object, shown: str) -> None:
    """A value in a message never fills the page."""
    assert show(value) == shown
