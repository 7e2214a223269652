"""Sets of small numbers (steps, nodes, visits) as the bits of one number."""

from collections.abc import Iterable, Iterator


def bits(numbers: Iterable[int]) -> int:
    """Give a set of numbers as bits."""
    mask = 0
    for each in numbers:
        mask |= 1 << each
    return mask


def numbers_in(mask: int) -> Iterator[int]:
    """Give the numbers whose bits are set, the least first."""
    while mask:
        lowest = mask & -mask
        yield lowest.bit_length() - 1
        mask ^= lowest
