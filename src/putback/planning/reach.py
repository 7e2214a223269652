"""Reach: what must come off to get at one part or joint, by the least work, and why.

Exact: no other set of steps gets there with less likely work. What the state has made harder
counts; what the steps themselves would make harder or easier for one another does not, and neither
does set-up: a person who wants to get at one thing first wants to know what is in the way.
"""

from dataclasses import dataclass

from putback.errors import NotFound
from putback.logbook.state import State
from putback.planning.known import made_joints
from putback.planning.ordering.price import price
from putback.planning.ordering.runs_out import warning_of_what_runs_out
from putback.planning.ordering.steps import steps_of
from putback.planning.ordering.to_record import noting_what_to_record
from putback.planning.ordering.way import Stage, find_way
from putback.planning.plan import USUAL, Because, PlanSettings, Step
from putback.planning.posing.pose import pose
from putback.planning.posing.problem import Cause, Clause, Problem
from putback.progress import NoProgress, Progress
from putback.vehicle.ids import AssemblyId, Ref, joint_ref, part_ref, split_ref
from putback.vehicle.vehicle import Vehicle


@dataclass(frozen=True, slots=True)
class Reach:
    """The least that gets at ``target``, in an order that works; times in [minutes].

    ``minutes`` is likely work, without set-up; the steps carry their set-up, and the factors that
    hold in their order. No way takes less if ``optimal``.
    """

    target: Ref
    steps: tuple[Step, ...]
    minutes: float
    optimal: bool


def reach(
    vehicle: Vehicle,
    state: State,
    target: Ref,
    settings: PlanSettings = USUAL,
    progress: Progress = NoProgress(),
) -> Reach:
    """Find the least work that gets at one part or joint, or that lets one job be done.

    A joint is reached when it is undone, a part when it is off and nothing holds it any more, be
    it to the rest of a whole on the bench; a job when it is done; an assembly when each of its
    parts is off, as one or in pieces.

    Raises
    ------
    NotFound
        If the vehicle has no such part, joint, job or assembly.
    ImpossibleGoal
        If it cannot be reached; names the facts.
    """
    problem = pose(vehicle, state)
    targets = _targets(problem, state, target)
    way = find_way(problem, [Stage(problem.name(target), targets)], settings, progress)
    steps = steps_of(way.rules, price(way.rules, way.bouts, settings), targets)
    minutes = sum(problem.nodes[index].minutes for index in way.rules.steps)
    warned = warning_of_what_runs_out(vehicle, state, steps)
    noted = noting_what_to_record(vehicle, state, warned)
    return Reach(target, noted, minutes, way.cheapest)


def _targets(problem: Problem, state: State, target: Ref) -> tuple[Clause, ...]:
    """What being at it means, as clauses; those that hold already left out."""
    vehicle = problem.vehicle
    kind, identity = split_ref(target)
    known: dict[str, set[str]] = {
        "part": set(vehicle.parts),
        "joint": set(vehicle.joints),
        "job": set(vehicle.jobs),
        "assembly": set(vehicle.assemblies),
    }
    if target not in problem.providers and identity not in known.get(kind, ()):
        raise NotFound(kind, identity)
    asked = Cause(Because.GOAL, f"to get at {problem.name(target)}")
    wanted = [target]
    if kind == "assembly":
        wanted = [part_ref(part) for part in vehicle.assemblies[AssemblyId(identity)].parts]
    if kind == "part":
        made = made_joints(vehicle, state)
        wanted += [joint_ref(joint) for joint in made if identity in vehicle.joints[joint].parts]
    return tuple(
        Clause(problem.providers[ref], asked) for ref in sorted(wanted) if ref in problem.providers
    )
