"""The plan that is followed is kept between two askings, and is never more than a cache."""

import json
import zlib
from dataclasses import replace

import pytest

from putback.errors import BadInput, DiskFull
from putback.logbook.entries.describing import Described
from putback.logbook.entries.judging import Hindrance, PutOff
from putback.logbook.entries.rebuilding import JointMade, PartOn, Tightness
from putback.logbook.entries.working import JointUndone, PartOff
from putback.planning.again.changes import Sort
from putback.planning.check import check_strip
from putback.planning.strip import plan_strip
from putback.workshop.logbooks.memory import MemoryEntryStore, MemoryPhotoStore
from putback.workshop.logbooks.ports import KeptPlan
from putback.workshop.logbooks.workshop import Workshop
from putback.workshop.plans.at_hand import plan_at_hand
from putback.workshop.plans.plans import (
    Followed,
    follow,
    follow_rebuild,
    from_bytes,
    goal_called,
    keep,
    pin,
    to_bytes,
)
from putback.workshop.plans.rebuild import rebuild
from tests.makers import vehicle
from tests.stores import ANN, PHONE, Watch

CAR = vehicle(
    *(f"{zone}{n} - frame; zone {zone}; 5 min" for n in range(3) for zone in "ab"), datum="frame"
)


@pytest.fixture
def workshop() -> Workshop:
    """A workshop on a store in memory."""
    return Workshop(MemoryEntryStore(), MemoryPhotoStore(), Watch())


@pytest.fixture
def car(workshop):
    """The logbook of a small vehicle."""
    return workshop.new_vehicle(CAR, who=ANN, device=PHONE)


def goal_of(workshop, car):
    return goal_called(workshop.state(car), None)


def log(workshop, car, *bodies):
    workshop.log(car, bodies, who=ANN, device=PHONE)


def order(continued) -> list[str]:
    return order_of(continued.plan.plan)


def order_of(plan) -> list[str]:
    return [f"{step.action} {step.what}" for step in plan.steps]


def test_the_order_is_followed_from_one_asking_to_the_next(workshop, car):
    """Another workshop on the same store goes on with it; all right, nothing is told."""
    goal = goal_of(workshop, car)
    first = follow(workshop, car, goal)
    assert first.is_first
    done = first.plan.plan.steps[0]
    log(workshop, car, JointUndone(joint=done.what.removeprefix("joint:")))
    other = Workshop(workshop.store, workshop.photos, workshop.clock)
    second = follow(other, car, goal)
    assert order(second) == order(first)[1:]
    assert (second.plan.changes, second.is_first, second.pinned) == ((), False, False)


def test_what_changed_names_the_entry_logged_since(workshop, car):
    """A part came off out of order: its joint needs no undoing any more."""
    goal = goal_of(workshop, car)
    last = follow(workshop, car, goal).plan.plan.steps[-1]
    log(workshop, car, PartOff(part=last.what.removeprefix("part:")))
    (change,) = follow(workshop, car, goal).plan.changes
    assert str(change).startswith("1 job less: ")
    entry = list(workshop.since(car))[-1].entry
    assert change.entry == entry
    assert follow(workshop, car, goal).plan.changes == ()


def test_a_pinned_order_is_followed_until_it_is_forgotten(workshop, car):
    """It walks to and fro, as somebody wants it; asked afresh it is planned as usual."""
    goal = goal_of(workshop, car)
    usual = follow(workshop, car, goal)
    state = workshop.state(car)
    odd = replace(usual.plan.plan, steps=usual.plan.plan.steps[::-1])
    steps = {(step.action, step.what): step for step in odd.steps}
    names = [f"{zone}{n}" for n in range(3) for zone in "ab"]
    walked = [
        steps[key]
        for name in names
        for key in (("undo", f"joint:{name}-frame"), ("take off", f"part:{name}"))
    ]
    pin(workshop, car, replace(odd, steps=tuple(walked)))
    log(workshop, car, PartOff(part="b2"))
    pinned = follow(workshop, car, goal)
    assert pinned.pinned
    wanted = [f"{step.action} {step.what}" for step in walked if step.what[-8:] != "b2-frame"]
    assert order(pinned) == [each for each in wanted if each != "take off part:b2"]
    state = workshop.state(car)
    assert check_strip(state.vehicle, state, goal, pinned.plan.plan) == ()
    afresh = follow(workshop, car, goal, afresh=True)
    assert not afresh.pinned
    assert order(afresh) != order(pinned)
    assert follow(workshop, car, goal).pinned is False


@pytest.mark.parametrize("blob", [b"", b"torn", b"x\x9c\x03\x00"])
def test_what_cannot_be_read_is_planned_afresh(workshop, car, blob):
    """Spoilt bytes are as if nothing had been kept, and are replaced."""
    goal = goal_of(workshop, car)
    first = follow(workshop, car, goal)
    position = workshop.store.position(car)
    workshop.store.keep_plan(car, goal.id, KeptPlan(position, blob))
    again = follow(workshop, car, goal)
    assert again.is_first
    assert order(again) == order(first)
    assert from_bytes(workshop.store.kept_plan(car, goal.id).blob).plan == again.plan.plan


def test_a_plan_of_a_later_logbook_is_not_followed(workshop, car):
    """The store was restored from an older backup: what was planned since is gone."""
    goal = goal_of(workshop, car)
    plan = follow(workshop, car, goal).plan.plan
    keep(workshop, car, Followed(plan), workshop.store.position(car) + 5)
    assert follow(workshop, car, goal).is_first


def test_a_disk_that_is_full_keeps_nobody_from_planning(workshop, car, monkeypatch):
    """To keep the plan is a convenience."""

    def full(*_):
        raise DiskFull("the disk")

    monkeypatch.setattr(workshop.store, "keep_plan", full)
    goal = goal_of(workshop, car)
    state = workshop.state(car)
    plan = follow(workshop, car, goal).plan.plan
    assert [step.what for step in plan.steps] == [
        step.what for step in plan_strip(state.vehicle, state, goal).steps
    ]


def test_what_is_put_off_until_a_day_comes_back_on_that_day(workshop, car):
    """By the workshop's own clock."""
    goal = goal_of(workshop, car)
    first = follow(workshop, car, goal).plan.plan.steps[0].what
    until = workshop.clock.now().date().isoformat()[:8] + "20"
    log(workshop, car, PutOff(what=first, why=Hindrance.NO_TOOL, until=until))
    late = order(follow(workshop, car, goal))
    assert late[0] != f"undo {first}"
    workshop.clock.put_on(days=30)
    usual = order(follow(workshop, car, goal, afresh=True))
    assert usual[0] == f"undo {first}"


def test_a_plan_is_read_back_as_it_was_written(workshop, car):
    """All of it, reasons and cautions included."""
    plan = follow(workshop, car, goal_of(workshop, car)).plan.plan
    for pinned in (False, True):
        assert from_bytes(to_bytes(Followed(plan, pinned))) == Followed(plan, pinned)


def test_without_a_goal_the_mend_is_told():
    """It says how to describe one."""
    workshop = Workshop(MemoryEntryStore(), MemoryPhotoStore(), Watch())
    book = workshop.new_vehicle("Bare", who=ANN, device=PHONE)
    with pytest.raises(BadInput, match="no goal is described yet; describe one"):
        goal_called(workshop.state(book), None)


def test_a_goal_described_anew_is_what_is_planned_for(workshop, car):
    """The kept plan went further than is asked for now, then not far enough."""
    goal = goal_of(workshop, car)
    follow(workshop, car, goal)
    for fields in ({"off_rest": False, "off": ["a1"]}, {"off_rest": True, "off": []}):
        log(workshop, car, Described(table="goals", id=goal.id, fields=fields))
        now = goal_of(workshop, car)
        assert now.off_rest is fields["off_rest"]
        planned = follow(workshop, car, now).plan.plan
        state = workshop.state(car)
        assert check_strip(state.vehicle, state, now, planned) == ()
        off = {step.what for step in planned.steps if step.action == "take off"}
        assert len(off) == (6 if now.off_rest else 1)


def test_work_that_is_struck_out_comes_back_into_the_plan(workshop, car):
    """The kept plan rested on an entry that was wrong: the step is planned again, and told."""
    goal = goal_of(workshop, car)
    first = follow(workshop, car, goal)
    step = first.plan.plan.steps[0]
    act = workshop.log(
        car, [JointUndone(joint=step.what.removeprefix("joint:"))], who=ANN, device=PHONE
    )
    assert order(follow(workshop, car, goal)) == order(first)[1:]
    workshop.strike(car, act.id, who=ANN, device=PHONE)
    again = follow(workshop, car, goal)
    assert sorted(order(again)) == sorted(order(first))
    assert str(again.plan.changes[0]).startswith("1 job more: ")
    state = workshop.state(car)
    assert check_strip(state.vehicle, state, goal, again.plan.plan) == ()


@pytest.mark.parametrize("change", ["unknown action", "field gone", "not JSON"])
def test_a_plan_in_an_older_format_is_planned_afresh(workshop, car, change):
    """What an older version wrote, and this one does not understand, is as good as nothing."""
    goal = goal_of(workshop, car)
    first = follow(workshop, car, goal)
    written = json.loads(zlib.decompress(to_bytes(Followed(first.plan.plan))))
    if change == "unknown action":
        written["plan"]["steps"][0]["action"] = "unscrew"
    elif change == "field gone":
        del written["plan"]["work_minutes"]
    text = "plan 1\n" if change == "not JSON" else json.dumps(written)
    blob = zlib.compress(text.encode())
    assert from_bytes(blob) is None
    workshop.store.keep_plan(car, goal.id, KeptPlan(workshop.store.position(car), blob))
    again = follow(workshop, car, goal)
    assert again.is_first
    assert order(again) == order(first)


def test_a_plan_kept_under_another_goal_is_not_followed(workshop, car):
    """Its bytes name the goal that it was made for; where that is another, nobody follows it."""
    goal = goal_of(workshop, car)
    plan = replace(follow(workshop, car, goal).plan.plan, goal="another")
    blob = to_bytes(Followed(plan, pinned=True))
    workshop.store.keep_plan(car, goal.id, KeptPlan(workshop.store.position(car), blob))
    again = follow(workshop, car, goal)
    assert again.is_first
    assert not again.pinned


def test_the_plan_kept_is_the_one_just_told(workshop, car):
    """Asked again with nothing logged between, no change is told a second time."""
    goal = goal_of(workshop, car)
    last = follow(workshop, car, goal).plan.plan.steps[-1]
    log(workshop, car, PartOff(part=last.what.removeprefix("part:")))
    told = follow(workshop, car, goal)
    assert told.plan.changes
    kept = workshop.store.kept_plan(car, goal.id)
    assert kept.position == workshop.store.position(car)
    assert from_bytes(kept.blob).plan == told.plan.plan


def test_only_what_was_logged_since_is_named_as_the_cause(workshop, car):
    """A joint made again is a job more because of that very entry."""
    goal = goal_of(workshop, car)
    joint = follow(workshop, car, goal).plan.plan.steps[0].what.removeprefix("joint:")
    log(workshop, car, JointUndone(joint=joint))
    follow(workshop, car, goal)
    log(workshop, car, JointMade(joint=joint, tightness=Tightness.TIGHTENED))
    (change,) = follow(workshop, car, goal).plan.changes
    assert change.entry == list(workshop.since(car))[-1].entry


def test_the_rebuild_is_followed_from_one_asking_to_the_next_and_says_what_changed(workshop, car):
    """Done as planned nothing is told; what comes off meanwhile is more to do, by its entry."""
    for part in ("a0", "b0", "a1"):
        log(workshop, car, JointUndone(joint=f"{part}-frame"), PartOff(part=part))
    first = follow_rebuild(workshop, car)
    assert first.is_first
    done = first.plan.plan.steps[0]
    assert done.action == "put on"
    log(workshop, car, PartOn(part=done.what.removeprefix("part:")))
    then = follow_rebuild(workshop, car)
    assert (order(then), then.plan.changes) == (order(first)[1:], ())
    assert order_of(plan_at_hand(workshop, car).plan) == order(then)
    log(workshop, car, JointUndone(joint="b2-frame"), PartOff(part="b2"))
    found = rebuild(workshop, car)
    more = [each for each in found.changes if each.sort is Sort.MORE]
    assert sorted(map(str, more)) == [
        "1 job more: b2: logged: took off b2",
        "2 jobs more: b2-frame: logged: undid b2-frame",
    ]
    assert rebuild(workshop, car).changes == ()
