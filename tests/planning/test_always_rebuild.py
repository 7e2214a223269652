"""Why one thing goes back before another in every rebuild, and what contradicts itself there."""

from dataclasses import replace
from itertools import pairwise

import pytest

from putback.errors import ImpossibleGoal
from putback.planning.check import check_rebuild
from putback.planning.plan import Action
from putback.planning.rebuild import plan_rebuild
from putback.planning.why import why_before, why_not_next
from putback.vehicle.facts import Before, Phase
from tests.makers import vehicle
from tests.planning.rebuilding import apart

PUMP = (
    "lid - frame",
    "hose - frame",
    "pump - frame",
    "lid blocks pump: over it",
    "pump before hose: it drips (rebuild)",
)


def asked(v, state, first, then):
    """What is said of two things that go back."""
    return why_before(v, state, plan_rebuild(v, state), None, first, then)


def all_apart(v):
    """Everything off, the last named first."""
    return apart(v, "lid-frame", "lid", "hose-frame", "hose", "pump-frame", "pump")


def test_the_shortest_chain_of_a_rebuild_is_told():
    """The lid would be in the pump's way, so the pump goes back first, and only for that."""
    v = vehicle(*PUMP)
    said = asked(v, all_apart(v), "part:pump", "part:lid")
    (link,) = said.always.chain
    assert link.words.startswith("“pump” goes on before “lid” goes on (")
    assert "over it" in link.words
    assert said.always.shortest
    assert len(said.always.change) == 1
    assert asked(v, all_apart(v), "part:lid", "part:pump").never is not None


def test_what_nothing_puts_first_is_free():
    """Lid and hose have nothing to do with one another."""
    v = vehicle(*PUMP)
    said = asked(v, all_apart(v), "part:hose", "part:lid")
    assert (said.always, said.never) == (None, None)


@pytest.mark.parametrize("more", [0, 3])
def test_the_smallest_ring_of_facts_is_told(more):
    """Two facts against one another are told, not the longer ring beside them."""
    parts = "abcdef"[: 2 + more]
    v = vehicle(*(f"{part} - frame" for part in parts))
    ring = [*parts, parts[0]]
    facts = [("a", "b"), ("b", "a"), *pairwise(ring)]
    v = v.with_records(
        befores={
            f"b{n}": Before(f"b{n}", f"part:{one}", f"part:{two}", f"so {n}", Phase.REBUILD)
            for n, (one, two) in enumerate(facts)
        }
    )
    order = [each for part in parts for each in (f"{part}-frame", part)]
    with pytest.raises(ImpossibleGoal) as refused:
        plan_rebuild(v, apart(v, *order))
    assert refused.value.smallest
    assert len(refused.value.reasons) == 2


# -- what of cost, and what could be next -------------------------------------------------------


def test_what_the_other_order_of_a_rebuild_costs_is_told():
    """The front begins; a rear part before the last of the front costs one walk more."""
    names = [f"{zone[0]}{n}" for zone in ("front", "rear") for n in range(3)]
    zones = {"f": "front", "r": "rear"}
    first = (f"f0 before r{n}: so (rebuild)" for n in range(3))
    v = vehicle(*(f"{each} - frame; zone {zones[each[0]]}; 5 min" for each in names), *first)
    v = replace(
        v, parts={each.id: replace(each, zone=zones.get(each.id[0])) for each in v.parts.values()}
    )
    state = apart(v, *(each for name in names[::-1] for each in (f"{name}-frame", name)))
    plan = plan_rebuild(v, state)
    said = why_before(v, state, plan, None, "part:f2", "part:r2")
    assert (said.always, said.never, said.together) == (None, None, ())
    other = said.other
    places = [step.what for step in other.plan.steps if step.action is Action.PUT_ON]
    assert places.index("part:r2") < places.index("part:f2")
    assert other.longer_minutes == other.plan.total_minutes - plan.total_minutes
    assert other.longer_minutes == other.more.zone_minutes == 5.0
    assert check_rebuild(v, state, other.plan) == ()


def test_what_could_be_next_only_if_facts_were_otherwise():
    """The lid waits for the pump, by one fact; the pump waits for nothing."""
    v = vehicle(*PUMP)
    state = all_apart(v)
    (words,) = why_not_next(v, state, None, "part:lid")
    assert words.startswith("it were not so that ")
    assert "over it" in words
    assert why_not_next(v, state, None, "part:pump") == ()
    free = v.with_records(obstructions={})
    assert why_not_next(free, replace(state, vehicle=free), None, "part:lid") == ()


def test_no_fewer_facts_would_let_it_go_back_first():
    """Two facts hold it up: either alone changes nothing, both together free it."""
    v = vehicle(
        "lid - frame",
        "hose - frame",
        "pump - frame",
        "pump before lid: it drips (rebuild)",
        "hose before lid: it chafes (rebuild)",
    )
    state = all_apart(v)
    assert len(why_not_next(v, state, None, "part:lid")) == 2
    for kept in v.befores.values():
        less = v.with_records(befores={kept.id: kept})
        (words,) = why_not_next(less, replace(state, vehicle=less), None, "part:lid")
        assert kept.why in words


def test_what_is_not_in_the_rebuild_cannot_be_next():
    """The frame never came off."""
    v = vehicle(*PUMP)
    assert why_not_next(v, all_apart(v), None, "part:frame") == ()
