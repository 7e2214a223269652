"""Walks that are plainly shut: no choice of visits keeps what binds, found by trying all."""

from itertools import product
from random import Random

from putback.planning.search.narrowed import HeldUp, asking, shut_by
from putback.planning.search.windows import Window

NODES, VISITS = range(6), range(3)


def case(rnd: Random):
    """Some nodes, where each may be done, what they ask for, and what is to be held up."""
    mays = [[rnd.random() < 0.6 for _ in VISITS] for _ in NODES]
    asked = {
        index: [tuple(rnd.sample(NODES, rnd.choice((1, 1, 2)))) for _ in range(rnd.choice((0, 1)))]
        for index in NODES
    }
    held_up = [
        HeldUp(
            frozenset((number,)),
            rnd.sample(NODES, rnd.choice((1, 1, 2))),
            rnd.sample(NODES, rnd.choice((0, 1, 2))),
            [change for change in VISITS[1:] if rnd.random() < 0.8],
        )
        for number in range(2)
    ]
    circles = [rnd.sample(NODES, rnd.choice((2, 3))) for _ in range(2)]
    return mays, asked, held_up, circles


def is_choice(visit_of, mays, asked, held_up) -> bool:
    """Whether nodes may be done in these visits, one after another, and all is held up."""
    if not all(mays[index][at] for index, at in enumerate(visit_of)):
        return False
    done = set()
    for at in VISITS:
        left = {index for index in NODES if visit_of[index] == at}
        while fresh := {i for i in left if all(done & {*ways} for ways in asked[i])}:
            done |= fresh
            left -= fresh
        if left:
            return False
    return all(
        any(visit_of[node] < change for node in each.offs)
        or any(visit_of[node] >= change for node in each.ties)
        for each in held_up
        for change in each.changes
    )


def test_what_is_plainly_shut_has_no_choice():
    """Of thousands of cases; in many of them it is only for what is to be held up, or a circle."""
    rnd, shut, by_piece = Random(1), 0, 0
    for _ in range(1500):
        mays, asked, held_up, circles = case(rnd)
        if not all(map(any, mays)):
            continue
        windows = {
            index: Window(may, may.index(True), max(at for at in VISITS if may[at]))
            for index, may in enumerate(mays)
        }
        pieces = shut_by(windows, asking(asked), held_up, circles)
        if pieces is None:
            continue
        shut += 1
        by_piece += bool(pieces)
        assert not any(
            is_choice(each, mays, asked, held_up) for each in product(VISITS, repeat=len(NODES))
        )
    assert shut > by_piece > 20


def test_the_pieces_that_shut_a_walk_are_told():
    """A tray is off in the last visit alone, what ties it undone in the first: it hangs."""
    anywhere = [True] * 3
    windows = {
        0: Window([True, False, False], 0, 0),
        1: Window([False, False, True], 2, 2),
        2: Window(anywhere, 0, 2),
    }
    tray = HeldUp(frozenset((7,)), [1], [0], [1, 2])
    other = HeldUp(frozenset((8,)), [2], [0], [1, 2])
    asks = asking({0: [], 1: [(0,)], 2: [(0,)]})
    assert shut_by(windows, asks, [tray]) == [tray.piece]
    assert shut_by(windows, asks, [other]) is None


def test_what_has_to_be_held_up_leaves_no_visit_to_what_it_asks_for():
    """The cover is off in the first visit or hangs; what it asks for comes in the second."""
    windows = {
        0: Window([True] * 2, 0, 1),
        1: Window([True] * 2, 0, 1),
        2: Window([True, False], 0, 0),
        3: Window([False, True], 1, 1),
    }
    cover = HeldUp(frozenset((3,)), [0], [2], [1])
    assert shut_by(windows, asking({0: [(1,)], 1: [], 2: [], 3: []}), [cover]) is None
    assert shut_by(windows, asking({0: [(1,)], 1: [(3,)], 2: [], 3: []}), [cover]) == [cover.piece]
