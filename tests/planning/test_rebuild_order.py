"""The order of a rebuild: loose before tight, in the way turned round, wholes, where to begin."""

from putback.logbook.state import PartState
from putback.planning.plan import Because
from putback.vehicle.assembly import Assembly
from putback.vehicle.facts import Before, Phase
from putback.vehicle.part import PartKind
from putback.vehicle.run import Run, RunEnd
from tests.makers import vehicle
from tests.planning.hand_made import said, state_of
from tests.planning.rebuilding import (
    apart,
    assert_order,
    lines,
    plan_of,
    step_in,
    unit,
    with_part,
    with_states,
)

# -- loose before tight ---------------------------------------------------------------------------


def test_all_joints_of_a_part_are_made_before_one_is_tightened():
    """Three brackets of one tank go in loose, then all are tightened."""
    car = vehicle(
        "one = tank - frame; tool spanner",
        "two = tank - frame; tool socket",
        "three = tank - frame; tool spanner",
        datum="frame",
    )
    plan = plan_of(car, apart(car, "one", "two", "three", "tank"))
    done = [each.partition(" ")[0] for each in lines(plan)]
    assert done == ["put", "make", "make", "make", "tighten", "tighten", "tighten"]
    reasons = step_in(plan, "tighten one").reasons
    assert "the 3 joints that hold it now are all made loose first" in [r.words for r in reasons]


def test_loose_before_tight_gives_way_to_what_has_to_be_tight():
    """A joint that must be tight before another is made is tightened first."""
    car = vehicle(
        "one = tank - frame",
        "two = tank - frame",
        "one before two: it is bent round it (rebuild)",
        datum="frame",
    )
    assert_order(plan_of(car, apart(car, "one", "two", "tank")), "tighten one", "make two")


def test_every_end_of_a_pipe_is_started_before_one_is_tightened():
    """One end is on what goes on late: the other waits loose for it."""
    car = vehicle("pipe - frame", "box - frame", "pipe - box", datum="frame")
    car = with_part(car, "pipe", kind=PartKind.PIPE)
    car = car.with_records(runs={"pipe": Run("pipe", (RunEnd("pipe-frame"), RunEnd("pipe-box")))})
    plan = plan_of(car, apart(car, "pipe-box", "pipe-frame", "pipe", "box-frame", "box"))
    assert_order(plan, "make pipe-frame", "tighten pipe-box")
    assert_order(plan, "make pipe-box", "tighten pipe-frame")


def test_the_hose_end_that_turns_is_fitted_first():
    """It is made and tightened before the other end is held."""
    car = vehicle("hose - frame", "hose - calliper", "calliper - frame", datum="frame")
    ends = (RunEnd("hose-frame"), RunEnd("hose-calliper", turns=True))
    car = car.with_records(runs={"hose": Run("hose", ends)})
    plan = plan_of(car, apart(car, "hose-frame", "hose-calliper", "hose"))
    assert_order(plan, "make hose-calliper", "tighten hose-calliper", "make hose-frame")


def test_the_end_that_turns_is_not_first_where_the_other_lies_behind_what_it_is_on():
    """The valance goes on over the other end, and carries the one that turns."""
    car = vehicle(
        "hose - valance",
        "hose - tray",
        "tray - frame",
        "valance - frame",
        "valance blocks hose-tray: no room for the spanner",
        datum="frame",
    )
    ends = (RunEnd("hose-valance", turns=True), RunEnd("hose-tray"))
    car = car.with_records(runs={"hose": Run("hose", ends)})
    order = ["hose-valance", "valance-frame", "valance", "hose-tray", "hose"]
    assert_order(plan_of(car, apart(car, *order)), "tighten hose-tray", "make hose-valance")


def test_a_part_that_was_put_on_loose_before_is_not_tightened_at_one_end():
    """The joints of a part put on in an earlier sitting are all made before one is tightened."""
    car = vehicle("one = tank - frame", "two = tank - frame", datum="frame")
    state = apart(car, "one", "two")
    state = with_states(state, "parts", [PartState("tank", on=said(9))])
    done = [each.partition(" ")[0] for each in lines(plan_of(car, state))]
    assert done == ["make", "make", "tighten", "tighten"]


def test_two_parts_put_on_loose_before_are_not_tightened_at_one_end():
    """Both parts of two open joints were put on in an earlier sitting."""
    car = vehicle("one = tank - frame", "two = tank - frame", datum="frame")
    state = apart(car, "one", "two")
    on = [PartState("tank", on=said(9)), PartState("frame", on=said(8))]
    done = [
        each.partition(" ")[0] for each in lines(plan_of(car, with_states(state, "parts", on)))
    ]
    assert done == ["make", "make", "tighten", "tighten"]


# -- in the way, turned round ---------------------------------------------------------------------


def test_what_was_in_the_way_goes_on_after():
    """The lid comes after the joint and the part that it covers; both are tight by then."""
    car = vehicle(
        "lid - frame",
        "pump - frame",
        "fan - frame",
        "lid blocks pump - frame: no room for the spanner",
        "lid blocks fan: it lies under it",
        datum="frame",
    )
    state = apart(car, "lid-frame", "lid", "pump-frame", "pump", "fan-frame", "fan")
    plan = plan_of(car, state)
    assert_order(plan, "tighten pump-frame", "put on lid")
    assert_order(plan, "put on fan", "put on lid")
    words = [reason.words for reason in step_in(plan, "put on lid").reasons]
    assert "the lid is in the way of the pump-frame: no room for the spanner" in words


def test_one_of_two_covers_may_go_on_early():
    """Of lid and shield either leaves room; a fact wants the shield on first, so the lid waits."""
    car = vehicle(
        "lid - frame",
        "shield - frame",
        "pump - frame",
        "lid or shield blocks pump - frame",
        "shield before pump - frame: it is behind it (rebuild)",
        datum="frame",
    )
    order = ["shield-frame", "shield", "pump-frame", "pump", "lid-frame", "lid"]
    plan = plan_of(car, apart(car, *order))
    assert_order(plan, "put on shield", "tighten pump-frame", "put on lid")


def test_of_two_ways_the_one_that_worked_in_the_strip_is_taken():
    """Nothing else decides: what came off first of the two goes on last."""
    car = vehicle("a - frame", "b - frame", "c - frame", "a or b blocks c - frame", datum="frame")
    for first, then in (("a", "b"), ("b", "a")):
        order = [f"{first}-frame", first, "c-frame", "c", f"{then}-frame", then]
        assert_order(plan_of(car, apart(car, *order)), "tighten c-frame", f"put on {first}")


def test_the_way_is_taken_by_which_everything_touches_something():
    """After a, c could only go on before the b that it sits on; so b goes on before a."""
    car = vehicle(
        "a - frame",
        "b - frame",
        "c - b",
        "d - a",
        "a or b blocks c: no room",
        "c or d blocks a: no room",
        datum="frame",
    )
    plan = plan_of(car, state_of(car, off=car.parts, undone=car.joints))
    assert_order(plan, "put on b", "put on c", "put on a", "put on d")


def test_a_way_that_leads_on_to_all_that_it_touches_is_none():
    """Before x would be before the b that c sits on, too; so c goes on before y, the last way."""
    car = vehicle(
        "b - frame",
        "c - b",
        "x - frame",
        "y - frame",
        "x or b or y blocks c: no room",
        "x before b: it lies under it (rebuild)",
        datum="frame",
    )
    for names in ("xyb", "yxb", "byx"):
        parts = {part: car.parts[part] for part in ("frame", "c", *names)}
        some = car.with_records(parts=parts)
        plan = plan_of(some, state_of(some, off=some.parts, undone=some.joints))
        assert_order(plan, "put on x", "put on b", "put on c", "put on y")


def test_what_never_came_off_says_nothing_and_what_is_back_already_warns():
    """The joint was reached somehow; a cover put back too soon may have to come off again."""
    car = vehicle("lid - frame", "pump - frame", "lid blocks pump - frame: no room", datum="frame")
    state = apart(car, "pump-frame", "pump")
    assert step_in(plan_of(car, state), "make pump-frame").cautions == ()
    state = with_states(state, "parts", [PartState("lid", on=said(9))])
    (caution,) = step_in(plan_of(car, state), "make pump-frame").cautions
    assert caution == "the lid may have to come off again, being in the way: no room"


def test_a_fact_without_a_why_is_told_without_one():
    """What is in the way, what comes first, what waits: no empty brackets, no bare colon."""
    fact = Before("b1", "part:lid", "part:pump", "", Phase.REBUILD)
    car = vehicle("lid - frame", "pump - frame", fact, datum="frame")
    order = ["pump-frame", "pump", "lid-frame", "lid"]
    (reason,) = (
        each
        for each in step_in(plan_of(car, apart(car, *order)), "put on pump").reasons
        if each.because is Because.BEFORE
    )
    assert reason.words == "lid comes first"
    plan = plan_of(car, apart(car, *order, gone=["lid"]))
    assert {each.what: each.why for each in plan.waiting}["part:pump"] == "the lid comes first"

    car = vehicle("lid - frame", "pump - frame", "lid blocks pump - frame", datum="frame")
    state = apart(car, "pump-frame", "pump")
    state = with_states(state, "parts", [PartState("lid", on=said(9))])
    (caution,) = step_in(plan_of(car, state), "make pump-frame").cautions
    assert caution == "the lid may have to come off again, being in the way"


def test_what_is_gone_for_good_is_in_nobodys_way():
    """A lost cover without a successor does not hold up what it covered."""
    car = vehicle("lid - frame", "pump - frame", "lid blocks pump - frame", datum="frame")
    state = apart(car, "lid-frame", "lid", "pump-frame", "pump", gone=["lid"])
    assert "tighten pump-frame" in lines(plan_of(car, state))


# -- wholes and the bench -------------------------------------------------------------------------


def test_what_came_off_as_one_goes_back_as_one():
    """Its joints are made on the bench, what was in the way there last, then it goes on whole."""
    car = unit()
    order = ["engine-frame", "unit=engine+clutch+gearbox", "gearbox-engine", "clutch-engine"]
    plan = plan_of(car, apart(car, *order))
    assert_order(
        plan,
        "tighten clutch-engine",
        "make gearbox-engine",
        "tighten gearbox-engine",
        "put on unit",
        "make engine-frame",
    )
    step = step_in(plan, "put on unit")
    assert (step.minutes, step.crew) == (30, 2)
    assert any(
        r.words == "it is made on the bench, before the engine unit goes on" for r in step.reasons
    )


def test_a_whole_that_was_never_parted_goes_on_as_it_is():
    """What is still together inside is left alone."""
    car = unit()
    state = apart(car, "engine-frame", "unit=engine+clutch+gearbox")
    assert lines(plan_of(car, state)) == [
        "put on unit",
        "make engine-frame",
        "tighten engine-frame",
    ]


def test_what_came_off_in_pieces_goes_back_in_pieces():
    """Nothing went out as a whole, so nothing goes in as one."""
    car = unit()
    order = ["gearbox-engine", "gearbox", "clutch-engine", "clutch", "engine-frame", "engine"]
    plan = plan_of(car, apart(car, *order))
    assert_order(plan, "put on engine", "put on clutch", "tighten clutch-engine", "put on gearbox")


def test_a_fact_can_ask_for_an_inner_joint_after_the_whole_is_on():
    """It is made on the vehicle then, not on the bench."""
    car = vehicle(
        "engine - frame",
        "pump - engine",
        "engine - frame before pump - engine: it hangs on the hoist (rebuild)",
        Assembly("unit", "engine unit", ("engine", "pump")),
        datum="frame",
    )
    plan = plan_of(car, apart(car, "engine-frame", "unit=engine+pump", "pump-engine"))
    assert_order(plan, "put on unit", "tighten engine-frame", "make pump-engine")


# -- where to begin, and what holds ---------------------------------------------------------------


def test_boxes_only_begin_with_what_carries_the_rest():
    """Everything is off: the frame comes first, then what it carries, each fastened at once."""
    car = vehicle("lamp - body", "body - frame")
    car = with_part(car, "frame", kind=PartKind.STRUCTURE)
    plan = plan_of(car, apart(car, "frame", "body", "lamp"))
    assert [each for each in lines(plan) if "on" in each] == [
        "put on frame",
        "put on body",
        "put on lamp",
    ]
    assert_order(plan, "put on body", "make body-frame", "put on lamp")


def test_what_must_go_on_before_all_it_touches_goes_on_alone():
    """A tube lies behind the panel that alone will hold it."""
    car = vehicle("panel - frame", "tube - panel", "panel blocks tube", datum="frame")
    plan = plan_of(car, apart(car, "tube-panel", "panel-frame", "panel", "tube"))
    assert_order(plan, "put on tube", "put on panel", "make tube-panel")


def test_a_way_is_left_open_by_which_a_part_touches_something():
    """Lid or panel hides the tube: the panel holds it, so the lid goes on last."""
    car = vehicle(
        "panel - frame", "lid - frame", "tube - panel", "lid or panel blocks tube", datum="frame"
    )
    order = ["tube-panel", "panel-frame", "panel", "tube", "lid-frame", "lid"]
    plan = plan_of(car, apart(car, *order))
    assert_order(plan, "put on panel", "put on tube", "put on lid")
