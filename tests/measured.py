"""Where coverage looks: at what a module's own tests run, as long as it sees anything new.

Tracing makes tight Python five times as slow, and the five-hundredth example of a property, or a
command that plans the whole demo, tells no more of which lines are tested than what ran before. So
coverage looks away there, which can only make its figure smaller.
"""

import signal
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from functools import wraps
from importlib import import_module
from pkgutil import iter_modules
from types import ModuleType
from typing import Any

import pytest
from coverage import Coverage

import putback
from tests.layers import LAYERS, layer_of

UNMEASURED = frozenset({"putback.cli", "putback.web"})
"""What `omit` leaves out of the figure in pyproject.toml."""

FIRST = 10
"""So many examples of a property are measured each time that it is tried."""

NOTHING_NEW_S = 0.4
"""So long is a test measured while it shows no way through the code that none showed before.

In seconds of this process, all cases of the test together: the later cases of a table take the
ways of the first.
"""

LOOKS = 4
"""So often is it looked meanwhile whether there is anything new."""


class _Measure:
    """What is measuring now, if anything does, and how many examples it has seen."""

    coverage: Coverage | None = None
    examples = 0
    is_away = False
    shown = 0
    """How much was seen when it was looked last."""
    quiet_s = 0.0
    """How long nothing was new by then."""

    def look_away(self) -> None:
        self.is_away = True
        # In a worker, pytest-cov leaves another one beneath the one that counts: stop them all.
        while (measuring := Coverage.current()) is not None:
            measuring.stop()
            self.coverage = self.coverage or measuring

    def look_again(self) -> None:
        self.examples = 0
        if self.coverage is not None:
            self.coverage.start()
            self.coverage = None
        self.is_away = False

    def look_until_quiet(self, quiet_s: float) -> None:
        """Measure as long as there is anything new, of a test that showed nothing for a while."""
        self.shown, self.quiet_s = self.seen(), quiet_s
        each_s = NOTHING_NEW_S / LOOKS
        signal.setitimer(signal.ITIMER_VIRTUAL, each_s, each_s)

    def a_while_has_passed(self, *_: object) -> None:
        """Look away if nothing is new, unless that is being done: a signal comes at any moment."""
        if self.is_away:
            return
        self.count_quiet(NOTHING_NEW_S / LOOKS)
        if self.quiet_s >= NOTHING_NEW_S:
            self.look_away()

    def count_quiet(self, passed_s: float) -> None:
        seen = self.seen()
        self.quiet_s = 0.0 if seen > self.shown else self.quiet_s + passed_s
        self.shown = seen

    def seen(self) -> int:
        """How many ways from line to line were seen by now, by the coverage that counts."""
        measuring = Coverage.current()
        if measuring is None:
            return self.shown
        of_files = list(measuring._collector.data.values())  # others may go on running
        return sum(map(len, of_files))


_measure = _Measure()
_quiet_s: dict[str, float] = {}
"""How long each test that was tried already has shown nothing new, by its name without the case.
"""


def _load_all_of(package: ModuleType) -> None:
    for each in iter_modules(package.__path__, f"{package.__name__}."):
        if each.name not in UNMEASURED:
            with suppress(Exception):  # the tests that load it as well will tell
                module = import_module(each.name)
                if each.ispkg:
                    _load_all_of(module)


@contextmanager
def collecting() -> Iterator[None]:
    """Measure how our own modules are loaded, and not how pytest loads hundreds of its own."""
    if Coverage.current() is not None:
        _load_all_of(putback)
    _measure.look_away()
    try:
        yield
    finally:
        _measure.look_again()


@contextmanager
def measured(item: pytest.Item) -> Iterator[None]:
    """Measure a test if its layer asks for it; setting up and tearing down belong to it."""
    wanted = LAYERS[layer_of(item.path)].measured
    slow = item.get_closest_marker("slow") is not None
    name = item.nodeid.partition("[")[0]
    quiet_s = _quiet_s.get(name, 0.0)
    is_wanted = wanted == "all" or (wanted == "quick" and not slow)
    is_measured = is_wanted and quiet_s < NOTHING_NEW_S
    before = signal.signal(signal.SIGVTALRM, _measure.a_while_has_passed)
    try:
        if is_measured:
            _measure.look_until_quiet(quiet_s)
        else:
            _measure.look_away()
        yield
    finally:
        still_s, each_s = signal.setitimer(signal.ITIMER_VIRTUAL, 0)
        if is_measured:
            if not _measure.is_away:
                _measure.count_quiet(each_s - still_s)
            _quiet_s[name] = _measure.quiet_s
        signal.signal(signal.SIGVTALRM, before)
        _measure.look_again()


def only_the_first_examples(test: Callable[..., Any]) -> None:
    """Let a property, if `test` is one, be measured for its first examples."""
    handle = getattr(test, "hypothesis", None)
    if handle is None or hasattr(handle.inner_test, "counts_examples"):
        return
    example = handle.inner_test

    @wraps(example)
    def tried(*args: Any, **kwargs: Any) -> Any:
        _measure.examples += 1
        if _measure.examples > FIRST:
            _measure.look_away()
        return example(*args, **kwargs)

    tried.counts_examples = True  # type: ignore[attr-defined]  # once for all parameters
    handle.inner_test = tried
