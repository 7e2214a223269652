"""Generated vehicles whose hoses and cables somebody described as plain parts, clipped on.

Their kind does not say that they carry nothing, so what holds them has to.
"""

from dataclasses import replace
from functools import cache

import pytest

from putback.vehicle.fastener import parse
from putback.vehicle.generate import generate
from putback.vehicle.joint import Fixing, Joint, Piece
from putback.vehicle.part import PartKind
from putback.vehicle.vehicle import Vehicle
from tests.planning.rebuilding import apart, plan_of
from tests.planning.stripping import planned

CLIPS = (Fixing("a", 2, (Piece(parse("hose clip 20 mm")),)),)
SIZES = [(30, 2), (40, 5)]


@cache
def clipped(parts: int, seed: int, *, known: bool) -> Vehicle:
    """A generated vehicle whose runs are held by hose clips alone, of a known kind or of none."""
    v = generate(parts, seed)
    clips = {j: replace(joint, fixings=CLIPS) for j, joint in v.joints.items() if is_run(v, joint)}
    plain = {p: replace(part, kind=PartKind.PART) for p, part in v.parts.items() if part.is_run}
    return v.with_records(parts=v.parts | ({} if known else plain), joints=v.joints | clips)


def is_run(v: Vehicle, joint: Joint) -> bool:
    """Whether a part of a joint is a run."""
    return any(v.parts[part].is_run for part in joint.parts)


@pytest.mark.parametrize(("parts", "seed"), SIZES)
def test_they_are_loose_like_hoses(parts, seed):
    """What carries nothing is the same, whatever they are called."""
    known = clipped(parts, seed, known=True).loose
    assert known.runs
    assert clipped(parts, seed, known=False).loose == known


@pytest.mark.parametrize(("parts", "seed"), SIZES)
def test_the_checker_finds_nothing_hanging_on_them(parts, seed):
    """Of the strip, and of the rebuild once all of it was done."""
    v = clipped(parts, seed, known=False)
    goal = v.goals["all-off"]
    plan = planned(v, goal)
    what = [step.what.partition(":") for step in plan.steps]
    order = [
        name if kind != "assembly" else f"{name}={'+'.join(v.assemblies[name].parts)}"
        for kind, _, name in what
        if kind != "job"
    ]
    plan_of(v, apart(v, *order, standing=plan.steps[-1].standing))
