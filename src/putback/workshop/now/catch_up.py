"""Catching up: what was done on days that nobody logged, as the plan expected it.

Nothing is made up: as usual means that it was done as the plan has it, not recorded that nobody
knows where its pieces went. Both are late entries of the day that is named, in the order given.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from putback.errors import BadInput
from putback.logbook.entries.base import Body
from putback.logbook.entries.working import JointUndone, StandingChanged, Went, Whither
from putback.logbook.state import State
from putback.planning.plan import Action, Step
from putback.vehicle.ids import Ref, StandingId
from putback.workshop.desk.on_hand import still_to_do
from putback.workshop.now.logged_as import logged_as
from putback.workshop.plans.how_far import Way
from putback.workshop.plans.job_card import JobCard, job_card
from putback.workshop.saying.names import find_subject

EXPECTED_AT_ONCE = 12
"""So many steps of the plan are on a sheet; there is another after it."""


class How(StrEnum):
    """What became of a step on a day that nobody logged."""

    USUAL = "as usual"
    NOT_RECORDED = "not recorded"
    NOT_DONE = "not done"


@dataclass(frozen=True, slots=True)
class SheetLine:
    """A step on the contact sheet."""

    key: str
    """Tells it from the other steps of the plan."""
    step: Step
    card: JobCard


def contact_sheet(state: State, steps: Sequence[Step]) -> tuple[SheetLine, ...]:
    """List what the plan expects next."""
    return _lines(state, steps[:EXPECTED_AT_ONCE])


def sheet_as_sent(
    state: State, steps: Sequence[Step], way: Way, keys: Iterable[str]
) -> tuple[SheetLine, ...]:
    """Give the lines that a person saw and put in order, by their keys.

    The plan may have become another since: what it expects now and they did not see is no matter
    of theirs, and what they saw stays, unless it is done by now.

    Raises
    ------
    BadInput, NotFound
        If a key is no key, or names nothing of this vehicle.
    """
    planned = {key_of(step): step for step in steps}
    sent = [planned.get(key) or _step_called(state, key) for key in dict.fromkeys(keys)]
    return _lines(state, still_to_do(state, sent, way))


def _lines(state: State, steps: Iterable[Step]) -> tuple[SheetLine, ...]:
    return tuple(SheetLine(key_of(step), step, job_card(step, state)) for step in steps)


def _step_called(state: State, key: str) -> Step:
    """Read a step back from its key, in whatever standing."""
    action, _, what = key.partition("|")
    if action not in set(Action):
        raise BadInput(f"no line of a sheet is called {key!r}", "order", "open Catch up anew")
    return Step(Action(action), Ref(find_subject(state, what)))


def key_of(step: Step) -> str:
    """Name a step of a plan."""
    return f"{step.action}|{step.what}"


def moved(order: Sequence[str], key: str, by: int) -> tuple[str, ...]:
    """Move a key so many places towards the end, or towards the beginning where negative."""
    if key not in order:
        return tuple(order)
    rest = [each for each in order if each != key]
    rest.insert(max(0, order.index(key) + by), key)
    return tuple(rest)


def day_said(precision: str, day: str) -> str:
    """Give the moment of a late entry: a day, its month, or unknown.

    Raises
    ------
    BadInput
        If a day is wanted, and none was said.
    """
    if precision == "unknown":
        return ""
    if not day:
        raise BadInput("no day was said", "day", "say which, or that nobody knows it")
    return day[: len("2031-05")] if precision == "month" else day


def caught_up(
    state: State, lines: Iterable[SheetLine], how: Mapping[str, How], rest: How
) -> tuple[Body, ...]:
    """Say in entries what was done, in the order of the lines.

    Parameters
    ----------
    how
        What became of each line, by its key.
    rest
        What became of the lines of which nothing was said.

    Raises
    ------
    BadInput
        If nothing was done.
    """
    bodies: list[Body] = []
    standing = state.standing.standing
    for line in lines:
        done = how.get(line.key, rest)
        if done is How.NOT_DONE:
            continue
        wanted = line.step.standing
        if wanted is not None and wanted != standing:
            bodies.append(StandingChanged(standing=StandingId(wanted)))
            standing = wanted
        bodies += _said(line.card, recorded=done is How.USUAL)
    if not bodies:
        raise BadInput("nothing of it was done", mend="say of one line at least that it was")
    return tuple(bodies)


def _said(card: JobCard, *, recorded: bool) -> Iterator[Body]:
    """Say what a job's card asks to log."""
    for body in logged_as(card):
        if isinstance(body, JointUndone) and card.has_pieces and not recorded:
            nowhere = Went(to=Whither.NOT_RECORDED, fixings=card.of - card.out)
            yield body.model_copy(update={"went": (nowhere,)})
        else:
            yield body
