"""Short ways to look ahead over the strip of a hand-made vehicle."""

from putback.planning.ahead import Horizon, Sort, look_ahead
from putback.planning.strip import plan_strip
from tests.planning.hand_made import state_of

ALL = Horizon(everything=True)


def strip_lines(v, horizon=ALL, state=None, **said):
    """The lines of a look-ahead over the strip."""
    now = state or state_of(v, **said)
    goal = next(iter(v.goals.values()))
    return look_ahead(v, now, plan_strip(v, now, goal), horizon)


def told(found, sort: Sort) -> list[str]:
    """What is said of one sort."""
    return [line.what for line in found.of(sort)]
