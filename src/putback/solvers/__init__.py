"""The only door to OR-Tools, and to what Numba compiles.

What the rest of the program needs of OR-Tools has a small face of its own here; OR-Tools itself is
imported when something is solved, never before. Importing `block_swaps` loads Numba.
"""

from putback.solvers.amounts import Amount, Amounted, Amounts
from putback.solvers.choice import Answer, Choice, Literal

__all__ = ["Amount", "Amounted", "Amounts", "Answer", "Choice", "Literal"]
