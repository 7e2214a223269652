"""As far as one wants to look in a rebuild: the beginning of its order, up to what was meant."""

import pytest

from putback.errors import NotFound
from putback.planning.plan import Stage
from putback.planning.rebuild import plan_rebuild
from putback.vehicle.job import JobKind
from putback.workshop.plans.as_far_as import as_far_as, end_called, milestones
from tests.makers import vehicle
from tests.planning.rebuilding import apart, job, line_of


@pytest.fixture(scope="module")
def torn():
    """A lid over a pump, both off, and a first run at the end."""
    v = vehicle("lid - frame: 2 bolt M6 x 16", "pump - frame: 2 bolt M8 x 20")
    v = v.with_records(jobs={"run": job("run", JobKind.RUN)})
    state = apart(v, "lid-frame", "lid", "pump-frame", "pump")
    return state, plan_rebuild(v, state).steps


def test_a_part_is_back_on_once_it_is_fastened(torn):
    """Up to the last of its joint, and nothing of what comes after."""
    state, steps = torn
    lines = [line_of(step) for step in steps]
    first = lines[0].removeprefix("put on ")
    found = [line_of(step) for step in as_far_as(state, steps, f"part:{first}")]
    assert found == lines[: len(found)]
    assert found[-1] == f"tighten {first}-frame"
    other = {"lid": "pump", "pump": "lid"}[first]
    assert f"put on {other}" not in found
    assert len(as_far_as(state, steps, f"part:{other}")) > len(found)


def test_a_stage_is_looked_at_to_its_end(torn):
    """The last stage is all of it, and is not offered beside that."""
    state, steps = torn
    assert [each.words for each in milestones(state, steps)] == ["final build done"]
    built = as_far_as(state, steps, Stage.BUILD)
    assert [step.stage for step in built] == [Stage.BUILD] * len(built)
    assert steps[len(built)].stage is Stage.RUN
    assert as_far_as(state, steps, Stage.RUN) == steps


@pytest.mark.parametrize("end", ["part:frame", "part:moon", "assembly:moon", "", "moon", "part:"])
def test_nothing_leads_to_what_is_on_or_not_there(torn, end):
    """No step of the plan is for it."""
    assert as_far_as(*torn, end) == ()


@pytest.mark.parametrize(
    ("named", "end", "words"),
    [
        ("final build", Stage.BUILD, "final build done"),
        (" First run  done", Stage.RUN, "first run done"),
        ("Lid", "part:lid", "lid back on"),
        ("part:pump", "part:pump", "pump back on"),
        ("frame", "part:frame", "frame back on"),
    ],
)
def test_an_end_is_found_by_its_name(torn, named, end, words):
    """Stages the plan has, then assemblies and parts, as people type them."""
    found = end_called(*torn, named)
    assert (found.id, found.words) == (end, words)


def test_an_end_that_is_not_there_is_answered_with_the_nearest(torn):
    """Of stages and of parts; a stage that the plan does not have is none."""
    with pytest.raises(NotFound) as told:
        end_called(*torn, "lidd")
    assert str(told.value) == "no stage, assembly or part 'lidd'; did you mean 'lid'?"
    with pytest.raises(NotFound, match="no stage, assembly or part 'trial build'"):
        end_called(*torn, "trial build")


def test_what_goes_back_as_one_is_offered():
    """By its name; it is on when what fastens it is."""
    from putback.vehicle.assembly import Assembly

    v = vehicle(
        "engine - gearbox: 2 bolt M8 x 20",
        "engine - frame: 2 bolt M12 x 40",
        "lamp - frame: 2 bolt M5 x 10",
        Assembly("unit", "power unit", ("engine", "gearbox")),
    )
    state = apart(v, "lamp-frame", "lamp", "engine-frame", "unit=engine+gearbox")
    steps = plan_rebuild(v, state).steps
    assert ("assembly:unit", "power unit back on") in {
        (each.id, each.words) for each in milestones(state, steps)
    }
    found = as_far_as(state, steps, "assembly:unit")
    assert line_of(found[-1]) == "tighten engine-frame"
    assert found == as_far_as(state, steps, "part:gearbox")
