"""Balance: sums of what is on, guesses that are flagged, supports that hold it or do not."""

from dataclasses import replace

import pytest

from putback.logbook.state import Weighing
from putback.planning.balance import Balance, SupportLoad, balance, balance_of
from putback.planning.weight.poise import Footing
from putback.vehicle.ids import StandingId, SupportId
from putback.vehicle.masses import USUAL_MASS_KG
from putback.vehicle.opening import Fluid
from putback.vehicle.part import Part, PartKind
from putback.vehicle.standing import Standing, Support
from putback.vehicle.vehicle import About, Vehicle
from tests.planning.hand_made import said, state_of, table

SQUARE = [(0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0)]


def cart(*more: Part, fluids=()) -> Vehicle:
    """A cart of three known weights on a wheelbase of two metres."""
    return Vehicle(
        About("cart", "cart", wheelbase_m=2.0),
        parts=table(
            Part("bed", "bed", "middle", mass_kg=60.0, cg_m=(1.0, 0.0, 0.5)),
            Part("box", "box", "front", mass_kg=30.0, cg_m=(0.0, 0.2, 1.0)),
            Part("keg", "keg", "back", mass_kg=10.0, cg_m=(2.0, -0.6, 1.0)),
            *more,
        ),
        fluids=table(*fluids),
        standings=table(
            Standing(
                StandingId("four"),
                "on four stands",
                tuple(
                    Support(f"s{place}", "stand", "bed", (x, y - 1.0), rating_kg=30.0)
                    for place, (x, y) in enumerate(SQUARE)
                ),
            )
        ),
    )


def test_everything_on_is_added_up():
    """Mass, centre of gravity and axle share are those found with pencil and paper."""
    found = balance(cart(), state_of(cart()))
    assert found.mass_kg == 100.0
    assert found.cg_m == pytest.approx((0.8, 0.0, 0.7))
    assert found.front_share == pytest.approx(0.6)
    assert (found.margin_m, found.loads) == (None, ())


def test_what_is_off_weighs_nothing():
    """A part that is off leaves the sum, and the rest moves the centre."""
    found = balance(cart(), state_of(cart(), off=("box",)))
    assert found.mass_kg == 70.0
    assert found.cg_m[0] == pytest.approx((60 + 20) / 70)


def test_a_vehicle_of_nothing_has_no_centre():
    """With everything off there is no point to balance, and nothing to hold."""
    vehicle = cart()
    state = state_of(vehicle, off=("bed", "box", "keg"))
    found = balance(vehicle, state, StandingId("four"))
    assert (found.mass_kg, found.cg_m, found.front_share) == (0.0, None, None)
    assert (found.margin_m, found.loads) == (None, ())


def test_without_a_wheelbase_there_is_no_axle_share():
    """Nobody can say what the front axle carries if nobody said where the rear one is."""
    vehicle = cart()
    vehicle = vehicle.with_records(about=replace(vehicle.about, wheelbase_m=None))
    assert balance(vehicle, state_of(vehicle)).front_share is None


def test_stands_and_margin_of_a_standing():
    """The stands share the weight, and the margin is the way to the nearest edge."""
    found = balance(cart(), state_of(cart()), StandingId("four"))
    assert found.margin_m == pytest.approx(0.8)
    assert [each.load_kg for each in found.loads] == pytest.approx([30, 20, 20, 30])
    assert sum(each.load_kg for each in found.loads) == pytest.approx(100)


def test_an_overloaded_stand_is_named():
    """A stand that carries more than its rating is in the list; one without a rating is not."""
    vehicle = cart(Part("sack", "sack", "front", mass_kg=1.0, cg_m=(0.0, -0.2, 1.0)))
    found = balance(vehicle, state_of(vehicle), StandingId("four"))
    assert found.overloaded == ("s0", "s3")
    unrated = replace(found.loads[0], rating_kg=None)
    assert replace(found, loads=(unrated, *found.loads[1:])).overloaded == ("s3",)


def test_rounding_overloads_nothing():
    """A stand that carries just what it may is in no list, whoever asks: plan or balance."""
    rating_kg = 0.1 + 0.2
    load = SupportLoad(SupportId("s0"), rating_kg, 0.3)
    assert load.load_kg > load.rating_kg
    assert Balance(1.0, None, loads=(load,)).overloaded == ()
    stand = Support("s0", "stand", "box", (0.0, 0.0), rating_kg=0.3)
    assert Footing((stand,), 1.0, (rating_kg,)).overloaded == ()
    more = replace(load, load_kg=0.3001)
    assert Balance(1.0, None, loads=(more,)).overloaded == ("s0",)


def test_what_stands_beside_carries_nothing():
    """A trolley beside the vehicle is no foot of it."""
    vehicle = cart()
    four = vehicle.standings["four"]
    trolley = Support("t", "trolley", "box", (9.0, 9.0), beside=True)
    both = replace(four, id="both", supports=(*four.supports, trolley))
    only = replace(four, id="only", supports=(trolley,))
    vehicle = vehicle.with_records(standings=table(four, both, only))
    assert balance_of(vehicle, (), (), "both") == balance_of(vehicle, (), (), "four")
    assert balance_of(vehicle, (), (), "only").margin_m is None


# -- fluids -----------------------------------------------------------------------------------


FUEL = Fluid("fuel", "fuel", "keg", mass_kg=20.0, cg_m=(2.0, 0.0, 0.5), drained_by="drain")


def test_a_fluid_weighs_until_it_is_out_or_its_part_is_off():
    """Fuel counts while it is in a tank that is on."""
    vehicle = cart(fluids=(FUEL,))
    assert balance(vehicle, state_of(vehicle)).mass_kg == 120.0
    assert balance(vehicle, state_of(vehicle, off=("keg",))).mass_kg == 90.0
    assert balance(vehicle, state_of(vehicle, done=("drain",))).mass_kg == 100.0


def test_a_fluid_lies_in_its_part_unless_somebody_says_where():
    """Without a point of its own it is where its tank is."""
    vehicle = cart(fluids=(replace(FUEL, cg_m=None),))
    found = balance(vehicle, state_of(vehicle))
    assert found.cg_m[1] == pytest.approx((30 * 0.2 - 10 * 0.6 - 20 * 0.6) / 120)


def test_a_fluid_in_a_part_that_nobody_described_is_left_out():
    """What is in something unknown has no place."""
    vehicle = cart(fluids=(replace(FUEL, part="jug"),))
    assert balance(vehicle, state_of(vehicle)).mass_kg == 100.0


# -- what nobody knows ------------------------------------------------------------------------


def test_an_unknown_mass_is_guessed_by_kind_and_flagged():
    """With nothing to compare it with, a pair of wheels weighs twice the usual wheel."""
    wheels = Part("pair", "wheels", "back", kind=PartKind.WHEEL, quantity=2, cg_m=(2.0, 0.0, 0.3))
    vehicle = cart(wheels)
    found = balance(vehicle, state_of(vehicle))
    assert found.mass_kg == 100 + 2 * USUAL_MASS_KG[PartKind.WHEEL]
    assert (found.guessed, found.placed) == (("pair",), ())
    assert balance(vehicle, state_of(vehicle, off=("pair",))).guessed == ()


def test_the_vehicles_own_parts_are_the_better_guess():
    """Three known of a kind, and an unknown one weighs as their median, each for each."""
    known = [
        Part(f"w{kg}", "wheel", "back", kind=PartKind.WHEEL, quantity=2, mass_kg=2.0 * kg)
        for kg in (9, 11, 40)
    ]
    vehicle = cart(*known, Part("new", "wheel", "back", kind=PartKind.WHEEL))
    assert balance(vehicle, state_of(vehicle)).mass_kg == 100 + 18 + 22 + 80 + 11


def test_every_kind_has_a_usual_mass():
    """No kind of part is without a guess."""
    assert set(USUAL_MASS_KG) == set(PartKind)
    assert min(USUAL_MASS_KG.values()) > 0


def test_an_unknown_place_is_the_middle_of_its_zone_and_flagged():
    """A part without a point lies among its neighbours, else in the middle of the vehicle."""
    near = Part("lid", "lid", "front", mass_kg=50.0)
    far = Part("bag", "bag", "roof", mass_kg=50.0)
    vehicle = cart(near, far, Part("string", "string", "roof", mass_kg=0.0))
    found = balance(vehicle, state_of(vehicle))
    assert found.placed == ("lid", "bag")
    middle = 1.0  # of the three known points
    assert found.cg_m[0] == pytest.approx((60 + 20 + 0 * 50 + middle * 50) / 200)


def test_where_no_place_is_known_no_centre_of_gravity_is_made_up():
    """One nameless weight lies nobody knows where; its mass is told, and a weighing tells more."""
    vehicle = Vehicle(About("lump", "lump"), parts=table(Part("lump", "lump", "?", mass_kg=5.0)))
    found = balance(vehicle, state_of(vehicle))
    assert (found.mass_kg, found.placed) == (5.0, ("lump",))
    assert (found.cg_m, found.cg_sigma_m, found.front_share) == (None, None, None)
    axles = Weighing(said(), {"front axle": 3.0, "rear axle": 2.0}, uncertainty_kg=0.1)
    assert balance(vehicle, state_of(vehicle, weighings=(axles,))).cg_m is None
    long = replace(vehicle, about=replace(vehicle.about, wheelbase_m=1.0))
    found = balance(long, state_of(long, weighings=(axles,)))
    assert found.cg_m[0] == pytest.approx(0.4, abs=0.01)
