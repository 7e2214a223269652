"""Why, in words: the answer first, and the facts that it rests on under headings."""

import pytest

from putback.planning.why import why_before
from putback.workshop.plans.at_hand import plan_at_hand
from putback.workshop.plans.why import why_there
from putback.workshop.plans.why_told import told_before, told_there
from tests.makers import vehicle
from tests.workshop.lines import CAR, Lines


@pytest.fixture
def lines():
    """A lid over a pump on a frame, and a lamp that has to do with neither."""
    return Lines(
        vehicle(
            "lid - frame; 5 min",
            "pump - frame; 5 min",
            "lamp - frame; 5 min",
            "lid blocks pump - frame: it hides the nuts",
            datum="frame",
        )
    )


def before(lines, first, then):
    state, work = lines.state, plan_at_hand(lines.workshop, CAR)
    return told_before(state, why_before(state.vehicle, state, work.plan, work.goal, first, then))


def there(lines, what):
    return told_there(lines.state, why_there(lines.state, plan_at_hand(lines.workshop, CAR), what))


def test_what_always_comes_before_is_told_with_its_facts(lines):
    """The chain of facts, and what would have to be otherwise."""
    told = before(lines, "part:lid", "part:pump")
    assert told.answer == "lid comes before pump in every plan"
    assert told.because[0].heading == "Because"
    assert any("it hides the nuts" in line for line in told.because[0].lines)
    assert told.because[1].heading.startswith("It would not have to")


def test_what_always_comes_after_need_not_come_before(lines):
    """The same facts the other way round."""
    told = before(lines, "part:pump", "part:lid")
    assert told.answer == "pump need not come before lid: it comes after it in every plan"
    assert told.because[0].lines


def test_what_is_free_is_told_as_free(lines):
    """Either the plan has it the other way, or what that would cost is said."""
    answers = {
        before(lines, *pair).answer
        for pair in (("part:lamp", "part:lid"), ("part:lid", "part:lamp"))
    }
    assert all("need not come before" in each for each in answers)
    assert any("the plan has" in each for each in answers)


def test_why_it_stands_there_is_told(lines):
    """What it waits for, what would free it, and what it is for."""
    told = there(lines, "part:pump")
    assert [each.heading for each in told.because] == [
        "It comes no earlier because",
        "It could be next only if",
        "It is done for",
    ]
    first = plan_at_hand(lines.workshop, CAR).plan.steps[0].what
    assert "could be the next job" in there(lines, first).answer


def test_what_is_put_off_is_told_so(lines):
    """It could be next, and is not: somebody said why."""
    first = plan_at_hand(lines.workshop, CAR).plan.steps[0].what
    _, _, name = first.partition(":")
    lines(f'not-now "{name}" no-helper note="Ann is away"')
    told = there(lines, first)
    assert told.answer == f"{name} could be the next job, were it not put off"
    assert told.because[0].heading == "It comes no earlier because"
    assert told.because[0].lines == ("put off, no helper: Ann is away",)
    lines(f'hand "{name}"')
    assert there(lines, first).answer == f"{name} could be the next job"


def test_what_is_not_in_the_plan_is_told(lines):
    """The frame stays: nothing asks for it."""
    assert there(lines, "part:frame").answer == (
        "frame is not in the plan: nothing that is asked for needs it"
    )


def test_what_is_done_already_or_waits_is_told_so(lines):
    """It is asked for all right: nobody need do anything, or nobody can."""
    lines("undone lid-frame")
    lines("off lid")
    assert there(lines, "part:lid").answer == "lid is off already"
    assert there(lines, "joint:lid-frame").answer == "lid-frame is undone already"
    lines("rebuild")
    lines("lost lid")
    assert (
        there(lines, "part:lid").answer
        == "lid cannot be done yet: lost, and no new one is in sight"
    )
