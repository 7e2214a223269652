"""Why a step stands where it stands, and what it is good for: chains of facts through a plan."""

from collections.abc import Iterator
from dataclasses import dataclass

from putback.planning.plan import Because, Plan, Reason, Step
from putback.vehicle.ids import Ref


@dataclass(frozen=True, slots=True)
class Link:
    """One step of a plan and the fact that leads from it to the link before."""

    step: Step
    reason: Reason


def why_not_before(plan: Plan, what: Ref) -> tuple[Link, ...]:
    """Give the chain of facts that keeps a thing from coming earlier.

    Each link names the latest step that had to come before the one above, and the fact that says
    so; the last link is a step that waits for nothing.
    """
    place = _places(plan)
    at = place.get(what)
    links: list[Link] = []
    while at is not None:
        earlier = [
            (place[reason.first], reason)
            for reason in plan.steps[at].reasons
            if place.get(reason.first, at) < at
        ]
        if not earlier:
            break
        at, reason = max(earlier, key=lambda each: each[0])
        links.append(Link(plan.steps[at], reason))
    return tuple(links)


def what_for(plan: Plan, what: Ref) -> tuple[Link, ...]:
    """Give the chain of facts from a thing to what the goal asks for.

    Each link is a later step that waits for the one before, and the fact that says so; the last
    is asked for by the goal itself.
    """
    links: list[Link] = []
    at = _places(plan).get(what)
    while at is not None and not _is_asked_for(plan.steps[at]):
        found = next(_waiting_for(plan, at), None)
        if found is None:
            break
        at, reason = found
        links.append(Link(plan.steps[at], reason))
    return tuple(links)


def _places(plan: Plan) -> dict[Ref, int]:
    """Where each thing is done for good: the last step that names it, or takes it off unnamed."""
    places = {
        reason.first: at
        for at, step in enumerate(plan.steps)
        for reason in step.reasons
        if reason.because is Because.GOAL
    }
    return places | {step.what: at for at, step in enumerate(plan.steps)}


def _is_asked_for(step: Step) -> bool:
    return any(reason.because is Because.GOAL for reason in step.reasons)


def _waiting_for(plan: Plan, at: int) -> Iterator[tuple[int, Reason]]:
    for later in range(at + 1, len(plan.steps)):
        for reason in plan.steps[later].reasons:
            if reason.first == plan.steps[at].what and reason.because is not Because.HARDER_AFTER:
                yield later, reason
