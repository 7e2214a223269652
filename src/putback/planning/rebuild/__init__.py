"""The rebuild: in which order everything goes back, and where that differs from the strip."""

from putback.planning.rebuild.difference import Difference, differences_from_reversed_strip
from putback.planning.rebuild.planner import plan_rebuild

__all__ = ["Difference", "differences_from_reversed_strip", "plan_rebuild"]
