"""The open branches of a search, the most promising first: a heap in arrays, compiled."""

from typing import NamedTuple

import numpy as np

from putback.solvers.compiled import inlined
from putback.solvers.sequence.problem import Array

FREE, OPEN, CUT, EFFORT, BEST, LEFT = range(6)
"""What the numbers of `Tree.numbers` are."""


class Tree(NamedTuple):
    """What is open; changed in place."""

    then: Array
    """Of each branch the assignment, int32, shape (branches, n); so its prices."""
    row: Array
    column: Array
    settled: Array
    """Whether it keeps what comes before an item, bool, shape (branches, n)."""
    cut: Array
    """Of each branch its last barred arc, as a number of `above` and `arc`."""
    low: Array
    """Of each branch what no order in it costs less than."""
    free: Array
    """Branches not in use, a pile."""
    key: Array
    """A heap of the open branches: what they go by,"""
    branch: Array
    """and which they are."""
    above: Array
    """Of each barred arc that which its branch had barred before; 0 is none."""
    arc: Array
    """Which it is, as a number in the lists of arcs."""
    numbers: Array
    """Six numbers: how many branches are not in use and open, how many arcs were ever barred, how
    many numbers were looked at, what the best order costs, and the least bound of what was left
    out.
    """
    best: Array
    """The best order."""


def no_tree(room: int, cuts: int, order: Array, cost: int, left: int) -> Tree:
    """Room for so many branches and barred arcs; one branch is open, its assignment to be given.

    ``order`` is the best that is known and ``cost`` what it costs; ``left`` is what any order
    costs at least that is in no branch.
    """
    shape = (room, len(order))
    return Tree(
        then=np.zeros(shape, np.int32),
        row=np.zeros(shape, np.int64),
        column=np.zeros(shape, np.int64),
        settled=np.zeros(shape, bool),
        cut=np.zeros(room, np.int64),
        low=np.zeros(room, np.int64),
        free=np.arange(room)[::-1].copy(),
        key=np.zeros(room, np.int64),
        branch=np.zeros(room, np.int64),
        above=np.zeros(cuts, np.int32),
        arc=np.zeros(cuts, np.int32),
        numbers=np.array([room - 1, 1, 1, 0, cost, left], np.int64),
        best=order.copy(),
    )


def thin(tree: Tree) -> None:
    """Let the less promising half of what is open go."""
    size = int(tree.numbers[OPEN])
    by = np.argsort(tree.key[:size], kind="stable")
    half = size // 2
    gone = tree.branch[by[half:]]
    tree.key[:half], tree.branch[:half] = tree.key[by[:half]], tree.branch[by[:half]]
    free = tree.numbers[FREE]
    tree.free[free : free + len(gone)] = gone
    tree.numbers[FREE] += len(gone)
    tree.numbers[LEFT] = min(tree.numbers[LEFT], tree.low[gone].min())
    tree.numbers[OPEN] = half


@inlined
def pop(tree: Tree) -> int:
    """Take the most promising branch; its room is free from now on, and read at once."""
    key, branch, numbers = tree.key, tree.branch, tree.numbers
    first = branch[0]
    numbers[OPEN] -= 1
    size = numbers[OPEN]
    last, which = key[size], branch[size]
    at = 0
    while 2 * at + 1 < size:
        down = 2 * at + 1
        if down + 1 < size and key[down + 1] < key[down]:
            down += 1
        if key[down] >= last:
            break
        key[at], branch[at] = key[down], branch[down]
        at = down
    key[at], branch[at] = last, which
    tree.free[numbers[FREE]] = first
    numbers[FREE] += 1
    return int(first)


@inlined
def take_room(tree: Tree) -> int:
    """Take room for a branch."""
    tree.numbers[FREE] -= 1
    return int(tree.free[tree.numbers[FREE]])


@inlined
def push(tree: Tree, new: int, value: int) -> None:
    """Put a branch on the heap."""
    key, branch = tree.key, tree.branch
    at = tree.numbers[OPEN]
    tree.numbers[OPEN] += 1
    while at > 0 and key[(at - 1) // 2] > value:
        key[at], branch[at] = key[(at - 1) // 2], branch[(at - 1) // 2]
        at = (at - 1) // 2
    key[at], branch[at] = value, new
