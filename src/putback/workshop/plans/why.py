"""Why a thing comes where it does in the plan at hand."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from putback.logbook.state import State
from putback.planning.known import things_of
from putback.planning.ordering.put_off import in_force
from putback.planning.plan import Because, Plan, Step
from putback.planning.rebuild.put_off import put_off_words
from putback.planning.why import Link, what_for, why_not_before, why_not_next
from putback.progress import NoProgress, Progress
from putback.vehicle.ids import AssemblyId, Ref, part_ref, split_ref
from putback.workshop.plans.at_hand import AtHand


@dataclass(frozen=True, slots=True)
class WhyThere:
    """What is to be said of the place of a thing in the plan at hand."""

    subject: Ref
    name: str
    step: Step | None
    """Its own step, or that of the assembly it comes with; ``None`` if nothing needs it."""
    in_pieces: tuple[Ref, ...]
    """Of an assembly that the plan takes piece by piece: its parts in the plan."""
    not_before: tuple[Link, ...]
    """What keeps it from coming earlier, back to a step that waits for nothing."""
    next_if: tuple[str, ...]
    """What would have to be otherwise for it to be the next job, no fewer facts."""
    what_for: tuple[Link, ...]
    """What it is good for, on to what the goal asks for."""
    put_off: tuple[str, ...] = ()
    """That somebody put it off, until when and why; empty if nobody did."""
    no_step: str = ""
    """Why it has none: done already, waiting, or needed by nothing; empty if it has one."""

    @property
    def comes_with(self) -> Ref | None:
        """The assembly that it comes with, if it is not done by itself."""
        return self.step.what if self.step and self.step.what != self.subject else None


def why_there(
    state: State, work: AtHand, subject: Ref, progress: Progress = NoProgress()
) -> WhyThere:
    """Say why a thing comes where it does."""
    plan = work.plan
    step = step_for(state, plan, subject)
    meant = step.what if step else subject
    before = why_not_before(plan, meant)
    free: tuple[str, ...] = ()
    late = in_force(state, work.settings.today)
    if step is not None and before:
        free = why_not_next(
            state.vehicle, state, work.goal, meant, progress=progress, settings=work.settings
        )
    return WhyThere(
        subject=subject,
        name=state.name_of(subject),
        step=step,
        in_pieces=() if step else pieces_of(state, plan, subject),
        not_before=before,
        next_if=free,
        what_for=what_for(plan, meant),
        put_off=tuple(put_off_words(state, things_of(state.vehicle, meant), late)) if step else (),
        no_step="" if step else _no_step(state, plan, subject),
    )


def _no_step(state: State, plan: Plan, subject: Ref) -> str:
    """Say why nothing of a plan deals with a thing."""
    name = state.name_of(subject)
    kind, identity = split_ref(subject)
    for each in plan.waiting:
        if each.what == subject:
            return f"{name} cannot be done yet: {each.why}"
    if plan.goal is not None:
        if kind == "part" and identity in state.parts_off:
            return f"{name} is off already"
        if kind == "joint" and identity in state.undone_joints:
            return f"{name} is undone already"
        if kind == "job" and identity in state.jobs_done:
            return f"{name} is done already"
    return f"{name} is not in the plan: nothing that is asked for needs it"


def step_for(state: State, plan: Plan, subject: Ref) -> Step | None:
    """Find the step that deals with a thing: its own, or that of an assembly it comes with."""
    own = next((step for step in plan.steps if step.what == subject), None)
    if own is not None:
        return own
    kind, _, identity = subject.partition(":")
    for step in plan.steps:
        whole = state.vehicle.assemblies.get(AssemblyId(step.what.removeprefix("assembly:")))
        if whole and kind == "part" and identity in whole.parts:
            return step
    return None


def pieces_of(state: State, plan: Plan, subject: Ref) -> tuple[Ref, ...]:
    """Give the parts of an assembly that a plan takes one by one."""
    whole = state.vehicle.assemblies.get(AssemblyId(subject.removeprefix("assembly:")))
    planned = {step.what for step in plan.steps}
    return tuple(each for each in map(part_ref, whole.parts if whole else ()) if each in planned)


def asked_for(state: State, steps: Sequence[Step], at: int) -> list[str]:
    """Say what asks for a step: what the later ones wait for, and the goal itself."""
    return list(_asked_for(state, steps, at))


def _asked_for(state: State, steps: Sequence[Step], at: int) -> Iterator[str]:
    for step in steps[at + 1 :]:
        for reason in step.reasons:
            if reason.first == steps[at].what:
                yield f"for {state.name_of(step.what)}: {reason.words}"
    yield from (each.words for each in steps[at].reasons if each.because is Because.GOAL)
