"""The process in which a history file is set ends with whoever waits for it, however that ends."""

import subprocess
import sys
import time
from pathlib import Path

WAITS = """
import sys
from pathlib import Path

from putback.paper.history import Block, Chapter, History, Row, history_pdf
from putback.paper.history_words import HistoryWords

rows = tuple(Row((f"{number}", "as it was found " * 9)) for number in range(30_000))
block = Block("All of it", ("number", "what"), (1, 4), rows)


class Watcher:
    def step(self, done, total, what):
        print(what, flush=True)


words, chapters = HistoryWords(), (Chapter("Told", blocks=(block,)),)
history = History("car", "3 May 2031", (2031, 5, 3), "en", words, (), (), None, chapters)
history_pdf(history, Path(sys.argv[1]), progress=Watcher())
"""
"""Asks for a file that takes far longer than this test, and tells when its pages are being set."""


def is_running(process: str) -> bool:
    """Whether there is such a process; one that ended and that nobody asked after is none."""
    try:
        said = Path(f"/proc/{process}/stat").read_text(encoding="ascii")
    except FileNotFoundError:
        return False
    return said.rpartition(")")[2].split()[0] != "Z"


def test_the_setting_ends_with_whoever_waits_for_it(tmp_path):
    """Killed, it can tell nobody: its pages are set no further all the same."""
    waits = subprocess.Popen(
        [sys.executable, "-c", WAITS, str(tmp_path)], stdout=subprocess.PIPE, text=True
    )
    assert waits.stdout is not None
    assert waits.stdout.readline() == "setting the pages\n"
    children = Path(f"/proc/{waits.pid}/task/{waits.pid}/children")
    (setting,) = children.read_text(encoding="ascii").split()
    assert is_running(setting)
    waits.kill()
    waits.wait()
    waits.stdout.close()
    until = time.monotonic() + 10
    while is_running(setting) and time.monotonic() < until:
        time.sleep(0.02)
    assert not is_running(setting)
    assert not (tmp_path / "history.pdf").exists()
