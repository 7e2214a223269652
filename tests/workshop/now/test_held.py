"""What a phone holds: logged as it says, each job is done, down the strip and all the way back."""

from dataclasses import replace

from putback.logbook.entries.base import DeviceId, PersonId
from putback.vehicle.ids import FluidId, JobId, PartId
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import FinalWhen
from putback.vehicle.opening import Fluid
from putback.vehicle.part import PartKind
from putback.workshop.now.held import Held, HeldJob, basis, held
from putback.workshop.now.logged_as import DoneBy
from putback.workshop.plans.plans import follow, follow_rebuild
from putback.workshop.saying.plain import read_plain
from tests.makers import standing, vehicle
from tests.planning.rebuilding import with_joint, with_part
from tests.workshop.lines import CAR, Lines

TOLD = with_joint(
    with_part(
        vehicle(
            "bush = axle - frame; in stands",
            "nuts = wheel - axle; in stands; critical",
            "lid - box: 4 bolt M8 x 20 mm",
            "box - frame: 2 bolt M10 x 30 mm",
            standing("stands", "frame", wheels=30.0),
            standing("wheels", "wheel", stands=30.0),
            Job(JobId("drain"), "drain the box", JobKind.DRAIN, fluid=FluidId("oil")),
            Fluid(FluidId("oil"), "oil", PartId("box"), drained_by=JobId("drain")),
            "drain before box: it is full",
            datum="frame",
        ),
        "wheel",
        kind=PartKind.WHEEL,
        mass_kg=9.0,
    ),
    "bush",
    final_when=FinalWhen.LADEN,
)
"""A wheel on an axle, oil in a box under a lid; a joint that waits, one that is critical."""


def stand(lines: Lines, found: Held, job: HeldJob) -> None:
    """Stand it as the job wants it, as the held change of standing is logged."""
    if job.standing not in (None, lines.state.standing.standing):
        change = next(each for each in found.standings if each.standing == job.standing)
        log(lines, change.log)


def log(lines: Lines, said, who: str = "ann") -> None:
    """Log entries as a phone says them, a minute later."""
    lines.watch.put_on(minutes=1)
    lines.workshop.log(CAR, read_plain(list(said)), who=PersonId(who), device=DeviceId("phone"))


def does(entry: dict, by: DoneBy) -> bool:
    """Whether an entry does a job, as the phone reads it (js/steps.js)."""
    same = all(str(entry.get(name, "")).lower() in values for name, values in by.fields.items())
    return entry["kind"] == by.kind and same and (by.all_of is None or entry["out"] >= by.all_of)


def work_off(lines: Lines) -> list[str]:
    """Do all that is held, one by one; each is left no more once it is logged as it says."""
    done = []
    while jobs := (found := held(lines.workshop, CAR)).jobs:
        job = jobs[0]
        assert len(done) < 60, f"{job.card.verb} {job.card.what} is still there"
        stand(lines, found, job)
        assert all(any(does(entry, by) for entry in job.log) for by in job.done_by)
        log(lines, job.log, "ben" if job.card.deed == "checked" else "ann")
        done.append(f"{job.card.verb} {job.card.identity}")
        left = [
            f"{each.card.verb} {each.card.identity}" for each in held(lines.workshop, CAR).jobs
        ]
        assert done[-1] not in left
    return done


def test_down_the_strip_and_all_the_way_back_each_job_is_done_by_what_it_is_logged_as():
    """Undone, off, drained; put on, made, tightened, finished, filled and checked."""
    lines = Lines(TOLD)
    lines("standing stands")
    follow(lines.workshop, CAR, TOLD.goals["bare"])
    down = work_off(lines)
    assert {"Do drain", "Undo nuts", "Take off wheel", "Take off box"} <= set(down)
    lines("rebuild")
    follow_rebuild(lines.workshop, CAR)
    back = work_off(lines)
    assert {"Fill oil", "Put on wheel", "Make, loose nuts", "Tighten nuts"} <= set(back)
    assert {"Check nuts", "Tighten for good bush"} <= set(back)


def test_what_it_rests_on_changes_with_whatever_it_shows():
    """The same as long as nothing is logged or planned; another by each, and by other tags."""
    lines = Lines(TOLD)
    first = basis(lines.workshop, CAR)
    assert basis(lines.workshop, CAR) == first
    lines("standing stands")
    second = basis(lines.workshop, CAR)
    follow(lines.workshop, CAR, TOLD.goals["bare"])
    third = basis(lines.workshop, CAR)
    assert len({first, second, third, basis(lines.workshop, CAR, ["3CAH"])}) == 4


def test_a_vehicle_of_which_nothing_is_planned_is_held_all_the_same():
    """Its name, what is open and no jobs."""
    lines = Lines(replace(TOLD, goals={}))
    found = held(lines.workshop, CAR)
    assert (found.name, found.jobs, found.hand.goal) == ("Test vehicle", (), None)
