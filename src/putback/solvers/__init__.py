"""The only door to OR-Tools.

What the rest of the program needs of it has a small face of its own here; OR-Tools itself is
imported when something is solved, never before.
"""

from putback.solvers.choice import Answer, Choice, Literal

__all__ = ["Answer", "Choice", "Literal"]
