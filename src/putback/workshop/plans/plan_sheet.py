"""A plan laid out to read: its sittings in a line, the jobs of each, and what bounds it, in words.

A pure function of the plan's steps and the state; nothing is planned here.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from putback.logbook.open_items.wording import count
from putback.logbook.state import State
from putback.planning.again.reached import reached
from putback.planning.plan import Action, Plan, Stage, Step
from putback.planning.sittings import sittings
from putback.units.show import duration_text
from putback.vehicle.ids import (
    AssemblyId,
    JointId,
    PartId,
    Ref,
    StandingId,
    joint_ref,
    part_ref,
    split_ref,
)
from putback.workshop.plans.effort import effort
from putback.workshop.plans.job_card import JobCard, job_card
from putback.workshop.plans.unfastened import unfastened, unfastened_words

_AT_ONCE = 12
"""Jobs of a sitting that are shown at once [jobs]."""
_LITTLE = 0.5
"""So little is not worth saying [minutes]."""


@dataclass(frozen=True, slots=True)
class Job:
    """One line: its number in the plan, and its card."""

    number: int
    card: JobCard
    waits: tuple[str, ...]
    """The facts that put it no earlier, in words."""
    tags: tuple[str, ...]
    """Bags that what it brings back lies in."""
    is_lift: bool
    """Whether a part or whole comes off that more than one person or a hoist lifts."""


@dataclass(frozen=True, slots=True)
class SheetSitting:
    """Jobs in one standing and zone; work and set-up [minutes]."""

    standing: str
    zone: str
    minutes: float
    count: int
    """Of its jobs."""
    jobs: tuple[Job, ...]
    """Those that are laid out; none of a sitting that nobody opened."""
    is_change: bool
    """Whether the vehicle is made to stand otherwise for it."""
    stage: str = ""
    """The stage of the rebuild that begins with it."""
    before: tuple[str, ...] = ()
    """What gets harder or impossible by it, and is not done by then."""

    @property
    def more(self) -> int:
        """So many of its jobs are not laid out."""
        return self.count - len(self.jobs)


@dataclass(frozen=True, slots=True)
class PlanSheet:
    """What a page shows of a plan."""

    sittings: tuple[SheetSitting, ...]
    jobs: int
    changes: int
    """How often it is stood otherwise."""
    figures: tuple[str, ...]
    """What it takes and what bounds it, a sentence each."""


def plan_sheet(
    state: State,
    steps: Sequence[Step],
    plan: Plan | None = None,
    *,
    opened: int = 0,
    everything: bool = False,
) -> PlanSheet:
    """Lay out steps: all sittings, and the jobs of one.

    Parameters
    ----------
    plan : Plan, optional
        The plan they are all of, if it is fresh: it says what bounds it.
    opened : int
        The sitting whose jobs are laid out.
    everything : bool
        Whether all jobs of it are, or the first dozen.
    """
    standing = state.standing.standing
    stage: Stage | None = None
    found: list[SheetSitting] = []
    for at, each in enumerate(sittings(steps)):
        end = each.end if everything else min(each.end, each.first + _AT_ONCE)
        first = steps[each.first]
        is_change = first.standing is not None and first.standing != standing
        begins = first.stage if first.stage is not stage else None
        found.append(
            SheetSitting(
                standing=state.name_of(f"standing:{first.standing}") if first.standing else "",
                zone=state.name_of(f"zone:{each.zone}") if each.zone else "",
                minutes=each.minutes,
                count=each.end - each.first,
                jobs=tuple(_jobs(state, steps, each.first, end)) if at == opened else (),
                is_change=is_change,
                stage=str(begins) if begins else "",
                before=_before(state, steps, each.first) if is_change else (),
            )
        )
        standing, stage = first.standing or standing, first.stage
    changes = sum(1 for _ in groupby(_standings(state, steps))) - 1
    return PlanSheet(
        tuple(found), len(steps), max(changes, 0), tuple(_figures(state, steps, plan))
    )


def _standings(state: State, steps: Sequence[Step]) -> Iterator[StandingId]:
    if state.standing.standing is not None:
        yield state.standing.standing
    yield from (step.standing for step in steps if step.standing is not None)


def _jobs(state: State, steps: Sequence[Step], first: int, end: int) -> Iterator[Job]:
    for at in range(first, end):
        step = steps[at]
        card = job_card(step, state, steps[at + 1 :])
        is_off = step.action is Action.TAKE_OFF
        yield Job(
            number=at + 1,
            card=card,
            waits=tuple(dict.fromkeys(reason.words for reason in step.reasons)),
            tags=tags_of(state, step),
            is_lift=is_off and (step.crew > 1 or bool(_hoist(state, step.what))),
        )


def _hoist(state: State, what: Ref) -> str:
    kind, identity = split_ref(what)
    if kind == "assembly":
        whole = state.vehicle.assemblies.get(AssemblyId(identity))
        return whole.hoist if whole else ""
    part = state.vehicle.parts.get(PartId(identity)) if kind == "part" else None
    return part.hoist if part else ""


def tags_of(state: State, step: Step) -> tuple[str, ...]:
    """Give the bags that what a step brings back lies in."""
    kind, identity = split_ref(step.what)
    if kind == "joint":
        seen = state.joints.get(JointId(identity))
        return tuple(seen.tags) if seen else ()
    if kind == "part":
        part = state.parts.get(PartId(identity))
        return (part.common.tag,) if part and part.common.tag else ()
    return ()


# -- what gets harder -----------------------------------------------------------------------------


def _before(state: State, steps: Sequence[Step], at: int) -> tuple[str, ...]:
    """Say what is still to be done, and gets harder or impossible in the standing of a step."""
    standing = steps[at].standing
    coming = _while_it(steps[at:], standing)
    done_then = {ref for step in coming for ref in _clears(state, step.what)}
    done_before = {ref for step in steps[:at] for ref in _clears(state, step.what)}
    return harder_after(state, done_then, done_before)


def _while_it(steps: Sequence[Step], standing: StandingId | None) -> Iterator[Step]:
    for step in steps:
        if step.standing not in (None, standing):
            return
        yield step


def harder_after(
    state: State, then: set[Ref], before: set[Ref] | frozenset[Ref] = frozenset()
) -> tuple[str, ...]:
    """Say which jobs get harder or impossible when some things are done.

    Parameters
    ----------
    then : set of Ref
        The things that are about to be done.
    before : set of Ref
        The things that are done before them, though not yet.
    """
    name = state.name_of
    told: dict[str, None] = {}
    for fact in state.vehicle.harder_afters.values():
        if fact.after not in then or fact.job in before or _is_cleared(state, fact.job):
            continue
        if fact.factor is not None and fact.factor <= 1:
            continue
        how = (
            "cannot be done any more"
            if fact.factor is None
            else f"takes {fact.factor:g} times as long"
        )
        why = f" ({fact.why})" if fact.why else ""
        told[f"{name(fact.job)} {how} after {name(fact.after)}{why}"] = None
    return tuple(told)


def _clears(state: State, what: Ref) -> Iterator[Ref]:
    yield what
    kind, identity = split_ref(what)
    whole = state.vehicle.assemblies.get(AssemblyId(identity)) if kind == "assembly" else None
    yield from map(part_ref, whole.parts if whole else ())


def _is_cleared(state: State, ref: Ref) -> bool:
    cleared = {*map(part_ref, state.parts_off), *map(joint_ref, state.undone_joints)}
    kind, identity = split_ref(ref)
    return ref in cleared or (kind == "job" and identity in state.jobs_done)


# -- figures --------------------------------------------------------------------------------------


def _figures(state: State, steps: Sequence[Step], plan: Plan | None) -> Iterator[str]:
    if not steps:
        return
    if loose := unfastened(state.vehicle, steps):
        yield unfastened_words(len(loose))
    asked = effort(state.vehicle, steps)
    if not asked.estimated:
        if asked.not_estimated:
            yield f"{count(len(steps), 'job')}; nobody estimated the minutes yet."
        return
    total = sum(step.minutes + step.setup_minutes for step in steps)
    setup = total - asked.work_minutes - asked.waiting_minutes
    words = f"About {duration_text(total)} in all: {duration_text(asked.work_minutes)} of work"
    if asked.waiting_minutes:
        words += f", {duration_text(asked.waiting_minutes)} of waiting"
    yield f"{words}, {duration_text(max(setup, 0.0))} of getting there."
    if asked.not_estimated:
        yield f"{count(asked.not_estimated, 'job')} among them nobody has estimated."
    if plan is None:
        return
    for each in reached(state.vehicle, plan):
        name, after = state.vehicle.goals[each.goal].name, duration_text(each.minutes)
        yield f"On the way {name} is reached after {after}, with job {each.steps}."
    if plan.bound_minutes is None:
        return
    yield f"No order can be shorter than {duration_text(plan.bound_minutes)}."
    left = plan.total_minutes - plan.bound_minutes
    if left < _LITTLE:
        yield "So no order is better than this one."
    else:
        yield f"So at most {duration_text(left)} could be saved by another order, and maybe none."
