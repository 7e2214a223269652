"""Poise: what is kept up move by move is what is worked out from scratch."""

from math import inf

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.bench.statics import centre, margin_m
from putback.planning.weight.poise import Footing, Poise, must_add_support
from putback.vehicle.generate import generate
from putback.vehicle.goal import Goal
from putback.vehicle.ids import StandingId
from putback.vehicle.masses import hefts_of
from putback.vehicle.opening import Fluid
from putback.vehicle.part import Part, PartKind
from putback.vehicle.standing import Standing, Support
from putback.vehicle.vehicle import About, Vehicle
from tests.planning.hand_made import table

FOUR = StandingId("four")


def slab(*more: Part, rating_kg: float = 100.0, fluids=()) -> Vehicle:
    """A slab of 60 kg on four stands at the corners of two metres, with two sacks on it."""
    return Vehicle(
        About("slab", "slab"),
        parts=table(
            Part("bed", "bed", "all", kind=PartKind.STRUCTURE, mass_kg=60.0, cg_m=(1, 0, 0.5)),
            Part("fore", "fore", "all", mass_kg=30.0, cg_m=(0.2, 0.0, 1.0)),
            Part("aft", "aft", "all", mass_kg=30.0, cg_m=(1.8, 0.0, 1.0)),
            *more,
        ),
        fluids=table(*fluids),
        standings=table(
            Standing(
                FOUR,
                "on four stands",
                tuple(
                    Support(f"s{place}", "stand", "bed", at, rating_kg)
                    for place, at in enumerate([(0.0, -1.0), (2.0, -1.0), (2.0, 1.0), (0.0, 1.0)])
                ),
            )
        ),
    )


OIL = Fluid("oil", "oil", "aft", mass_kg=20.0, cg_m=(1.8, 0.5, 0.5))


def same(poise: Poise, vehicle: Vehicle, off, out, standing=None) -> None:
    """The poise says what a fresh sum says."""
    hefts = hefts_of(vehicle)
    there = [heft for part, heft in hefts.parts.items() if part not in off]
    there += [
        heft
        for fluid, heft in hefts.fluids.items()
        if fluid not in out and vehicle.fluids[fluid].part not in off
    ]
    mass, at = centre((heft.mass_kg, heft.cg_m) for heft in there)
    assert poise.mass_kg == pytest.approx(mass, abs=1e-6)
    record = vehicle.standings.get(standing)
    supports = [each for each in record.supports if not each.beside] if record else []
    feet = [each.at_m for each in supports if each.bears_on not in off]
    footing = poise.footing(standing)
    if at is None:
        assert poise.cg_m is None
        assert footing == Footing()
    else:
        assert poise.cg_m == pytest.approx(at, abs=1e-6)
        if feet and poise.is_placed:
            assert footing.margin_m == pytest.approx(margin_m(at[:2], feet), abs=1e-6)


@given(st.data())
def test_any_moves_come_to_a_fresh_sum(data):
    """However parts come and go and fluids are let out and in, the sums stay from scratch."""
    vehicle = generate(parts=data.draw(st.integers(3, 25)), seed=data.draw(st.integers(0, 99)))
    poise, off, out = Poise(vehicle), set(), set()
    names = [(True, part) for part in vehicle.parts]
    names += [(False, fluid) for fluid in vehicle.fluids]
    for is_part, name in data.draw(st.lists(st.sampled_from(names), max_size=40)):
        there = data.draw(st.booleans())
        gone = off if is_part else out
        (gone.discard if there else gone.add)(name)
        if is_part:
            (poise.put_on if there else poise.take_off)(name)
        else:
            (poise.fill if there else poise.drain)(name)
    for standing in [None, *vehicle.standings]:
        same(poise, vehicle, off, out, standing)


def test_a_move_done_twice_counts_once():
    """What is off is not taken off again, and what nobody described weighs nothing."""
    vehicle = slab(fluids=(OIL,))
    poise = Poise(vehicle)
    for _ in range(2):
        poise.take_off("fore")
        poise.take_off("nobody")
        poise.drain("oil")
        poise.drain("water")
    same(poise, vehicle, {"fore"}, {"oil"}, FOUR)
    for _ in range(2):
        poise.put_on("fore")
        poise.fill("oil")
    same(poise, vehicle, set(), set(), FOUR)


def test_a_fluid_leaves_with_its_part_and_comes_back_with_it():
    """Oil counts while its tank is on, whichever was logged first."""
    vehicle = slab(fluids=(OIL,))
    poise = Poise(vehicle)
    poise.take_off("aft")
    assert poise.mass_kg == pytest.approx(90.0)
    poise.drain("oil")
    poise.put_on("aft")
    assert poise.mass_kg == pytest.approx(120.0)
    poise.fill("oil")
    assert poise.mass_kg == pytest.approx(140.0)


@given(st.data())
def test_what_a_burden_leaves_is_what_is_left_when_it_is_off(data):
    """Mass and centre without some parts and fluids, before and after these are gone indeed."""
    vehicle = generate(parts=data.draw(st.integers(3, 25)), seed=data.draw(st.integers(0, 99)))
    poise = Poise(vehicle)
    parts = data.draw(st.sets(st.sampled_from(list(vehicle.parts)), max_size=3))
    fluids = [each for each in vehicle.fluids if data.draw(st.booleans())]
    burden = poise.burden(parts, fluids)
    for part in data.draw(st.lists(st.sampled_from(list(vehicle.parts)), max_size=5)):
        poise.take_off(part)
    for fluid in vehicle.fluids:
        if data.draw(st.booleans()):
            poise.drain(fluid)
    told = poise.without(burden)
    if any(not poise.is_on(part) for part in parts):
        assert told is None
        return
    for part in parts:
        poise.take_off(part)
    for fluid in fluids:
        poise.drain(fluid)
    if told is None:
        assert poise.mass_kg < 0.01
    else:
        assert told == pytest.approx((poise.mass_kg, *poise.cg_m[:2]), abs=1e-6)


def test_a_copy_goes_its_own_way():
    """What is tried on the copy leaves the first as it was."""
    first = Poise(slab())
    second = first.copy()
    second.take_off("aft")
    assert (first.mass_kg, second.mass_kg) == (120.0, 90.0)


# -- what counts ------------------------------------------------------------------------------


def test_supports_count_where_their_part_is_on_and_one_with_the_vehicle():
    """Nothing stands on what is off or hangs loose."""
    poise = Poise(slab())
    assert poise.footing(FOUR).margin_m == pytest.approx(1.0)
    loose = poise.footing(FOUR, lambda part: part != "bed")
    assert (loose.margin_m, loose.loads_kg) == (-inf, ())
    poise.take_off("bed")
    assert poise.footing(FOUR).margin_m == -inf
    assert not poise.footing(FOUR).holds(0.1)


def test_nothing_is_said_where_nothing_is_known():
    """Without supports, or without any place described, there is no margin to keep."""
    poise = Poise(slab())
    assert poise.footing(None) == Footing()
    for part in ("bed", "fore", "aft"):
        poise.take_off(part)
    assert poise.footing(FOUR) == Footing()
    nowhere = Vehicle(
        About("v", "v"),
        parts=table(Part("bed", "bed", "all", mass_kg=9.0)),
        standings=slab().standings,
    )
    assert Poise(nowhere).footing(FOUR).holds(9.0)


def test_an_overloaded_support_does_not_hold():
    """A rating is kept as well as the margin."""
    footing = Poise(slab(rating_kg=25.0)).footing(FOUR)
    assert footing.overloaded == ("s0", "s1", "s2", "s3")
    assert footing.margin_m > 0.1
    assert not footing.holds(0.1)


def test_the_anchor_is_the_first_goals_datum_that_is_on():
    """Then the heaviest structure, then the heaviest part."""
    lid = Part("lid", "lid", "all", kind=PartKind.STRUCTURE, mass_kg=80.0)
    goals = table(Goal("g", "g", "fore"), Goal("h", "h", "nobody"))
    poise = Poise(slab(lid).with_records(goals=goals))
    seen = []
    for _ in range(5):
        seen.append(poise.anchor)
        poise.take_off(poise.anchor)
    assert seen == ["fore", "lid", "bed", "aft", None]


# -- when a step must say which support to add ------------------------------------------------


def footing(margin: float | None, *loads: float) -> Footing:
    """A footing by hand; each support is rated for 50 kg."""
    supports = tuple(
        Support(f"s{place}", "stand", "bed", (0, 0), 50.0) for place, _ in enumerate(loads)
    )
    return Footing(supports, margin, loads)


@pytest.mark.parametrize(
    ("before", "after", "entered", "must"),
    [
        (footing(0.3), footing(0.2), False, False),
        (footing(0.3), footing(0.05), False, True),
        (footing(None), footing(0.05), False, True),
        (footing(0.05), footing(0.05), False, False),
        (footing(0.05), footing(0.06), False, False),
        (footing(0.05), footing(0.04), False, True),
        (footing(0.05), footing(-inf), False, True),
        (footing(-inf), footing(-inf), False, False),
        (footing(0.05), footing(0.05), True, True),
        (footing(0.05), footing(None), True, False),
        (footing(0.3, 40), footing(0.3, 60), False, True),
        (footing(0.3, 60), footing(0.3, 61), False, False),
        (footing(0.3, 60, 40), footing(0.3, 60, 60), False, True),
    ],
)
def test_a_step_says_it_when_it_makes_things_worse(before, after, entered, must):
    """A step speaks where it goes under the limit, or further under, or enters it so."""
    assert must_add_support(before, after, 0.1, entered=entered) is must
