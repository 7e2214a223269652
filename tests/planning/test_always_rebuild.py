"""Why one thing goes back before another in every rebuild, and what contradicts itself there."""

from itertools import pairwise

import pytest

from putback.errors import ImpossibleGoal
from putback.planning.rebuild import plan_rebuild
from putback.planning.why import why_before
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
    assert link.words.startswith("put on pump before put on lid (")
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
