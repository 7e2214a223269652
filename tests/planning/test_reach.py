"""Reach: what must come off to get at one thing, on small vehicles made by hand."""

import pytest

from putback.errors import ImpossibleGoal, NotFound, Stopped
from putback.planning.plan import Because
from putback.planning.reach import reach
from putback.progress import Stoppable
from putback.vehicle.assembly import Assembly
from putback.vehicle.generate import generate
from putback.vehicle.job import Job, JobKind
from tests.makers import standing, vehicle
from tests.planning.hand_made import likely, state_of

UNIT = Assembly("unit", "the unit", ("engine", "gearbox"), likely(30))


def reached(v, target: str, **state):
    """What gets at a thing, and the references of its steps."""
    found = reach(v, state_of(v, **state), target)
    return found, [step.what for step in found.steps]


def test_only_what_is_in_the_way_comes_off():
    """The lid has to come off for the pump's joint; the door does not."""
    v = vehicle("lid - frame", "door - frame", "pump - frame", "lid blocks pump - frame")
    found, steps = reached(v, "joint:pump-frame")
    assert steps == ["joint:lid-frame", "part:lid", "joint:pump-frame"]
    assert (found.minutes, found.optimal, found.target) == (20.0, True, "joint:pump-frame")
    assert found.steps[-1].reasons[0].words == "to get at pump-frame"
    assert {r.because for r in found.steps[-1].reasons} == {Because.GOAL, Because.IN_THE_WAY}


def test_a_joint_inside_a_unit_is_reached_on_the_bench_where_that_is_less_work():
    """The guard takes two hours to come off; lifting the whole unit takes half of one."""
    v = vehicle(
        "engine - frame",
        "bell = engine - gearbox",
        "guard - frame: 9 bolt M8; 120 min",
        "guard blocks bell",
        UNIT,
    )
    found, steps = reached(v, "joint:bell")
    assert steps == ["joint:engine-frame", "assembly:unit", "joint:bell"]
    assert (found.minutes, found.optimal) == (50.0, True)


def test_on_the_bench_what_is_in_the_way_is_parted_first():
    """The clutch hides the bell's bolts, and comes free of its whole by its own joint."""
    v = vehicle(
        "engine - frame",
        "bell = engine - gearbox",
        "fork = gearbox - clutch",
        "guard - frame: 9 bolt M8; 120 min",
        "guard blocks bell",
        "guard blocks fork",
        "clutch blocks bell: over it",
        Assembly("unit", "the unit", ("engine", "gearbox", "clutch"), likely(30)),
    )
    found, steps = reached(v, "joint:bell")
    assert steps == ["joint:engine-frame", "assembly:unit", "joint:fork", "joint:bell"]
    words = {reason.words for reason in found.steps[-1].reasons}
    assert "clutch in the way: over it" in words


def test_a_part_is_reached_once_nothing_holds_it_to_its_whole_either():
    """Out with the unit is not at hand yet: its joint inside is undone as well."""
    v = vehicle("engine - frame", "bell = engine - gearbox; 5 min", "lid blocks gearbox", UNIT,
                "lid - frame: 9 bolt M8; 60 min")  # fmt: skip
    _, steps = reached(v, "part:gearbox")
    assert set(steps) >= {"joint:bell"}


def test_a_standing_that_wants_a_part_off_counts_as_in_the_way():
    """The pipe is reached only with the body off, which takes the body's joint."""
    v = vehicle(
        "body - frame",
        "pipe - frame: 1 clip; in bodyless",
        standing("wheels", bodyless=5.0),
        standing("bodyless", needs_off=("body",)),
    )
    found, steps = reached(v, "joint:pipe-frame", standing="wheels")
    assert steps == ["joint:body-frame", "part:body", "joint:pipe-frame"]
    reasons = {reason.words for reason in found.steps[-1].reasons}
    assert "it is done “bodyless”" in reasons
    assert "to stand “bodyless”, body must be off" in reasons


def test_a_job_is_reached_by_doing_it():
    """What it waits for is done before."""
    job = Job("look", "look", JobKind.SURVEY)
    v = vehicle("lid - frame", job, "lid before look: under it")
    assert reached(v, "job:look")[1] == ["joint:lid-frame", "part:lid", "job:look"]


def test_what_is_at_hand_takes_no_steps():
    """A joint undone already, and a part off with all its joints undone."""
    v = vehicle("lid - frame")
    found, steps = reached(v, "part:lid", off=["lid"], undone=["lid-frame"])
    assert (steps, found.minutes) == ([], 0)
    assert reached(v, "joint:lid-frame", undone=["lid-frame"])[1] == []


@pytest.mark.parametrize("target", ["part:nothing", "joint:nothing", "job:nothing", "zone:here"])
def test_what_the_vehicle_does_not_have_cannot_be_reached(target):
    """The kind and the name are told."""
    kind, _, name = target.partition(":")
    with pytest.raises(NotFound, match=f"no {kind} '{name}'"):
        reached(vehicle("lid - frame"), target)


def test_what_cannot_be_reached_is_refused_with_the_facts():
    """Two parts in each other's way."""
    v = vehicle("a - frame", "b - frame", "a blocks b", "b blocks a")
    with pytest.raises(ImpossibleGoal) as refused:
        reached(v, "part:a")
    assert set(refused.value.reasons) == {"b in the way of a", "a in the way of b"}


def test_reach_can_be_stopped():
    """Whoever waits says stop."""
    v = generate(30, 4)
    with pytest.raises(Stopped):
        reach(v, state_of(v), f"part:{list(v.parts)[-1]}", progress=Stoppable(lambda: True))


def test_reach_of_anything_in_a_generated_vehicle_is_proved():
    """Every part of it can be got at, and the search comes to an end each time."""
    v = generate(25, 6)
    for part in list(v.parts)[1:]:
        assert reach(v, state_of(v), f"part:{part}").optimal


def test_a_joint_of_which_part_went_elsewhere_is_not_undone_on_the_bench():
    """The unit is out without the strut, which came off by itself: the yoke joins all three."""
    v = vehicle("engine - frame", "yoke = engine - gearbox - strut", "strut - frame", UNIT)
    with pytest.raises(ImpossibleGoal):
        reached(v, "joint:yoke", off={"engine": "unit", "gearbox": "unit", "strut": None})
