"""Beside the plan of a rebuild: what to have new, what to lay hands on, what is not final yet."""

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest
from hypothesis import given

from putback.logbook.accounts import AS_BUILT, BOUGHT, LOST, STOCK, Movement
from putback.logbook.common import Away, Common
from putback.logbook.entries.rebuilding import Tightness
from putback.logbook.hardware_check import UNKNOWN_SIZE
from putback.logbook.state import JointState, Said
from putback.planning.plan import Action
from putback.planning.rebuild import (
    held_up,
    open_finals,
    plan_rebuild,
    to_have,
    unseen,
    used_up,
)
from putback.vehicle.facts import Phase
from putback.vehicle.fastener import parse
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import Consumable, FinalWhen, Fixing, Piece, Tightening, TorqueOrigin
from putback.vehicle.part import PartKind
from tests.makers import standing, vehicle
from tests.planning.hand_made import said
from tests.planning.rebuilding import apart, plan_of, with_joint, with_part, with_states
from tests.strategies.rebuilds import torn_vehicles

# -- what to have new ----------------------------------------------------------------------------


def two_lids():
    """Two lids, each with bolts and with tab washers that are used once."""
    stack = "2 bolt M8x1.25x20 + locking tab washer 8 mm!"
    car = vehicle(f"lid - frame: {stack}", f"cap - frame: {stack}", datum="frame")
    return car, apart(car, "lid-frame", "lid", "cap-frame", "cap")


def moved(state, *movements: Movement):
    """The state after these movements of hardware."""
    journal = dict(state.movements)
    for each in movements:
        journal[each.owner] = (*journal.get(each.owner, ()), each)
    return replace(state, movements=journal)


def wanted(car, state):
    """What is to be had, by specification: so many, of which so many are here."""
    return {
        each.spec: (each.wanted, each.here) for each in to_have(plan_rebuild(car, state), state)
    }


def test_single_use_pieces_are_gathered_by_specification():
    """Two joints with two each are four, in one line."""
    car, state = two_lids()
    (line,) = to_have(plan_rebuild(car, state), state)
    assert (line.wanted, line.here, line.to_buy, line.single_use) == (4, 0, 4, True)
    assert set(line.joints) == {"lid-frame", "cap-frame"}
    assert "tab washer" in line.spec


@pytest.mark.parametrize(
    ("owner", "count", "here"), [("joint:lid-frame", 2, 2), ("stock", 3, 3), ("stock", 9, 4)]
)
def test_what_is_bought_already_is_not_ordered_again(owner, count, here):
    """For the joint, or for anything; more than is wanted buys nothing off the list."""
    car, state = two_lids()
    spec = next(iter(wanted(car, state)))
    bought = Movement("e", owner, spec, count, BOUGHT, STOCK)
    assert wanted(car, moved(state, bought)) == {spec: (4, here)}


def test_what_is_in_stock_is_taken_once():
    """The same nut, used once in one joint and lost from another: three are not six."""
    car = vehicle(
        "lid - frame: 2 bolt M8x1.25x20 + locking tab washer 8 mm!",
        "cap - frame: 2 bolt M8x1.25x20 + locking tab washer 8 mm",
        datum="frame",
    )
    state = apart(car, "lid-frame", "lid", "cap-frame", "cap")
    (washer,) = {
        each.spec for each in to_have(plan_rebuild(car, state), state) if "washer" in each.spec
    }
    state = moved(
        state,
        Movement("e", "stock", washer, 3, BOUGHT, STOCK),
        Movement(None, "joint:cap-frame", washer, 2, AS_BUILT, "tag:AAAA"),
        Movement("e", "joint:cap-frame", washer, 2, "tag:AAAA", LOST),
    )
    lines = [each for each in to_have(plan_rebuild(car, state), state) if each.spec == washer]
    assert [each.wanted for each in lines] == [2, 2]
    assert sum(each.here for each in lines) == 3


def test_what_is_lost_is_to_be_had_too():
    """A bolt that nobody can find is bought, though it is used again and again."""
    car, state = two_lids()
    bolt = "bolt M8x1.25 x 20 mm"
    lost = [
        Movement(None, "joint:lid-frame", bolt, 2, AS_BUILT, "tag:AAAA"),
        Movement("e", "joint:lid-frame", bolt, 1, "tag:AAAA", LOST),
    ]
    state = moved(state, *lost)
    found = {each.spec: each for each in to_have(plan_rebuild(car, state), state)}
    assert found.keys() == {bolt, "locking tab washer 8 mm"}
    assert (found[bolt].to_buy, found[bolt].single_use) == (1, False)


def test_what_is_lost_of_unknown_fixings_is_to_be_had_too():
    """Nobody described what they are: the list has their number, and of which joint."""
    car = vehicle("lid - frame", datum="frame")
    bare = replace(car.joints["lid-frame"], fixings=())
    car = replace(car, joints={"lid-frame": bare})
    state = apart(car, "lid-frame", "lid")
    seen = replace(state.joints["lid-frame"], destroyed=1, lost=2)
    state = with_states(state, "joints", [seen])
    (line,) = to_have(plan_of(car, state), state)
    assert (line.spec, line.to_buy, line.joints) == (UNKNOWN_SIZE, 3, ("lid-frame",))
    assert not line.single_use


@given(torn_vehicles())
def test_the_list_is_the_sum_of_what_the_steps_renew(torn):
    """Whatever the vehicle: piece by piece what the steps say, in one list."""
    car, state = torn
    plan = plan_rebuild(car, state)
    summed: dict[str, int] = {}
    for step in plan.steps:
        for line in step.renew:
            count, _, spec = line.partition(" × ")
            summed[spec] = summed.get(spec, 0) + int(count)
    once = {each.spec: each.wanted for each in to_have(plan, state) if each.single_use}
    assert once == summed


def test_what_is_used_up_is_gathered():
    """Sealant for two joints is one line."""
    car, state = two_lids()
    for joint in ("lid-frame", "cap-frame"):
        car = with_joint(car, joint, consumables=(Consumable("sealant"),))
    state = replace(state, vehicle=car)
    (line,) = used_up(plan_rebuild(car, state), state)
    assert (line.what, set(line.joints)) == ("sealant", {"lid-frame", "cap-frame"})


def test_a_piece_used_once_is_not_used_up_as_well():
    """One joint names its split pin twice, the other only as used up: that one stays."""
    pin = Fixing("pin", 1, (Piece(parse("split pin 2.4 mm"), single_use=True),))
    car, state = two_lids()
    named = (Consumable("split pin 2.4 mm", "new, 1"), Consumable("grease"))
    car = with_joint(car, "lid-frame", fixings=(pin,), consumables=named)
    car = with_joint(car, "cap-frame", consumables=(Consumable("split pin 2.4mm"),))
    state = replace(state, vehicle=car)
    plan = plan_rebuild(car, state)
    pins = next(each for each in to_have(plan, state) if each.spec == "split pin 2.4 mm")
    assert (pins.wanted, pins.joints) == (1, ("lid-frame",))
    assert {each.what: each.joints for each in used_up(plan, state)} == {
        "grease": ("lid-frame",),
        "split pin 2.4mm": ("cap-frame",),
    }
    made = next(s for s in plan.steps if s.action is Action.MAKE and s.what == "joint:lid-frame")
    assert made.renew == ("1 × split pin 2.4 mm",)
    assert "grease" in made.notes
    assert not any("split pin" in each for each in made.notes)


# -- what to lay hands on ------------------------------------------------------------------------


def on_day(day: str) -> Said:
    """Said at noon of a day."""
    ms = round(datetime.fromisoformat(f"{day}T12:00").replace(tzinfo=UTC).timestamp() * 1000)
    return Said("e", "ann", ((ms, ms, 0, "e"),))


def stored(seen: str | None = None, **more):
    """A lid that came off on the first of March and lay in its box since."""
    car = vehicle("lid - frame: 1 clip", datum="frame")
    state = apart(car, "lid-frame", "lid")
    common = Common(seen=on_day(seen) if seen else None, tag="3CAH", **more)
    lid = replace(state.parts["lid"], off=on_day("2031-03-01"), common=common)
    return car, with_states(state, "parts", [lid])


def names(car, state, today=None) -> list[str]:
    """The parts to lay hands on."""
    return [each.part for each in unseen(car, state, today)]


def test_what_lay_long_is_to_be_found_first():
    """Sixty days and more; where it should be is said, and what to look at."""
    car, state = stored()
    assert names(car, state, date(2031, 4, 29)) == []
    (each,) = unseen(with_part(car, "lid", kind=PartKind.HOSE), state, date(2031, 4, 30))
    assert (each.last, each.where) == (date(2031, 3, 1), ("tag:3CAH",))
    assert "cracks" in each.look


def test_who_laid_hands_on_it_lately_need_not():
    """A part counted, moved or seen since is not asked for."""
    car, state = stored("2031-06-01")
    assert names(car, state, date(2031, 7, 1)) == []
    assert names(car, state, date(2031, 8, 1)) == ["lid"]


def test_without_a_day_what_was_not_seen_since_it_came_off_counts():
    """Nobody says what day it is: a look on another day counts."""
    assert names(*stored()) == ["lid"]
    assert names(*stored("2031-03-01")) == ["lid"]
    assert names(*stored("2031-03-02")) == []


@pytest.mark.parametrize(
    "more",
    [
        {"sent_out": Away(said(9), "the plater")},
        {"ordered": (Away(said(9), "a firm"),)},
        {"arrived": 1},
    ],
)
def test_what_is_elsewhere_or_new_is_not_looked_for(more):
    """At the plater, on order, or a new one here."""
    assert names(*stored(**more), date(2040, 1, 1)) == []


# -- what is not final yet -----------------------------------------------------------------------


def axle(**joint):
    """An axle by a bush that is tightened at laden height."""
    car = vehicle(
        "axle - frame: 1 bolt M12x1.75x60",
        "wheel - axle: 4 wheel nut M12x1.5",
        standing("stands", "frame", wheels=20.0),
        standing("wheels", "wheel", stands=20.0),
        datum="frame",
    )
    car = with_part(car, "wheel", kind=PartKind.WHEEL)
    figure = Tightening(60.0, TorqueOrigin.INVENTED, "dry")
    return with_joint(car, "axle-frame", final_when=FinalWhen.LADEN, tightening=figure, **joint)


def nipped(car, in_standing: str):
    """The bush is nipped, and all else is together."""
    state = apart(car, standing=in_standing)
    seen = JointState("axle-frame", made=said(5), tightness=Tightness.NIPPED)
    return with_states(state, "joints", [seen])


def test_what_is_nipped_stays_on_the_list_until_it_is_final():
    """With its figure, why it waits, and who nipped it; for years, if need be."""
    car = axle()
    (each,) = open_finals(car, nipped(car, "stands"))
    assert (each.joint, each.when, each.now) == ("axle-frame", FinalWhen.LADEN, False)
    assert each.torque == "60 N·m (44 lbf·ft), dry, invented figure"
    assert "rubber" in each.why
    assert each.nipped == said(5)
    final = JointState("axle-frame", made=said(6), tightness=Tightness.FINAL)
    assert open_finals(car, with_states(nipped(car, "stands"), "joints", [final])) == ()


def test_on_its_wheels_it_can_be_done_now():
    """The list says so as soon as it stands as it must."""
    car = axle()
    (each,) = open_finals(car, nipped(car, "wheels"))
    assert each.now


def test_what_is_nipped_is_told_before_what_is_apart():
    """Whatever each waits for: what is together is forgotten more easily."""
    car = vehicle(
        "axle - frame: 1 bolt M12x1.75x60", "door - frame: 4 bolt M8x1.25x20", datum="frame"
    )
    for apart_one, nipped_one in (("axle", "door"), ("door", "axle")):
        of = with_joint(car, f"{apart_one}-frame", final_when=FinalWhen.LADEN)
        of = with_joint(of, f"{nipped_one}-frame", final_when=FinalWhen.AFTER_FIRST_RUN)
        seen = JointState(f"{nipped_one}-frame", made=said(5), tightness=Tightness.NIPPED)
        state = with_states(apart(of, f"{apart_one}-frame", apart_one), "joints", [seen])
        found = open_finals(of, state)
        assert [each.joint for each in found] == [f"{nipped_one}-frame", f"{apart_one}-frame"]


def test_what_is_apart_still_comes_after_what_is_nipped():
    """A joint that is not made yet will wait too."""
    car = axle()
    state = apart(car, "wheel-axle", "wheel", "axle-frame", "axle", standing="stands")
    (each,) = open_finals(car, state)
    assert each.nipped is None
    assert not each.now


def test_a_job_that_finishes_it_and_the_other_way_are_told():
    """By the declared job, or by position where its maker allows."""
    final = Job("final", "final", JobKind.TIGHTEN, Phase.REBUILD, joints=("axle-frame",))
    car = axle(by_position=True).with_records(jobs={"final": final})
    (each,) = open_finals(car, nipped(car, "stands"))
    assert each.by == "final"
    assert "by position" in each.or_else
    alone = axle(by_position=True)
    assert open_finals(alone, nipped(alone, "stands")) == ()


# -- what is not here yet ------------------------------------------------------------------------


def test_what_waits_for_a_part_on_order_is_counted():
    """By facts, or only by the order of the strip where nobody described more."""
    car = vehicle(
        "lid - frame: 1 clip", "lid before seat: so (rebuild)", "seat - frame", datum="frame"
    )
    state = apart(car, "box", "seat-frame", "seat", "lid-frame", "lid")
    lid = replace(state.parts["lid"], common=Common(ordered=(Away(said(9), "a firm"),)))
    plan = plan_rebuild(car, with_states(state, "parts", [lid]))
    (each,) = held_up(plan)
    assert each.what == "part:lid"
    assert "on order from a firm" in each.waits_for
    assert {"part:seat", "joint:lid-frame", "part:box"} <= set(each.then)
    assert each.only_by_order == ("part:box",)


@given(torn_vehicles())
def test_nothing_is_held_up_where_all_is_here(torn):
    """Without a part away there is no such line, and every final is a joint of the plan."""
    car, state = torn
    plan = plan_rebuild(car, state)
    assert held_up(plan) == ()
    steps = {step.what for step in plan.steps if step.action is not Action.PUT_ON}
    by_jobs = {each.by for each in open_finals(car, state)}
    for each in open_finals(car, state):
        assert f"joint:{each.joint}" in steps or each.by in by_jobs
