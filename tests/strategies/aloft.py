"""Vehicles with hoses, heavy parts and standings, torn apart: for rule 19 of the rebuild."""

from dataclasses import replace

from hypothesis import strategies as st

from putback.vehicle.facts import Before, Phase
from putback.vehicle.fastener import parse
from putback.vehicle.ids import FactId, JobId, PartId, StandingId
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import Does, Fixing, Piece, WhenUndone
from putback.vehicle.part import PartKind
from putback.vehicle.vehicle import Vehicle
from tests.makers import standing
from tests.strategies.rebuilds import stripped, with_rebuild_facts
from tests.strategies.vehicles import small_vehicles

KINDS = (PartKind.PART, PartKind.HOSE, PartKind.TRIM, PartKind.STRUCTURE, PartKind.CABLE)
GRIPS = ("2 nut M8", "1 grub screw M6 x 8 mm", "1 pinch bolt M8 x 30 mm", "1 hose clip 20 mm")


@st.composite
def hung_vehicles(draw, *, most: int = 7, rebuild_facts: bool = False):
    """A vehicle on stands, a beam or one of its parts, and its state in a random strip.

    The frame stays on.
    """
    vehicle = draw(small_vehicles(most=most))
    others = [part for part in vehicle.parts if part != "frame"]
    foot = draw(st.sampled_from(others))
    vehicle = vehicle.with_records(
        standings={
            each.id: each
            for each in (
                standing("stands", "frame", beam=12.0, foot=30.0),
                standing("beam", "frame", stands=12.0, foot=20.0),
                standing("foot", foot, stands=30.0),
            )[: draw(st.integers(1, 3))]
        }
    )
    parts = {part: _part(vehicle, part, draw) for part in vehicle.parts}
    parts[foot] = replace(parts[foot], kind=PartKind.PART, standings=())
    vehicle = vehicle.with_records(
        parts=parts,
        joints={joint: _joint(vehicle, joint, draw) for joint in vehicle.joints},
    )
    never = Job(JobId("never"), "never done", JobKind.PREPARE, Phase.STRIP)
    keep = Before(FactId("keep"), "job:never", "part:frame", "it stays", Phase.STRIP)
    vehicle = vehicle.with_records(
        jobs={never.id: never}, befores={**vehicle.befores, keep.id: keep}
    )
    if draw(st.booleans()):
        job = Job(JobId("look"), "look at it", JobKind.CHECK, Phase.REBUILD)
        then = draw(st.sampled_from([f"joint:{joint}" for joint in vehicle.joints]))
        fact = Before(FactId("j1"), f"job:{job.id}", then, "so", Phase.REBUILD)
        vehicle = vehicle.with_records(
            jobs={**vehicle.jobs, job.id: job}, befores={**vehicle.befores, fact.id: fact}
        )
    if rebuild_facts:
        vehicle = with_rebuild_facts(vehicle, draw)
    state = stripped(
        vehicle, draw(st.randoms(use_true_random=False)), draw(st.none() | st.integers(1, 14))
    )
    return vehicle, state


def _part(vehicle: Vehicle, part: PartId, draw: st.DrawFn):
    kind = PartKind.STRUCTURE if part == "frame" else draw(st.sampled_from(KINDS))
    mass_kg = 80.0 if part == "frame" else draw(st.none() | st.sampled_from((0.5, 3.0, 9.0, 60.0)))
    return replace(vehicle.parts[part], kind=kind, mass_kg=mass_kg, standings=_some(vehicle, draw))


def _joint(vehicle: Vehicle, joint, draw: st.DrawFn):
    record = vehicle.joints[joint]
    stays = WhenUndone(Does.STAYS, "it rests on a ledge")
    text = draw(st.sampled_from(GRIPS))
    count, _, spec = text.partition(" ")
    return replace(
        record,
        fixings=(Fixing("a", int(count), (Piece(parse(spec)),)),),
        standings=_some(vehicle, draw),
        when_undone=draw(st.sampled_from((WhenUndone(), WhenUndone(), WhenUndone(), stays))),
    )


def _some(vehicle: Vehicle, draw: st.DrawFn) -> tuple[StandingId, ...]:
    """Any of the standings, as often as not."""
    some = draw(st.lists(st.sampled_from([*vehicle.standings]), max_size=2, unique=True))
    return tuple(some) if draw(st.booleans()) else ()
