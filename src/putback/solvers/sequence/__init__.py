"""The sequential ordering problem: the cheapest order of items under precedence.

    problem = lay_out(costs, pairs)
    search = SequenceSearch(problem, seed=1)
    search.run(work=2e6).order

`SequenceSearch.best` may be asked at any moment; `run` ends where the best is proved, by its work,
by the clock, or by a progress that says so. Importing this loads numpy and Numba; the first run on
a machine compiles for some seconds, and what was compiled is kept.
"""

from putback.solvers.sequence.best import Best
from putback.solvers.sequence.problem import Circular, Sequencing, lay_out
from putback.solvers.sequence.search import SequenceSearch

__all__ = ["Best", "Circular", "SequenceSearch", "Sequencing", "lay_out"]
