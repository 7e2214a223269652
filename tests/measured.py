"""Where coverage looks: at what a module's own tests run, for their first moments and examples.

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

FIRST_S = 1.5
"""So long is a test measured, all its cases together, in a layer that measures quick ones.

In seconds of this process. The later cases of a table take the ways of the first.
"""


class _Measure:
    """What is measuring now, if anything does, and how many examples it has seen."""

    coverage: Coverage | None = None
    examples = 0
    is_away = False

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

    def time_is_over(self, *_: object) -> None:
        """Look away, unless that is being done just now: a signal comes at any moment."""
        if not self.is_away:
            self.look_away()


_measure = _Measure()
_left_s: dict[str, float] = {}
"""How long each test that was tried already is measured yet, by its name without the case."""


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
    left_s = _left_s.get(name, FIRST_S)
    before = signal.signal(signal.SIGVTALRM, _measure.time_is_over)
    try:
        if wanted == "none" or (wanted == "quick" and (slow or left_s <= 0)):
            _measure.look_away()
        elif wanted == "quick":
            signal.setitimer(signal.ITIMER_VIRTUAL, left_s)
        yield
    finally:
        still_s, _ = signal.setitimer(signal.ITIMER_VIRTUAL, 0)
        if wanted == "quick" and not slow:
            _left_s[name] = still_s
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
