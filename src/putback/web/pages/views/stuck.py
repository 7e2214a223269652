"""Stuck: so many of so many out, what was done about it, and when to come back."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from putback.planning.plan import Step
from putback.vehicle.ids import JointId
from putback.web.here import here
from putback.web.pages.access import Visit, for_role
from putback.web.pages.show import page
from putback.workshop.desk import plan_on_hand
from putback.workshop.logbooks.ports import Role
from putback.workshop.now.bag_at_hand import ProposedTag, proposed_tag, tags_at_hand
from putback.workshop.now.next_job import next_job
from putback.workshop.now.stuck import (
    TREATMENTS,
    ComeBack,
    StuckJoint,
    come_back,
    may_be_stuck,
    stuck_joint,
)


@dataclass(frozen=True, slots=True)
class StuckPage:
    """What the page shows; without a joint it asks which."""

    joint: StuckJoint | None
    joints: tuple[tuple[JointId, str], ...]
    steppers: tuple[tuple[str, str, int], ...]
    """Each count that is asked for: its field, its label, what it is now."""
    treatments: tuple[str, ...]
    days: tuple[ComeBack, ...]
    bag: ProposedTag | None


@require_safe
@for_role(Role.WORKER)
def stuck(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Ask what is stuck, and how."""
    workshop = here().workshop
    state = workshop.state(visit.logbook)
    steps = plan_on_hand(workshop, visit.logbook).steps
    joint = _joint(request, visit, steps)
    tags = tags_at_hand(workshop, visit.logbook, visit.device, visit.role)
    shown = StuckPage(
        joint=stuck_joint(state, joint) if joint else None,
        joints=() if joint else may_be_stuck(state, steps),
        steppers=_steppers(stuck_joint(state, joint)) if joint else (),
        treatments=TREATMENTS,
        days=come_back(workshop.now_there().date()),
        bag=proposed_tag(state, joint, tags),
    )
    return page(request, "pages/stuck.html", shown, visit)


def _joint(request: HttpRequest, visit: Visit, steps: Sequence[Step]) -> JointId | None:
    """The joint that is named, else that of the next job."""
    if named := request.GET.get("joint", ""):
        return JointId(named)
    found = next_job(here().workshop, visit.logbook, steps)
    return JointId(found.card.identity) if found and found.card.is_joint else None


def _steppers(joint: StuckJoint) -> tuple[tuple[str, str, int], ...]:
    return (
        ("out", f"Out, of {joint.of}", joint.out),
        ("stuck", "Stuck, and still in", max(joint.of - joint.out, 0)),
        ("cut", "Cut or split, of those out", 0),
        ("sheared", "Sheared, of those out", 0),
        ("rounded", "Rounded, of those out", 0),
    )
