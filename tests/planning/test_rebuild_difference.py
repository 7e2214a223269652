"""Where the rebuild is not the strip turned round: each place is named with its reason."""

from dataclasses import replace

from putback.logbook.common import Away, Common
from putback.logbook.state import FluidState, OpeningState
from putback.planning.rebuild import Difference, differences_from_reversed_strip, plan_rebuild
from putback.planning.rebuild.difference import Kind
from putback.vehicle.assembly import Assembly
from putback.vehicle.facts import Phase
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import FinalWhen
from putback.vehicle.opening import Fluid, Opening
from putback.vehicle.run import Run
from tests.makers import vehicle
from tests.planning.rebuilding import apart, with_joint, with_part, with_states


def differences(car, state) -> list[Difference]:
    """All differences of the plan for this state."""
    return list(differences_from_reversed_strip(plan_rebuild(car, state), state, car))


def the_one(found: list[Difference], kind: Kind) -> Difference:
    """The only difference of a kind."""
    (one,) = (each for each in found if each.kind is kind)
    return one


def test_the_strip_turned_round_has_no_difference():
    """One part, one joint: nothing to tell."""
    car = vehicle("lid - frame: 1 clip", datum="frame")
    assert differences(car, apart(car, "lid-frame", "lid")) == []


def test_a_fact_of_the_rebuild_turns_a_pair():
    """The battery came off last, by chance, and goes in last, for a reason."""
    car = vehicle(
        "battery - frame: 1 clip",
        "lamp - frame: 1 clip",
        "horn - frame: 1 clip",
        "lamp - frame before battery: circuits stay dead (rebuild)",
        "horn - frame before battery: circuits stay dead (rebuild)",
        datum="frame",
    )
    order = ["lamp-frame", "lamp", "horn-frame", "horn", "battery-frame", "battery"]
    found = the_one(differences(car, apart(car, *order)), Kind.ORDER)
    assert str(found) == (
        "lamp-frame (and 1 more) and battery: lamp-frame (and 1 more) first, where the strip "
        "turned round would have it after battery, since circuits stay dead"
    )
    assert found.what == "part:battery"


def test_a_job_can_come_between_the_two():
    """The pipes are tested before the body goes on, though they came off before it."""
    car = vehicle(
        "pipe - frame: 1 clip",
        "body - frame: 1 clip",
        Job("test", "test the pipes", JobKind.CHECK, Phase.REBUILD),
        "pipe - frame before test: they are on (rebuild)",
        "test before body: not reached once it is on (rebuild)",
        datum="frame",
    )
    order = ["pipe-frame", "pipe", "body-frame", "body"]
    found = the_one(differences(car, apart(car, *order)), Kind.ORDER)
    assert found.rebuild == "pipe-frame first, by way of “test the pipes”"
    assert found.reason == "not reached once it is on"


def test_an_order_that_only_the_strip_asked_for_is_let_go():
    """The zone at hand decides, not the reason that the strip had."""
    car = vehicle(
        "a - frame: 1 clip; zone rear",
        "b - frame: 1 clip; zone front",
        "c - frame: 1 clip; zone front",
        "b before a: it was drained there",
        datum="frame",
    )
    for part, zone in (("a", "rear"), ("b", "front"), ("c", "front")):
        car = with_part(car, part, zone=zone)
    found = differences(car, apart(car, "b-frame", "b", "a-frame", "a", "c-frame", "c"))
    freed = the_one(found, Kind.FREED)
    assert (freed.place, freed.rebuild) == ("b and a", "b first")
    assert freed.reason == "only the strip asked for the other order: it was drained there"


def test_what_waits_is_tightened_later():
    """By its declared job, or when it can be; the reason is the trade's."""
    car = vehicle(
        "bush = axle - frame: 1 clip",
        "hinge = door - frame: 1 clip",
        "wheel - axle: 1 clip",
        Job("torque", "final torque", JobKind.TIGHTEN, Phase.REBUILD, joints=("bush",)),
        datum="frame",
    )
    car = with_joint(car, "bush", final_when=FinalWhen.LADEN)
    car = with_joint(car, "hinge", final_when=FinalWhen.GAPS_SET)
    state = apart(car, "wheel-axle", "wheel", "bush", "axle", "hinge", "door")
    job, own = (each for each in differences(car, state) if each.kind is Kind.FINAL)
    assert (job.place, job.what) == ("bush", "job:torque")
    assert job.rebuild == "nipped when made, tightened for good by “final torque”"
    assert job.reason.startswith("rubber")
    assert own.rebuild == "nipped when made, tightened for good when it can be: gaps set"


def test_the_part_with_most_loose_joints_is_named():
    """A loom has more, but a part that has to find its place tells more."""
    car = vehicle(
        "one = tank - frame: 1 clip",
        "two = tank - frame: 1 clip",
        "l1 = loom - frame: 1 clip",
        "l2 = loom - frame: 1 clip",
        "l3 = loom - frame: 1 clip",
        datum="frame",
    )
    car = car.with_records(runs={"loom": Run("loom")})
    state = apart(car, "one", "two", "tank", "l1", "l2", "l3", "loom")
    found = the_one(differences(car, state), Kind.LOOSE)
    assert found.place == "tank"
    assert found.rebuild == "2 joints go in loose before one is tightened, as with 2 parts"
    alone = the_one(differences(car, apart(car, "one", "two", "tank")), Kind.LOOSE)
    assert alone.rebuild == "2 joints go in loose before one is tightened"


def test_a_whole_is_named_by_its_name():
    """An assembly stands for its parts."""
    car = vehicle(
        "m1 = engine - frame: 1 clip",
        "m2 = box - frame: 1 clip",
        "box - engine: 1 clip",
        Assembly("unit", "engine unit", ("engine", "box")),
        "lid - frame: 1 clip",
        "unit-lid = lid - frame: 1 clip",
        datum="frame",
    )
    found = the_one(differences(car, apart(car, "m1", "m2", "unit=engine+box")), Kind.LOOSE)
    assert found.place == "engine unit"


def test_what_is_not_here_is_told():
    """At the plater it comes last; lost it is left out."""
    car = vehicle("a - frame: 1 clip", "b - frame: 1 clip", datum="frame")
    state = apart(car, "b-frame", "b", "a-frame", "a", gone=["b"])
    away = Away(state.parts["a"].off, "the plater")
    state = with_states(state, "parts", [replace(state.parts["a"], common=Common(sent_out=away))])
    late, out = (each for each in differences(car, state) if each.kind is Kind.WAITS)
    assert (late.place, late.reason) == ("a", "it waits: a: at the plater")
    assert (out.place, out.rebuild) == ("b", "left out")


def test_what_a_rebuild_has_more_than_a_strip_is_told():
    """Jobs, closures, new pieces, fluids and second checks, each kind once."""
    car = vehicle(
        "sump - frame: 2 bolt M8 + split pin 2 mm!; critical",
        Fluid("oil", "oil", "sump"),
        Opening("port", "port", "sump", ("sump-frame",), closed_with="plug"),
        Job("chase", "chase threads", JobKind.PREPARE, Phase.REBUILD),
        Job("dry", "dry them", JobKind.PREPARE, Phase.REBUILD),
        Job("look", "look about", JobKind.SURVEY, Phase.REBUILD),
        datum="frame",
    )
    state = apart(car, "sump-frame", "sump")
    state = with_states(state, "openings", [OpeningState("port", closed=1)])
    state = with_states(state, "fluids", [FluidState("oil", drained=state.parts["sump"].off)])
    found = differences(car, state)
    jobs = the_one(found, Kind.JOBS)
    assert (jobs.place, jobs.rebuild) == ("chase threads (and 1 more)", "prepare at step 1")
    assert the_one(found, Kind.TAKEN_OUT).rebuild == (
        "1 × plug: port comes out first; 1 such lines in 1 steps"
    )
    assert the_one(found, Kind.RENEWED).rebuild == "new single-use pieces, 2 of them in 1 joints"
    assert the_one(found, Kind.FLUIDS).place == "oil"
    assert the_one(found, Kind.CHECKED).place == "sump-frame"
