"""Pack pieces into so many bins of one kind by swaps with what is left out: the loop is compiled.

All bins but two are filled, some pieces are left out. Over and over one or two pieces (or none) of
a bin change places with one or two of those left out, so that as little as can be stays out; what
moved stays where it is for some turns (tabu). It is over when the two bins that were kept back
hold what is left out. From time to time pieces go between bins, so that some fill up and others
empty; after long in vain a few bins are emptied. After Buljubasic and Vasquez, Computers and
Operations Research 76 (2016), who call it consistent neighbourhood search.
"""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from putback.solvers.chance import chance_from, draw
from putback.solvers.compiled import compiled
from putback.solvers.cutting_knapsack import Ints

_KEPT_BACK = 2
"""Bins that what is left out goes into at last."""
FEWEST = _KEPT_BACK + 1
"""Bins that there must be at least."""
_RESTLESS = 300
"""After so many swaps without less left out, pieces go between bins."""
_BETWEEN = 4000
"""How many pairs of bins are looked at then."""
_IN_VAIN = 3000
"""After so many, a tenth of the bins are emptied."""
_LONGEST = 8
"""A piece that moved stays for so many turns at most, and a few more if many are left out."""
_NODES = 4000
"""How far it is looked whether the bins that were kept back hold what is left out."""


class Bins(NamedTuple):
    """Pieces, largest first, and where they are; whole numbers are int64."""

    sizes: Ints
    """Of each piece, shape (n,)."""
    length: int
    """What a bin holds."""
    inside: Ints
    """The pieces in each bin, shape (m, n); of a row only the first few count."""
    many: Ints
    """How many those are, shape (m,); of the last two bins none, until all are packed."""
    loads: Ints
    """How much of each bin is taken, shape (m,)."""
    out: Ints
    """Those left out, shape (n,), of which only the first few count."""
    state: Ints
    """How many are left out, their size in all, the turn, the least left out, how long since."""
    until: Ints
    """Until which turn each piece stays where it is, shape (n,)."""
    chance: Ints


def laid_out(sizes: Sequence[int], length: int, bins: int, seed: int = 1) -> Bins:
    """Begin with each piece, largest first, where it first fits; at least `FEWEST` bins."""
    pieces = np.array(sorted(sizes, reverse=True), np.int64)
    count = len(pieces)
    packing = Bins(
        sizes=pieces,
        length=length,
        inside=np.zeros((bins, count), np.int64),
        many=np.zeros(bins, np.int64),
        loads=np.zeros(bins, np.int64),
        out=np.arange(count),
        state=np.array([count, int(pieces.sum()), 0, int(pieces.sum()), 0], np.int64),
        until=np.zeros(count, np.int64),
        chance=chance_from(seed),
    )
    _fill(packing)
    return packing


@compiled
def pack(packing: Bins, turns: int) -> bool:
    """Go on for so many turns; say whether all is packed."""
    sizes, state, until = packing.sizes, packing.state, packing.until
    filled = len(packing.many) - _KEPT_BACK
    count = len(sizes)
    most = count * (count + 1) // 2
    sums, one, two = np.empty(most, np.int64), np.empty(most, np.int64), np.empty(most, np.int64)
    swap = np.zeros(5, np.int64)
    for _ in range(turns):
        if state[1] <= _KEPT_BACK * packing.length and _close(packing):
            return True
        state[2] += 1
        ways = _ways(packing, sums, one, two)
        _sort(sums, one, two, ways)
        _best_swap(packing, filled, sums[:ways], swap)
        if swap[0] < 0:  # all stay where they are: on to the turn when the first may move
            first = until[packing.out[0]]
            for at in range(1, state[0]):
                first = min(first, until[packing.out[at]])
            state[2] = max(state[2], first)
        else:
            _swap(packing, swap, one[swap[3]], two[swap[3]])
        if state[1] < state[3]:
            state[3], state[4] = state[1], 0
        else:
            state[4] += 1
        if state[4] % _RESTLESS == _RESTLESS - 1:
            _between(packing, filled)
        if state[4] >= _IN_VAIN:
            _empty(packing, filled)
    return False


@compiled
def _ways(packing: Bins, sums: Ints, one: Ints, two: Ints) -> int:
    """Lay out one or two of those left out that may move; give how many ways there are."""
    sizes, out, turn = packing.sizes, packing.out, packing.state[2]
    ways = 0
    for at in range(packing.state[0]):
        piece = out[at]
        if packing.until[piece] > turn:
            continue
        sums[ways], one[ways], two[ways] = sizes[piece], piece, -1
        ways += 1
        for earlier in range(at):
            other = out[earlier]
            both = sizes[piece] + sizes[other]
            if packing.until[other] <= turn and both <= packing.length:
                sums[ways], one[ways], two[ways] = both, piece, other
                ways += 1
    return ways


@compiled
def _sort(sums: Ints, one: Ints, two: Ints, ways: int) -> None:
    """Put the first so many sums in order, and with each what it is of (Shell, 1959)."""
    step = 1
    while step < ways // 3:
        step = 3 * step + 1
    while step > 0:
        for at in range(step, ways):
            whole, first, second = sums[at], one[at], two[at]
            to = at
            while to >= step and sums[to - step] > whole:
                sums[to], one[to], two[to] = sums[to - step], one[to - step], two[to - step]
                to -= step
            sums[to], one[to], two[to] = whole, first, second
        step //= 3


@compiled
def _below(sums: Ints, limit: int) -> int:
    """Give how many sums, which are in order, are below a limit."""
    low, high = 0, len(sums)
    while low < high:
        middle = (low + high) // 2
        if sums[middle] < limit:
            low = middle + 1
        else:
            high = middle
    return low


@compiled
def _best_swap(packing: Bins, filled: int, sums: Ints, swap: Ints) -> None:
    """Find the swap that leaves least out, one of them by chance.

    ``swap`` gets its bin, below 0 if there is none; two places in it, -1 for none; which sum of
    those left out; and the gain.
    """
    sizes, inside, until, turn = packing.sizes, packing.inside, packing.until, packing.state[2]
    ties = 0
    swap[0] = -1
    swap[4] = -(1 << 60)
    for number in range(filled):
        room = packing.length - packing.loads[number]
        for first in range(-1, packing.many[number]):
            if first >= 0 and until[inside[number, first]] > turn:
                continue
            alone = 0 if first < 0 else sizes[inside[number, first]]
            for second in range(-1, max(first, 0)):
                if second >= 0 and until[inside[number, second]] > turn:
                    continue
                leaves = alone + (0 if second < 0 else sizes[inside[number, second]])
                place = _below(sums, room + leaves + 1) - 1
                if place < 0 or sums[place] - leaves < swap[4]:
                    continue
                if sums[place] - leaves > swap[4]:
                    ties = 0
                ties += 1
                if draw(packing.chance) * ties < 1.0:
                    lowest = _below(sums, sums[place])
                    chosen = lowest + int(draw(packing.chance) * (place - lowest + 1))
                    swap[0], swap[1], swap[2], swap[3] = number, first, second, chosen
                swap[4] = sums[place] - leaves


@compiled
def _swap(packing: Bins, swap: Ints, one: int, two: int) -> None:
    """Put one or two pieces into a bin, and what stood there in their stead out of it."""
    inside, many, out, state = packing.inside, packing.many, packing.out, packing.state
    number = swap[0]
    first = -1 if swap[1] < 0 else inside[number, swap[1]]
    second = -1 if swap[2] < 0 else inside[number, swap[2]]
    until = state[2] + 1 + int(draw(packing.chance) * _LONGEST) + state[0] // 4
    kept = 0
    for at in range(many[number]):
        if inside[number, at] != first and inside[number, at] != second:
            inside[number, kept] = inside[number, at]
            kept += 1
    for piece in (one, two):
        if piece >= 0:
            inside[number, kept] = piece
            packing.until[piece] = until
            kept += 1
    many[number] = kept
    kept = 0
    for at in range(state[0]):
        if out[at] != one and out[at] != two:
            out[kept] = out[at]
            kept += 1
    for piece in (first, second):
        if piece >= 0:
            out[kept] = piece
            packing.until[piece] = until
            kept += 1
    state[0] = kept
    packing.loads[number] += swap[4]
    state[1] -= swap[4]


@compiled
def _close(packing: Bins) -> bool:
    """Put what is left out into the bins that were kept back, if that is found to go."""
    sizes, out, length = packing.sizes, packing.out, packing.length
    count, whole = packing.state[0], packing.state[1]
    takes = np.zeros(count + 1, np.bool_)
    rest = whole
    load, at = 0, 0
    for _ in range(_NODES):
        # by turns with and without each, until what is without fits as well
        if at < count and load + rest > whole - length:
            piece = sizes[out[at]]
            takes[at] = load + piece <= length
            load += piece if takes[at] else 0
            rest -= piece
            at += 1
            continue
        if at == count and load >= whole - length:
            _keep(packing, takes)
            return True
        while at > 0 and not takes[at - 1]:
            at -= 1
            rest += sizes[out[at]]
        if at == 0:
            return False
        takes[at - 1] = False
        load -= sizes[out[at - 1]]
    return False


@compiled
def _keep(packing: Bins, takes: Ints) -> None:
    """Put those left out into the last bin, or into the last but one."""
    last = len(packing.many) - 1
    for at in range(packing.state[0]):
        piece = packing.out[at]
        number = last if takes[at] else last - 1
        packing.inside[number, packing.many[number]] = piece
        packing.many[number] += 1
        packing.loads[number] += packing.sizes[piece]
    packing.state[0], packing.state[1] = 0, 0


@compiled
def _between(packing: Bins, filled: int) -> None:
    """Move or swap a piece between pairs of bins so that the one fills up, the other empties."""
    sizes, inside, many, loads = packing.sizes, packing.inside, packing.many, packing.loads
    for _ in range(_BETWEEN):
        one = int(draw(packing.chance) * filled)
        other = int(draw(packing.chance) * filled)
        if one == other:
            continue
        best, first, second = 0, -1, -1
        for at in range(-1, many[one]):
            leaves = 0 if at < 0 else sizes[inside[one, at]]
            for to in range(-1, many[other]):
                gain = (0 if to < 0 else sizes[inside[other, to]]) - leaves
                if loads[one] + gain > packing.length or loads[other] - gain > packing.length:
                    continue
                squares = 2 * gain * (loads[one] - loads[other] + gain)
                if squares > best:
                    best, first, second = squares, at, to
        if best == 0:
            continue
        gain = 0
        if second >= 0:
            gain += sizes[inside[other, second]]
        if first >= 0:
            gain -= sizes[inside[one, first]]
        if first >= 0 and second >= 0:
            inside[one, first], inside[other, second] = inside[other, second], inside[one, first]
        elif first >= 0:
            inside[other, many[other]] = inside[one, first]
            many[other] += 1
            many[one] -= 1
            inside[one, first] = inside[one, many[one]]
        else:
            inside[one, many[one]] = inside[other, second]
            many[one] += 1
            many[other] -= 1
            inside[other, second] = inside[other, many[other]]
        loads[one] += gain
        loads[other] -= gain


@compiled
def _empty(packing: Bins, filled: int) -> None:
    """Empty a tenth of the bins, and put what is left out, by chance, where it first fits."""
    out, state = packing.out, packing.state
    for _ in range(1 + filled // 10):
        number = int(draw(packing.chance) * filled)
        for at in range(packing.many[number]):
            out[state[0]] = packing.inside[number, at]
            state[0] += 1
        state[1] += packing.loads[number]
        packing.many[number], packing.loads[number] = 0, 0
    for at in range(state[0] - 1, 0, -1):
        other = int(draw(packing.chance) * (at + 1))
        out[at], out[other] = out[other], out[at]
    _fill(packing)
    state[3], state[4] = state[1], 0


@compiled
def _fill(packing: Bins) -> None:
    """Put those left out, in their order, each where it first fits."""
    out, state, loads, many = packing.out, packing.state, packing.loads, packing.many
    filled = len(many) - _KEPT_BACK
    kept = 0
    for at in range(state[0]):
        piece = out[at]
        size = packing.sizes[piece]
        number = 0
        while number < filled and loads[number] + size > packing.length:
            number += 1
        if number < filled:
            packing.inside[number, many[number]] = piece
            many[number] += 1
            loads[number] += size
            state[1] -= size
        else:
            out[kept] = piece
            kept += 1
    state[0] = kept
