"""Sets of steps as the bits of one number, the first step the lowest."""

from collections.abc import Iterable, Iterator


def bits(steps: Iterable[int]) -> int:
    """Give a set of steps as bits."""
    mask = 0
    for at in steps:
        mask |= 1 << at
    return mask


def steps_in(mask: int) -> Iterator[int]:
    """Give the steps of a set of bits, the earliest first."""
    while mask:
        lowest = mask & -mask
        yield lowest.bit_length() - 1
        mask ^= lowest
