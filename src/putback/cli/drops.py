"""What drops when a joint is undone, and what to prop first."""

from typing import TYPE_CHECKING, Annotated

import typer

from putback.cli.complete import complete_step
from putback.cli.context import AsJson, Session, session
from putback.cli.output import count, emit, sentence
from putback.cli.output import say as say_line
from putback.cli.plan import FIRST_STEPS, working
from putback.vehicle.ids import Ref, joint_ref

if TYPE_CHECKING:
    from rich.console import Console

    from putback.logbook.state import State
    from putback.planning.held.telling import Drop
    from putback.progress import Progress

CAUTION = (
    "Guide only: it knows the joints that were described, not what rests on what. Prop and look"
    " yourself, and keep from under what hangs; the maker's data win."
)


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(
        "drops",
        help="What falls, swings, hangs on a hose or flies when a joint is undone, and what to "
        "prop first; of a part, all of its joints; of an assembly, those that hold it to the "
        "rest. Without a name: what of the next planned steps lets something go.",
        short_help="What drops when a joint is undone, and what to prop.",
    )(drops)


def drops(
    context: typer.Context,
    what: Annotated[
        str | None, typer.Argument(help="A joint, part or assembly.", autocompletion=complete_step)
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Show what a joint lets go."""
    from putback.planning.drops import drops_at, not_spoken_of
    from putback.workshop.saying.names import find_subject

    run = session(context)
    now = run.state
    kinds = ("joint", "part", "assembly")
    subject = find_subject(now, what, kinds) if what is not None else None
    if subject is None:
        with working() as progress:
            found = tuple(each for each in _planned(run, progress) if each.lets_go)
    else:
        found = drops_at(now.vehicle, now, Ref(subject))
    unknown = not_spoken_of(now.vehicle, now) if subject is None else ()

    def say(out: "Console") -> None:
        if not found and subject is not None:
            words = f"No made joint of {now.name_of(subject)} is described."
            out.print(words, markup=False)
            return
        if not found:
            _say_nothing(out, now)
        for each in found:
            _say(out, now, each)
        for words in dict.fromkeys(each.assumed for each in found if each.assumed):
            out.print(sentence(words), style="dim", markup=False)
        if unknown:
            parts = count(len(unknown), "part that is on", "parts that are on")
            out.print(f"Of {parts}, no joint is described: what drops with them is not known.")
        if subject is None or any(each.lets_go for each in found):
            out.print(CAUTION, style="dim")

    document = {"subject": subject, "drops": found, "unknown": unknown}
    emit("drops", document, say, as_json=as_json)


def _say_nothing(out: "Console", now: "State") -> None:
    """Say that nothing drops only where anything is known that could."""
    if any(each.parts for each in now.vehicle.joints.values()):
        out.print("Nothing drops in the next steps, by the joints that are described.")
    else:
        out.print("Nobody described what is fixed to what, so what drops is not known.")


def _planned(run: Session, progress: "Progress") -> "tuple[Drop, ...]":
    """Of the next steps at hand; where no goal is described, of what could be undone now."""
    from putback.planning.drops import drops_along, what_drops_next
    from putback.workshop.plans.at_hand import plan_at_hand
    from putback.workshop.plans.how_far import goal_in_hand

    now = run.state
    if goal_in_hand(now) is None:
        return what_drops_next(now.vehicle, now)
    work = plan_at_hand(run.workshop, run.logbook, progress=progress)
    steps = work.plan.steps[:FIRST_STEPS] if work.goal is not None else ()
    return drops_along(now.vehicle, now, steps)


def _say(out: "Console", now: "State", drop: "Drop") -> None:
    """Print one joint: what becomes of things, what to do first, how many it takes."""
    people = f" ({count(drop.people, 'person', 'people')})" if drop.needs_a_helper else ""
    out.print(f"{now.name_of(joint_ref(drop.joint))}{people}", style="bold", markup=False)
    say_line(out, sentence(drop.words), lead="  ")
    if drop.prop_first:
        say_line(out, f"first: {drop.prop_first}", lead="  ")
