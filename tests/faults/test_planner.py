"""A planner's process: killed, told to end, and asked again; no question is lost by it."""

import os
import signal
import subprocess
import sys
import time

import pytest
from pypdf import PdfReader

from putback.logbook.entries.base import LogbookId
from putback.logbook.entries.working import NoteMade
from putback.planning.check import check_strip
from putback.workshop.desk import Stage, put
from putback.workshop.desk.port import GIVEN_UP, MOST_LOST
from putback.workshop.desk.questions import answer_of
from putback.workshop.logbooks.workshop import Workshop
from putback.workshop.plans.plans import goal_called
from putback.workshop.printing.form import Form
from putback.workshop.printing.kept_papers import KeptPapers, ask_for_paper, paper_made
from putback.workshop.printing.wanted import Wanted
from tests.makers import vehicle
from tests.stores import ANN, PHONE

CAR = LogbookId("car")


class Planners:
    """Starts planners, and ends what is left of them."""

    def __init__(self, home, url) -> None:
        self.home = home
        self.url = url
        self.running = []

    def start(
        self, *options: str, slow: bool = False, deadly: bool = False
    ) -> "subprocess.Popen[bytes]":
        """Start one as a process.

        A slow one is long over each step of its progress, a deadly one is killed by its first;
        that one takes others for dead as soon as they are silent for a second.
        """
        wait = (
            "import time\n"
            "from putback.workshop.desk.planner import Watched\n"
            "quick = Watched.step\n"
            "Watched.step = lambda *said: (time.sleep(0.3), quick(*said))\n"
        )
        die = (
            "import os, signal\n"
            "from putback.workshop.desk import port\n"
            "port.STALE_S = 1.0\n"
            "from putback.workshop.desk.planner import Watched\n"
            "Watched.step = lambda *said: os.kill(os.getpid(), signal.SIGKILL)\n"
        )
        main = "from putback.cli.main import main\nmain()"
        process = subprocess.Popen(
            [
                sys.executable,
                "-c",
                f"{wait if slow else ''}{die if deadly else ''}{main}",
                "--home",
                str(self.home),
                "planner",
                *options,
            ],
            env={**os.environ, "PUTBACK_DATABASE_URL": self.url},
            stdout=subprocess.DEVNULL,
        )
        self.running.append(process)
        return process

    def close(self) -> None:
        """Kill what still runs."""
        for process in self.running:
            process.kill()
            process.wait()


@pytest.fixture
def site(opener, kind):
    """A store with a car of four lids to strip, and planners over it."""
    opened = opener.open(kind)
    workshop = Workshop(opened.entries, opened.photos)
    lids = (f"{zone}{n} - frame; zone {zone}; 5 min" for n in range(2) for zone in "ab")
    workshop.new_vehicle(vehicle(*lids, datum="frame"), who=ANN, device=PHONE, logbook=CAR)
    url = opener.url() if kind == "postgresql" else ""
    planners = Planners(opener.folder / "home", url)
    yield workshop, opened.desk, planners
    planners.close()


def wait_until(is_so, seconds=100):
    """Wait until something is so."""
    for _ in range(seconds * 50):
        if is_so():
            return
        time.sleep(0.02)
    raise AssertionError("it never came to it")


def wait_for(desk, slip, *stages, seconds=100):
    """Wait until a slip is in one of these stages."""
    for _ in range(seconds * 10):
        found = desk.look(slip.id)
        if found.stage in stages:
            return found
        time.sleep(0.1)
    raise AssertionError(f"it is still {found.stage}: {found}")


@pytest.mark.slow
def test_a_question_outlives_its_planner(site, monkeypatch):
    """Killed in the middle of it: another takes it once the dead one is silent for long."""
    workshop, desk, planners = site
    slip = put(desk, workshop, CAR, "strip")
    killed = planners.start(slow=True)
    wait_for(desk, slip, Stage.IN_WORK)
    killed.send_signal(signal.SIGKILL)
    killed.wait()
    assert desk.look(slip.id).stage is Stage.IN_WORK
    monkeypatch.setattr("putback.web.store.desk_store.STALE_S", -1.0)
    taken = desk.claim("another")
    assert taken.question == slip.question
    desk.give_back(slip.id, "another")
    planners.start()
    found = wait_for(desk, slip, Stage.ANSWERED, Stage.FAILED)
    assert found.trouble is None
    state = workshop.state(CAR)
    goal = goal_called(state, None)
    plan = answer_of(found).plan.plan
    assert check_strip(state.vehicle, state, goal, plan) == ()


@pytest.mark.slow
def test_a_question_that_kills_every_planner_is_given_up_in_words(site, monkeypatch):
    """After the third it has failed; the next question is answered, and logging never waited."""
    workshop, desk, planners = site
    monkeypatch.setattr("putback.web.store.desk_store.STALE_S", 1.0)
    slip = put(desk, workshop, CAR, "strip")
    for _ in range(MOST_LOST - 1):  # as it looks from here, and then for real
        assert desk.claim("dies").question == slip.question
        time.sleep(1.1)
    assert planners.start(deadly=True).wait(100) == -signal.SIGKILL
    assert desk.look(slip.id).stage is Stage.IN_WORK
    time.sleep(1.1)
    assert desk.claim("lives") is None
    found = desk.look(slip.id)
    assert (found.stage, found.trouble) == (Stage.FAILED, GIVEN_UP)
    workshop.log(CAR, [NoteMade(text="went on")], who=ANN, device=PHONE)
    planners.start()
    other = put(desk, workshop, CAR, "strip")
    assert wait_for(desk, other, Stage.ANSWERED, Stage.FAILED).trouble is None


@pytest.mark.slow
def test_a_planner_ends_in_order_and_stops_when_nobody_waits(site):
    """Cancelled it drops the work; told to end it gives back what it was at, and says 0."""
    workshop, desk, planners = site
    slip = put(desk, workshop, CAR, "strip")
    process = planners.start(slow=True)
    wait_for(desk, slip, Stage.IN_WORK)
    desk.cancel(slip.id)
    other = put(desk, workshop, CAR, "alternatives")
    wait_for(desk, other, Stage.IN_WORK)
    process.send_signal(signal.SIGTERM)
    assert process.wait(30) == 0
    assert desk.look(slip.id).stage is Stage.CANCELLED
    assert desk.look(other.id).stage is Stage.WAITING


@pytest.mark.slow
def test_a_paper_whose_maker_is_killed_is_made_anew_and_never_torn(opener, monkeypatch):
    """No half file is ever taken for it; the next maker clears up, says so and makes it whole."""
    opened = opener.open("sqlite")
    workshop, desk = Workshop(opened.entries, opened.photos), opened.desk
    papers = KeptPapers(opened.papers)
    workshop.new_vehicle(vehicle("lid - frame"), who=ANN, device=PHONE, logbook=CAR)
    slip = ask_for_paper(desk, "history", Form.PDF, Wanted(workshop, CAR, PHONE))
    planners = Planners(opened.home, "")
    try:
        killed = planners.start("--papers", slow=True)
        wait_until(lambda: list(opened.papers.rglob("history.typ")))  # it is being set
        killed.send_signal(signal.SIGKILL)
        killed.wait()
        assert papers.find(slip.question) is None
        monkeypatch.setattr("putback.web.store.desk_store.STALE_S", -1.0)
        taken = desk.claim("another", papers=True)
        assert (taken.id, taken.lost) == (slip.id, 1)
        desk.give_back(slip.id, "another")
        assert planners.start("--papers", "--once").wait(100) == 0
    finally:
        planners.close()
    assert paper_made(desk.look(slip.id)) is not None
    assert PdfReader(papers.find(slip.question)).pages
    assert [each.name for each in opened.papers.iterdir()] == [papers.find(slip.question).name]
