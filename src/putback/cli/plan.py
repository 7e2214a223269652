"""Planning: reach, strip, rebuild, and why a step stands where it stands."""

from typing import TYPE_CHECKING, Annotated

import typer

from putback.cli.complete import complete_anything, complete_goal
from putback.cli.context import AsJson, session
from putback.cli.output import TerminalProgress, emit, minutes_text
from putback.errors import BadInput

if TYPE_CHECKING:
    from rich.console import Console

    from putback.logbook.state import State
    from putback.planning.plan import Plan, Step


def register(app: typer.Typer) -> None:
    """Add the commands."""
    app.command("reach", help="What must come off to get at one part or joint, and why.")(reach)
    app.command("strip", help="Plan the strip to a goal.")(strip)
    app.command("rebuild", help="Plan how everything goes back.")(rebuild)
    app.command("why", help="Why a part, joint or job comes where it does in the plan.")(why)


AllSteps = Annotated[bool, typer.Option("--all", help="Every step, not the first few.")]
FIRST_STEPS = 12


def reach(
    context: typer.Context,
    what: Annotated[
        str, typer.Argument(help="A part, joint or job.", autocompletion=complete_anything)
    ],
    as_json: AsJson = False,
) -> None:
    """Show what must come off to get at one thing."""
    from putback.planning.reach import reach as plan_reach
    from putback.vehicle.ids import Ref
    from putback.workshop.names import find_subject

    now = session(context).state
    subject = find_subject(now, what)
    if subject.partition(":")[0] not in {"part", "joint", "job"}:
        raise BadInput(f"{what!r} is no part, joint or job", mend="reach gets at one of these")
    found = plan_reach(now.vehicle, now, Ref(subject), progress=TerminalProgress())

    def say(out: "Console") -> None:
        name = now.name_of(subject)
        if not found.steps:
            out.print(f"Nothing is in the way of {name}.", markup=False)
            return
        proved = "no way takes less" if found.optimal else "a shorter way may exist"
        out.print(
            f"To get at {name}: {len(found.steps)} steps, "
            f"{minutes_text(found.minutes)} of work ({proved}).",
            markup=False,
        )
        for step in found.steps:
            say_step(out, now, step)

    emit("reach", {"reach": found}, say, as_json=as_json)


def strip(
    context: typer.Context,
    goal: Annotated[
        str | None, typer.Option(help="Which goal.", autocompletion=complete_goal)
    ] = None,
    everything: AllSteps = False,
    as_json: AsJson = False,
) -> None:
    """Plan the strip."""
    from putback.planning.strip import plan_strip
    from putback.vehicle.ids import GoalId
    from putback.workshop.how_far import goal_in_hand
    from putback.workshop.names import find

    now = session(context).state
    wanted = now.vehicle.goals[GoalId(find(now, "goal", goal))] if goal else goal_in_hand(now)
    if wanted is None:
        raise BadInput(
            "no goal is described yet",
            mend="describe one: putback describe goals bare name=bare datum=frame off_rest=true",
        )
    plan = plan_strip(now.vehicle, now, wanted, progress=TerminalProgress())

    def say(out: "Console") -> None:
        out.print(f"Strip to {wanted.name}", style="bold", markup=False)
        say_plan(out, now, plan, everything=everything)

    emit("strip", {"goal": wanted.id, "plan": plan}, say, as_json=as_json)


def rebuild(context: typer.Context, everything: AllSteps = False, as_json: AsJson = False) -> None:
    """Plan the rebuild."""
    from putback.planning.rebuild import (
        differences_from_reversed_strip,
        plan_rebuild,
    )

    now = session(context).state
    plan = plan_rebuild(now.vehicle, now, progress=TerminalProgress())
    differences = differences_from_reversed_strip(plan, now, now.vehicle)

    def say(out: "Console") -> None:
        out.print("Rebuild", style="bold")
        say_plan(out, now, plan, everything=everything)
        if differences:
            out.print("Not the strip reversed:", style="bold")
            shown = differences if everything else differences[:5]
            for each in shown:
                out.print(f"  {each.words}", markup=False)

    document = {"plan": plan, "differences": differences}
    emit("rebuild", document, say, as_json=as_json)


def why(
    context: typer.Context,
    what: Annotated[
        str, typer.Argument(help="A part, joint or job.", autocompletion=complete_anything)
    ],
    as_json: AsJson = False,
) -> None:
    """Say what puts a thing where it stands in the plan at hand."""
    from putback.planning.rebuild import plan_rebuild
    from putback.planning.strip import plan_strip
    from putback.planning.why import what_for, why_not_before
    from putback.vehicle.ids import Ref
    from putback.workshop.how_far import Way, goal_in_hand, how_far
    from putback.workshop.names import find_subject

    now = session(context).state
    subject = Ref(find_subject(now, what))
    goal = goal_in_hand(now)
    if how_far(now).way is Way.REBUILD or goal is None:
        plan = plan_rebuild(now.vehicle, now, progress=TerminalProgress())
    else:
        plan = plan_strip(now.vehicle, now, goal, progress=TerminalProgress())
    before, after = why_not_before(plan, subject), what_for(plan, subject)
    name = now.name_of(subject)

    def say(out: "Console") -> None:
        if all(step.what != subject for step in plan.steps):
            out.print(f"{name} is not in the plan: nothing that is asked for needs it.")
            return
        out.print(f"{name} comes no earlier because:", style="bold", markup=False)
        for link in before:
            out.print(f"  {link.reason.words}", markup=False)
        if not before:
            out.print("  nothing: it could be the next job", markup=False)
        out.print("It is done for:", style="bold")
        for link in after:
            out.print(f"  {link.reason.words}", markup=False)
        if not after:
            out.print("  itself: the goal asks for it", markup=False)

    document = {"subject": subject, "not_before": before, "what_for": after}
    emit("why", document, say, as_json=as_json)


def say_plan(out: "Console", now: "State", plan: "Plan", *, everything: bool) -> None:
    """Print a plan: what it costs, what bounds it, its steps."""
    work, setup = minutes_text(plan.work_minutes), minutes_text(plan.setup_minutes)
    out.print(f"{len(plan.steps)} steps: {work} of work and {setup} of getting there.")
    if plan.bound_minutes is not None:
        out.print(
            f"No plan can take less than {minutes_text(plan.bound_minutes)} "
            "(a simple bound: the true least is somewhere between).",
            style="dim",
        )
    shown = plan.steps if everything else plan.steps[:FIRST_STEPS]
    standing = plan.start
    for step in shown:
        if step.standing is not None and step.standing != standing:
            out.print(f"-- {now.name_of(f'standing:{step.standing}')}", style="bold", markup=False)
            standing = step.standing
        say_step(out, now, step)
    if len(plan.steps) > len(shown):
        out.print(f"... {len(plan.steps) - len(shown)} more: --all", style="dim")
    for each in plan.waiting:
        out.print(f"Waiting: {now.name_of(each.what)}: {each.why}", markup=False)


def say_step(out: "Console", now: "State", step: "Step") -> None:
    """Print one step and what a person must know before doing it."""
    people = f", {step.crew} people" if step.crew > 1 else ""
    tool = f" [{step.tool}]" if step.tool else ""
    name, minutes = now.name_of(step.what), minutes_text(step.minutes)
    out.print(f"  {step.action:<8} {name} ({minutes}{people}){tool}", markup=False)
    if step.torque:
        out.print(f"           {step.torque}", markup=False)
    if step.prop_first:
        out.print(f"           first: {step.prop_first}", style="bold", markup=False)
    for caution in step.cautions:
        out.print(f"           caution: {caution}", style="red", markup=False)
    for each in step.take_out:
        out.print(f"           take out: {each}", markup=False)
    if step.renew:
        out.print(f"           new: {', '.join(step.renew)}", markup=False)
    if step.waits_for:
        out.print(f"           waits for {step.waits_for}", markup=False)
