"""The whole job at a glance: the standings in time order, each as wide as its minutes.

What is done stands where it was done; what is left, where the plan does it.
"""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from putback.logbook.entries.base import Body, Entry
from putback.logbook.entries.rebuilding import JointMade, PartOn
from putback.logbook.entries.working import JobDone, JointUndone, PartOff, StandingChanged
from putback.logbook.state import State
from putback.planning.known import Known
from putback.planning.plan import Step
from putback.vehicle.ids import StandingId
from putback.vehicle.vehicle import Vehicle
from putback.workshop.plans.how_far import Way

NARROWEST = 0.04
"""No stretch is drawn narrower than this part of the whole, so that a finger finds it [-]."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """One standing; done and left in [minutes], place and width as parts of the whole [-]."""

    standing: StandingId | None
    name: str
    done_minutes: float
    left_minutes: float
    is_now: bool
    at: float = 0.0
    width: float = 0.0

    @property
    def short(self) -> str:
        """Its name without what stands behind a comma or in brackets."""
        return re.split(r",| \(", self.name)[0]

    @property
    def done(self) -> float:
        """How much of it is done [-]."""
        total = self.done_minutes + self.left_minutes
        return self.done_minutes / total if total else 1.0


def ribbon(
    state: State, entries: Iterable[Entry], steps: Sequence[Step], way: Way
) -> tuple[Stretch, ...]:
    """Lay the standings side by side; nothing where no minutes are known at all.

    Parameters
    ----------
    entries
        Those that stand, in the order of the logbook.
    steps
        What is still to be done, in the order of the plan.
    """
    now = state.standing.standing
    done: dict[StandingId | None, float] = {}
    for standing, minutes in _done(state, entries, way):
        done[standing] = done.get(standing, 0.0) + minutes
    if now in done:
        done[now] = done.pop(now)  # what is left there goes on where it is done now
    runs: list[tuple[StandingId | None, float, float]] = [
        (standing, minutes, 0.0) for standing, minutes in done.items() if minutes
    ]
    for step in steps:
        if not runs or runs[-1][0] != step.standing:
            runs.append((step.standing, 0.0, 0.0))
        standing, minutes, left = runs[-1]
        runs[-1] = (standing, minutes, left + step.minutes + step.setup_minutes)
    found = [
        Stretch(
            standing,
            state.name_of(f"standing:{standing}") if standing else "however it stands",
            minutes,
            left,
            is_now=standing is not None and standing == now,
        )
        for standing, minutes, left in runs
        if minutes + left > 0
    ]
    return _placed(found)


def _placed(stretches: Sequence[Stretch]) -> tuple[Stretch, ...]:
    """Give each its place and width; narrow ones are drawn a little wider, at the others' cost."""
    if not stretches:
        return ()
    times = [each.done_minutes + each.left_minutes for each in stretches]
    widths = [max(minutes / sum(times), NARROWEST) for minutes in times]
    scale = 1 / sum(widths)
    placed: list[Stretch] = []
    at = 0.0
    for each, width in zip(stretches, widths, strict=True):
        placed.append(
            Stretch(
                each.standing,
                each.name,
                each.done_minutes,
                each.left_minutes,
                each.is_now,
                at,
                width * scale,
            )
        )
        at += width * scale
    return tuple(placed)


def _done(
    state: State, entries: Iterable[Entry], way: Way
) -> Iterable[tuple[StandingId | None, float]]:
    """Say in which standing what is done was done last, and what it took by its description."""
    standing: StandingId | None = None
    last: dict[str, tuple[StandingId | None, float]] = {}
    for entry in entries:
        body = entry.body
        if isinstance(body, StandingChanged):
            standing = body.standing
        elif isinstance(body, Body) and (named := _named(state.vehicle, body, way)):
            subject, minutes = named
            last[subject] = (standing, minutes)
    done = Known(state.vehicle, state).done
    for subject, told in last.items():
        kind, _, identity = subject.partition(":")
        is_off = {
            "joint": identity in state.undone_joints,
            "part": identity in state.parts_off,
            "job": (identity in done) is (way is not Way.REBUILD),
        }[kind]
        if is_off is (way is not Way.REBUILD):
            yield told


def _named(vehicle: Vehicle, body: Body, way: Way) -> tuple[str, float] | None:
    """Name what an entry did this way round, and the minutes on record for it."""
    is_back = way is Way.REBUILD
    match body:
        case JointUndone(joint=joint) if not is_back and joint in vehicle.joints:
            return f"joint:{joint}", vehicle.joints[joint].minutes.likely
        case JointMade(joint=joint) if is_back and joint in vehicle.joints:
            return f"joint:{joint}", vehicle.joints[joint].minutes.likely
        case PartOff(part=part) if not is_back and part in vehicle.parts:
            return f"part:{part}", vehicle.parts[part].minutes.likely
        case PartOn(part=part) if is_back and part in vehicle.parts:
            return f"part:{part}", vehicle.parts[part].minutes.likely
        case JobDone(job=job) if not is_back and job in vehicle.jobs:
            return f"job:{job}", vehicle.jobs[job].minutes.likely
        case _:
            return None
