"""What would have to be otherwise for a rebuild that contradicts itself: only what was tried."""

from itertools import pairwise

import pytest

from putback.errors import ImpossibleGoal
from putback.planning.posing.fact import Fact, Sort
from putback.planning.rebuild import plan_rebuild
from putback.planning.rebuild.way_out import without
from tests.makers import standing, vehicle
from tests.planning.rebuilding import apart, assert_order

FOUR = tuple(f"{part} - frame" for part in "abcd")


def refused(*said: str, on: str = "abcd", more: tuple[object, ...] = ()):
    """Ask for the rebuild of what is all off, and give the refusal."""
    car = vehicle(*said, *more, datum="frame")
    off = [each for part in on for each in (f"{part}-frame", part)]
    with pytest.raises(ImpossibleGoal) as told:
        plan_rebuild(car, apart(car, *off))
    return car, told.value


def fact_of(car, first: str, then: str) -> str:
    """Give the identity of what says so."""
    return next(
        each.id
        for each in car.befores.values()
        if (each.first, each.then) == (f"part:{first}", f"part:{then}")
    )


def test_either_fact_of_a_ring_frees_it():
    """Two against one another: without either there is an order."""
    car, told = refused(*FOUR, "a before b: one (rebuild)", "b before a: other (rebuild)")
    ab, ba = fact_of(car, "a", "b"), fact_of(car, "b", "a")
    assert sorted(told.changes) == sorted(
        (
            f"b did not have to wait for a (before {ab})",
            f"a did not have to wait for b (before {ba})",
        )
    )
    assert "it could be, if one of these were so:" in str(told)


def test_what_leaves_another_ring_is_not_told():
    """Both rings go through the first fact; without one of the others the other ring stays."""
    rings = ("a before b", "b before a", "b before c", "c before a")
    car, told = refused(*FOUR, *(f"{each}: so (rebuild)" for each in rings))
    assert told.changes == (f"b did not have to wait for a (before {fact_of(car, 'a', 'b')})",)


def test_two_facts_at_once_free_two_rings():
    """Rings that have nothing in common: no one fact is enough, one of each is."""
    rings = ("a before b", "b before a", "c before d", "d before c")
    _, told = refused(*FOUR, *(f"{each}: so (rebuild)" for each in rings))
    (change,) = told.changes
    one, other = change.split("; and ")
    assert "did not have to wait for" in one
    assert "did not have to wait for" in other
    assert {one.split()[0], other.split()[0]} in [set(pair) for pair in ("ac", "ad", "bc", "bd")]


def test_what_is_in_the_way_is_said_of_going_on():
    """The cover has to be on before the pump, which would not go on past it."""
    car, told = refused(
        "a - frame",
        "b - frame",
        "a blocks b: no room",
        "a before b: it carries it (rebuild)",
        on="ab",
    )
    (blocks,) = car.obstructions
    assert f"b could go on without a off first (obstruction {blocks})" in told.changes
    assert f"b did not have to wait for a (before {fact_of(car, 'a', 'b')})" in told.changes


def test_a_joint_may_not_hold_what_it_is_said_to():
    """The pump's bolts go in before the cover, and are said to hold the cover as well."""
    bolts = "j = b - a - frame"
    car = vehicle("a - frame", bolts, "j before a: one gets at it (rebuild)", datum="frame")
    with pytest.raises(ImpossibleGoal) as told:
        plan_rebuild(car, apart(car, "j", "b", "a-frame", "a"))
    (before,) = car.befores
    wait = f"a did not have to wait for j (before {before})"
    assert sorted(told.value.changes) == [wait, "j did not hold a"]
    freed = without(car, [Fact(Sort.HOLDS, "j", "a")])
    assert freed.joints["j"].parts == ("b", "frame")
    assert_order(plan_rebuild(freed, apart(freed, "j", "b", "a-frame", "a")), "make j", "put on a")


def test_a_longer_ring_is_freed_by_each_of_its_facts():
    """Each told way out leads to an order, and all of them are told."""
    ring = list(pairwise("abcda"))
    car, told = refused(*FOUR, *(f"{one} before {two}: so (rebuild)" for one, two in ring))
    assert len(told.changes) == len(ring)
    for each in car.befores:
        freed = without(car, [Fact(Sort.BEFORE, each)])
        off = [each for part in "abcd" for each in (f"{part}-frame", part)]
        assert plan_rebuild(freed, apart(freed, *off)).steps


def test_what_only_a_standing_that_wants_it_off_allows_may_be_done_elsewhere():
    """The lid is made fast in a pit that needs the pump off, but the pump comes first."""
    lid = "a - frame; in pit"
    pit = standing("pit", "frame", needs_off=("b",), floor=5.0)
    more = (pit, standing("floor", "frame", pit=5.0))
    _, told = refused(lid, "b - frame", "b before a: so (rebuild)", on="ab", more=more)
    assert "a-frame could be done in another standing" in told.changes
