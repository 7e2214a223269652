"""Facts that go round in a ring, along the AND/OR graph of what comes before what."""

from typing import Any

from hypothesis import given

from putback.vehicle.assembly import Assembly
from putback.vehicle.check import check
from putback.vehicle.ids import joint_ref, part_ref
from putback.vehicle.vehicle import Vehicle
from tests.makers import vehicle
from tests.strategies.vehicles import small_vehicles


def rings_of(*said: Any) -> list[str]:
    """The rings in a vehicle on a frame."""
    found = check(vehicle(*said, datum="frame"))
    return [fault.message for fault in found if fault.rule.startswith("ring_")]


def test_an_any_of_with_one_way_out_is_no_ring() -> None:
    """A joint behind a part that waits for it is no fault if another part will do."""
    behind = ("a - frame: 1 nut M8", "b - frame: 1 nut M8")
    assert rings_of(*behind, "b blocks a - frame", "a blocks b - frame") != []
    assert rings_of(*behind, "c - frame", "b or c blocks a - frame", "a blocks b - frame") == []


def test_an_any_of_without_a_way_out_is_a_ring() -> None:
    """A joint behind two parts that both wait for it is named with one of them."""
    found = rings_of(
        "a - frame: 1 nut M8",
        "b - frame: 1 nut M8",
        "c - frame: 1 nut M8",
        "b or c blocks a - frame",
        "a blocks b - frame",
        "a blocks c - frame",
    )
    assert found
    assert all("obstruction 'o1'" in each for each in found)


def test_an_assembly_may_be_the_way_out() -> None:
    """What cannot come apart on the vehicle may come out whole and be parted on the bench."""
    stuck = (
        "a - frame: 1 nut M8",
        "a - b: 1 nut M8",
        "b blocks a - b",
    )
    assert rings_of(*stuck) != []
    assert rings_of(*stuck, Assembly("u", "both", ("a", "b"))) == []


def test_two_rings_are_both_told() -> None:
    """Rings that have nothing to do with each other are told one by one, each once."""
    found = rings_of(
        *(f"{part} - frame: 1 nut M8" for part in "abcd"),
        "a blocks b - frame",
        "b blocks a - frame",
        "c blocks d - frame",
        "d blocks c - frame",
    )
    assert len(found) == 2
    assert "obstruction 'o1'" in found[0]
    assert "obstruction 'o3'" in found[1]


def test_a_fact_of_the_rebuild_may_go_against_the_strip() -> None:
    """First in the strip and last in the rebuild is the usual way, and no fault."""
    two = ("a - frame: 1 nut M8", "b - frame: 1 nut M8", "a before b: said so")
    assert rings_of(*two, "b before a: said so (rebuild)") == []
    found = rings_of(*two[:2], "a blocks b - frame", "a before b - frame: said so (rebuild)")
    assert len(found) == 1
    assert found[0].startswith("in the rebuild, ")


@given(small_vehicles())
def test_rings_are_told_exactly_when_something_can_never_come_off(one: Vehicle) -> None:
    """There is a ring if, and only if, doing whatever can be done leaves something undone."""
    rings = [fault for fault in check(one) if fault.rule == "ring_in_the_strip"]
    assert bool(rings) == bool(left_undone(one)), [*map(str, rings)]


def left_undone(one: Vehicle) -> set[str]:
    """What never gets done when everything that can be done is done, by the plainest means."""
    done: set[str] = set()
    everything = {*map(joint_ref, one.joints), *map(part_ref, one.parts)}
    while True:
        ready = {
            ref
            for ref in everything - done
            if all(
                any(part_ref(part) in done for part in each.any_of)
                for each in one.obstructions.values()
                if each.of == ref
            )
            and all(each.first in done for each in one.befores.values() if each.then == ref)
            and (
                ref.startswith("joint:")
                or all(joint_ref(j) in done for j in one.joints_of[ref.partition(":")[2]])
            )
        }
        if not ready:
            return everything - done
        done |= ready
