"""How a plan is shown on the command line, whichever it is; and the command ``reach``."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING, Annotated

import typer

from putback.cli.complete import complete_step
from putback.cli.context import AsJson, session
from putback.cli.output import TerminalProgress, count, emit, sentence
from putback.cli.output import say as say_line
from putback.planning.plan import STEPS_FOR, Stage
from putback.units.show import duration_text
from putback.vehicle.ids import Ref

if TYPE_CHECKING:
    from rich.console import Console

    from putback.logbook.state import State
    from putback.planning.again.changes import Change
    from putback.planning.plan import Plan, Step
    from putback.vehicle.ids import StandingId
    from putback.workshop.plans.effort import Effort


def register(app: typer.Typer) -> None:
    """Add the commands."""
    app.command(
        "reach",
        help="What must come off to get at one part, joint, job or assembly, and why.",
        short_help="What must come off to get at one thing, and why.",
    )(reach)


AllSteps = Annotated[bool, typer.Option("--all", help="Every step, not the first few.")]
Reasons = Annotated[bool, typer.Option("--why", help="What each step waits for.")]
FIRST_STEPS = 12
MOST_CHANGES = 6


def reach(
    context: typer.Context,
    what: Annotated[
        str, typer.Argument(help="A part, joint, job or assembly.", autocompletion=complete_step)
    ],
    as_json: AsJson = False,
) -> None:
    """Show what must come off to get at one thing."""
    from putback.planning.reach import reach as plan_reach
    from putback.workshop.plans.effort import effort
    from putback.workshop.plans.unfastened import unfastened, unfastened_words
    from putback.workshop.plans.why import asked_for
    from putback.workshop.saying.names import find_subject

    now = session(context).state
    subject = find_subject(now, what, STEPS_FOR)
    with working() as progress:
        found = plan_reach(now.vehicle, now, Ref(subject), progress=progress)
    unknown = unfastened(now.vehicle, found.steps)

    def say(out: "Console") -> None:
        name = now.name_of(subject)
        if not found.steps:
            out.print(f"Nothing is in the way of {name}.", markup=False)
            return
        asked = effort(now.vehicle, found.steps)
        proved = "no way takes less" if found.optimal else "a shorter way may exist"
        out.print(
            f"To get at {name}: {count(len(found.steps), 'step')}, {effort_words(asked)}"
            f"{f' ({proved})' if asked.is_known else ''}.",
            markup=False,
        )
        standing = now.standing.standing
        for at, step in enumerate(found.steps):
            standing = say_standing(out, now, step, standing)
            say_step(out, now, step)
            for words in asked_for(now, found.steps, at)[:1]:
                say_detail(out, words, style="dim")
        if unknown:
            out.print(unfastened_words(len(unknown)))
        say_maker_wins(out, found.steps)

    emit("reach", {"reach": found, "unknown": unknown}, say, as_json=as_json)


@contextmanager
def working() -> Iterator[TerminalProgress]:
    """Show progress while a plan is made, and take it away before the answer."""
    progress = TerminalProgress()
    try:
        yield progress
    finally:
        progress.clear()


def say_changes(out: "Console", changes: "Sequence[Change]") -> None:
    """Tell what is different from the plan that was followed until now, and why."""
    for each in changes[:MOST_CHANGES]:
        say_line(out, str(each), lead="  changed: ")
    if len(changes) > MOST_CHANGES:
        out.print(f"  and {len(changes) - MOST_CHANGES} more changes: --json", style="dim")


def say_nothing_to_do(out: "Console", plan: "Plan") -> None:
    """Say that a plan has no steps, and where a goal is reached, how to go on."""
    out.print("Nothing can be done yet." if plan.waiting else "Nothing is left to do.")
    if plan.goal is not None:
        out.print("The goal is reached. Back together from here: putback log rebuild")


def say_plan(
    out: "Console",
    now: "State",
    plan: "Plan",
    *,
    most: int | None,
    reasons: bool = False,
    how_to_see_all: str = ": --all",
) -> None:
    """Print a plan: what it costs, what bounds it, its steps."""
    from putback.planning.again.reached import reached
    from putback.workshop.plans.effort import effort

    is_known = False
    if not plan.steps:
        say_nothing_to_do(out, plan)
    else:
        asked = effort(now.vehicle, plan.steps)
        is_known = bool(asked.estimated)
        setup = f"; {duration_text(plan.setup_minutes)} of getting there" if is_known else ""
        out.print(f"{count(len(plan.steps), 'step')}: {effort_words(asked)}{setup}.")
    if plan.bound_minutes and is_known:
        least = f"No plan can take less than {duration_text(plan.bound_minutes)} "
        if duration_text(plan.bound_minutes) == duration_text(plan.total_minutes):
            least = "No plan takes less (proven by a bound, waiting included)."
        else:
            least += "(a simple bound, waiting included: the true least is somewhere between)."
        out.print(least, style="dim")
    for goal in reached(now.vehicle, plan):
        after = f" after {duration_text(goal.minutes)}" if is_known else ""
        name = now.vehicle.goals[goal.goal].name
        words = f"On the way {name} is reached{after}, with step {goal.steps}."
        out.print(words, markup=False)
    shown = plan.steps[:most]
    standing = now.standing.standing
    stages = {step.stage for step in plan.steps} - {None, Stage.READY, Stage.BUILD}
    stage = None
    for step in shown:
        if stages and step.stage is not stage:
            out.print(f"== {step.stage}", style="bold", markup=False)
            stage = step.stage
        standing = say_standing(out, now, step, standing)
        say_step(out, now, step)
        for reason in step.reasons if reasons else ():
            say_detail(out, f"waits: {reason.words}", style="dim")
    if len(plan.steps) > len(shown):
        out.print(f"... {len(plan.steps) - len(shown)} more{how_to_see_all}", style="dim")
    for each in plan.waiting:
        out.print(sentence(f"waiting: {now.name_of(each.what)}: {each.why}"), markup=False)
    say_maker_wins(out, shown)


def effort_words(asked: "Effort") -> str:
    """Say what a plan asks of people; where nobody estimated, say that, and no sum of nothing."""
    if not asked.estimated and asked.not_estimated:
        return "no minutes on record"
    words = f"{duration_text(asked.work_minutes)} of work"
    if asked.waiting_minutes:
        words += f" and {duration_text(asked.waiting_minutes)} of waiting"
    if asked.not_estimated:
        words += f", {count(asked.not_estimated, 'step')} without minutes on record"
    return words


def say_standing(
    out: "Console", now: "State", step: "Step", standing: "StandingId | None", more: str = ""
) -> "StandingId | None":
    """Say how it stands for a step, if otherwise than before; give how it stands then.

    Where nobody said how it stands it is said of the first step, too: it has to be stood so.
    """
    if step.standing is None or step.standing == standing:
        return standing
    name = now.name_of(f"standing:{step.standing}")
    out.print(f"-- {name}{more}", style="bold", markup=False)
    return step.standing


def say_step(out: "Console", now: "State", step: "Step") -> None:
    """Print one step and what a person must know before doing it."""
    people = f", {step.people} people" if step.people > 1 else ""
    tool = f" [{step.tool}]" if step.tool else ""
    time = f"{duration_text(step.minutes)}{people}" if step.minutes else people.removeprefix(", ")
    name = now.name_of(step.what) + (f" ({time})" if time else "")
    say_line(out, f"{name}{tool}", lead=f"  {step.action:<8} ")
    if step.torque:
        say_detail(out, step.torque)
    if step.prop_first:
        say_detail(out, f"first: {step.prop_first}", style="bold")
    if step.add_support:
        say_detail(out, f"first: {step.add_support}", style="bold")
    for caution in step.cautions:
        say_detail(out, f"caution: {caution}", style="red")
    for each in step.take_out:
        say_detail(out, f"take out: {each}")
    if step.renew:
        say_detail(out, f"new: {', '.join(step.renew)}")
    if step.waits_for:
        say_detail(out, f"waits for {step.waits_for}")
    for note in step.notes:
        say_detail(out, note, style="dim")


def say_detail(out: "Console", text: str, style: str = "") -> None:
    """Print a line under a step, its further lines under its first."""
    say_line(out, text, style, lead=" " * DETAILS_AT)


DETAILS_AT = 11


def say_maker_wins(out: "Console", steps: "Sequence[Step]") -> None:
    """Where work can hurt somebody, defer to who knows the vehicle."""
    if any(s.cautions or s.torque or s.prop_first or s.add_support for s in steps):
        out.print(
            "Cautions and figures are what was described: the maker's data win.", style="dim"
        )
