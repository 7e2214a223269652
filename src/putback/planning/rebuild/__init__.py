"""The rebuild: in which order everything goes back, and where that differs from the strip."""

from putback.planning.rebuild.planner import plan_rebuild
