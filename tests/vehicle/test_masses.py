"""What things weigh and where they lie, as far as is known, and how surely."""

from statistics import mean, median, stdev

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.vehicle.demo import demo_vehicle
from putback.vehicle.masses import (
    DESCRIBED_PLACE_M,
    DESCRIBED_SHARE,
    GUESSED_SHARE,
    UNKNOWN_PLACE_M,
    USUAL_MASS_KG,
    hefts_of,
)
from putback.vehicle.opening import Fluid
from putback.vehicle.part import Part, PartKind
from putback.vehicle.vehicle import About, Vehicle

SURE = (DESCRIBED_PLACE_M,) * 3


def hefts(*parts: Part, fluids: tuple[Fluid, ...] = ()):
    """The weights of a vehicle of these parts."""
    return hefts_of(
        Vehicle(
            About("v", "v"),
            parts={part.id: part for part in parts},
            fluids={fluid.id: fluid for fluid in fluids},
        )
    )


def test_what_is_described_is_nearly_sure():
    """A share of the mass, and a little of the place."""
    found = hefts(Part("a", "a", "z", mass_kg=40.0, cg_m=(1, 2, 3))).parts["a"]
    assert (found.mass_kg, found.cg_m) == (40.0, (1, 2, 3))
    assert (found.mass_sigma_kg, found.cg_sigma_m) == (DESCRIBED_SHARE * 40, SURE)
    assert not found.guessed
    assert not found.placed


@given(st.lists(st.floats(0.5, 90), min_size=0, max_size=5), st.integers(1, 4))
def test_a_guess_is_the_median_of_three_or_more_and_unsure(known, quantity):
    """Fewer know too little: then what is usual for its kind."""
    parts = [
        Part(f"w{n}", "wheel", "z", kind=PartKind.WHEEL, quantity=2, mass_kg=2 * kg)
        for n, kg in enumerate(known)
    ]
    one = Part("new", "wheel", "z", kind=PartKind.WHEEL, quantity=quantity)
    found = hefts(*parts, one).parts["new"]
    each = median(known) if len(known) >= 3 else USUAL_MASS_KG[PartKind.WHEEL]
    assert found.mass_kg == pytest.approx(each * quantity)
    assert found.mass_sigma_kg == pytest.approx(GUESSED_SHARE * each * quantity)
    assert found.guessed


def test_an_unknown_place_is_as_unsure_as_its_zone_is_wide():
    """Middle and spread of the zone; of the whole vehicle where the zone knows too little."""
    near = [(0.0, -0.5, 0.2), (1.0, 0.5, 0.2), (0.8, 0.1, 0.2)]
    far = [(3.0, 0.0, 1.0)]
    parts = [Part(f"n{n}", "p", "near", cg_m=at) for n, at in enumerate(near)]
    parts += [Part(f"f{n}", "p", "far", cg_m=at) for n, at in enumerate(far)]
    lost = [Part("in near", "p", "near"), Part("in far", "p", "far"), Part("else", "p", "else")]
    found = hefts(*parts, *lost).parts
    assert found["in near"].cg_m == pytest.approx([mean(axis) for axis in zip(*near, strict=True)])
    assert found["in near"].cg_sigma_m == pytest.approx(
        [max(DESCRIBED_PLACE_M, stdev(axis)) for axis in zip(*near, strict=True)]
    )
    everywhere = [stdev(axis) for axis in zip(*near, *far, strict=True)]
    assert found["in far"].cg_m == far[0]
    assert found["in far"].cg_sigma_m == pytest.approx(everywhere)
    assert found["else"].cg_sigma_m == pytest.approx(everywhere)
    assert all(found[part.id].placed for part in lost)


def test_where_nothing_is_known_anything_may_be():
    """No place at all: the origin, and half a metre each way."""
    found = hefts(Part("a", "a", "z", mass_kg=1.0)).parts["a"]
    assert found.cg_m == (0.0, 0.0, 0.0)
    assert found.cg_sigma_m == (UNKNOWN_PLACE_M,) * 3


def test_a_fluid_lies_where_it_is_said_else_in_its_part():
    """As surely as that; in a part that nobody described it is left out."""
    tank = Part("tank", "tank", "z", mass_kg=10.0, cg_m=(2.0, 0.0, 0.5))
    lost = Part("can", "can", "elsewhere", mass_kg=1.0)
    said = Fluid("said", "petrol", "tank", mass_kg=30.0, cg_m=(2.1, 0.0, 0.4))
    held = Fluid("held", "oil", "can", mass_kg=4.0)
    nowhere = Fluid("nowhere", "water", "ghost", mass_kg=4.0)
    found = hefts(tank, lost, fluids=(said, held, nowhere))
    assert found.fluids["said"].cg_sigma_m == SURE
    assert found.fluids["held"].cg_m == found.parts["can"].cg_m
    assert found.fluids["held"].cg_sigma_m == found.parts["can"].cg_sigma_m
    assert found.fluids["held"].placed
    assert set(found.fluids) == {"said", "held"}


def test_all_are_named_as_a_plan_names_them():
    """Parts first, then fluids, each by its reference."""
    vehicle = demo_vehicle()
    names = [ref for ref, _ in hefts_of(vehicle).items()]
    assert names[0] == f"part:{next(iter(vehicle.parts))}"
    assert len(names) == len(vehicle.parts) + len(vehicle.fluids)
