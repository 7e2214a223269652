"""The next job: the first of the plan that is still to be done, or the one that somebody chose.

What is put off, and what waits for it, is passed over while the plan has another step that can be
done now; the plan made before it was put off may still begin with it.
"""

from collections.abc import Collection, Container, Sequence
from dataclasses import dataclass

from putback.errors import NotFound
from putback.logbook.entries.base import LogbookId, Subject
from putback.logbook.moments import day_words
from putback.logbook.open_items import OpenItem, before_standing
from putback.logbook.state import State
from putback.planning.known import things_of
from putback.planning.ordering.put_off import in_force
from putback.planning.plan import STEPS_FOR, Action, Step
from putback.vehicle.ids import AssemblyId, JointId, PartId, Ref, StandingId, part_ref, split_ref
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.situation import situation_of
from putback.workshop.logbooks.workshop import Workshop
from putback.workshop.plans.how_far import Way, how_far
from putback.workshop.plans.job_card import (
    JobCard,
    is_stood_otherwise,
    job_card,
    possible_now,
    standing_card,
)

SHOWN_AFTER = 3
"""Jobs that are named after the next [jobs]."""


@dataclass(frozen=True, slots=True)
class NextJob:
    """The card of the next job, and of those after it."""

    card: JobCard
    after: tuple[JobCard, ...]
    is_chosen: bool
    """Whether somebody picked it, and not the plan."""
    put_off: str = ""
    """In words that it is put off, though nothing else can be done now; empty where it is not."""


def next_job(
    workshop: Workshop,
    logbook: LogbookId,
    steps: Sequence[Step],
    chosen: Ref | None = None,
    deed: str = "",
) -> NextJob | None:
    """Give the card of the next job; ``None`` if there is none.

    Parameters
    ----------
    steps
        Of the plan on hand, those that are still to be done.
    chosen : Ref, optional
        What somebody picked instead; it need not be in the plan.
    deed : str, optional
        What is to be done with it, where the plan has several jobs of it.

    Raises
    ------
    NotFound
        If nothing is called so.
    """
    state = in_its_garage(workshop, logbook)
    if chosen is not None:
        return _chosen(state, steps, chosen, deed)
    if not steps:
        return None
    today = workshop.clock.now().date()
    put_off = in_force(state, today)
    late = _late(state, steps, put_off)
    first = _first(state, steps, late)
    others = [step for step in steps if step is not first]
    later = sorted(others, key=lambda step: step.what in late)
    words = _put_off(state, first, put_off) if first.what in late else ""
    if first.standing is not None and is_stood_otherwise(first, state):
        card = standing_card(
            first.standing, state, _harder(workshop, logbook, first.standing, steps)
        )
        after = _cards(state, [first, *later], SHOWN_AFTER)
    else:
        card = job_card(first, state, others)
        after = _cards(state, later, SHOWN_AFTER)
    return NextJob(card, after, is_chosen=False, put_off=words)


def _late(state: State, steps: Sequence[Step], put_off: Collection[Ref]) -> frozenset[Ref]:
    """What is put off, and what waits for it by the reasons of the plan's steps."""
    late: set[Ref] = set()
    for step in steps if put_off else ():  # every reason speaks of an earlier step
        own = things_of(state.vehicle, step.what)
        if not late.isdisjoint(reason.first for reason in step.reasons) or any(
            each in put_off for each in own
        ):
            late.update(own)
    return frozenset(late)


def _first(state: State, steps: Sequence[Step], late: Collection[Ref]) -> Step:
    """The first step that is not late and can be done now, where the plan begins with a late one.

    As the vehicle stands, or as it would be made to stand for the plan's first step.
    """
    begins = steps[0]
    if begins.what not in late:
        return begins
    undone = frozenset(step.what for step in steps)
    for step in steps:
        stands = not is_stood_otherwise(step, state) or step.standing == begins.standing
        if step.what not in late and stands and possible_now(step, undone - {step.what}):
            return step
    return begins


def _put_off(state: State, step: Step, put_off: Collection[Ref]) -> str:
    """Say that a step is put off, or waits for what is, and that it is all there is to do now."""
    own = [each for each in things_of(state.vehicle, step.what) if each in put_off]
    if own:
        said = state.put_off[Subject(own[0])]
        until = f" until {day_words(said.until)}" if said.until else ""
        words = f"it was put off{until} ({said.why})"
    else:
        words = "it waits for what was put off"
    return f"{words}, but nothing else of the plan can be done now"


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


def _chosen(state: State, steps: Sequence[Step], chosen: Ref, deed: str) -> NextJob:
    found = [
        job_card(step, state, steps[at + 1 :])
        for at, step in enumerate(steps)
        if _deals_with(state, step, chosen)
    ] or [job_card(_made_up(state, chosen), state)]
    card = next((each for each in found if each.deed == deed), found[0])
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
