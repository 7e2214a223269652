"""Times that no schedule can beat, without a search.

Jobs that cannot begin before a time `h`, and after whose end a time `q` must pass, are done
between them: `h + q` and what they need together is a bound. Together they need the work they ask
of a resource, by its capacity; or the sum of their durations, where no two may run at once. Of a
job alone it is the longest path through it. Klein and Scholl (European J. of Operational Research
112, 1999) gather such bounds.
"""

import numpy as np

from putback.solvers.schedule.problem import Project
from putback.solvers.sequence.problem import Array


def lower_bound(project: Project) -> int:
    """The greatest of the bounds: by paths, by the work of a resource, by jobs kept apart."""
    if not project.size:
        return 0
    bound = int((project.heads + project.durations + project.tails).max())
    heads, tails = np.unique(project.heads), np.unique(project.tails)
    late = project.heads[None, :] >= heads[:, None]
    early = project.tails[None, :] >= tails[:, None]

    def needed(work: Array, capacity: int) -> int:
        inside = (late * work) @ early.T.astype(np.int64)
        spans = heads[:, None] + tails[None, :] + (inside + capacity - 1) // capacity
        return int(np.where(inside > 0, spans, 0).max())

    for demands, capacity in zip(project.demands.T, project.capacities, strict=True):
        if capacity:
            bound = max(bound, needed(project.durations * demands, int(capacity)))
    for clique in cliques(project):
        alone = np.zeros(project.size, np.int64)
        alone[clique] = project.durations[clique]
        bound = max(bound, needed(alone, 1))
    return bound


def cliques(project: Project) -> list[Array]:
    """Sets of jobs of which no two run at once, for want of a resource or by precedence.

    Each pair that a resource keeps apart is in at least one of them.
    """
    takes = project.demands
    both = takes[:, None, :] + takes[None, :, :]
    apart = (both > project.capacities).any(axis=2) & ~np.eye(project.size, dtype=bool)
    never = apart | project.must | project.must.T
    open_pairs = apart & ~(project.must | project.must.T)
    found = []
    while open_pairs.any():
        first = int((open_pairs.sum(axis=1) * project.durations).argmax())
        inside, room = [first], never[first].copy()
        while room.any():
            value = room * (1 + project.durations + 1000 * open_pairs[inside].sum(axis=0))
            job = int(value.argmax())
            inside.append(job)
            room &= never[job]
        clique = np.array(inside, np.int64)
        open_pairs[np.ix_(clique, clique)] = False
        found.append(clique)
    return found
