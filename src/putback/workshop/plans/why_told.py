"""The answer to why, in words: headings with the facts under each."""

from collections.abc import Iterator
from dataclasses import dataclass

from putback.logbook.state import State
from putback.planning.always import Always
from putback.planning.plan import Step
from putback.planning.what_of_cost import OtherOrder
from putback.planning.why import Asked
from putback.units.show import duration_text
from putback.workshop.plans.why import WhyThere

_LEAST = 0.5
"""Fewer are not told [minutes]."""


@dataclass(frozen=True, slots=True)
class Because:
    """A heading, and the facts under it, one a line."""

    heading: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Told:
    """The answer: one sentence, and what it rests on."""

    answer: str
    because: tuple[Because, ...] = ()
    note: str = ""


def for_itself(step: Step) -> str:
    """Say what asks for a step that nothing else needs; steps of a rebuild have a stage."""
    return f"itself: the {'goal' if step.stage is None else 'rebuild'} asks for it"


def told_there(state: State, found: WhyThere) -> Told:
    """Tell why a thing comes where it does."""
    if found.in_pieces:
        pieces = tuple(map(state.name_of, found.in_pieces))
        return Told(
            f"{found.name} comes off piece by piece", (Because("Ask about one of these", pieces),)
        )
    if found.step is None:
        return Told(found.no_step)
    name = state.name_of(found.step.what)
    because = []
    lines = (*found.put_off, *(link.reason.words for link in found.not_before))
    if lines:
        because.append(Because("It comes no earlier because", lines))
    if found.next_if:
        because.append(Because("It could be next only if", found.next_if))
    what_for = tuple(
        f"{state.name_of(link.step.what)}: {link.reason.words}" for link in found.what_for
    )
    because.append(Because("It is done for", what_for or (for_itself(found.step),)))
    with_it = f"{found.name} comes with {name}. " if found.comes_with else ""
    if not found.not_before:
        but = ", were it not put off" if found.put_off else ""
        return Told(f"{with_it}{name} could be the next job{but}", tuple(because))
    return Told(f"{with_it}{name} has to wait for what comes before it", tuple(because))


def told_before(state: State, found: Asked) -> Told:
    """Tell whether and why one thing comes before another."""
    one, two = state.name_of(found.first), state.name_of(found.then)
    if found.always is not None:
        because = list(_chain(found.always))
        if found.always.change:
            only = "only if" if found.always.fewest else "for instance if"
            because.append(Because(f"It would not have to {only}", found.always.change))
        return Told(f"{one} comes before {two} in every plan", tuple(because))
    if found.together:
        because = [Because("Together these say so", found.together)]
        return Told(f"{one} comes before {two}", tuple(because))
    answer = f"{one} need not come before {two}"
    if found.never is not None:
        return Told(f"{answer}: it comes after it in every plan", tuple(_chain(found.never)))
    if not found.first_in_plan:
        return Told(f"{answer}: the plan has {two} first")
    if found.other is None:
        return Told(
            f"{answer}, though the plan has it first",
            note="no order was found the other way round, and nothing proves that there is none",
        )
    return _of_cost(state, answer, found.other)


def _chain(chain: Always) -> Iterator[Because]:
    lines = tuple(dict.fromkeys(map(str, chain.chain)))
    yield Because("Because", lines or ("the two come off together",))


def _of_cost(state: State, answer: str, other: OtherOrder) -> Told:
    note = "both plans are good ones, neither is proven the best"
    if other.longer_minutes <= 0:
        return Told(f"{answer}: the other way round costs no more", note=note)
    named = {
        "work": other.more.work_minutes,
        "changes of standing": other.more.standing_minutes,
        "walks to another zone": other.more.zone_minutes,
        "changes of tool": other.more.tool_minutes,
        "calls for helpers": other.more.helper_minutes,
    }
    lines = [
        f"{duration_text(abs(minutes))} {'more' if minutes > 0 else 'less'} for {what}"
        for what, minutes in named.items()
        if abs(minutes) >= _LEAST
    ]
    for fact in other.harder:
        job, after = state.name_of(fact.job), state.name_of(fact.after)
        why = f": {fact.why}" if fact.why else ""
        lines.append(f"{job} takes {fact.factor:g} times as long after {after}{why}")
    longer = duration_text(other.longer_minutes)
    because = (Because("What it would cost", tuple(lines)),)
    return Told(f"{answer}: the other way round takes {longer} more", because, note)
