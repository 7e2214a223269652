"""What has to be made ready before it goes back: from the logbook, by rule 15 of the rebuild."""

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.logbook.common import NOTHING, Away, Common, Finding, Offer
from putback.logbook.entries.judging import Choice
from putback.logbook.state import Gone, JobState, OpeningState
from putback.planning.check import RebuildRule, check_rebuild
from putback.planning.plan import Action, Plan
from putback.planning.rebuild import plan_rebuild
from putback.planning.rebuild.preparing import table
from putback.vehicle.facts import Phase
from putback.vehicle.job import Job, JobKind
from putback.vehicle.opening import Fluid, Opening
from putback.vehicle.part import PartKind
from tests.makers import vehicle
from tests.planning.hand_made import said
from tests.planning.rebuilding import (
    apart,
    assert_order,
    lines,
    plan_of,
    step_in,
    with_part,
    with_states,
)
from tests.strategies.rebuilds import torn_vehicles


def lid():
    """A lid on a frame, by bolts, with a gasket."""
    return vehicle("lid - frame: 2 bolt M8x1.25x20 + gasket, paper", datum="frame")


def lid_off(car=None, common=NOTHING, joint=NOTHING, **seen):
    """The lid is off; what the logbook says of it and of its joint."""
    car = car or lid()
    state = apart(car, "lid-frame", "lid")
    state = with_states(state, "parts", [replace(state.parts["lid"], common=common)])
    changed = replace(state.joints["lid-frame"], common=joint, **seen)
    return car, with_states(state, "joints", [changed])


def came_back(work: str, firm: str = "", at: int = 10) -> Common:
    """Back from outside work."""
    return Common(returned=(Away(said(at), firm, work),), came_back=said(at))


def notes(car, state, what: str = "lid") -> tuple[str, ...]:
    """What the plan says to make ready, which the checker agrees with; nothing without a step."""
    plan = plan_of(car, state)
    if f"prepare {what}" not in lines(plan):
        return ()
    assert_order(plan, f"prepare {what}", "put on lid", "make lid-frame")
    return step_in(plan, f"prepare {what}").notes


def has(found: tuple[str, ...], *words: str) -> bool:
    """Whether each of these stands in one of the lines."""
    return all(any(word in line for line in found) for word in words)


# -- outside work (a) ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("work", "wanted"),
    [
        ("zinc plating", ("chase the threads of lid-frame", "seats and faces of lid-frame")),
        ("Painted in the old colour", ("masking", "chase the threads")),
        ("bead blasting", ("blow out every hole", "chase and blow out the threads")),
        ("faces ground", ("measure what was machined",)),
        ("acid dip", ("rinse and dry every seam",)),
        ("crack welded", ("offer it up before it is painted",)),
        ("who knows what", ("look it over as it came back",)),
    ],
)
def test_outside_work_calls_for_what_is_usual(work, wanted):
    """The words of the work say what was done, and that what is called for."""
    assert has(notes(*lid_off(common=came_back(work))), *wanted)


def test_the_firm_says_what_the_work_does_not():
    """Who sends a part to the machine shop and says no more had it machined."""
    assert has(notes(*lid_off(common=came_back("", "Machine shop"))), "measure")


def test_what_was_never_away_asks_for_nothing():
    """A part that came off and lay in its box goes back as it is."""
    assert notes(*lid_off()) == ()


def test_a_blasted_engine_and_a_blasted_brake_part_are_warned_of():
    """Media in an oilway, dust in a bore: the step says so."""
    car, state = lid_off(with_part(lid(), "lid", kind=PartKind.MACHINE), came_back("shot blast"))
    step = step_in(plan_of(car, state), "prepare lid")
    assert has(step.notes, "oilway")
    assert has(step.cautions, "wrecks the bearings")
    car, state = lid_off(with_part(lid(), "lid", system="brakes"), came_back("shot blast"))
    step = step_in(plan_of(car, state), "prepare lid")
    assert has(step.cautions, "can cost the brakes")
    assert not has(step.notes, "oilway")


def test_a_part_of_a_bled_circuit_counts_as_a_brake_part():
    """What holds a fluid that is bled, or is opened where it runs, wants clean bores."""
    bleed = Job("bleed", "bleed", JobKind.BLEED, Phase.REBUILD, fluid="f")
    car = lid().with_records(fluids={"f": Fluid("f", "fluid", "lid")}, jobs={"bleed": bleed})
    assert has(notes(*lid_off(car, came_back("bead blasting"))), "every bore and port")


def test_an_earth_under_paint_is_bared():
    """Paint stops the current: where a joint is an earth, it is bared."""
    car = vehicle("lid earth = lid - frame: 1 screw M6x1x12 + ring terminal", datum="frame")
    state = apart(car, "lid earth", "lid")
    part = replace(state.parts["lid"], common=came_back("powder coat"))
    plan = plan_of(car, with_states(state, "parts", [part]))
    assert has(step_in(plan, "prepare lid").notes, "bare the earth of lid earth")


def test_a_critical_joint_is_not_clamped_on_paint():
    """Paint gives way under a clamped face."""
    car = vehicle("lid - frame: 2 bolt M8x1.25x20; critical", datum="frame")
    assert has(notes(*lid_off(car, came_back("paint"))), "bare the clamped faces of lid-frame")


def test_a_part_still_there_is_made_ready_when_it_is_back():
    """Planned after all that can be done without it, and it says where it is."""
    car, state = lid_off(common=Common(sent_out=Away(said(9), "Plater", "chrome", "1 July")))
    step = step_in(plan_of(car, state), "prepare lid")
    assert "at Plater for chrome, due 1 July" in step.waits_for
    assert has(step.notes, "masking")


def test_what_did_not_come_back_with_a_load_is_said_once():
    """Two parts came back without a rim: one of them says so."""
    car = vehicle("lid - frame: 1 clip", "lamp - frame: 1 clip", datum="frame")
    state = apart(car, "lid-frame", "lid", "lamp-frame", "lamp")
    common = replace(came_back("chrome"), missing="one rim")
    both = [replace(state.parts[each], common=common) for each in ("lid", "lamp")]
    plan = plan_of(car, with_states(state, "parts", both))
    assert sum(has(step.notes, "was missing: one rim") for step in plan.steps) == 1


def test_a_frame_that_never_came_off_is_made_ready_before_its_joints():
    """Painted where it stands: what goes back on it waits."""
    car, state = lid_off()
    frame = replace(apart(car, "lid").parts["lid"], part="frame", off=None)
    state = with_states(state, "parts", [replace(frame, common=came_back("paint"))])
    assert_order(plan_of(car, state), "prepare frame", "make lid-frame")


# -- what was logged, found and decided (b to f) -------------------------------------------------


def test_what_was_to_be_reconditioned_is_asked_for():
    """A decision is not the deed."""
    decided = Common(choice=Choice.RECONDITION, chosen=said(5))
    assert has(notes(*lid_off(common=decided)), "to be reconditioned")
    assert notes(*lid_off(common=replace(decided, prepared=(said(6),)))) == ()
    assert has(notes(*lid_off(common=replace(decided, prepared=(said(4),)))), "reconditioned")


def with_opening(**opening):
    """A lid whose joint opens a port."""
    port = Opening("port", "port", "lid", ("lid-frame",), **opening)
    return lid().with_records(openings={"port": port})


def test_what_stood_open_is_looked_into():
    """An opening that nobody spoke of stood open; one that was closed did not."""
    car, state = lid_off(with_opening())
    assert has(notes(car, state), "port stood open")
    closed = OpeningState("port", closed=1, said=said(3))
    assert notes(car, with_states(state, "openings", [closed])) == ()
    assert notes(*lid_off(with_opening(needs_closing=False))) == ()


def test_what_did_not_come_out_whole_is_cleared():
    """A sheared bolt leaves its end in the thread; a broken clip leaves nothing."""
    car, state = lid_off(destroyed=1, counted=said(1))
    found = notes(car, state, "lid-frame")
    assert has(found, "1 of its fixings did not come out whole")
    clipped = vehicle("lid - frame: 2 clip", datum="frame")
    assert notes(*lid_off(clipped, destroyed=1, counted=said(1)), "lid-frame") == ()


def test_what_did_not_fit_is_named_and_goes_on_after():
    """The last word counts: offered up again and fitting, nothing is asked."""
    bad = Offer(said(5), fits=False, misfit_m=0.003, note="eye too wide")
    found = notes(*lid_off(common=Common(offers=(bad,))))
    assert has(found, "did not fit by 3 mm (eye too wide)")
    good = Offer(said(6), fits=True, misfit_m=None, note="")
    assert notes(*lid_off(common=Common(offers=(bad, good)))) == ()
    assert has(notes(*lid_off(joint=Common(offers=(bad,))), "lid-frame"), "did not fit")


def test_what_was_found_and_never_decided_on_is_asked():
    """A crack that somebody saw is not put back without a word."""
    crack = Finding(said(4), "crack at the lug")
    assert has(notes(*lid_off(common=Common(findings=(crack,)))), "found: crack at the lug")
    settled = replace(crack, settled="e9")
    assert notes(*lid_off(common=Common(findings=(settled,)))) == ()


# -- what says that it is done ------------------------------------------------------------------


def test_prepared_since_asks_for_no_more():
    """Logged prepared after it came back; before, it says nothing."""
    back = came_back("zinc plating")
    assert notes(*lid_off(common=replace(back, prepared=(said(11),)))) == ()
    assert notes(*lid_off(common=replace(back, prepared=(said(9),))))


def test_a_joint_prepared_since_is_named_no_more():
    """Its thread is chased; the masking is still in."""
    ready = Common(prepared=(said(11),))
    found = notes(*lid_off(common=came_back("zinc plating"), joint=ready))
    assert has(found, "masking")
    assert not has(found, "threads")


@pytest.mark.parametrize("done", [None, 11, 9])
def test_a_declared_job_that_says_the_same_stands_for_it(done):
    """Planned, or done since it came back; one done before does not count."""
    chase = Job("c", "Chase all threads", JobKind.PREPARE, Phase.REBUILD, parts=("lid",))
    car, state = lid_off(lid().with_records(jobs={"c": chase}), came_back("zinc plating"))
    if done:
        state = replace(state, jobs={"c": JobState("c", done=said(done))})
    found = notes(car, state)
    assert has(found, "masking")
    assert has(found, "threads") == (done == 9)


def test_a_declared_job_that_says_something_else_does_not():
    """To take its weight on the hoist cleans no thread."""
    hoist = Job("h", "Take the weight", JobKind.PREPARE, Phase.REBUILD, parts=("lid",))
    car, state = lid_off(lid().with_records(jobs={"h": hoist}), came_back("zinc plating"))
    assert has(notes(car, state), "threads")


# -- the checker, and the table -----------------------------------------------------------------


def spoilt(plan: Plan, how: str) -> Plan:
    """The plan with its preparing left out, too late, or without its words."""
    steps = list(plan.steps)
    at = next(i for i, step in enumerate(steps) if step.action is Action.PREPARE)
    ready = steps.pop(at)
    if how == "late":
        steps.append(ready)
    elif how == "silent":
        steps.insert(at, replace(ready, notes=ready.notes[1:]))
    elif how == "twice":
        steps[at:at] = [ready, ready]
    return replace(plan, steps=tuple(steps))


@pytest.mark.parametrize(
    ("how", "rule", "words"),
    [
        ("left out", RebuildRule.PREPARE, "is not made ready: take the masking out"),
        ("late", RebuildRule.PREPARE, "is made ready too late"),
        ("silent", RebuildRule.PREPARE, "does not say"),
        ("twice", RebuildRule.COMPLETE, "it is done already"),
    ],
)
def test_the_checker_tells_what_is_not_made_ready(how, rule, words):
    """Left out, after the part is on, without its words, or twice."""
    car, state = lid_off(common=came_back("zinc plating"))
    faults = check_rebuild(car, state, spoilt(plan_of(car, state), how))
    assert {fault.rule for fault in faults} == {rule}
    assert words in "; ".join(fault.words for fault in faults)


def test_the_checker_tells_what_nothing_calls_for():
    """A part that was never away is not prepared."""
    car, state = lid_off()
    asked = plan_of(*lid_off(common=came_back("zinc plating")))
    (fault,) = check_rebuild(car, state, asked)
    assert (fault.rule, fault.step) == (RebuildRule.COMPLETE, 0)


def test_the_table_names_no_sort_that_nobody_knows():
    """Every row says on what, and speaks of joints just where it is about joints."""
    for row in table():
        of_joints = row.on in ("threads", "earths", "seats", "clamped")
        assert of_joints or row.on in ("any", "machine", "brake")
        assert ("{joints}" in row.line) == of_joints
    assert [row.on for row in table() if not row.after] == ["any"]


def test_the_page_of_numbers_shows_the_table():
    """Whoever reads the docs sees every line that a plan may say."""
    page = (Path(__file__).parents[2] / "docs" / "numbers-rebuild.md").read_text(encoding="utf-8")
    for row in table():
        assert row.line.replace("{joints}", "its open joints") in page
        assert row.caution in page


histories = st.builds(
    lambda work, since, ready, found, fits, choice, chosen: Common(
        returned=(Away(said(since), "", work),) if work else (),
        choice=choice,
        chosen=said(chosen) if choice else None,
        prepared=(said(ready),) if ready else (),
        findings=(Finding(said(since), found),) if found else (),
        offers=() if fits is None else (Offer(said(since), fits, None, ""),),
    ),
    st.sampled_from(["", "zinc", "bead blast", "bored out", "welded", "tea"]),
    st.integers(100, 110),
    st.none() | st.integers(100, 110),
    st.sampled_from(["", "a crack"]),
    st.none() | st.booleans(),
    st.none() | st.sampled_from(Choice),
    st.integers(100, 110),
)


@given(torn_vehicles(), st.data())
def test_whatever_parts_went_through_planner_and_checker_agree(torn, data):
    """Random histories of parts and joints: every plan passes, and none without its preparing."""
    car, state = torn
    for kind, records in (("parts", state.parts), ("joints", state.joints)):
        some = [replace(each, common=data.draw(histories)) for each in records.values()]
        state = with_states(state, kind, some)
    plan = plan_of(car, state)
    ready = [step for step in plan.steps if step.action is Action.PREPARE]
    if ready:
        left = tuple(step for step in plan.steps if step is not ready[0])
        rules = {fault.rule for fault in check_rebuild(car, state, replace(plan, steps=left))}
        assert RebuildRule.PREPARE in rules


OLD_PAST = {
    "sent and back": Common(
        returned=(Away(said(12), "Plater", "chrome", left=said(10)),),
        came_back=said(12),
        missing="a bolt",
    ),
    "found": Common(findings=(Finding(said(12), "a crack"),)),
    "offered up": Common(offers=(Offer(said(12), fits=False, misfit_m=None, note=""),)),
    "out": Common(sent_out=Away(said(12), "Plater", "chrome")),
}


@pytest.mark.parametrize("past", OLD_PAST)
@pytest.mark.parametrize("choice", Choice)
def test_what_the_old_part_went_through_does_not_fall_on_the_new_one(past, choice):
    """Decided after it: nothing is told of one that is replaced; decided before it, it is."""
    for at, is_new in ((13, choice in (Choice.REPLACE, Choice.MAKE)), (9, False)):
        car, state = lid_off(common=replace(OLD_PAST[past], choice=choice, chosen=said(at)))
        told = [line for line in notes(car, state) if "reconditioned" not in line]
        assert bool(told) is not is_new


def test_what_was_at_the_plater_when_a_new_one_was_decided_on_is_the_old_one():
    """It comes back after the decision; what goes there later is the new one."""
    decided = {"choice": Choice.REPLACE, "chosen": said(11)}
    car, state = lid_off(common=replace(OLD_PAST["sent and back"], **decided))
    assert notes(car, state) == ()
    later = (*OLD_PAST["sent and back"].returned, Away(said(15), "", "zinc", left=said(14)))
    again = replace(OLD_PAST["sent and back"], returned=later, came_back=said(15), **decided)
    assert notes(*lid_off(common=again))[0].startswith("take the masking out")


def test_what_is_gone_leaves_nothing_to_prepare_on_the_one_that_arrived():
    """Scrapped with its plating, and another one bought; an opening does not count either."""
    past = replace(OLD_PAST["sent and back"], choice=Choice.RECONDITION, chosen=said(9), arrived=1)
    car = vehicle(
        "lid - frame", Opening("neck", "neck", "lid", ("lid-frame",), ends=1), datum="frame"
    )
    car, state = lid_off(car, past, undone=said(8))
    assert any("neck stood open" in line for line in notes(car, state))
    scrapped = replace(state.parts["lid"], gone=Gone.SCRAPPED, gone_by=said(20))
    assert notes(car, with_states(state, "parts", [scrapped])) == ()


def test_the_same_logbook_calls_for_the_same():
    """The plan does not rest on chance."""
    car, state = lid_off(common=came_back("zinc plating"))
    assert plan_rebuild(car, state) == plan_rebuild(car, state)
