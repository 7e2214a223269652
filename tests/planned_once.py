"""A planner that remembers: asked the same again it gives the same, as `plan_strip` itself does.

The demo's plan takes seconds, and tests that ask what is said of it begin from the same state.
That the planner gives the same again is seen in planning/test_strip_as_a_whole.py.
"""

from collections.abc import Callable
from inspect import signature
from typing import Any

MOST = 8
"""How many plans are remembered."""


class PlannedOnce:
    """Plans of one planner, with what was asked, the latest first."""

    def __init__(self, planner: Callable[..., Any]) -> None:
        self.planner = planner
        self.signature = signature(planner)
        self.known: list[tuple[dict[str, Any], Any]] = []

    def __call__(self, *said: Any, **more: Any) -> Any:
        """Give the plan that is known, or make it; who watches its progress changes nothing."""
        bound = self.signature.bind(*said, **more)
        bound.apply_defaults()
        asked = {name: each for name, each in bound.arguments.items() if name != "progress"}
        for known, plan in self.known:
            if known == asked:
                return plan
        plan = self.planner(*said, **more)
        self.known = [(asked, plan), *self.known[: MOST - 1]]
        return plan
