"""What is kept between two looks, and what is told on every page."""

from datetime import timedelta

from putback.logbook.open_items import open_items
from putback.vehicle.opening import Opening
from putback.workshop.logbooks import open_now as module
from putback.workshop.logbooks.open_now import open_now
from putback.workshop.logbooks.sayers import sayers_of
from putback.workshop.logbooks.situation import situation_of
from putback.workshop.now.at_a_glance import at_a_glance
from putback.workshop.now.newcomer import newcomer
from putback.workshop.now.pack_up import EndsClosed, pack_up
from putback.workshop.plans.how_far import Way
from putback.workshop.plans.plans import follow, goal_called
from putback.workshop.saying.logged import told_again
from tests.makers import vehicle
from tests.stores import PHONE
from tests.workshop.lines import CAR, Lines

LID = vehicle(
    "lid - frame: 4 bolt M8 x 20",
    "pump - frame: 2 bolt M6 x 16",
    Opening("inlet", "pump inlet", "pump", ("pump-frame",), 2, "3/8", "plug"),
    datum="frame",
)


def test_the_list_is_that_of_the_rules_after_every_entry():
    """Kept or made anew, it is the same list."""
    lines = Lines(LID)
    for line in ("undone lid-frame 3/4", "off lid", "undone lid-frame", "undone pump-frame"):
        lines(line)
        expected = open_items(situation_of(lines.workshop, CAR))
        assert open_now(lines.workshop, CAR) == expected
        assert open_now(lines.workshop, CAR) == expected


def test_it_is_made_once_while_nothing_is_logged(monkeypatch):
    """Until an entry comes, a day is over or a joint has cured."""
    made = []
    monkeypatch.setattr(module, "open_items", lambda it: made.append(it) or open_items(it))
    lines = Lines(LID)
    lines("undone lid-frame")
    until = (lines.watch.now() + timedelta(hours=2)).isoformat()
    lines(f"made lid-frame final curing_until={until}")
    for _ in range(3):
        found = open_now(lines.workshop, CAR)
    assert len(made) == 1
    assert any("cures until" in each.words for each in found)
    lines.watch.put_on(minutes=180)
    assert not any("cures until" in each.words for each in open_now(lines.workshop, CAR))
    assert len(made) == 2


def test_a_glance_says_how_far_and_what_is_next():
    """Of the plan that is kept; before the first, only how far."""
    lines = Lines(LID)
    before = at_a_glance(lines.workshop, CAR)
    assert (before.jobs_left, before.left_minutes, before.next) == (0, None, "")
    plan = follow(lines.workshop, CAR, goal_called(lines.state, None)).plan.plan
    after = at_a_glance(lines.workshop, CAR)
    assert after.jobs_left == len(plan.steps)
    assert after.left_minutes == plan.total_minutes
    assert after.next.startswith("undo ")
    lines("undone lid-frame")
    glance = at_a_glance(lines.workshop, CAR)
    assert (glance.far.way, glance.jobs_left) == (Way.STRIP, len(plan.steps) - 1)
    assert glance.open == len(open_now(lines.workshop, CAR))


def test_a_newcomer_is_told_who_did_what_and_what_lies_where():
    """Through the box to the shelf; a part of which nobody said where it is counts as nowhere."""
    lines = Lines(LID)
    lines.workshop.log("garage", lines.read("place 'top shelf'"), who="ann", device=PHONE)
    lines("undone lid-frame tag=3CAH")
    for line in ("off lid", "box 3HNA", "put lid 3HNA", "moved tag:3HNA 'top shelf'"):
        lines(line, who="bob")
    lines("off pump", who="bob")
    told = newcomer(lines.state, lines.workshop.standing(CAR), sayers_of(lines.workshop, CAR))
    assert [hand.did for hand in told.hands] == ["2 parts off", "1 joint undone"]
    (shelf,) = told.lying
    assert (shelf.name, shelf.parts, shelf.bags) == ("top shelf", 1, ("3HNA",))
    assert (told.nowhere, told.bags) == (1, 2)


def test_an_act_is_told_again_only_where_it_was_made_and_while_it_stands():
    """By its device; struck out there is nothing to tell."""
    lines = Lines(LID)
    act = lines("off lid")
    assert told_again(lines.workshop, CAR, act.id, PHONE).sentences == ("took off lid",)
    assert told_again(lines.workshop, CAR, act.id, "another") is None
    lines.workshop.strike(CAR, act.id, who="ann", device=PHONE)
    assert told_again(lines.workshop, CAR, act.id, PHONE) is None


def test_ends_are_counted_once_they_are_opened():
    """So many of so many."""
    lines = Lines(LID)
    assert pack_up(lines.workshop, CAR, may_plan=False).ends == EndsClosed(0, 0)
    lines("undone pump-frame")
    lines("closed 'pump inlet' 1")
    assert pack_up(lines.workshop, CAR, may_plan=False).ends == EndsClosed(1, 2)


def test_packing_up_without_time_to_plan_asks_the_plan_on_hand(monkeypatch):
    """Where none is kept, nothing is said of soaking, and nothing is planned."""
    from putback.workshop.now import pack_up as packing

    def planned(*_):
        raise AssertionError("it was planned")

    monkeypatch.setattr(packing, "plan_at_hand", planned)
    lines = Lines(LID)
    assert not [each for each in pack_up(lines.workshop, CAR, may_plan=False).lines if each.of]
