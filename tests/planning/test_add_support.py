"""Which support to add: a known place, else under a part that carries, else the place alone."""

from dataclasses import replace

import pytest

from putback.planning.weight.add_support import place_words, support_to_add
from putback.planning.weight.poise import Poise, counts_all
from putback.vehicle.ids import StandingId
from putback.vehicle.part import Part, PartKind
from putback.vehicle.standing import Standing, Support
from putback.vehicle.vehicle import About, Vehicle
from tests.planning.hand_made import table

SHORT, LONG = StandingId("short"), StandingId("long")
BED = ((0.0, -0.5), (3.0, -0.5), (3.0, 0.5), (0.0, 0.5))


def stands(identity: str, *xs: float, rating_kg: float = 900.0) -> Standing:
    """Stands left and right under the bed."""
    places = [(x, side) for x in xs for side in (-0.5, 0.5)]
    supports = tuple(
        Support(f"{identity}{number}", "stand", "bed", at, rating_kg)
        for number, at in enumerate(places)
    )
    return Standing(identity, identity, supports)


def tail_heavy(*standings: Standing, outline=BED) -> Vehicle:
    """A bed whose weight lies at 1.5 m, and stands at 0 and 1.55 m."""
    return Vehicle(
        About("v", "v"),
        parts=table(
            Part(
                "bed",
                "bed",
                "all",
                kind=PartKind.STRUCTURE,
                mass_kg=100.0,
                cg_m=(1.5, 0.0, 0.5),
                outline_plan=outline,
            )
        ),
        standings=table(stands(SHORT, 0.0, 1.55), *standings),
    )


def added(vehicle: Vehicle, standing=SHORT, one_with=counts_all, least=0.1):
    """Ask for a support."""
    return support_to_add(Poise(vehicle), standing, one_with, least)


def holds_with(vehicle: Vehicle, found) -> bool:
    """Whether the vehicle stands well on what there is and what was added."""
    more = [Support("new", "stand", "bed", each.at_m) for each in found.supports]
    return Poise(vehicle).footing(SHORT, counts_all, *more).holds(0.1)


def test_where_it_stands_well_nothing_is_added():
    """A margin that is kept needs no support."""
    assert added(tail_heavy(stands(LONG, 0.0, 3.0)), LONG) is None


def test_a_known_place_comes_first():
    """Where another standing puts a stand, and it helps, that is where to put it."""
    vehicle = tail_heavy(stands(LONG, 0.0, 2.5))
    found = added(vehicle)
    assert [each.place_of for each in found.supports] == ["long2"]
    assert found.supports[0].at_m == (2.5, -0.5)
    assert found.margin_now_m == pytest.approx(0.05)
    assert holds_with(vehicle, found)
    assert found.words == (
        "add a stand under bed 2.50 m behind the front axle, 0.50 m to the left: its weight would"
        f" be 0.05 m inside the supports; with it {found.margin_then_m:.2f} m inside"
    )


def test_places_of_a_wrong_standing_are_not_used():
    """Nobody is sent to a place that is marked as wrong."""
    vehicle = tail_heavy(replace(stands(LONG, 0.0, 2.5), wrong=True))
    assert added(vehicle).supports[0].place_of is None


def test_else_it_stands_along_the_edge_of_a_part_that_carries():
    """With no place known, a place under the bed that restores the limit is found."""
    vehicle = tail_heavy()
    found = added(vehicle)
    assert found.supports[0].part == "bed"
    assert found.supports[0].place_of is None
    assert 0 <= found.supports[0].at_m[0] <= 3
    assert holds_with(vehicle, found)


def test_what_carries_supports_comes_before_other_structure():
    """A body on a frame reaches further, and would give more; it is not made to stand on."""
    vehicle = tail_heavy()
    reach = ((0.0, -0.9), (4.0, -0.9), (4.0, 0.9), (0.0, 0.9))
    body = Part("body", "body", "all", kind=PartKind.STRUCTURE, mass_kg=0.0, outline_plan=reach)
    vehicle = vehicle.with_records(parts=table(*vehicle.parts.values(), body))
    assert [each.part for each in added(vehicle).supports] == ["bed"]
    short = replace(vehicle.parts["bed"], outline_plan=BED[:1])
    vehicle = vehicle.with_records(parts=table(short, body))
    assert [each.part for each in added(vehicle).supports] == ["body"]


def test_else_the_place_alone_is_said():
    """With no outline known, a person is told to find a sound member there."""
    vehicle = tail_heavy(outline=())
    found = added(vehicle)
    assert found.supports[0].part is None
    assert "find a sound member there" in found.words
    assert holds_with(vehicle, found)


def test_the_weight_outside_the_supports_is_told_so():
    """Beyond the edge the words say outside."""
    vehicle = tail_heavy()
    beyond = replace(vehicle.parts["bed"], cg_m=(1.65, 0.0, 0.5))
    found = added(vehicle.with_records(parts=table(beyond)))
    assert "0.10 m outside the supports" in found.words


def test_two_supports_where_one_is_not_enough():
    """On two feet in a line, one more at a side may do; far beyond, it takes two."""
    vehicle = tail_heavy(stands(LONG, 0.0, 2.2))
    heavy = replace(vehicle.parts["bed"], cg_m=(2.0, 0.0, 0.5))
    vehicle = vehicle.with_records(parts=table(heavy))
    found = added(vehicle, least=0.15)
    assert [each.place_of for each in found.supports] == ["long2", "long3"]
    assert found.words == (
        "add a stand on each side under bed 2.20 m behind the front axle, 0.50 m from the middle:"
        f" its weight would be 0.45 m outside the supports; with them {found.margin_then_m:.2f} m"
        " inside"
    )


def test_a_place_is_looked_for_along_the_sides_only():
    """Across the end of a frame there may be air: both places are under its sides."""
    narrow = ((0.0, -0.2), (3.0, -0.2), (3.0, 0.2), (0.0, 0.2))
    found = added(tail_heavy(outline=narrow))
    assert found.supports
    assert all(0.15 <= abs(each.at_m[1]) <= 0.2 for each in found.supports)


def test_an_overloaded_support_is_relieved():
    """A rating that is not kept asks for a support too."""
    vehicle = tail_heavy()
    vehicle = vehicle.with_records(standings=table(stands(SHORT, 0.0, 2.4, rating_kg=30.0)))
    found = added(vehicle)
    assert "long" not in found.words
    at = "2.40 m behind the front axle, 0.50 m to the"
    assert f": the stand under bed {at} left would carry 31 kg, rated for 30 and " in found.words
    assert f" and the stand under bed {at} right would carry 31 kg, rated for 30;" in found.words
    assert found.supports


def test_supports_that_are_all_too_weak_are_told():
    """Where one or two more do not help, stronger ones are asked for."""
    vehicle = tail_heavy()
    vehicle = vehicle.with_records(standings=table(stands(SHORT, 0.0, 2.4, rating_kg=2.0)))
    found = added(vehicle)
    assert found.supports == ()
    assert found.words.startswith(
        "set stronger supports, or more: the stand under bed 0.00 m behind the front axle, "
        "0.50 m to the left would carry 19 kg"
    )


def test_where_nothing_is_one_with_the_vehicle_a_person_is_told():
    """Loose supports are named as the trouble, and no place is made up."""
    found = added(tail_heavy(), one_with=lambda part: False)
    assert found.supports == ()
    assert found.words.startswith("stand it otherwise: nothing that it would stand on")


@pytest.mark.parametrize(
    ("at", "words"),
    [
        ((0.0, 0.0), "0.00 m behind the front axle, in the middle"),
        ((-0.25, -0.3), "0.25 m before the front axle, 0.30 m to the left"),
    ],
)
def test_a_place_is_said_so_that_it_can_be_measured(at, words):
    """From the front axle along, from the middle across."""
    assert place_words(at) == words
