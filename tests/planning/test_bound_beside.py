"""The bound from another process: the same answer, stopped when asked, and none left behind."""

import subprocess
import sys
from pathlib import Path
from time import monotonic, sleep

import pytest

from putback.errors import Stopped
from putback.planning import strip
from putback.planning.bounds import beside
from putback.planning.bounds.beside import lower_bound_beside
from putback.planning.bounds.bound import lower_bound
from putback.planning.ordering.task import set_task
from putback.planning.plan import USUAL
from putback.planning.strip import plan_strip
from putback.progress import Stoppable
from putback.vehicle.generate import generate
from tests.planning.hand_made import state_of

LONG_ENOUGH_S = 60.0


@pytest.fixture(scope="module")
def question():
    """What a bound is asked of: a generated vehicle with everything to come off."""
    v = generate(40, 3)
    task = set_task(v, state_of(v), v.goals["all-off"], USUAL)
    return task.problem, task.targets, USUAL


@pytest.fixture
def others(monkeypatch) -> list["subprocess.Popen[bytes]"]:
    """The other processes that are begun."""
    begun = []

    class Seen(subprocess.Popen):
        def __init__(self, *args, **more):
            super().__init__(*args, **more)
            begun.append(self)

    monkeypatch.setattr(subprocess, "Popen", Seen)
    return begun


def test_another_process_answers_the_same(question, others, monkeypatch):
    """To the last figure, and it is that process that answers."""
    monkeypatch.setattr(beside, "lower_bound", None)
    assert lower_bound_beside(*question) == lower_bound(*question)
    assert [each.returncode for each in others] == [0]


def test_nothing_is_run_from_the_folder_one_works_in(question, others, monkeypatch, tmp_path):
    """A file there with the name of a module is none of that process's business."""
    (tmp_path / "json.py").write_text("raise SystemExit(3)")
    monkeypatch.chdir(tmp_path)
    lower_bound_beside(*question)
    assert [each.returncode for each in others] == [0]


def test_it_is_stopped_when_asked(question, others):
    """Whoever waits gives up: the other process is gone as well."""
    with pytest.raises(Stopped):
        lower_bound_beside(*question, Stoppable(lambda: True))
    (other,) = others
    assert other.returncode < 0


@pytest.mark.parametrize("program", ["/bin/false", "/nowhere/python", ""])
def test_where_no_other_process_answers_it_is_found_here(question, program, monkeypatch):
    """One that fails, one that is not there, and an interpreter that does not know its own."""
    monkeypatch.setattr(sys, "executable", program)
    assert lower_bound_beside(*question) == lower_bound(*question)


def test_where_there_is_no_room_for_the_question_it_is_found_here(question, monkeypatch):
    """The folder for temporary files is full."""

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(beside, "_write", full)
    assert lower_bound_beside(*question) == lower_bound(*question)


def test_a_strip_is_the_same_with_its_bound_found_beside(others, monkeypatch):
    """One other process is begun for it, and has ended by the time the plan is there."""
    v = generate(20, 2)
    asked = v, state_of(v), v.goals["all-off"]
    alone = plan_strip(*asked)
    assert not others
    monkeypatch.setattr(strip, "_LONG", 0)
    assert plan_strip(*asked) == alone
    assert [each.returncode for each in others] == [0]


ASKS = """
import os, subprocess, sys
asks = [sys.executable, "-m", "putback.planning.bounds.beside", str(os.getpid())]
other = subprocess.Popen(asks)
print(other.pid, flush=True)
other.wait()
"""


def test_it_ends_with_the_one_that_asked():
    """That is killed, with no time to say so, while the other still waits for its question."""
    asks = subprocess.Popen(
        [sys.executable, "-c", ASKS], stdin=subprocess.PIPE, stdout=subprocess.PIPE
    )
    with asks:
        other = int(asks.stdout.readline())
        assert is_there(other)
        asks.kill()
        asks.wait()
        end = monotonic() + LONG_ENOUGH_S
        while is_there(other) and monotonic() < end:
            sleep(0.05)
        assert not is_there(other)


def is_there(process: int) -> bool:
    """Whether a process runs; one that has ended and that nobody waited for does not."""
    try:
        told = Path(f"/proc/{process}/stat").read_text()
    except FileNotFoundError:
        return False
    return told.rpartition(") ")[2][0] != "Z"
