"""What comes before a thing whatever way is taken: what all ways of what it asks for share."""

from collections.abc import Mapping, Sequence


def common_to_all(
    order: Sequence[int], ways: Mapping[int, Sequence[Sequence[int]]], count: int
) -> dict[int, int]:
    """Give what is before each thing: itself, and what all ways of what it asks for share.

    The greatest solution of these equations, found by taking away.

    Parameters
    ----------
    order : sequence of int
        The things, by number; it goes quickest where what is asked for comes before who asks.
    ways : mapping of int to sequence of sequence of int
        Of each thing what it asks for: one of each of these.
    count : int
        Numbers are below this.

    Returns
    -------
    dict of int to int
        Of each thing, as bits, what is before it.
    """
    everything = (1 << count) - 1
    before = dict.fromkeys(order, everything)
    changed = True
    while changed:
        changed = False
        for index in order:
            now = 1 << index
            for some in ways[index]:
                common = everything
                for way in some:
                    common &= before[way]
                now |= common
            if now != before[index]:
                before[index], changed = now, True
    return before
