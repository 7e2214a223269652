"""Find the bound in another process, so that whoever plans meanwhile has an interpreter alone.

Threads take turns at Python: found in one, the bound of a large vehicle made its plan wait a third
longer. The other process is told the problem, answers once and ends; it ends, too, when the one
that asked has ended.
"""

import json
import os
import pickle
import signal
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import astuple, replace
from tempfile import TemporaryFile
from threading import Thread
from time import sleep
from types import MappingProxyType
from typing import IO, Any

from putback.planning.bounds.bound import Bound, lower_bound
from putback.planning.plan import PlanSettings
from putback.planning.posing.problem import Clause, Problem
from putback.progress import NoProgress, Progress
from putback.vehicle.vehicle import Vehicle

_LOOK_AROUND_S = 0.05
"""How often it is looked whether somebody wants it to end [s]."""

_LOOK_UP_S = 0.5
"""How often the other process looks whether the one that asked is still there [s]."""


def lower_bound_beside(
    problem: Problem,
    targets: Sequence[Clause],
    settings: PlanSettings,
    progress: Progress = NoProgress(),
) -> Bound:
    """Give what `lower_bound` gives; where no other process answers, it is found in this one.

    Raises
    ------
    Stopped
        If `progress` wants the work to end.
    """
    # Of a vehicle a bound asks for the standings alone.
    bare = Vehicle(problem.vehicle.about, standings=problem.vehicle.standings)
    asked = replace(problem, vehicle=bare, poise=None), tuple(targets), settings
    try:
        with TemporaryFile() as question:
            _write(asked, question)
            said = _answer_to(question, progress)
    except OSError:  # no room for the question, or no process to be had
        said = b""
    return Bound(*json.loads(said)) if said else lower_bound(problem, targets, settings, progress)


def _write(question: object, to: IO[bytes]) -> None:
    """Write a question; mappings that are closed to changes are so again when it is read."""
    pickler = pickle.Pickler(to, pickle.HIGHEST_PROTOCOL)
    pickler.dispatch_table = {MappingProxyType: lambda table: (_closed, (dict(table),))}
    pickler.dump(question)
    to.seek(0)


def _closed(table: dict[Any, Any]) -> MappingProxyType[Any, Any]:
    return MappingProxyType(table)


def _answer_to(question: IO[bytes], progress: Progress) -> bytes:
    """Ask another process, and wait; nothing if it fails."""
    with subprocess.Popen(
        [sys.executable or "", "-P", "-m", __name__, str(os.getpid())],
        stdin=question,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        start_new_session=True,  # nobody's Ctrl-C is meant for it
    ) as other:
        try:
            while True:
                try:
                    said, _ = other.communicate(timeout=_LOOK_AROUND_S)
                    return b"" if other.returncode else said
                except subprocess.TimeoutExpired:
                    progress.step(0, None, "finding what every plan takes at least")
        finally:
            other.kill()


# -- the other process ----------------------------------------------------------------------------


def _answer(who_asked: int) -> None:
    """Answer the question at standard input."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    Thread(target=_end_with, args=(who_asked,), daemon=True).start()
    # Only the process that began this one wrote what is read here.
    problem, targets, settings = pickle.load(sys.stdin.buffer)  # noqa: S301
    sys.stdout.write(json.dumps(astuple(lower_bound(problem, targets, settings))))


def _end_with(who_asked: int) -> None:
    """End as soon as this process was left to another."""
    while os.getppid() == who_asked:
        sleep(_LOOK_UP_S)
    os._exit(1)


if __name__ == "__main__":
    _answer(int(sys.argv[1]))
