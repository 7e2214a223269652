"""Looking ahead: each sort of line appears for its reason, and goes with it."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.logbook.accounts import STOCK
from putback.planning.ahead import Horizon, Sort, look_ahead
from putback.planning.ahead.borrow import is_everyday
from putback.planning.plan import Action, Plan, Step
from putback.planning.rebuild import plan_rebuild
from putback.planning.sittings import sittings
from putback.planning.strip import plan_strip
from putback.vehicle.generate import generate
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import Consumable
from putback.vehicle.opening import Opening
from putback.vehicle.part import Part
from putback.vehicle.standing import TemporarySupport, Zone
from tests.makers import standing, vehicle
from tests.planning.hand_made import likely, state_of
from tests.planning.looking_ahead import ALL, strip_lines, told
from tests.planning.test_precede import SIZES, strip_of
from tests.workshop.lines import Lines


def rebuild_lines(lines: Lines, horizon=ALL):
    """The lines of a look-ahead over the rebuild."""
    state = lines.state
    return look_ahead(state.vehicle, state, plan_rebuild(state.vehicle, state), horizon)


# -- sittings -------------------------------------------------------------------------------------


def test_a_sitting_ends_with_its_zone_or_standing():
    """Steps without a zone belong to the sitting they stand in."""
    v = vehicle(
        "a - frame; zone left; 10 min",
        "b - frame; zone right; 10 min",
        Part("a", "a", "left"),
        Part("b", "b", "right"),
        Zone("left", "left"),
        Zone("right", "right"),
        datum="frame",
    )
    plan = plan_strip(v, state_of(v), next(iter(v.goals.values())))
    cut = sittings(plan.steps)
    assert [(each.zone, each.first, each.end) for each in cut] == [("left", 0, 2), ("right", 2, 4)]
    assert sum(each.minutes for each in cut) == plan.total_minutes
    assert sittings(()) == ()


@given(st.sampled_from(SIZES), st.data())
def test_sittings_cut_a_plan_without_gap_or_overlap(size: tuple[int, int], data):
    """Each step is in one sitting of its standing, and of its zone if it has one.

    So it is in what is left of a plan, and where steps of it are left out.
    """
    _, _, plan, _ = strip_of(*size)
    places = st.sets(st.integers(0, len(plan.steps) - 1))
    left_out = data.draw(places)
    steps = tuple(step for at, step in enumerate(plan.steps) if at not in left_out)
    at = 0
    for each in sittings(steps):
        assert each.first == at < each.end
        at = each.end
        these = steps[each.first : each.end]
        assert {step.standing for step in these} == {each.standing}
        assert {step.zone for step in these} - {None} <= {each.zone}
    assert at == len(steps)


# -- order ----------------------------------------------------------------------------------------


def test_equal_pieces_are_gathered_and_stock_is_taken_off():
    """Two joints want three split pins; two of them are there."""
    v = vehicle(
        "hub - frame: 2 castle nut M12 + split pin 3 mm!",
        "arm - frame: 1 castle nut M12 + split pin 3 mm!",
        datum="frame",
    )
    lines = Lines(v)
    for each in (
        "undone hub-frame",
        "off hub",
        "undone arm-frame",
        "off arm",
        "on hub",
        "off hub",
    ):
        lines(each)
    lines("on hub")
    lines("off arm")
    (line,) = [each for each in rebuild_lines(lines).of(Sort.ORDER) if "split pin" in each.what]
    assert line.what == "3 × split pin 3 mm"
    assert line.steps == ("joint:arm-frame", "joint:hub-frame")
    lines("bought '2 x split pin 3 mm'")
    assert sum(count for (account, *_), count in lines.state.balances.items() if account == STOCK)
    (line,) = [each for each in rebuild_lines(lines).of(Sort.ORDER) if "split pin" in each.what]
    assert line.what == "1 × split pin 3 mm"
    assert "(3 wanted, 2 in stock)" in line.why
    lines("bought '1 x split pin 3 mm'")
    assert not any("split pin" in what for what in told(rebuild_lines(lines), Sort.ORDER))


def test_a_strip_orders_no_pieces_but_what_closes_its_openings():
    """Single-use pieces are bought for the rebuild; caps are wanted when the end is open."""
    v = vehicle(
        "pipe - pump: 1 bolt M8 x 20 + copper washer 8 mm!",
        "pump - frame: 2 bolt M8 x 20",
        Opening("end", "pump inlet", "pump", ("pipe-pump",), 2, "3/8-24", "threaded plug"),
        datum="frame",
    )
    assert told(strip_lines(v), Sort.ORDER) == ["2 × threaded plug (3/8-24)"]
    lines = Lines(v)
    lines("closed 'pump inlet' 1")
    found = strip_lines(v, state=lines.state)
    assert told(found, Sort.ORDER) == ["1 × threaded plug (3/8-24)"]
    lines("closed 'pump inlet'")
    assert told(strip_lines(v, state=lines.state), Sort.ORDER) == []


RADIATOR = vehicle(
    "radiator - frame: 2 bolt M8 x 20",
    Part("radiator", "Radiator", "here", outside_work="plater"),
    datum="frame",
)


def radiator_off(*more: str) -> Lines:
    """It is off, the rebuild is in hand, and something more happened."""
    lines = Lines(RADIATOR)
    for line in ("undone radiator-frame", "off radiator", *more):
        lines(line)
    return lines


@pytest.mark.parametrize(
    ("more", "what", "why"),
    [
        ((), "send Radiator: plater", "it is to go to the plater, and it goes back on"),
        (
            ("sent radiator Shiny due=2031-06-01",),
            "ask after Radiator",
            "at Shiny, due 2031-06-01; it goes back on",
        ),
        (("decided radiator replace",), "order a new Radiator", "decided: replace"),
        (("decided radiator make",), "have made a new Radiator", "decided: make"),
        (
            ("decided radiator replace", "ordered radiator core due=2031-06-01"),
            "ask after Radiator",
            "on order, due 2031-06-01; it goes back on",
        ),
    ],
)
def test_a_part_that_is_not_ready_is_ordered_sent_or_asked_after(more, what: str, why: str):
    """Each as far as it has got."""
    (line,) = rebuild_lines(radiator_off(*more)).of(Sort.ORDER)
    assert (line.what, line.why) == (what, why)


@pytest.mark.parametrize(
    "more",
    [
        ("decided radiator reuse",),
        ("sent radiator Shiny", "back radiator"),
        ("decided radiator replace", "ordered radiator core", "arrived radiator"),
    ],
)
def test_what_is_ready_is_not_ordered(more):
    """Decided, back or arrived."""
    assert told(rebuild_lines(radiator_off(*more)), Sort.ORDER) == []


def test_what_is_gone_is_told_first():
    """It is in no plan, and so in no sitting."""
    lines = radiator_off("lost radiator")
    line = rebuild_lines(lines).of(Sort.ORDER)[0]
    assert line.what == "Radiator: find a new one, or make it"
    assert line.why.startswith("not planned: ")


def test_what_is_used_up_is_gathered():
    """Sealant for two joints is one line; nothing is bought to leave a bush dry."""
    joints = RADIATOR.joints
    sealed = replace(
        joints["radiator-frame"],
        consumables=(Consumable("sealant"), Consumable("nothing in the rubber")),
    )
    lines = Lines(RADIATOR.with_records(joints={**joints, "radiator-frame": sealed}))
    for line in ("undone radiator-frame", "off radiator", "decided radiator reuse"):
        lines(line)
    assert told(rebuild_lines(lines), Sort.ORDER) == ["sealant"]


# -- borrow ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("tool", "everyday"),
    [
        ("spanner 9/16 AF", True),
        ("impact driver", False),
        ("sliding hammer", False),
        ("soft mallet", True),
        ("spring compressor", False),
        ("hub puller", False),
        ("left-handed wimble", False),
    ],
)
def test_what_is_not_known_to_be_everyday_is_borrowed(tool: str, everyday: bool):
    """An unknown word is listed rather than left out."""
    assert is_everyday(tool) is everyday


def test_gear_is_listed_with_what_it_is_for():
    """Tools, hoists, jacks and what the vehicle is stood on; and that one was used before."""
    v = vehicle(
        "hub - frame: 1 castle nut M12; tool hub puller; in stands",
        "drum - frame: 1 castle nut M12; tool hub puller; in stands",
        "cap - frame: 1 bolt M8; tool spanner 1/2 AF; in wheels",
        Part("hub", "hub", "here", hoist="engine crane"),
        TemporarySupport("j", "jack", "hub", "joint:hub-frame", "part:hub", rating_kg=500.0),
        standing("wheels", "frame", stands=5.0),
        standing("stands", "frame", "frame", wheels=5.0),
        datum="frame",
    )
    found = {line.what: line.why for line in strip_lines(v, standing="wheels").of(Sort.BORROW)}
    assert found["hub puller"] == "needed for hub-frame, drum-frame"
    assert found["engine crane"] == "needed for hub"
    assert found["jack, rated 500 kg"] == "needed for hub-frame"
    assert found["2 × stand"] == "needed for standing “stands”"
    assert not any("spanner" in what for what in found)
    again = strip_lines(v, standing="wheels", undone=["drum-frame"])
    assert any("used before, for drum-frame" in each.why for each in again.of(Sort.BORROW))


def test_what_no_two_lift_wants_a_hoist_though_nobody_described_one():
    """Each by its mass, in one line; what two lift wants none."""
    heavy = (
        Part("engine", "engine", "here", mass_kg=165.0),
        Part("axle", "axle", "here", mass_kg=58),
    )
    door = Part("door", "door", "here", mass_kg=28.0)
    v = vehicle("engine - frame", "axle - frame", "door - frame", *heavy, door, datum="frame")
    (line,) = strip_lines(v).of(Sort.BORROW)
    assert line.what == "jack or hoist"
    assert {"engine (165 kg)", "axle (58 kg)"} == {
        *line.why.removeprefix("needed for ").split(", "),
    }


def test_a_hoist_that_a_job_before_rates_is_borrowed_once():
    """The part wants a hoist; the support that takes its weight is that hoist, with a rating."""
    v = vehicle(
        "engine - frame: 2 bolt M12; tool spanner 1/2 AF",
        Part("engine", "engine", "here", hoist="Engine hoist"),
        TemporarySupport(
            "h", "engine hoist", "engine", "joint:engine-frame", "part:engine", rating_kg=500.0
        ),
        datum="frame",
    )
    (line,) = strip_lines(v).of(Sort.BORROW)
    assert line.what == "engine hoist, rated 500 kg"
    assert line.why == "needed for engine-frame, engine"


# -- ask ------------------------------------------------------------------------------------------


def moments(*crews: int, minutes: float = 10.0, setup: float = 0.0):
    """What is asked of people for lids that come off one after another, so many to a lid."""
    parts = [
        Part(f"p{n}", f"p{n}", "here", crew=crew, minutes=likely(minutes))
        for n, crew in enumerate(crews)
    ]
    v = vehicle(*(f"p{n} - frame" for n in range(len(crews))), *parts, datum="frame")
    steps = [
        Step(Action.TAKE_OFF, f"part:p{n}", minutes=minutes, setup_minutes=setup, crew=crew)
        for n, crew in enumerate(crews)
    ]
    work = sum(step.minutes for step in steps)
    plan = Plan(None, tuple(steps), work, setup * len(steps))
    return look_ahead(v, state_of(v), plan, ALL).of(Sort.ASK)


def test_people_are_asked_once_for_jobs_that_come_together():
    """A lift, a short job alone and another lift are one moment; the most people count."""
    (line,) = moments(1, 2, 1, 6)
    assert (line.what, line.people, line.minutes) == ("6 people", 6, 10.0)
    assert line.why == "for 2 jobs in one moment, about 30 min: p1, p3; all 6 for p3"


def test_of_jobs_without_minutes_it_is_not_said_how_long_people_are_wanted():
    """What it takes to get there and to call them is no time of theirs."""
    (line,) = moments(1, 2, 2, minutes=0.0, setup=5.0)
    assert line.why == "for 2 jobs in one moment: p1, p2"


def test_people_are_asked_again_where_long_work_lies_between():
    """Nobody waits an hour on a chair; half of one they do."""
    assert [line.what for line in moments(2, 1, 2, minutes=60)] == ["2 people", "2 people"]
    assert [line.what for line in moments(2, 1, 2, minutes=30)] == ["2 people"]


def test_people_are_asked_again_where_the_standing_changes():
    """Who helped is not kept while it is jacked up, however short that is."""
    low, high = standing("low", "frame", high=5.0), standing("high", "frame", low=5.0)
    v = vehicle("p0 - frame", "p1 - frame", low, high, datum="frame")
    for standings, moments_wanted in ((("low", "low"), 1), (("low", "high"), 2)):
        steps = tuple(
            Step(Action.TAKE_OFF, f"part:p{n}", standing=each, minutes=1.0, crew=2)
            for n, each in enumerate(standings)
        )
        lines = look_ahead(v, state_of(v), Plan(None, steps, 2.0, 0.0), ALL).of(Sort.ASK)
        assert len(lines) == moments_wanted


def test_a_heavy_part_wants_two_even_if_nobody_said_so():
    """Over what one person lifts by the revised NIOSH equation; a hoist spares them."""
    heavy = Part("p0", "p0", "here", mass_kg=40.0)
    v = vehicle("p0 - frame", heavy, datum="frame")
    assert told(strip_lines(v), Sort.ASK) == ["2 people"]
    for light in (replace(heavy, mass_kg=20.0), replace(heavy, hoist="crane")):
        v = vehicle("p0 - frame", light, datum="frame")
        assert told(strip_lines(v), Sort.ASK) == []


def test_a_second_look_wants_a_second_person():
    """A critical joint is checked by somebody else."""
    v = vehicle("p0 - frame: 1 bolt M8 x 20; critical", datum="frame")
    lines = Lines(v)
    lines("undone p0-frame")
    lines("off p0")
    found = rebuild_lines(lines)
    assert any("p0-frame" in line.why for line in found.of(Sort.ASK))
    v = v.with_records(jobs={"look": Job("look", "look", JobKind.SECOND_CHECK, minutes=likely(5))})
    assert told(strip_lines(v), Sort.ASK) == []


# -- settle ---------------------------------------------------------------------------------------


def test_what_nobody_decided_is_told_until_it_is_decided():
    """A finding and a reading outside its limit, each for the job that waits for it."""
    lines = radiator_off("found leaks radiator", "measured radiator depth 8.7 mm low=9.0")
    found = rebuild_lines(lines).of(Sort.SETTLE)
    assert [line.what for line in found] == ["decide: Radiator"] * len(found)
    whys = " ".join(line.why for line in found)
    assert "found leaks" in whys
    assert "depth is 8.7 mm, outside its limit" in whys
    lines("decided radiator reuse")
    assert len(told(rebuild_lines(lines), Sort.SETTLE)) < len(found)


def test_what_can_only_be_measured_while_it_is_on_is_told():
    """And no more once a reading is there."""
    v = vehicle(
        "pump - frame",
        Part("pump", "pump", "here", measures=("belt slack",)),
        datum="frame",
    )
    lines = Lines(v)
    (line,) = strip_lines(v, state=lines.state).of(Sort.SETTLE)
    assert (line.what, line.why) == (
        "measure: pump",
        "belt slack: once it is off, nobody can",
    )
    lines("measured pump slack 8 mm")
    assert told(strip_lines(v, state=lines.state), Sort.SETTLE) == []


# -- how far --------------------------------------------------------------------------------------


def test_a_line_says_how_soon_it_is_wanted():
    """Sittings, minutes of work and set-up, and steps of unknown length, all before the step."""
    v = vehicle(
        "a - frame: 1 bolt M8 x 20; zone left; 10 min",
        "b - frame: 1 bolt M8 x 20; zone right; 20 min",
        "a before b - frame",
        Part("a", "a", "left"),
        Part("b", "b", "right", seize_risk="high"),
        Zone("left", "left"),
        Zone("right", "right"),
        datum="frame",
    )
    (line,) = strip_lines(v).of(Sort.SOAK)
    assert (line.sittings, line.minutes, line.not_estimated, line.where) == (1, 10.0, 1, "right")


@pytest.mark.parametrize(
    ("horizon", "seen"),
    [
        (Horizon(sittings=1), False),
        (Horizon(sittings=2), True),
        (Horizon(days=0.5, day_minutes=20), False),
        (Horizon(days=1, day_minutes=20), True),
        (Horizon(sittings=9, days=0.5, day_minutes=20), False),
        (Horizon(day_minutes=1), False),
        (Horizon(), True),
        (ALL, True),
    ],
)
def test_the_horizon_says_how_far_is_looked(horizon: Horizon, seen: bool):
    """By sittings, by days of work, by both, or as is usual for oil."""
    v = vehicle(
        "a - frame: 1 bolt M8 x 20; zone left; 10 min",
        "b - frame: 1 bolt M8 x 20; zone right; 20 min",
        "a before b - frame",
        Part("a", "a", "left"),
        Part("b", "b", "right", seize_risk="high"),
        Zone("left", "left"),
        Zone("right", "right"),
        datum="frame",
    )
    assert bool(strip_lines(v, horizon).of(Sort.SOAK)) is seen


@given(st.integers(8, 22), st.integers(0, 50))
def test_lines_name_steps_of_the_plan_in_order_of_need(parts: int, seed: int):
    """On generated vehicles: every line is for steps that come, at the time that they come."""
    v = generate(parts, seed=seed)
    state = state_of(v)
    plan = plan_strip(v, state, next(iter(v.goals.values())))
    found = look_ahead(v, state, plan, ALL)
    before, at = 0.0, {}
    for step in plan.steps:
        at.setdefault(step.what, before)
        before += step.minutes + step.setup_minutes
    for line in found.lines:
        assert line.steps
        assert line.why
        assert set(line.steps) <= set(at)
        assert line.minutes >= at[line.steps[0]]
    undone = {step.what for step in plan.steps if step.action is not Action.TAKE_OFF}
    assert all(set(line.steps) <= undone for line in found.of(Sort.SOAK))
