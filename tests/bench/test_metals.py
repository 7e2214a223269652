"""Metals together: which corrodes, and what is said of a fastener."""

import pytest

from putback.bench.metals import NAMES, meant, work


def test_a_small_anode_is_the_worst_case():
    """A zinc-plated screw in brass is eaten; a brass one in a plated sheet is not."""
    worst = work(fastener="zinc plate", sheet="yellow brass 268")
    assert (worst["corrodes"], worst["may_hold"]) == ("zinc plate", False)
    assert "worst case" in worst.verdict
    right = work(fastener="yellow brass 268", sheet="zinc plate")
    assert (right["corrodes"], right["may_hold"]) == ("zinc plate", True)
    assert worst["apart"] == right["apart"] == 42
    assert "as it should be" in right.verdict


def test_like_goes_with_like():
    """A metal does not eat itself, whichever it is."""
    for name in NAMES:
        answer = work(fastener=name, sheet=name)
        assert (answer["corrodes"], answer["may_hold"], answer["apart"]) == ("neither", True, 0)


def test_the_table_tells_what_the_fastener_may_hold():
    """Everything from the head of the series down to the fastener's own metal."""
    (table,) = work(fastener="steel 1010", sheet="copper").tables
    may = [row[1].value for row in table.rows if row[3].value]
    assert may == list(NAMES[: NAMES.index("steel 1010") + 1])


@pytest.mark.parametrize(
    ("typed", "names"),
    [
        ("steel", {"steel 1010"}),
        ("Zinc", {"zinc plate"}),
        ("stainless steel", {"stainless 304 (active)", "stainless 316L (active)"}),
        ("aluminum 3003", {"aluminium 3003"}),
        ("galvanised", {"zinc plate"}),
        ("wood", set()),
        ("", set()),
    ],
)
def test_a_shorter_name_is_understood(typed, names):
    """By words of the name, else by what the metal is met as; what is no metal means none."""
    assert set(meant(typed)) == names
