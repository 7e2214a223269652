"""What binds the items of an order, what changes cost, and how far a search is: as arrays.

An order stands between two items of its own, one before and one after all others, so that every
block has neighbours. A *sort* groups items that are better done together; there are several
*sortings* (by place, by zone, by helpers ...). Clauses may be broken for a fine.
"""

from typing import Any, NamedTuple

import numpy as np

Array = np.ndarray[Any, Any]


class Lists(NamedTuple):
    """Lists of whole numbers laid end to end: list i is ``items[begin[i]:begin[i + 1]]``."""

    begin: Array
    items: Array


class Swapping(NamedTuple):
    """What binds n items and what changes cost; the items n and n + 1 stand before and after all.

    Whole numbers are int64, costs float64.
    """

    labels: Array
    """By layer and item: the label, below 0 where the layer does not see the item."""
    costs: Array
    """By layer, label and next label."""
    after: Lists
    """Of each item those that must come later."""
    before: Lists
    """Of each item those that must come earlier."""
    middle: Array
    """Of each clause the item that it speaks of."""
    in_front: Lists
    """Of each clause the items of which one may stand before that."""
    behind: Lists
    """Of each clause those of which one may stand behind it, if none of the others before."""
    asks: Lists
    """Of each item the clauses that name it."""
    fines: Array
    """Of each clause what it costs where it is not kept; infinite where it must be."""
    late: Array
    """Of each fact the item that gets dearer."""
    late_after: Lists
    """Of each fact the items of which any makes it so."""
    late_cost: Array
    late_most: float
    """A move that costs so much more by its changes alone is not looked at for what is late."""
    touches: Lists
    """Of each item the facts that speak of it."""
    marks: Array
    """Items, in their order, that part the whole into periods."""
    period: Array
    """By item and period: 1 where the item may stand in it."""
    sorts: Array
    """By sorting and item: its sort; those of the first and last item are nobody else's."""
    members: Array
    """By sorting: all items, those of a sort side by side."""
    members_from: Array
    """By sorting and sort: where in ``members`` its items begin."""
    shares: Array
    """Of each sorting, how many of all moves draw it [-]; they add up to 1."""


class Run(NamedTuple):
    """How far a search is; changed in place."""

    order: Array
    place: Array
    """Of each item where it stands."""
    best: Array
    """The cheapest order met."""
    broken: Array
    """Of each clause, 1 where it is not kept."""
    cost: Array
    """Against the order begun with: now, of the best, and what of now is fines."""
    heat: Array
    """One number: the temperature."""
    chance: Array
    """One number: where the sequence of chance has got to."""


class Slate(NamedTuple):
    """What a spell of moves notes down on the way; it begins with a clean one."""

    heads: Array
    """By sorting: the first item of each run of a sort in the order."""
    runs: Array
    """By sorting: how many of them there are."""
    spare: Array
    """Items on their way from place to place."""
    moves_along: Array
    """By place from where two stretches that are gathered begin: whether that passes others."""
    listed: Array
    """The clauses that are not kept."""
    seen: Array
    """Of each clause the move that asked for it last."""
    late_seen: Array
    """The same of each fact of what is late."""
    shown: Array
    """Of each clause by what it was kept when that was last asked."""
    turned: Array
    """The clauses that a move keeps or breaks otherwise."""


def clean_slate(swapping: Swapping) -> Slate:
    """Give a slate to note down what goes on while items are swapped."""
    sortings, items = swapping.sorts.shape
    clauses, facts = len(swapping.fines), len(swapping.late)
    return Slate(
        heads=np.empty((sortings, items), np.int64),
        runs=np.zeros(sortings, np.int64),
        spare=np.empty(2 * items, np.int64),
        moves_along=np.zeros(items, np.bool_),
        listed=np.empty(clauses + 1, np.int64),
        seen=np.full(clauses, -1, np.int64),
        late_seen=np.full(facts, -1, np.int64),
        shown=np.full(clauses, -1, np.int64),
        turned=np.empty(clauses, np.int64),
    )
