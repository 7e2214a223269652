"""Whole amounts under rules: the least is what trying everything finds."""

import itertools

from hypothesis import given
from hypothesis import strategies as st

from putback.solvers import Amounts

MOST = (1, 1, 1, 3)


@given(
    rules=st.lists(
        st.tuples(st.lists(st.integers(-2, 3), min_size=4, max_size=4), st.integers(-2, 6)),
        max_size=4,
    ),
    clauses=st.lists(st.lists(st.integers(0, 2), min_size=1, max_size=3, unique=True), max_size=3),
    weights=st.lists(st.integers(0, 5), min_size=4, max_size=4),
)
def test_the_least_is_what_trying_all_amounts_finds(rules, clauses, weights):
    """Three that are none or one and one of up to three: no allowed amounts cost less."""
    amounts = Amounts()
    each = [amounts.amount(most) for most in MOST]
    for terms, least in rules:
        amounts.at_least(dict(zip(each, terms, strict=True)), least)
    for clause in clauses:
        amounts.any_of([each[number] for number in clause])
    amounts.minimise(dict(zip(each, weights, strict=True)))

    def weighed(terms, values):
        return sum(a * b for a, b in zip(terms, values, strict=True))

    allowed = [
        values
        for values in itertools.product(*(range(most + 1) for most in MOST))
        if all(weighed(terms, values) >= least for terms, least in rules)
        and all(any(values[number] for number in clause) for clause in clauses)
    ]
    answer = amounts.solve()
    if allowed:
        best = min(weighed(weights, values) for values in allowed)
        assert answer.optimal
        assert answer.bound == best == weighed(weights, answer.values)
    else:
        assert answer.values is None
