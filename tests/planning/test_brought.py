"""What a step brings with it, against a graph searched in the plainest way."""

import networkx as nx
from hypothesis import given
from hypothesis import strategies as st

from putback.planning.bits import bits, numbers_in
from putback.planning.stretch.brought import Brought
from putback.planning.stretch.needs import Needs

STEPS = 9


def earlier(at: int):
    """Some of the steps before one."""
    return st.frozensets(st.integers(0, at - 1), max_size=4) if at else st.just(frozenset())


MUST = st.tuples(*map(earlier, range(STEPS)))
EITHER = st.tuples(
    *(st.lists(earlier(at).filter(lambda c: len(c) != 1), max_size=2) for at in range(STEPS))
)
ALONG = st.lists(
    st.frozensets(st.integers(0, STEPS - 1), max_size=1), min_size=STEPS, max_size=STEPS
)
SOME = st.frozensets(st.integers(0, STEPS - 1), max_size=3)


def brought(must, either, along, barred=frozenset(), work=None) -> Brought:
    """Read needs in which no step of ``barred`` can be done."""
    needs = Needs(tuple(map(bits, must)), tuple(map(tuple, either)), tuple(along))
    return Brought(needs, work or [1.0] * STEPS, lambda at: at not in barred)


@given(st.frozensets(st.integers(0, 5000)))
def test_a_set_of_steps_is_bits_and_back(steps):
    """The earliest first."""
    assert list(numbers_in(bits(steps))) == sorted(steps)


@given(MUST, ALONG, SOME, SOME)
def test_without_a_choice_it_is_what_the_graph_leads_to(must, along, wanted, barred):
    """As networkx has it; nothing, where a step that cannot be done is among it."""
    graph = nx.DiGraph()
    graph.add_nodes_from(range(STEPS))
    for at in range(STEPS):
        graph.add_edges_from((at, each) for each in must[at] | along[at])
    all_of_it = set(wanted).union(*(nx.descendants(graph, each) for each in wanted))
    found = brought(must, [[]] * STEPS, along, barred).by(wanted)
    assert found == (None if all_of_it & barred else all_of_it)


@given(MUST, EITHER, ALONG, SOME, SOME)
def test_of_each_choice_one_is_taken_that_can_be_done(must, either, along, wanted, barred):
    """The set is closed; where there is none, a choice has nothing left or a step is barred."""
    found = brought(must, either, along, barred).by(wanted)
    if found is not None:
        assert wanted <= found
        assert not found & barred
        for at in found:
            assert must[at] | along[at] <= found
            assert all(clause & found for clause in either[at])
    else:
        assert barred or any(frozenset() in clauses for clauses in either)


@given(MUST, EITHER, ALONG, SOME, st.lists(st.integers(0, 4), min_size=STEPS, max_size=STEPS))
def test_what_takes_too_long_is_not_looked_at_further(must, either, along, wanted, work):
    """To the minute."""
    asked = brought(must, either, along, work=work)
    found = asked.by(wanted)
    if found:
        minutes = sum(work[at] for at in found)
        assert asked.by(wanted, minutes) == found
        assert asked.by(wanted, minutes - 0.5) is None
