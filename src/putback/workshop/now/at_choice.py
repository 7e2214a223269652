"""What can be done instead of the next job: the plan's other jobs, those possible now first."""

from collections.abc import Sequence
from dataclasses import dataclass

from putback.logbook.state import State
from putback.planning.plan import Step
from putback.workshop.plans.job_card import JobCard, is_stood_otherwise, job_card


@dataclass(frozen=True, slots=True)
class Choosable:
    """A job of the plan."""

    card: JobCard
    is_possible: bool
    """Whether nothing that is still to be done comes before it, and the vehicle stands so."""
    waits_for: str
    """What comes before it, in words; empty where nothing does."""
    in_hand: str = ""
    """Who else is on it just now; empty where nobody is."""


def at_choice(state: State, steps: Sequence[Step]) -> tuple[Choosable, ...]:
    """List the jobs that are left: what can be done now, then the others, in the plan's order."""
    left = {step.what for step in steps}
    found: list[Choosable] = []
    for at, step in enumerate(steps):
        before = [each for each in step.reasons if each.first in left and each.first != step.what]
        otherwise = is_stood_otherwise(step, state)
        waits = before[0].words if before else ""
        if otherwise and not waits and step.standing:
            waits = f"it is done {state.name_of(f'standing:{step.standing}')}"
        card = job_card(step, state, steps[at + 1 :])
        found.append(Choosable(card, not before and not otherwise, waits))
    return tuple(sorted(found, key=lambda each: not each.is_possible))
