"""The fewest facts that shut a node out, and the fewest without which it is free: exactly."""

from itertools import combinations

import networkx
from hypothesis import given
from hypothesis import strategies as st

from putback.planning.impossible.andor import Graph, any_proof, smallest_change, smallest_proof
from putback.planning.impossible.hitting import smallest_hitting_set
from putback.planning.posing.fact import Fact, Sort

FACTS = [Fact(Sort.BEFORE, f"b{n}") for n in range(8)]


def graph_of(demands) -> Graph:
    """A graph of eight nodes from what each demands: ways and facts."""
    graph = Graph()
    for _ in range(8):
        graph.add()
    for node, ways, facts in demands:
        graph.demand(node, ways, *(FACTS[n] for n in facts))
    return graph


NODE = st.integers(0, 7)
FACT = st.integers(0, 7)
DEMANDS = st.lists(
    st.tuples(NODE, st.lists(NODE, max_size=3), st.lists(FACT, max_size=2, unique=True)),
    max_size=12,
)


@given(st.lists(st.tuples(NODE, NODE), unique=True, max_size=20))
def test_without_choices_the_smallest_proof_is_the_shortest_path(pairs):
    """Each fact puts one node before another: networkx finds the same length, or no path."""
    graph, plain = Graph(), networkx.DiGraph()
    plain.add_nodes_from(range(8))
    for _ in range(8):
        graph.add()
    for n, (node, way) in enumerate(pairs):
        if node < way:  # no circles, which would shut a node out without any path
            graph.demand(node, (way,), Fact(Sort.BEFORE, f"{n}"))
            plain.add_edge(node, way)
    proof = smallest_proof(graph, 0, never=(7,))
    if proof is None:
        assert not networkx.has_path(plain, 0, 7)
        return
    assert proof.smallest
    assert len(proof.facts) == networkx.shortest_path_length(plain, 0, 7)
    change = smallest_change(graph, 0, never=(7,))
    assert len(change.facts) == networkx.edge_connectivity(plain, 0, 7)


def shut(graph: Graph, facts) -> bool:
    """Whether node 0 cannot be done without node 7 where only these facts are so."""
    only = set(facts)
    done = set()
    while fresh := {
        node
        for node, demands in enumerate(graph.demands)
        if node not in done
        and node != 7
        and all(done & set(d.any_of) or not only.issuperset(d.facts) for d in demands)
    }:
        done |= fresh
    return 0 not in done


@given(DEMANDS)
def test_no_fewer_facts_prove_it_and_no_fewer_free_it(demands):
    """All sets of facts are tried, smallest first, choices and circles included."""
    graph = graph_of(demands)
    sets = [set(each) for size in range(9) for each in combinations(FACTS, size)]
    proof = smallest_proof(graph, 0, never=(7,))
    if proof is None:
        assert not shut(graph, FACTS)
        assert any_proof(graph, 0, never=(7,)) is None
        return
    assert proof.smallest
    assert shut(graph, proof.facts)
    assert len(proof.facts) == min(len(each) for each in sets if shut(graph, each))
    assert shut(graph, any_proof(graph, 0, never=(7,)).facts)
    change = smallest_change(graph, 0, never=(7,))
    enough = [len(each) for each in sets if not shut(graph, set(FACTS) - each)]
    if change is None:
        assert not enough
        return
    assert not shut(graph, set(FACTS) - change.facts)
    assert (len(change.facts), change.smallest) == (min(enough), True)


@given(DEMANDS)
def test_what_every_way_contains_is_what_it_cannot_do_without(demands):
    """A node is unavoidable for another just where the other cannot be done without it."""
    graph = graph_of(demands)
    if 0 in graph.possible():
        needed = {each for each in range(8) if 0 not in graph.possible(never=(each,))}
        assert graph.unavoidable(0) == needed
    else:
        assert graph.unavoidable(0) == set()


@given(st.lists(st.sets(st.sampled_from(FACTS), min_size=1), max_size=6))
def test_a_hitting_set_is_the_smallest_of_all(sets):
    """Every set is met, and no smaller choice of facts meets them all."""
    found = smallest_hitting_set(sets)
    assert found.smallest
    assert all(found.facts & each for each in sets)
    for fewer in combinations(FACTS, len(found.facts) - 1) if found.facts else ():
        assert not all(each.intersection(fewer) for each in sets)


def test_a_circle_that_rests_on_no_fact_is_a_smaller_proof_than_one_fact():
    """What waits for itself is shut out whatever else is so."""
    graph = graph_of([(0, [0], []), (0, [], [0])])
    assert smallest_proof(graph, 0).facts == ()
