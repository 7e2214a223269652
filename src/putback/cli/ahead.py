"""Looking ahead: what to do now for later jobs."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Annotated

import typer

from putback.cli.complete import complete_goal
from putback.cli.context import AsJson, Session, session
from putback.cli.output import count, emit, sentence
from putback.cli.output import say as say_line
from putback.cli.plan import say_nothing_to_do, working
from putback.units.show import duration_text

if TYPE_CHECKING:
    from rich.console import Console

    from putback.planning.ahead import Line
    from putback.progress import Progress
    from putback.workshop.plans.at_hand import AtHand

MOST_LINES = 4
INDENT = "  "


def register(app: typer.Typer) -> None:
    """Add the commands."""
    app.command(
        "ahead",
        help="What to do now for later jobs: soak, order, borrow, ask people, decide and measure.",
        short_help="What to soak, order, borrow, ask for and decide now.",
    )(ahead)


Towards = Annotated[
    str | None,
    typer.Option("--goal", help="Which goal; else the next one.", autocompletion=complete_goal),
]


def at_hand(run: Session, named: str | None, progress: "Progress") -> "AtHand":
    """Give the plan of the work in hand, to the goal that is named or the next one."""
    from putback.workshop.plans.at_hand import plan_at_hand
    from putback.workshop.plans.plans import goal_called

    goal = goal_called(run.state, named) if named is not None else None
    return plan_at_hand(run.workshop, run.logbook, goal, progress)


def ahead(
    context: typer.Context,
    sittings: Annotated[
        int | None, typer.Option(help="Look so many sittings ahead, this one included.", min=1)
    ] = None,
    days: Annotated[
        float | None, typer.Option(help="Look so many days of work ahead.", min=0.1)
    ] = None,
    goal: Towards = None,
    everything: Annotated[
        bool, typer.Option("--all", help="To the end of the plan, and every line.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Show what to do now for later jobs."""
    from putback.planning.ahead import Horizon, Sort, look_ahead

    run = session(context)
    now = run.state
    with working() as progress:
        work = at_hand(run, goal, progress)
    horizon = Horizon(sittings, days, everything)
    found = look_ahead(now.vehicle, now, work.plan, horizon)

    def say(out: "Console") -> None:
        towards = f"Ahead towards {work.goal.name}" if work.goal else "Ahead in the rebuild"
        out.print(towards, style="bold", markup=False)
        for sort in Sort:
            lines = found.of(sort)
            if lines:
                out.print(HEADS[sort], style="bold")
            shown = lines if everything else lines[:MOST_LINES]
            for line in shown:
                say_ahead(out, line)
            if len(lines) > len(shown):
                out.print(f"{INDENT}{len(lines) - len(shown)} more: --all", style="dim")
        if not work.plan.steps and not found.lines:
            say_nothing_to_do(out, work.plan)
        elif not found.lines:
            out.print("Nothing wants doing now for later jobs, as far as anybody wrote down.")
        if found.of(Sort.SOAK):
            out.print(OIL, style="dim")

    document = {
        "goal": work.goal.id if work.goal else None,
        "horizon": horizon,
        "ahead": found,
    }
    emit("ahead", document, say, as_json=as_json)


HEADS = {
    "soak": "Soak now",
    "order": "Order now",
    "borrow": "Borrow",
    "ask": "Ask people",
    "settle": "Decide, measure",
}
OIL = (
    "Oil: small drops where the thread goes in, and time; keep it off brakes and rubber, and heat "
    "away from fuel. Cautions are of what was described: look first, and the maker's data win. "
    "Wipe threads dry before they go back: torques are for dry threads unless they say otherwise."
)


def say_ahead(out: "Console", line: "Line") -> None:
    """Print one line of the look-ahead: what, when, why and what to beware of."""
    where = f" ({line.where})" if line.where else ""
    say_line(out, sentence(f"{line.what}{where}: {when_text(line)}"), lead=INDENT)
    say_line(out, line.why, "dim", lead=INDENT * 2)
    if line.not_yet:
        say_line(out, f"not yet: {line.not_yet}", "dim", lead=INDENT * 2)
    for caution in line.cautions:
        say_line(out, f"caution: {caution}", "red", lead=INDENT * 2)


def say_hints(out: "Console", lines: "Sequence[Line]") -> None:
    """Print the most pressing lines, one each, under a plan's next steps."""
    if lines:
        out.print("Now, for later (putback ahead has more):", style="bold")
    for line in lines:
        say_line(out, f"{line.what}: {when_text(line)}", lead=f"  {line.sort:<8} ")


def when_text(line: "Line") -> str:
    """Say how soon: in which sitting, after how much work."""
    soon = f"in {count(line.sittings, 'sitting')}" if line.sittings else "this sitting"
    if not line.minutes and not line.not_estimated:
        return "next" if line.sittings == 0 else soon
    after = f", after {duration_text(line.minutes)} of work" if line.minutes else ""
    unknown = (
        f", {count(line.not_estimated, 'step')} without minutes before it"
        if line.not_estimated
        else ""
    )
    return f"{soon}{after}{unknown}"
