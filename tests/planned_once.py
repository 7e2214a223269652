"""A planner that remembers: asked the same again it gives the same, as `plan_strip` itself does.

The demo's plan takes seconds, and tests that ask what is said of it begin from the same state.
That the planner gives the same again is seen in planning/test_strip_as_a_whole.py.
"""

from collections.abc import Callable

from putback.logbook.state import State
from putback.planning.plan import USUAL, Plan, PlanSettings
from putback.progress import NoProgress, Progress
from putback.vehicle.goal import Goal
from putback.vehicle.vehicle import Vehicle

MOST = 8
"""How many plans are remembered."""

Planner = Callable[[Vehicle, State, Goal, PlanSettings, Progress], Plan]


class PlannedOnce:
    """Plans of one planner, with what was asked, the latest first."""

    def __init__(self, planner: Planner) -> None:
        self.planner = planner
        self.known: list[tuple[tuple[Vehicle, State, Goal, PlanSettings], Plan]] = []

    def __call__(
        self,
        vehicle: Vehicle,
        state: State,
        goal: Goal,
        settings: PlanSettings = USUAL,
        progress: Progress = NoProgress(),
    ) -> Plan:
        """Give the plan that is known, or make it."""
        asked = (vehicle, state, goal, settings)
        for known, plan in self.known:
            if known == asked:
                return plan
        plan = self.planner(*asked, progress)
        self.known = [(asked, plan), *self.known[: MOST - 1]]
        return plan
