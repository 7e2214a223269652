"""The port of long work: reports pass through, and a wish to stop ends the work."""

import pytest

from putback.errors import Stopped
from putback.progress import NoProgress, Stoppable, within


class Heard:
    """Keeps what it is told."""

    def __init__(self):
        self.steps = []

    def step(self, done, total, what):
        self.steps.append((done, total, what))


def test_nobody_watching_is_fine():
    """Work that nobody watches is never stopped."""
    assert NoProgress().step(1, None, "sorting bags") is None


def test_reports_reach_the_watcher_until_the_wish_to_stop():
    """Steps pass through unchanged; the first one after the wish raises, and is not passed on."""
    heard, wishes = Heard(), iter([False, False, True])
    progress = Stoppable(lambda: next(wishes), heard)

    progress.step(0, 3, "looking")
    progress.step(1, 3, "looking")
    with pytest.raises(Stopped, match=r"^looking was stopped after 2 of 3 steps$"):
        progress.step(2, 3, "looking")

    assert heard.steps == [(0, 3, "looking"), (1, 3, "looking")]


def test_a_deadline_stops_the_work_and_not_before():
    """With ten seconds allowed from second 100, second 109 goes on and second 110 stops."""
    clock = iter([100.0, 109.0, 110.0])
    heard = Heard()
    progress = within(10.0, heard, clock=lambda: next(clock))

    progress.step(5, None, "improving the order")
    with pytest.raises(Stopped, match=r"^improving the order was stopped after 6 steps$"):
        progress.step(6, None, "improving the order")

    assert heard.steps == [(5, None, "improving the order")]


def test_a_deadline_by_the_real_clock_leaves_time():
    """An hour has not passed yet."""
    assert within(3600.0).step(1, 2, "work") is None
