"""Looking ahead: what to soak, where the can reaches, and where oil and heat are wrong."""

from dataclasses import replace

import pytest

from putback.planning.ahead import Sort
from putback.planning.ahead.soak import FUEL
from putback.vehicle.opening import Fluid
from putback.vehicle.part import Part, PartKind
from tests.makers import standing, vehicle
from tests.planning.looking_ahead import strip_lines, told
from tests.workshop.lines import Lines

SEIZED = vehicle(
    "drum - hub: 4 bolt M8 x 20; 10 min",
    "lid - hub: 1 clip; 5 min",
    "hub - frame: 4 bolt M8 x 20; 10 min",
    Part("drum", "drum", "here", seize_risk="high"),
    Part("lid", "lid", "here", seize_risk="high"),
    datum="frame",
)


def test_what_is_likely_seized_is_soaked_and_a_clip_is_not():
    """Oil does nothing for a clip, and what nobody fears is left dry."""
    found = strip_lines(SEIZED)
    (line,) = found.of(Sort.SOAK)
    assert (line.what, line.why, line.steps) == (
        "drum-hub",
        "drum: likely seized (high)",
        ("joint:drum-hub",),
    )


@pytest.mark.parametrize("risk", ["", "low"])
def test_a_low_risk_is_no_risk(risk: str):
    """Deleting what is feared deletes the line."""
    parts = {**SEIZED.parts, "drum": replace(SEIZED.parts["drum"], seize_risk=risk)}
    assert told(strip_lines(SEIZED.with_records(parts=parts)), Sort.SOAK) == []


def test_what_was_met_with_is_soaked_whatever_was_feared():
    """A count of stuck fixings, and a finding that says rust."""
    v = vehicle("pump - frame: 4 bolt M8 x 20", "pipe - frame: 1 bolt M8 x 20", datum="frame")
    lines = Lines(v)
    lines("undone pump-frame 2/4 stuck=2")
    lines("found 'rusted solid' pipe")
    found = strip_lines(v, state=lines.state)
    assert {line.what: line.why for line in found.of(Sort.SOAK)} == {
        "pump-frame": "2 of 4 stuck",
        "pipe-frame": "found: rusted solid",
    }


def test_what_is_cracked_first_is_soaked_until_it_is_cracked():
    """The nuts that only the wheels hold still."""
    v = vehicle(
        "drum - frame: 4 bolt M8 x 20; crack in wheels; in stands",
        standing("wheels", "frame", stands=5.0),
        standing("stands", "frame", wheels=5.0),
        datum="frame",
    )
    (line,) = strip_lines(v, standing="wheels").of(Sort.SOAK)
    assert line.why == "to be cracked before it is undone"
    assert line.not_yet == "reached only “stands”"
    assert told(strip_lines(v, standing="wheels", cracked=["drum-frame"]), Sort.SOAK) == []


def test_where_the_can_does_not_reach_is_told_last():
    """What is in the way of the oil is named; what can be soaked now comes first."""
    v = vehicle(
        "pump - frame: 2 bolt M8 x 20; 1 min",
        "tray - frame: 2 bolt M8 x 20; 50 min",
        "cover - frame: 1 clip",
        "cover blocks pump - frame",
        Part("pump", "pump", "here", seize_risk="high"),
        Part("tray", "tray", "here", seize_risk="high"),
        datum="frame",
    )
    lines = strip_lines(v).of(Sort.SOAK)
    assert [(line.what, line.not_yet) for line in lines] == [
        ("tray-frame", ""),
        ("pump-frame", "cover is in the way"),
    ]


@pytest.mark.parametrize(
    ("part", "more", "caution"),
    [
        (Part("x", "x", "here", seize_risk="high", system="fuel"), (), "fuel here"),
        (
            Part("x", "tank", "here", seize_risk="high"),
            (Fluid("f", "paraffin", "x", hazard="flammable vapour"),),
            "fuel here",
        ),
        (Part("x", "drum", "here", seize_risk="high", system="brakes"), (), "no oil on linings"),
        (Part("x", "radius arm bush", "here", seize_risk="high"), (), "rubber here"),
        (Part("x", "hose", "here", seize_risk="high", kind=PartKind.HOSE), (), "rubber here"),
        (Part("x", "wires", "here", seize_risk="high", kind=PartKind.LOOM), (), "wires here"),
        (
            Part("x", "x", "here", seize_risk="high", cautions=("no heat: it is bonded",)),
            (),
            "no heat: it is bonded",
        ),
    ],
)
def test_oil_and_heat_are_warned_of_where_they_are_wrong(part: Part, more, caution: str):
    """Fuel, brakes, rubber and wires, and what the description says itself."""
    v = vehicle("x - frame: 2 bolt M8 x 20", part, *more, datum="frame")
    (line,) = strip_lines(v).of(Sort.SOAK)
    assert any(caution in each for each in line.cautions)
    plain = vehicle(
        "x - frame: 2 bolt M8 x 20", Part("x", "x", "here", seize_risk="high"), datum="frame"
    )
    assert strip_lines(plain).of(Sort.SOAK)[0].cautions == ()


def test_a_caution_ends_with_the_part_it_is_of():
    """Fuel in a pipe between two others that stay: off, it burns nobody at their joint."""
    pipe = Part("pipe", "fuel pipe", "here", cautions=("fuel vapour: no heat",))
    bar = Part("bar", "bar", "here", seize_risk="high")
    v = vehicle("clamp = bar - pipe - frame: 4 bolt M8 x 20", pipe, bar, datum="frame")
    lines = Lines(v)
    (line,) = strip_lines(v, state=lines.state).of(Sort.SOAK)
    assert line.cautions == ("fuel vapour: no heat", FUEL)
    lines("off pipe")
    (line,) = strip_lines(v, state=lines.state).of(Sort.SOAK)
    assert line.cautions == ()
