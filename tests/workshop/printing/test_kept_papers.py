"""Papers that take long: made into a folder, whole or not at all, and kept until made anew."""

import errno
import os
import time
from dataclasses import replace

import pytest

from putback.errors import NotFound, Stopped
from putback.logbook.entries.base import DeviceId
from putback.paper.language import words_in
from putback.paper.page import page_called
from putback.workshop.desk import Question, Stage
from putback.workshop.desk.memory import MemoryDesk
from putback.workshop.desk.planner import Planner
from putback.workshop.printing.form import Form
from putback.workshop.printing.kept_papers import (
    KeptPapers,
    ask_for_paper,
    paper_made,
    wanted_of,
)
from putback.workshop.printing.units import Units
from putback.workshop.printing.wanted import Wanted
from tests.makers import vehicle
from tests.workshop.lines import CAR, Lines


class Counter:
    """A car, a desk, and who makes papers into a folder."""

    def __init__(self, folder) -> None:
        self.lines = Lines(vehicle("lid - frame"))
        self.desk = MemoryDesk(self.lines.workshop.store, self.lines.watch)
        self.papers = KeptPapers(folder)
        self.maker = Planner(self.lines.workshop, self.desk, "maker", papers=self.papers)
        self.wanted = Wanted(self.lines.workshop, CAR, DeviceId("phone"))

    def ask(self, form=Form.HTML, *, again=False):
        """Ask for the history file."""
        return ask_for_paper(self.desk, "history", form, self.wanted, again=again)

    def made(self, slip):
        """Let it be made, and give the slip as it is then."""
        assert self.maker.answer_one()
        return self.desk.look(slip.id)

    def files(self) -> list[str]:
        """All that lies in the folder."""
        return sorted(each.name for each in self.papers.folder.rglob("*"))


@pytest.fixture
def counter(tmp_path) -> Counter:
    """Nothing asked for yet; the folder is made when it is needed."""
    return Counter(tmp_path / "papers")


def test_a_paper_is_made_as_it_was_wanted(counter):
    """All that was chosen comes back from the question; what is told of it fits the file."""
    counter.wanted = replace(
        counter.wanted,
        words=words_in("en", "american"),
        units=Units.METRIC,
        page=page_called("letter", is_large=True),
        with_money=True,
    )
    slip = counter.ask()
    form, wanted = wanted_of(counter.lines.workshop, slip.question)
    assert (form, replace(wanted, device=DeviceId("phone"))) == (Form.HTML, counter.wanted)
    told = paper_made(counter.made(slip))
    content = counter.papers.find(slip.question).read_bytes()
    assert content.endswith(b"</html>\n")
    assert told.size_bytes == len(content)
    assert told.position == counter.lines.workshop.store.position(CAR)
    assert counter.files() == [counter.papers.find(slip.question).name]


def test_a_newer_one_takes_the_place_of_an_older_one(counter):
    """Of the same choices one file is kept; of others another."""
    first = counter.ask()
    counter.made(first)
    counter.lines("note 'rats in the trunk'")
    second = counter.ask()
    assert second.id != first.id
    counter.made(second)
    assert counter.papers.find(first.question) == counter.papers.find(second.question)
    assert b"ats in the trunk" in counter.papers.find(second.question).read_bytes()
    counter.wanted = replace(counter.wanted, with_money=True)
    counter.made(counter.ask())
    assert len(counter.files()) == 2


def test_one_that_is_stopped_leaves_the_older_one_whole(counter, monkeypatch):
    """Nothing of the new one stays, nor of what was made on the way."""
    slip = counter.ask()
    counter.made(slip)
    kept = counter.papers.find(slip.question).read_bytes()
    counter.ask(again=True)
    monkeypatch.setattr(
        "putback.workshop.printing.history.write_history_html", stopping(counter.papers.folder)
    )
    assert counter.made(slip).stage is Stage.WAITING  # given back, as if its maker went home
    assert counter.papers.find(slip.question).read_bytes() == kept
    assert len(counter.files()) == 1


def stopping(folder):
    """Writes half a page, and is stopped."""

    def write(history, pictures, target, *more):
        target.write_text("<html>half")
        assert folder in target.parents  # on the disk that keeps it, and cleared away with it
        raise Stopped("writing the page", 1, None)

    return write


def test_what_a_dead_maker_left_is_cleared_away(counter):
    """Whoever takes the question next clears it; what nobody takes goes by its age."""
    slip = counter.ask()
    left = counter.papers.folder / f"making-{slip.id}" / "putback-history-x" / "paper"
    left.mkdir(parents=True)
    (left / "history.html").write_text("<html>half")
    assert counter.papers.find(slip.question) is None
    counter.made(slip)
    assert counter.files() == [counter.papers.find(slip.question).name]
    left.mkdir(parents=True)
    week = time.time() - 7 * 24 * 3600
    os.utime(left.parents[1], (week, week))
    os.utime(counter.papers.find(slip.question), (week, week))
    (counter.papers.folder / "new.pdf").touch()
    counter.papers.clear(3 * 24 * 3600)
    assert counter.files() == ["new.pdf"]


@pytest.mark.parametrize(
    ("number", "fault", "remedy"),
    [
        (errno.ENOSPC, "the disk is full", "nothing was saved; make room and try again"),
        (
            errno.EACCES,
            "papers cannot be kept here: Permission denied",
            "let the account that serves Putback write there",
        ),
    ],
)
def test_a_folder_that_takes_nothing_is_told_and_not_tried_for_ever(
    counter, monkeypatch, number, fault, remedy
):
    """The slip says what is wrong and how to mend it."""

    def refused(*args):
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr("putback.workshop.printing.history.copy_whole", refused)
    found = counter.made(counter.ask())
    assert (found.stage, found.trouble.fault, found.trouble.remedy) == (
        Stage.FAILED,
        fault,
        remedy,
    )
    assert counter.files() == []


def test_what_another_version_told_is_nothing(counter):
    """It is as if it were not made."""
    slip = counter.ask()
    assert paper_made(slip) is None
    assert paper_made(replace(slip, answer=b'{"pages": 3}')) is None


def test_what_is_no_paper_is_not_made(counter):
    """It is told by its name."""
    with pytest.raises(NotFound, match="no kind of question 'horoscope'"):
        counter.papers.answer(counter.lines.workshop, Question(CAR, "horoscope"), None)
