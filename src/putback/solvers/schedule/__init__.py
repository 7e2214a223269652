"""Project scheduling under scarce resources: when each job begins, so that all end soonest.

    project = lay_out([3, 2, 4], [[1], [1], [2]], [2], [(0, 2)])
    best = ScheduleSearch(project, seed=1).run(seconds=5.0)
    best.starts, best.makespan, best.bound

Jobs have a duration, take so much of each resource while they run, and may have to wait for others
to end; what a resource gives is the same at all times, and no job is broken off. Importing this
loads numpy and Numba; the first run on a machine compiles for some seconds, which is kept.
"""

from putback.solvers.schedule.problem import Project, TooMuch, lay_out
from putback.solvers.schedule.search import Best, ScheduleSearch

__all__ = ["Best", "Project", "ScheduleSearch", "TooMuch", "lay_out"]
