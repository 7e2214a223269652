"""A workshop in memory with a small car, its desk, and a planner at it."""

from dataclasses import dataclass

import pytest

from putback.workshop.desk.memory import MemoryDesk
from putback.workshop.desk.planner import Planner
from tests.makers import vehicle
from tests.stores import ANN, PHONE
from tests.workshop.lines import CAR, Lines


@dataclass
class Bench:
    """All of them together."""

    lines: Lines
    desk: MemoryDesk
    planner: Planner

    @property
    def workshop(self):
        """Where the car is."""
        return self.lines.workshop

    def log(self, *bodies):
        """Log an act, a minute later."""
        self.lines.watch.put_on(minutes=1)
        self.workshop.log(CAR, bodies, who=ANN, device=PHONE)

    def answered(self, slip):
        """Let the planner answer what waits, and give the slip as it is then."""
        while self.planner.answer_one():
            pass
        return self.desk.look(slip.id)


@pytest.fixture
def bench() -> Bench:
    """Four lids in two zones on a frame; to strip it all is the goal."""
    about = vehicle(
        *(f"{zone}{n} - frame; zone {zone}; 5 min" for n in range(2) for zone in "ab"),
        datum="frame",
    )
    lines = Lines(about)
    desk = MemoryDesk(lines.workshop.store, lines.watch)
    return Bench(lines, desk, Planner(lines.workshop, desk, "one"))
