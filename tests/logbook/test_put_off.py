"""Put off: not now, and why; until somebody takes it in hand or works on it all the same."""

import pytest
from pydantic import ValidationError

from putback.logbook.entries.base import Subject
from putback.logbook.entries.judging import Hindrance, PutOff
from putback.logbook.entries.rebuilding import JointMade, PartOn, Tightness
from putback.logbook.entries.working import (
    HungAside,
    JobDone,
    JointCracked,
    JointUndone,
    NoteMade,
    PartOff,
    PhotoTaken,
    SeenFree,
    TakenInHand,
)
from putback.vehicle.assembly import Assembly
from putback.vehicle.job import Job, JobKind
from tests.makers import vehicle
from tests.makers_logbook import Story

LID, JOINT, SURVEY, UNIT = "part:lid", "joint:lid-frame", "job:survey", "assembly:unit"


def story() -> Story:
    """A lid with its trim on a frame, and a survey."""
    return Story(
        vehicle(
            "lid - frame: 4 bolt 5/16-24 UNF x 1 in",
            "trim - lid: 2 bolt 5/16-24 UNF x 1 in",
            Assembly("unit", "lid with its trim", ("lid", "trim")),
            Job("survey", "survey", JobKind.SURVEY),
        )
    )


def test_what_is_put_off_says_why_and_until_when():
    """Of each thing the last word, with all that was said."""
    told = story()
    told.says("A", PutOff(what=JOINT, why=Hindrance.STUCK))
    said = told.says(
        "B", PutOff(what=JOINT, why=Hindrance.NO_TOOL, note="long reach", until="2031-06-01")
    )
    (what,) = told.state.put_off
    found = told.state.put_off[what]
    assert what == JOINT
    assert (found.said.entry, found.said.who) == (said, "B")
    assert (found.why, found.note, found.until) == (Hindrance.NO_TOOL, "long reach", "2031-06-01")


@pytest.mark.parametrize(
    ("what", "work"),
    [
        (LID, TakenInHand(what=LID)),
        (JOINT, TakenInHand(what=JOINT)),
        (SURVEY, TakenInHand(what=SURVEY)),
        (UNIT, TakenInHand(what=UNIT)),
        (LID, PartOff(part="lid")),
        (LID, PartOn(part="lid")),
        (LID, HungAside(part="lid")),
        (JOINT, JointCracked(joint="lid-frame")),
        (JOINT, JointUndone(joint="lid-frame", out=1, of=4)),
        (JOINT, JointMade(joint="lid-frame", tightness=Tightness.NIPPED)),
        (JOINT, PartOff(part="lid")),
        (SURVEY, JobDone(job="survey")),
        (UNIT, PartOff(part="lid", whole="unit")),
        (UNIT, PartOn(part="trim")),
    ],
    ids=lambda each: each if isinstance(each, str) else each.KIND,
)
def test_work_on_it_ends_that(what, work):
    """And with the work struck out it is put off again."""
    told = story()
    told.says("A", PutOff(what=what, why=Hindrance.NOT_TODAY))
    worked = told.says("B", work)
    assert told.state.put_off == {}
    told.strike(worked)
    assert set(told.state.put_off) == {what}


@pytest.mark.parametrize(
    ("what", "work"),
    [
        (LID, PartOff(part="lid")),
        (JOINT, JointUndone(joint="lid-frame", out=1, of=4)),
        (JOINT, PartOff(part="lid")),
        (UNIT, PartOff(part="lid", whole="unit")),
    ],
    ids=lambda each: each if isinstance(each, str) else each.KIND,
)
def test_what_was_done_before_is_no_work_when_it_is_told_again(what, work):
    """Somebody else logs the same as well: it is put off as before."""
    told = story()
    told.says("A", work)
    told.says("A", PutOff(what=what, why=Hindrance.NOT_TODAY))
    told.says("B", work)
    assert set(told.state.put_off) == {what}


@pytest.mark.parametrize(
    "word",
    [
        NoteMade(text="soaked again", of=(Subject(JOINT),)),
        PhotoTaken(photo="0" * 64, of=(Subject(JOINT),)),
        JointUndone(joint="lid-frame", out=0, of=4, stuck=4),
        SeenFree(joint="lid-frame"),
        PartOff(part="trim"),
    ],
    ids=lambda each: each.KIND,
)
def test_what_is_no_work_on_it_leaves_it_put_off(word):
    """A note, a photo, four fixings still stuck, work next to it."""
    told = story()
    told.says("A", PutOff(what=JOINT, why=Hindrance.STUCK))
    told.says("A", word)
    assert set(told.state.put_off) == {JOINT}


def test_until_is_a_day():
    """Anything else is refused; not said is allowed."""
    assert PutOff(what=LID, why="stuck").until == ""
    told = PutOff(what=LID, why="stuck", until="2026-11-29").sentence(str)
    assert told == f"put {LID} off until 29 Nov 2026 (stuck)"
    impossible = PutOff(what=LID, why="stuck", until="2026-13-29").sentence(str)
    assert "until 2026-13-29" in impossible
    with pytest.raises(ValidationError, match="until"):
        PutOff(what=LID, why="stuck", until="Saturday")


def test_it_says_itself():
    """Why, and until when if that is known."""
    assert PutOff(what=LID, why="stuck").sentence(str) == "put part:lid off (stuck)"
    said = PutOff(what=LID, why="no part", until="2031-06-01", note="seal").sentence(str)
    assert said == "put part:lid off until 1 Jun 2031 (no part: seal)"
