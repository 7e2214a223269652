"""What is usually to beware of with a part of which nobody described any."""

from dataclasses import replace

import pytest

from putback.language import reteller
from putback.vehicle.ids import PartId, ZoneId
from putback.vehicle.part import Part, PartKind
from putback.vehicle.usual_cautions import (
    AIRBAG,
    BATTERY,
    BRAKE_FLUID,
    FUEL,
    GAS,
    GLASS,
    LININGS,
    REFRIGERANT,
    SPRING,
    cautions_for,
)


def part(name: str, kind: PartKind = PartKind.PART) -> Part:
    """A part with nothing but a name and a kind."""
    return Part(PartId("p"), name, ZoneId("z"), kind=kind)


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("Fuel tank", FUEL),
        ("Kraftstofftank", FUEL),
        ("Benzinpumpe", FUEL),
        ("Carburettor", FUEL),
        ("Battery", BATTERY),
        ("Windscreen", GLASS),
        ("Heckscheibe", GLASS),
        ("Coil spring, front", SPRING),
        ("Brake drum, rear", LININGS),
        ("Kupplungsscheibe", LININGS),
        ("Brake master cylinder", BRAKE_FLUID),
        ("Bremsleitung", BRAKE_FLUID),
        ("Driver's airbag", AIRBAG),
        ("Bonnet gas strut", GAS),
        ("Air-con compressor", REFRIGERANT),
    ],
)
def test_names_that_speak_of_a_danger_are_told(name, told):
    """In English and German; it says that it is only usual, and reads in German."""
    assert cautions_for(part(name)) == (told,)
    assert "nobody described it" in told
    assert reteller("de").told(told).is_known


@pytest.mark.parametrize(
    "name",
    [
        *("Windscreen wiper motor", "Windscreen rubber", "Bremsscheibe", "Riemenscheibe"),
        *("Battery lead", "Leaf spring hanger", "Brake pedal", "Radiator", "Expansion tank"),
    ],
)
def test_what_only_sounds_like_it_is_not(name):
    """A wiper is no glass, a hanger no spring, a pulley no windscreen."""
    assert cautions_for(part(name)) == ()


def test_kinds_and_fluids_speak_where_names_do_not_and_a_described_caution_is_all_that_is_told():
    """A quarter light by its kind, a keg that holds what burns; not beside what was described."""
    assert cautions_for(part("Light, rear quarter", PartKind.GLASS)) == (GLASS,)
    assert cautions_for(part("Helper", PartKind.SPRING)) == (SPRING,)
    assert cautions_for(part("Keg"), {"p"}) == (FUEL,)
    assert cautions_for(replace(part("Pump, mechanical"), system="fuel")) == (FUEL,)
    assert cautions_for(replace(part("Air cleaner"), system="fuel")) == ()
    described = replace(part("Fuel tank"), cautions=("empty since 1974",))
    assert cautions_for(described) == ("empty since 1974",)
