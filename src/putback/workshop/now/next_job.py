"""The next job: the first of the plan that is still to be done, or the one that somebody chose."""

from collections.abc import Container, Sequence
from dataclasses import dataclass

from putback.errors import NotFound
from putback.logbook.entries.base import LogbookId, Subject
from putback.logbook.open_items import OpenItem, before_standing
from putback.logbook.state import State
from putback.planning.plan import STEPS_FOR, Action, Step
from putback.vehicle.ids import AssemblyId, JointId, PartId, Ref, StandingId, part_ref, split_ref
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.situation import situation_of
from putback.workshop.logbooks.workshop import Workshop
from putback.workshop.plans.how_far import Way, how_far
from putback.workshop.plans.job_card import JobCard, is_stood_otherwise, job_card, standing_card

SHOWN_AFTER = 3
"""Jobs that are named after the next [jobs]."""


@dataclass(frozen=True, slots=True)
class NextJob:
    """The card of the next job, and of those after it."""

    card: JobCard
    after: tuple[JobCard, ...]
    is_chosen: bool
    """Whether somebody picked it, and not the plan."""


def next_job(
    workshop: Workshop, logbook: LogbookId, steps: Sequence[Step], chosen: Ref | None = None
) -> NextJob | None:
    """Give the card of the next job; ``None`` if there is none.

    Parameters
    ----------
    steps
        Of the plan on hand, those that are still to be done.
    chosen : Ref, optional
        What somebody picked instead; it need not be in the plan.

    Raises
    ------
    NotFound
        If nothing is called so.
    """
    state = in_its_garage(workshop, logbook)
    if chosen is not None:
        return _chosen(state, steps, chosen)
    if not steps:
        return None
    first, *later = steps
    if first.standing is not None and is_stood_otherwise(first, state):
        card = standing_card(
            first.standing, state, _harder(workshop, logbook, first.standing, steps)
        )
        after = _cards(state, steps, SHOWN_AFTER)
    else:
        card = job_card(first, state, later)
        after = _cards(state, later, SHOWN_AFTER)
    return NextJob(card, after, is_chosen=False)


def _cards(state: State, steps: Sequence[Step], most: int) -> tuple[JobCard, ...]:
    return tuple(job_card(step, state, steps[at + 1 :]) for at, step in enumerate(steps[:most]))


def _harder(
    workshop: Workshop, logbook: LogbookId, standing: StandingId, steps: Sequence[Step]
) -> tuple[str, ...]:
    """Say what gets harder, impossible or dangerous if the vehicle is made to stand so.

    What is dangerous comes first, then what the plan has still to do.
    """
    found = workshop.remembered.give(
        workshop.store,
        logbook,
        "before standing",
        lambda: before_standing(situation_of(workshop, logbook), standing),
        standing,
    )
    planned = {Subject(step.what) for step in steps}

    def order(item: OpenItem) -> tuple[int, bool]:
        return item.danger.rank, item.subject not in planned

    return tuple(f"{each.words}: {each.clears}" for each in sorted(found, key=order))


def _chosen(state: State, steps: Sequence[Step], chosen: Ref) -> NextJob:
    at = next((at for at, step in enumerate(steps) if _deals_with(state, step, chosen)), None)
    if at is not None:
        later = steps[at + 1 :]
        card = job_card(steps[at], state, later)
        return NextJob(card, _cards(state, steps, SHOWN_AFTER), is_chosen=True)
    card = job_card(_made_up(state, chosen), state)
    return NextJob(card, _cards(state, steps, SHOWN_AFTER), is_chosen=True)


def _deals_with(state: State, step: Step, chosen: Ref) -> bool:
    """Whether a step is of the thing itself, or of an assembly that it comes off with."""
    if step.what == chosen:
        return True
    kind, identity = split_ref(step.what)
    whole = state.vehicle.assemblies.get(AssemblyId(identity)) if kind == "assembly" else None
    return whole is not None and chosen in map(part_ref, whole.parts)


def _made_up(state: State, chosen: Ref) -> Step:
    """Make a step of what no plan has one for: off or undone, or back on where it is off."""
    kind, identity = split_ref(chosen)
    vehicle = state.vehicle
    known: tuple[Container[str], ...] = (
        *(vehicle.parts, vehicle.joints, vehicle.jobs, vehicle.assemblies),
        *(state.parts, state.joints),
    )
    if kind not in STEPS_FOR or all(identity not in table for table in known):
        raise NotFound("part, joint or job", chosen)
    is_back = how_far(state).way is Way.REBUILD
    match kind:
        case "joint":
            undone = identity in state.undone_joints
            joint = vehicle.joints.get(JointId(identity))
            tool, zone = (joint.tool, joint.zone) if joint else ("", None)
            action = Action.TIGHTEN if undone else Action.UNDO
            return Step(action, chosen, tool=tool, zone=zone)
        case "part":
            part = vehicle.parts.get(PartId(identity))
            action = Action.PUT_ON if identity in state.parts_off else Action.TAKE_OFF
            cautions = part.cautions if part else ()
            return Step(action, chosen, zone=part.zone if part else None, cautions=cautions)
        case "assembly":
            return Step(Action.PUT_ON if is_back else Action.TAKE_OFF, chosen)
        case _:
            return Step(Action.DO, chosen)
