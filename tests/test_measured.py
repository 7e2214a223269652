"""Where coverage looks, seen by a coverage that only says whether it was looking."""

import signal
from dataclasses import dataclass, field
from pathlib import Path
from time import process_time
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests import measured
from tests.layers import HERE, LAYERS

EXAMPLES = 3 * measured.FIRST


@dataclass
class Looking:
    """Several coverages that are running, the latest last, as in a worker of xdist."""

    running: list["Looking.One"] = field(default_factory=list)
    data: dict[str, set[int]] = field(default_factory=lambda: {"file.py": set()})
    """The ways that were seen, by file."""

    @dataclass
    class One:
        """One of them."""

        among: "Looking"

        def start(self) -> None:
            self.among.running.append(self)

        def stop(self) -> None:
            self.among.running.remove(self)

        @property
        def _collector(self) -> "Looking":
            return self.among

    def current(self) -> "Looking.One | None":
        """The latest that was started."""
        return self.running[-1] if self.running else None


@dataclass
class Item:
    """As much of a test as is looked at."""

    path: Path
    marks: frozenset[str] = frozenset()
    name: str = "test_it"

    @property
    def nodeid(self) -> str:
        """What it is called by."""
        return f"{self.path}::{self.name}"

    def get_closest_marker(self, name: str) -> object:
        """Whether it is marked so."""
        return name in self.marks or None


@pytest.fixture
def looking(monkeypatch) -> Looking:
    """Two coverages, and ours is the latest; what looks at these tests themselves stays apart."""
    signal.setitimer(signal.ITIMER_VIRTUAL, 0)
    looking = Looking()
    for _ in range(2):
        Looking.One(looking).start()
    monkeypatch.setattr(measured, "Coverage", looking)
    monkeypatch.setattr(measured, "_measure", type(measured._measure)())
    monkeypatch.setattr(measured, "_quiet_s", {})
    return looking


@pytest.mark.parametrize("marks", [(), ("slow",)])
@pytest.mark.parametrize("layer", sorted(LAYERS))
def test_a_layer_is_measured_as_it_says(looking, layer, marks):
    """Nothing looks while a test runs that is not to be measured, and ours looks again after."""
    ours = looking.current()
    wanted = {"all": True, "quick": not marks, "none": False}[LAYERS[layer].measured]
    with measured.measured(Item(HERE / layer / "test_some.py", frozenset(marks))):
        assert bool(looking.running) is wanted
    assert looking.current() is ours


@dataclass
class Clock:
    """The timer of this process and its signal; time passes only when a test says so."""

    SIGVTALRM = signal.SIGVTALRM
    ITIMER_VIRTUAL = signal.ITIMER_VIRTUAL
    each_s: float = 0.0
    left_s: float = 0.0
    called: Any = None

    def setitimer(self, _: int, left_s: float, each_s: float = 0.0) -> tuple[float, float]:
        """Start or stop it, and how much was left."""
        before = self.left_s, self.each_s
        self.left_s, self.each_s = left_s, each_s
        return before

    def signal(self, _: int, called: Any) -> Any:
        """Call that when the time has come, and what was called before."""
        before, self.called = self.called, called
        return before

    def pass_time(self, most_s: float, looking: Looking) -> None:
        """Let so much time pass, or less if nothing looks any more."""
        while self.each_s and looking.running and most_s >= self.left_s:
            most_s -= self.left_s
            self.left_s = self.each_s
            self.called()
        self.left_s -= most_s


@pytest.fixture
def clock(monkeypatch) -> Clock:
    """How fast this machine is now, and what else it does, must not matter."""
    clock = Clock()
    monkeypatch.setattr(measured, "signal", clock)
    monkeypatch.setattr(measured, "NOTHING_NEW_S", 0.5)
    return clock


@pytest.mark.parametrize("layer", ["vehicle", "workshop"])
def test_a_test_is_measured_until_it_shows_nothing_new(looking, clock, layer):
    """Wherever anything is measured; as long as ways come that none has shown it goes on."""
    ours = looking.current()
    ways = looking.data["file.py"]
    with measured.measured(Item(HERE / layer / "test_some.py")):
        for way in range(100):
            clock.pass_time(0.25, looking)
            ways.add(way)
        clock.pass_time(0.5, looking)  # it was looked last before that way came
        assert looking.running
        clock.pass_time(0.125, looking)
        assert not looking.running
    assert looking.current() is ours


def test_the_time_that_passes_is_that_of_this_process(looking, monkeypatch):
    """A test that only goes on and on is looked away from, however slow the machine."""
    monkeypatch.setattr(measured, "NOTHING_NEW_S", 0.04)
    with measured.measured(Item(HERE / "vehicle" / "test_some.py")):
        until = process_time() + 60
        while looking.running and process_time() < until:
            sum(range(10_000))
        assert not looking.running


def test_the_cases_of_a_test_share_that_time(looking, clock):
    """What one showed nothing new in is taken from the next; another test has its own."""
    seen = []
    cases = [(f"test_it[{case}]", 0.1875) for case in range(4)]
    for name, most_s in (*cases, ("test_other", 0)):
        with measured.measured(Item(HERE / "vehicle" / "test_some.py", name=name)):
            begun = bool(looking.running)
            clock.pass_time(most_s, looking)
            seen.append((begun, bool(looking.running)))
    assert seen == [*[(True, True)] * 2, (True, False), (False, False), (True, True)]


def test_a_case_that_shows_something_new_gives_the_next_their_time_again(looking, clock):
    """However late in it, and however long the cases before showed nothing."""
    ways = looking.data["file.py"]
    for case in range(4):
        with measured.measured(Item(HERE / "vehicle" / "test_some.py", name=f"test_it[{case}]")):
            clock.pass_time(0.1875, looking)
            assert looking.running
            ways.add(case)


def test_a_property_is_measured_for_its_first_examples(looking, clock):
    """Each time that it is tried, and the next test is measured again."""
    seen = []

    @settings(max_examples=EXAMPLES, database=None)
    @given(st.integers())
    def always(_: int) -> None:
        seen.append(bool(looking.running))

    for _ in range(2):
        measured.only_the_first_examples(always)  # twice does no harm
        seen.clear()
        with measured.measured(Item(HERE / "vehicle" / "test_some.py")):
            always()
        assert seen == [True] * measured.FIRST + [False] * (len(seen) - measured.FIRST)
        assert len(seen) > measured.FIRST
        assert looking.running


def test_while_tests_are_collected_only_our_own_modules_are_measured(looking):
    """They are loaded while it looks, and it looks away from what pytest loads then."""
    with measured.collecting():
        assert not looking.running
    assert looking.running
