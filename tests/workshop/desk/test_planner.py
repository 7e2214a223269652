"""A planner: every question is answered, stopped or explained, and nothing ends it but its end."""

import json
import logging
from datetime import date
from threading import Thread

import pytest

from putback.errors import Damaged, StoreBusy
from putback.planning.ahead import LookAhead
from putback.planning.reach import Reach, reach
from putback.planning.strip import plan_strip
from putback.workshop.desk import Question, Stage, put
from putback.workshop.desk import planner as planner_module
from putback.workshop.desk.planner import Planner, Watched
from putback.workshop.desk.questions import KINDS, answer_of
from putback.workshop.plans.calendar import Calendar
from putback.workshop.plans.plans import goal_called, settings_of_today
from putback.workshop.plans.rebuild import Rebuild
from putback.workshop.plans.supposed import Supposed
from putback.workshop.plans.why import WhyThere
from putback.workshop.plans.wishes import Wishes, as_json
from tests.workshop.lines import CAR

ARGS = {
    "strip": {},
    "rebuild": {},
    "alternatives": {},
    "other rebuilds": {},
    "why": {"what": "part:a0"},
    "before": {"what": "part:a0", "then": "part:b0"},
    "reach": {"what": "part:a0"},
    "cost": {"what": "part:a0"},
    "what_if": {"lines": ["off a0"]},
    "stretch": {"minutes": 30},
    "ahead": {},
    "calendar": {"rebuild": True},
}


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_of_question_is_answered(bench, kind):
    """The answer is JSON, and reads back as the record that it was."""
    slip = bench.answered(put(bench.desk, bench.workshop, CAR, kind, ARGS[kind]))
    assert slip.stage is Stage.ANSWERED, slip.trouble
    json.loads(slip.answer)
    types = {"rebuild": Rebuild, "why": WhyThere, "reach": Reach, "what_if": Supposed}
    types |= {"ahead": LookAhead, "calendar": Calendar}
    assert isinstance(answer_of(slip), types.get(kind, object))
    assert answer_of(slip) is not None


def test_an_answer_is_what_the_use_case_gives(bench):
    """Nothing is lost on the way through the desk."""
    slip = bench.answered(put(bench.desk, bench.workshop, CAR, "reach", {"what": "part:a0"}))
    state = bench.workshop.state(CAR)
    assert answer_of(slip) == reach(state.vehicle, state, "part:a0")
    slip = bench.answered(put(bench.desk, bench.workshop, CAR, "strip"))
    goal = goal_called(state, None)
    settings = settings_of_today(bench.workshop)
    assert answer_of(slip).plan.plan == plan_strip(state.vehicle, state, goal, settings)


def test_the_calendar_that_was_asked_for_comes_again_for_the_same_wishes_only(bench):
    """It is of the plan that was on hand, and planning it keeps that plan as it was."""
    bench.answered(put(bench.desk, bench.workshop, CAR, "strip"))
    asked = {"wishes": as_json(Wishes(people=2, due=date(2040, 1, 2)))}
    slip = bench.answered(put(bench.desk, bench.workshop, CAR, "calendar", asked))
    assert put(bench.desk, bench.workshop, CAR, "calendar", asked).id == slip.id
    assert [each.name for each in answer_of(slip).timetable.people] == ["person 1", "person 2"]
    assert answer_of(slip).forecast.by_due == 1.0
    assert put(bench.desk, bench.workshop, CAR, "calendar").id != slip.id


def test_an_answer_of_another_version_is_none(bench):
    """It is asked anew by whoever looks."""
    slip = put(bench.desk, bench.workshop, CAR, "reach", {"what": "part:a0"})
    bench.desk.claim("one")
    bench.desk.finish(slip.id, "one", b'{"target": 3}')
    assert answer_of(bench.desk.look(slip.id)) is None


def test_a_question_that_cannot_be_meant_is_told(bench):
    """A strange kind, a thing that is not there, no thing at all: the parts of the error."""
    slip = bench.answered(bench.desk.ask(Question(CAR, "horoscope")))
    assert slip.trouble.fault == "no kind of question 'horoscope'"
    slip = bench.answered(put(bench.desk, bench.workshop, CAR, "reach", {"what": "part:wing"}))
    assert (slip.stage, slip.trouble.fault) == (Stage.FAILED, "no part 'wing'")
    slip = bench.answered(put(bench.desk, bench.workshop, CAR, "reach", {}))
    assert slip.trouble.remedy == "name a part, joint or job"
    slip = bench.answered(put(bench.desk, bench.workshop, CAR, "strip", {"goal": "moon"}))
    assert slip.trouble.fault == "no goal 'moon'"


def test_a_fault_of_ours_does_not_end_the_planner(bench, monkeypatch, caplog):
    """It is said on the slip and in the log; the next question is answered."""

    def broken(*args):
        raise ZeroDivisionError

    with monkeypatch.context() as broke:
        broke.setattr(planner_module, "answer", broken)
        slip = bench.answered(put(bench.desk, bench.workshop, CAR, "reach", {"what": "part:a0"}))
    assert slip.trouble.fault == "a fault of Putback, not yours: ZeroDivisionError"
    assert "ZeroDivisionError" in caplog.text
    again = bench.answered(put(bench.desk, bench.workshop, CAR, "ahead"))
    assert again.stage is Stage.ANSWERED


def test_a_busy_store_is_tried_again(bench, monkeypatch):
    """The question goes back, and the next turn answers it."""
    slip = put(bench.desk, bench.workshop, CAR, "reach", {"what": "part:a0"})

    def busy(*args):
        raise StoreBusy("the store")

    with monkeypatch.context() as broke:
        broke.setattr(planner_module, "answer", busy)
        assert bench.planner.answer_one()
    assert bench.desk.look(slip.id).stage is Stage.WAITING
    assert bench.answered(slip).stage is Stage.ANSWERED


def test_a_damaged_store_is_told(bench, monkeypatch):
    """Trying again does not mend it."""

    def damaged(*args):
        raise Damaged("the store", "torn")

    monkeypatch.setattr(planner_module, "answer", damaged)
    slip = bench.answered(put(bench.desk, bench.workshop, CAR, "ahead"))
    assert (slip.trouble.fault, slip.trouble.place) == ("torn", "the store")


def test_what_is_not_wanted_any_more_is_stopped(bench, monkeypatch):
    """Cancelled in the middle of it: the planner hears it within its next report and stops."""
    monkeypatch.setattr(planner_module, "_REPORT_S", 0.01)
    slip = put(bench.desk, bench.workshop, CAR, "reach", {"what": "part:a0"})

    def long(workshop, question, progress):
        progress.step(1, 4, "the first of four")
        while (seen := bench.desk.look(slip.id)).fraction is None:
            pass
        assert (seen.words, seen.fraction) == ("the first of four", 0.25)
        bench.desk.cancel(slip.id)
        while True:
            progress.step(2, 4, "for ever")

    monkeypatch.setattr(planner_module, "answer", long)
    assert bench.planner.answer_one()
    assert bench.desk.look(slip.id).stage is Stage.CANCELLED


def test_a_planner_that_is_told_to_end_gives_its_question_back(bench, monkeypatch):
    """In the middle of it: it waits for another planner at once."""
    slip = put(bench.desk, bench.workshop, CAR, "reach", {"what": "part:a0"})

    def long(workshop, question, progress):
        bench.planner.ended.set()
        progress.step(0, None, "on and on")

    with monkeypatch.context() as slow:
        slow.setattr(planner_module, "answer", long)
        bench.planner.run()
    assert bench.desk.look(slip.id).stage is Stage.WAITING
    assert Planner(bench.workshop, bench.desk, "two").answer_one()


def test_a_planner_goes_on_when_the_store_comes_back(bench, monkeypatch, caplog):
    """A claim that fails is said in the log and tried again, until it is told to end."""
    caplog.set_level(logging.WARNING)
    monkeypatch.setattr(planner_module, "_PAUSES_S", (0.01, 0.01))
    claims = iter([StoreBusy("the store"), StoreBusy("the store")])
    claim = bench.desk.claim

    def failing(planner, *, papers):
        for error in claims:
            raise error
        return claim(planner, papers=papers)

    monkeypatch.setattr(bench.desk, "claim", failing)
    slip = put(bench.desk, bench.workshop, CAR, "ahead")
    thread = Thread(target=bench.planner.run)
    thread.start()
    while bench.desk.look(slip.id).is_open:
        pass
    bench.planner.ended.set()
    thread.join()
    assert bench.desk.look(slip.id).stage is Stage.ANSWERED
    assert caplog.text.count("somebody else is writing to it") == 2


def test_how_far_it_is_never_passes_the_end(bench):
    """More steps than were announced are the whole; without a total nobody can tell."""
    watched = Watched(bench.planner.ended)
    watched.step(9, 4, "late")
    assert watched.fraction == 1.0
    watched.step(3, None, "on")
    assert (watched.words, watched.fraction) == ("on", None)
