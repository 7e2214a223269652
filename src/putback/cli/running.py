"""Programs that run beside each other until one ends or somebody ends them all."""

import os
import signal
import subprocess
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from types import FrameType

from putback.errors import StoreError

_ENDING = (signal.SIGTERM, signal.SIGHUP)
_LOOKS_EVERY_S = 0.1
_MAY_TAKE_S = 12.0
"""How long a program may take to end before it is killed [s]."""


@dataclass(frozen=True, slots=True)
class Program:
    """A program: what a person calls it, its command, and its environment."""

    name: str
    command: Sequence[str]
    environment: Mapping[str, str]


def run_together(
    programs: Sequence[Program],
    *,
    are_up: Callable[[], bool] = lambda: True,
    tell: Callable[[], None] = lambda: None,
) -> None:
    """Run programs until Ctrl-C, SIGTERM or the terminal's end.

    Once they ``are_up``, ``tell`` says so. If one ends by itself, the others are ended, and it is
    told.

    Raises
    ------
    StoreError
        If a program ended by itself.
    """
    was = {each: signal.signal(each, _as_ctrl_c) for each in _ENDING}
    running: list[tuple[Program, subprocess.Popen[bytes]]] = []
    try:
        for each in programs:
            # A session of its own: Ctrl-C reaches us alone, and we end all in order.
            process = subprocess.Popen(
                each.command,
                env=dict(each.environment),
                stdin=subprocess.DEVNULL,
                start_new_session=True,
            )
            running.append((each, process))
        is_told = False
        while True:
            if not is_told and are_up():
                tell()
                is_told = True
            for each, process in running:
                code = process.poll()
                if code is not None:
                    raise StoreError(each.name, _ended(code), "what was acknowledged is saved")
            time.sleep(_LOOKS_EVERY_S)
    except KeyboardInterrupt:
        return
    finally:
        _end([process for _, process in running])
        for number, handler in was.items():
            signal.signal(number, handler)


def _as_ctrl_c(number: int, frame: FrameType | None) -> None:
    raise KeyboardInterrupt


def _ended(code: int) -> str:
    if code < 0:
        return f"was ended from outside (signal {-code})"
    return f"ended by itself (code {code})"


def _end(processes: Sequence["subprocess.Popen[bytes]"]) -> None:
    for each in processes:
        if each.poll() is None:
            each.terminate()
    last = time.monotonic() + _MAY_TAKE_S
    for each in processes:
        try:
            each.wait(max(0.1, last - time.monotonic()))
        except subprocess.TimeoutExpired:
            # With all it started: a server that hangs while it starts leaves them the port.
            os.killpg(each.pid, signal.SIGKILL)
            each.wait()
