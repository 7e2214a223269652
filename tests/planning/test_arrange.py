"""Bout after bout where hardly anything may be done as it stands: the effort has an end."""

from dataclasses import replace

import pytest

from putback.planning.check import check_strip
from putback.planning.ordering.task import set_task
from putback.planning.ordering.way import choose_stages
from putback.planning.plan import USUAL
from putback.planning.search import arrange as arranging
from putback.planning.search.arrange import arrange
from putback.planning.search.field import Field, Rules
from putback.planning.strip import plan_strip
from putback.progress import NoProgress
from putback.vehicle.generate import generate
from tests.planning.hand_made import state_of

AWKWARD = replace(USUAL, least_margin_m=0.6)
"""Wider than most of these vehicles stand: nearly all that is taken off has to be waived."""


def rules_of(v, goal) -> Rules:
    """What a goal takes, to be put in order."""
    task = set_task(v, state_of(v), goal, AWKWARD)
    chosen = choose_stages(task.problem, task.stages, NoProgress())
    return Rules(task.problem, [frozenset(each.nodes) for each in chosen], settings=AWKWARD)


def most_asked(v):
    """The goal that asks for most."""
    return max(v.goals.values(), key=lambda each: (each.off_rest, len(each.off)))


def test_few_bouts_are_tried_where_much_has_to_be_waived(monkeypatch):
    """All is done, by all the rules but what was waived, after a bounded number of bouts."""
    tried, bout = [0], arranging._bout

    def counted(*args):
        tried[0] += 1
        return bout(*args)

    monkeypatch.setattr(arranging, "_bout", counted)
    v = generate(60, 3)
    rules = rules_of(v, most_asked(v))
    bouts = arrange(rules)
    assert bouts is not None
    assert rules.waived
    assert tried[0] < 1000
    field = Field(rules)
    for each in bouts:
        assert field.enter_minutes(each.standing) is not None
        field.standing = each.standing
        for move in each.moves:
            assert field.may(move)
            field.do(move)
    assert field.is_all_done()


@pytest.mark.parametrize("work", [0, 1_000])
def test_a_plan_made_in_a_hurry_keeps_all_rules(monkeypatch, work):
    """However little is looked at first, a plan is found, and the checker finds no fault in it."""
    monkeypatch.setattr(arranging, "_MOST_WORK", work)
    monkeypatch.setattr(arranging, "_WAIVING_WORK", 0)
    v = generate(30, 2)
    now, goal = state_of(v), most_asked(v)
    assert check_strip(v, now, goal, plan_strip(v, now, goal, AWKWARD), AWKWARD) == ()
