"""A stretch of the plan for the hours at hand, which ends closed and safe.

It is any part of the plan, in the plan's order, after which the rest of the plan can still be done
in its order. `needs` and `needs_rebuild` say what a step needs done before it and what must not be
left behind it, `brought` all that a step brings with it, `ending` what is closed and whether it
stands and holds, `walk` what it costs, and `search` finds the best. ``docs/look-ahead.md`` has the
rules and the conventions.
"""

from putback.planning.stretch.best import BestStretch, Stretch, best_stretch
from putback.planning.stretch.ending import Closing

__all__ = ["BestStretch", "Closing", "Stretch", "best_stretch"]
