"""Why a thing comes where it does, or before another, and what would have to change."""

from typing import TYPE_CHECKING, Annotated, Any

import typer

from putback.cli.complete import complete_step
from putback.cli.context import AsJson, session
from putback.cli.output import count, emit, sentence
from putback.cli.output import say as say_line
from putback.cli.plan import working
from putback.planning.plan import STEPS_FOR
from putback.units.show import duration_text
from putback.vehicle.ids import Ref

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rich.console import Console

    from putback.logbook.state import State
    from putback.planning.always import Always
    from putback.planning.what_of_cost import OtherOrder
    from putback.planning.why import Asked
    from putback.workshop.plans.at_hand import AtHand


_NAMED = 4
"""So many facts are named; a person changes no more of them at once."""


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(
        "why",
        help="Why a thing comes where it does in the plan, or always before another.",
        short_help="Why a thing comes where it does, or before another.",
    )(why)


def why(
    context: typer.Context,
    what: Annotated[
        str, typer.Argument(help="A part, joint, job or assembly.", autocompletion=complete_step)
    ],
    before: Annotated[
        str | None,
        typer.Option(
            "--before",
            help="Another one: by which facts the first comes before it in every plan.",
            autocompletion=complete_step,
        ),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Say what puts a thing where it stands in the plan, or before another in every plan."""
    from putback.workshop.plans.at_hand import plan_at_hand
    from putback.workshop.saying.names import find_subject

    run = session(context)
    now = run.state
    subject = Ref(find_subject(now, what, STEPS_FOR))
    other = Ref(find_subject(now, before, STEPS_FOR)) if before is not None else None
    with working() as progress:
        work = plan_at_hand(run.workshop, run.logbook, progress=progress)
    if other is None:
        _why_there(now, work, subject, as_json)
    else:
        _why_before(now, work, subject, other, as_json)


# -- one thing ------------------------------------------------------------------------------------


def _why_there(now: "State", work: "AtHand", subject: Ref, as_json: bool) -> None:
    from putback.workshop.plans.why import why_there
    from putback.workshop.plans.why_told import for_itself

    found = why_there(now, work, subject)
    meant = found.comes_with or subject

    def say(out: "Console") -> None:
        if found.in_pieces:
            out.print(f"{found.name} comes off piece by piece: ask about one of:", markup=False)
            for piece in found.in_pieces:
                out.print(f"  {now.name_of(piece)}", markup=False)
            return
        if found.step is None:
            out.print(sentence(found.no_step), markup=False)
            return
        if found.comes_with:
            out.print(f"{found.name} comes with {now.name_of(meant)}.", markup=False)
        out.print(f"{now.name_of(meant)} comes no earlier because:", style="bold", markup=False)
        for words in (*found.put_off, *(link.reason.words for link in found.not_before)):
            say_line(out, words, lead="  ")
        if not found.put_off and not found.not_before:
            out.print("  nothing: it could be the next job", markup=False)
        if found.next_if:
            out.print("It could be next only if:", style="bold")
            _say_facts(out, found.next_if)
        out.print("It is done for:", style="bold")
        for link in found.what_for:
            say_line(out, f"{now.name_of(link.step.what)}: {link.reason.words}", lead="  ")
        if not found.what_for:
            out.print(f"  {for_itself(found.step)}", markup=False)

    document = {
        "subject": subject,
        "name": found.name,
        "in_plan": found.step is not None,
        "comes_with": found.comes_with,
        "in_pieces": found.in_pieces,
        "not_before": found.not_before,
        "put_off": found.put_off,
        "next_if": found.next_if,
        "what_for": found.what_for,
    }
    emit("why", document, say, as_json=as_json)


# -- one before another ---------------------------------------------------------------------------


def _why_before(now: "State", work: "AtHand", first: Ref, then: Ref, as_json: bool) -> None:
    from putback.planning.why import why_before

    with working() as progress:
        asked = why_before(
            now.vehicle, now, work.plan, work.goal, first, then, progress, work.settings
        )
    document: dict[str, Any] = {
        "first": first,
        "then": then,
        "always": asked.always,
        "never": asked.never,
        "together": asked.together,
        "first_in_plan": asked.first_in_plan,
        "other_order": asked.other
        and {
            "longer_minutes": asked.other.longer_minutes,
            "more": asked.other.more,
            "harder": [fact.id for fact in asked.other.harder],
        },
    }

    def say(out: "Console") -> None:
        _say_before(out, now, asked)

    emit("why", document, say, as_json=as_json)


def _say_before(out: "Console", now: "State", asked: "Asked") -> None:
    one, two = now.name_of(asked.first), now.name_of(asked.then)
    if asked.always is not None:
        out.print(f"{one} comes before {two} in every plan:", style="bold", markup=False)
        _say_chain(out, asked.always)
        if not asked.always.chain:
            out.print("  the two come off together", markup=False)
        if not asked.always.shortest:
            out.print("  (a shorter chain may say so)", style="dim")
        if asked.always.change:
            only = "" if asked.always.fewest else " for instance"
            out.print(f"It would not have to{only}, if:", style="bold")
            _say_facts(out, asked.always.change)
        return
    if asked.together:
        out.print(f"{one} comes before {two}: together these say so:", style="bold", markup=False)
        for words in asked.together:
            say_line(out, words, lead="  ")
        return
    out.print(f"{one} need not come before {two}.", style="bold", markup=False)
    if asked.never is not None:
        out.print("It comes after it in every plan:", markup=False)
        _say_chain(out, asked.never)
    elif not asked.first_in_plan:
        out.print(f"The plan at hand has {two} first.", markup=False)
    elif asked.other is None:
        words = "The plan at hand has it first. No order was found the other way round, though "
        out.print(f"{words}nothing proves that there is none.")
    else:
        _say_cost(out, now, asked.other)


def _say_facts(out: "Console", facts: "Sequence[str]") -> None:
    """Print the first few, and say how many more there are."""
    for words in facts[:_NAMED]:
        say_line(out, words, lead="  ")
    if len(facts) > _NAMED:
        rest = count(len(facts) - _NAMED, "more fact")
        out.print(f"  and {rest} did not hold either: --json names all", style="dim")


def _say_chain(out: "Console", chain: "Always") -> None:
    """Print a chain; two ways that wait for the same fact are told once."""
    for words in dict.fromkeys(map(str, chain.chain)):
        say_line(out, words, lead="  ")


def _say_cost(out: "Console", now: "State", other: "OtherOrder") -> None:
    if other.longer_minutes <= 0:
        out.print("The plan at hand has it first by chance: the other way round costs no more.")
        return
    longer = duration_text(other.longer_minutes)
    out.print(
        f"The plan at hand has it first for its cost: the other way round takes {longer} more:"
    )
    named = {
        "work": other.more.work_minutes,
        "changes of standing": other.more.standing_minutes,
        "walks to another zone": other.more.zone_minutes,
        "changes of tool": other.more.tool_minutes,
        "calls for helpers": other.more.helper_minutes,
    }
    for what, minutes in named.items():
        if abs(minutes) >= 0.5:
            more = "more" if minutes > 0 else "less"
            out.print(f"  {duration_text(abs(minutes))} {more} for {what}", markup=False)
    for fact in other.harder:
        job, after = now.name_of(fact.job), now.name_of(fact.after)
        words = f"{job} takes {fact.factor:g} times as long after {after}"
        say_line(out, sentence(f"{words}: {fact.why}" if fact.why else words), lead="  ")
    out.print("(Both plans are good ones, neither is proven the best.)", style="dim")
