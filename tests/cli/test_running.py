"""Programs that run beside each other, and how they end."""

import os
import signal
import sys
import time
from pathlib import Path
from threading import Timer

import pytest

from putback.cli import running
from putback.cli.running import Program, run_together
from putback.errors import StoreError

HANGS = """
import signal, subprocess, sys, time
signal.signal(signal.SIGTERM, signal.SIG_IGN)
child = subprocess.Popen([sys.executable, "-c", "import time; time.sleep(60)"])
open(sys.argv[1], "w").write(str(child.pid))
time.sleep(60)
"""


def _program(code: str, *words: str) -> Program:
    return Program("the program", (sys.executable, "-c", code, *words), os.environ)


def test_one_that_hangs_is_ended_with_all_that_it_started(tmp_path, monkeypatch):
    """Else what it started keeps the port, and the next start finds it taken."""
    monkeypatch.setattr(running, "_MAY_TAKE_S", 0.5)
    note = tmp_path / "child"

    def end_when_begun() -> None:
        while not note.exists() or not note.read_text():
            time.sleep(0.05)
        os.kill(os.getpid(), signal.SIGTERM)

    Timer(0, end_when_begun).start()
    run_together([_program(HANGS, str(note))])
    assert not _is_alive(int(note.read_text()))


def _is_alive(process: int) -> bool:
    """Whether it runs; one that ended and that nobody waited for does not."""
    for _ in range(100):
        try:
            told = Path(f"/proc/{process}/stat").read_text()
        except FileNotFoundError:
            return False
        if told.rpartition(")")[2].split()[0] == "Z":
            return False
        time.sleep(0.05)
    return True


def test_one_that_ends_by_itself_ends_the_others_and_is_told():
    """With how it ended."""
    with pytest.raises(StoreError, match="the program: ended by itself"):
        run_together([_program("import time; time.sleep(60)"), _program("raise SystemExit(3)")])
