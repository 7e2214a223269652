"""The hour at hand: what of the plan fits into it, and what to do before going home."""

from typing import TYPE_CHECKING, Annotated

import typer

from putback.cli.ahead import Towards, at_hand
from putback.cli.context import AsJson, session
from putback.cli.output import count, emit, sentence
from putback.cli.output import say as say_line
from putback.cli.plan import say_maker_wins, say_nothing_to_do, say_standing, say_step, working
from putback.errors import BadInput
from putback.units.show import duration_text

if TYPE_CHECKING:
    from rich.console import Console

    from putback.logbook.state import State
    from putback.planning.stretch import BestStretch, Stretch

MOST_SAYABLE_MINUTES = 14 * 24 * 60.0
"""Nobody has more at hand than two weeks."""


def register(app: typer.Typer) -> None:
    """Add the commands."""
    app.command(
        "stretch",
        help="The best of the plan for the time at hand, ending closed and safe: stretch 2h.",
        short_help="What to do in two hours, ending closed and safe.",
    )(stretch)
    app.command(
        "pack-up",
        help="What to do before going home: close, bag, prop, count, photograph, soak.",
        short_help="What to do before going home.",
    )(pack_up)


def minutes_of(said: str) -> float:
    """Read how long somebody has: ``2h``, ``90 min``, ``1 h 30``, ``1.5 h``.

    Raises
    ------
    BadInput
        If it is no length of time, or none that somebody has.
    """
    from putback.units.parse import duration_minutes

    minutes = duration_minutes(said)
    if not 0 < minutes <= MOST_SAYABLE_MINUTES:
        raise BadInput(f"{said!r} is no time to work in", mend="say how long you have: 2h, 90 min")
    return minutes


def stretch(
    context: typer.Context,
    time: Annotated[str, typer.Argument(help="How long you have: 2h, 90 min.")],
    alone: Annotated[bool, typer.Option("--alone", help="Nobody else is there.")] = False,
    people: Annotated[
        int | None, typer.Option(help="How many you are, yourself included.", min=1)
    ] = None,
    goal: Towards = None,
    as_json: AsJson = False,
) -> None:
    """Show the best stretch for the time at hand."""
    from putback.planning.stretch import best_stretch

    minutes = minutes_of(time)
    if alone and people not in (None, 1):
        raise BadInput(f"alone, and {people} people", mend="say one of --alone and --people")
    run = session(context)
    now = run.state
    with working() as progress:
        work = at_hand(run, goal, progress)
        found = best_stretch(
            now.vehicle,
            now,
            work.plan,
            minutes,
            people=1 if alone else people,
            progress=progress,
            settings=work.settings,
        )

    def say(out: "Console") -> None:
        if not work.plan.steps:
            say_nothing_to_do(out, work.plan)
            return
        say_best(out, now, found)

    document = {"goal": work.goal.id if work.goal else None, "best": found}
    emit("stretch", document, say, as_json=as_json)


def say_best(out: "Console", now: "State", found: "BestStretch") -> None:
    """Print the stretch, or the smallest that there is where nothing fits."""
    from putback.workshop.plans.stretch_told import cost_words

    time = duration_text(found.minutes)
    if found.stretch is not None:
        cost = ", ".join(cost_words(found.stretch))
        out.print(f"For {time}: {cost}.", style="bold", markup=False)
        say_stretch(out, now, found.stretch)
    else:
        out.print(f"Nothing fits into {time} and ends closed and safe.", style="bold")
        if found.smallest is not None:
            cost = ", ".join(cost_words(found.smallest))
            out.print(f"The smallest that does: {cost}.", markup=False)
            say_stretch(out, now, found.smallest)
    if found.out_of_reach:
        steps = count(found.out_of_reach, "step")
        wants = "wants" if found.out_of_reach == 1 else "want"
        out.print(
            f"{steps} of the plan {wants} more people, or something that is not here.", style="dim"
        )


def say_stretch(out: "Console", now: "State", stretch: "Stretch") -> None:
    """Print the steps of a stretch, and what is closed at its end."""
    standing = now.standing.standing
    for step in stretch.steps:
        more = ": rock it before anybody goes under"
        standing = say_standing(out, now, step, standing, more)
        say_step(out, now, step)
    for each in stretch.close:
        name = now.name_of(f"opening:{each.opening}")
        closure = f" with {each.closed_with}" if each.closed_with else ""
        ends = f", {count(each.ends, 'end')}" if each.ends > 1 else ""
        say_line(out, f"{name}{ends}{closure}", lead=f"  {'close':<8} ")
    say_maker_wins(out, stretch.steps)


def pack_up(context: typer.Context, as_json: AsJson = False) -> None:
    """Show what to do before going home."""
    from putback.workshop.now.pack_up import pack_up as gather

    run = session(context)
    found = gather(run.workshop, run.logbook)

    def say(out: "Console") -> None:
        for line in found.lines:
            style = "bold red" if line.part == "danger" else ""
            say_line(out, sentence(line.words), lead=f"{line.part:<10}", lead_style=style)
            if line.do:
                say_line(out, line.do, "dim", lead=" " * 10)
        if not found.lines:
            out.print("Nothing keeps you: all is closed, bagged and in its place.")

    emit("pack-up", {"pack_up": found}, say, as_json=as_json)
