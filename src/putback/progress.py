"""The port through which long work tells how far it is, and learns that it shall stop.

Whoever runs for long takes a `Progress` and calls ``step`` as often as is convenient, between
steps that may be abandoned. Whoever waits implements it: a bar, a row in a database, or nothing.
Asking to stop is the same call: ``step`` raises `Stopped`, and the work ends there.
"""

from collections.abc import Callable
from dataclasses import dataclass
from time import monotonic
from typing import Protocol

from putback.errors import Stopped


class Progress(Protocol):
    """What long work reports to."""

    def step(self, done: int, total: int | None, what: str) -> None:
        """Take note that `done` steps of `total` (None: unknown) are behind us, now at `what`.

        Raises
        ------
        Stopped
            If the person who waits wants the work to end.
        """


class NoProgress:
    """Nobody is watching, and nobody will ask to stop."""

    def step(self, done: int, total: int | None, what: str) -> None:
        """Do nothing."""


@dataclass(frozen=True, slots=True)
class Stoppable:
    """Passes reports on to `watcher`, and stops the work as soon as `wanted` says so."""

    wanted: Callable[[], bool]
    watcher: Progress = NoProgress()

    def step(self, done: int, total: int | None, what: str) -> None:
        """Report to the watcher, or raise `Stopped`."""
        if self.wanted():
            raise Stopped(what, done, total)
        self.watcher.step(done, total, what)


def within(
    seconds: float, watcher: Progress = NoProgress(), clock: Callable[[], float] = monotonic
) -> Stoppable:
    """A progress that stops the work once `seconds` have passed from now.

    Parameters
    ----------
    seconds : float
        Time allowed, [s].
    watcher : Progress
        Who hears of every step before that.
    clock : callable
        Reads a clock that never goes back, [s].
    """
    end = clock() + seconds
    return Stoppable(lambda: clock() >= end, watcher)
