"""The only door to OR-Tools, and to what is compiled.

What the rest of the program needs of them has a small face of its own here; OR-Tools itself is
imported when something is solved, never before.
"""

from putback.solvers.amounts import Amount, Amounted, Amounts
from putback.solvers.block_swaps import Lists, Run, Swapping, swap_blocks
from putback.solvers.choice import Answer, Choice, Literal

__all__ = [
    "Amount",
    "Amounted",
    "Amounts",
    "Answer",
    "Choice",
    "Lists",
    "Literal",
    "Run",
    "Swapping",
    "swap_blocks",
]
