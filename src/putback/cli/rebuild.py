"""The rebuild: the plan, as far as one wants to look, other orders, and what belongs beside it."""

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Annotated

import typer

from putback.cli.complete import complete_end
from putback.cli.context import AsJson, session
from putback.cli.other_orders import (
    Afresh,
    Alternatives,
    Choose,
    numbered,
    say_alternatives,
    say_chosen,
    say_pinned,
)
from putback.cli.output import count, emit, say
from putback.cli.plan import (
    FIRST_STEPS,
    AllSteps,
    Reasons,
    say_changes,
    say_detail,
    say_plan,
    working,
)

if TYPE_CHECKING:
    from rich.console import Console

    from putback.logbook.state import State
    from putback.planning.plan import Plan, Step
    from putback.planning.rebuild import HeldUp, OpenFinal, ToHave, Unseen, UsedUp
    from putback.workshop.plans.rebuild import Rebuild

FIRST_DIFFERENCES = 5


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(
        "rebuild",
        help="Plan how everything goes back, or look at it as far as a stage, an assembly or a "
        "part. The order stays as it was last time, as long as it is right.",
        short_help="Plan how everything goes back.",
    )(rebuild)


def rebuild(
    context: typer.Context,
    end: Annotated[
        str | None,
        typer.Argument(
            help="As far as: a stage, or an assembly or a part until it is back on; else all.",
            autocompletion=complete_end,
        ),
    ] = None,
    everything: AllSteps = False,
    reasons: Reasons = False,
    alternatives: Alternatives = False,
    choose: Choose = None,
    afresh: Afresh = False,
    finals: Annotated[
        bool, typer.Option("--finals", help="Only the joints not tightened for good yet.")
    ] = False,
    new: Annotated[
        bool, typer.Option("--to-have", help="Only what to have new, by specification.")
    ] = False,
    hands: Annotated[
        bool, typer.Option("--hands", help="Only the parts to lay hands on first.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Plan the rebuild."""
    from putback.workshop.plans.as_far_as import as_far_as, end_called
    from putback.workshop.plans.plans import alternatives_of_rebuild, pin
    from putback.workshop.plans.rebuild import rebuild as whole_rebuild

    run = session(context)
    now = run.state
    with working() as progress:
        found = whole_rebuild(run.workshop, run.logbook, progress, afresh=afresh)
        asked = alternatives or choose is not None
        others = alternatives_of_rebuild(run.workshop, run.logbook, progress) if asked else ()
        chosen = numbered(others, choose, "rebuild") if choose is not None else None
        if chosen is not None:
            pin(run.workshop, run.logbook, chosen.plan)
            found = whole_rebuild(run.workshop, run.logbook, progress)
    to = end_called(now, found.plan.steps, end) if end is not None else None
    looked_at = as_far_as(now, found.plan.steps, to.id) if to is not None else found.plan.steps

    def say_all(out: "Console") -> None:
        if finals:
            _say_finals(out, now, found.finals)
        if new:
            _say_to_have(out, now, found.to_have, found.used_up)
        if hands:
            _say_hands(out, now, found.lay_hands_on)
        if finals or new or hands:
            return
        as_far = f" as far as: {to.words}" if to is not None else ""
        out.print(f"Rebuild{as_far}", style="bold", markup=False)
        if chosen is not None:
            say_chosen(out, chosen)
        elif alternatives:
            say_alternatives(out, others, "rebuild")
            return
        elif found.pinned:
            say_pinned(out)
        if to is None:
            _say_whole(out, now, found, everything=everything, reasons=reasons)
        else:
            _say_so_far(out, now, found.plan, looked_at, everything=everything, reasons=reasons)

    document = {
        "plan": found.plan,
        "to": to,
        "steps_so_far": len(looked_at),
        "pinned": found.pinned,
        "alternatives": others,
        "differences": found.differences,
        "finals": found.finals,
        "to_have": found.to_have,
        "used_up": found.used_up,
        "lay_hands_on": found.lay_hands_on,
        "not_here": found.not_here,
        "changes": found.changes,
    }
    emit("rebuild", document, say_all, as_json=as_json)


def _say_whole(
    out: "Console", now: "State", found: "Rebuild", *, everything: bool, reasons: bool
) -> None:
    """Print the whole plan and what belongs beside it."""
    plan, differences, waiting = found.plan, found.differences, found.finals
    _say_known(out, now, plan)
    say_changes(out, found.changes)
    _say_before(out, now, found.to_have, found.lay_hands_on, found.not_here)
    say_plan(out, now, plan, most=None if everything else FIRST_STEPS, reasons=reasons)
    if waiting:
        joints = count(len(waiting), "joint")
        out.print(f"To be tightened for good later: {joints}: --finals", style="dim")
    if differences:
        out.print("Not the strip reversed:", style="bold")
        shown = differences if everything else differences[:FIRST_DIFFERENCES]
        for each in shown:
            out.print(f"  {each}", markup=False)
        if len(differences) > len(shown):
            out.print(f"  {len(differences) - len(shown)} more: --all", style="dim")


def _say_so_far(
    out: "Console",
    now: "State",
    plan: "Plan",
    steps: "Sequence[Step]",
    *,
    everything: bool,
    reasons: bool,
) -> None:
    """Print the beginning of the plan that somebody wants to look at."""
    if not steps:
        waits = "waits, " if plan.waiting else ""
        out.print(f"No job that is left leads there: it is on, {waits}or is not planned.")
        return
    so_far = replace(
        plan,
        steps=tuple(steps),
        work_minutes=sum(step.minutes for step in steps),
        setup_minutes=sum(step.setup_minutes for step in steps),
        bound_minutes=0.0,
        waiting=(),
    )
    say_plan(out, now, so_far, most=None if everything else FIRST_STEPS, reasons=reasons)
    if len(steps) < len(plan.steps):
        out.print(
            f"The order is that of the whole rebuild, which has {count(len(plan.steps), 'step')}; "
            "what comes after is not shown.",
            style="dim",
        )


def _say_known(out: "Console", now: "State", plan: "Plan") -> None:
    """Say what the order rests on, where little is described."""
    if plan.steps and not any(each.parts for each in now.vehicle.joints.values()):
        out.print(
            "The order is that of the strip, turned round: the one order proven to work. "
            "Nobody described what is fixed to what."
        )


def _say_before(
    out: "Console",
    now: "State",
    pieces: "Sequence[ToHave]",
    not_seen: "Sequence[Unseen]",
    away: "Sequence[HeldUp]",
) -> None:
    """Say what to see to before the first step."""
    if not_seen:
        parts = count(len(not_seen), "part")
        out.print(f"First lay hands on {parts} that nobody has seen for long: --hands")
    to_buy = sum(each.to_buy for each in pieces)
    if to_buy:
        kinds = count(sum(each.to_buy > 0 for each in pieces), "specification")
        out.print(f"To buy: {count(to_buy, 'piece')} of {kinds}: --to-have")
    for each in away:
        behind = f"; {count(len(each.then), 'thing')} after it" if each.then else ""
        say(out, f"{each.waits_for}{behind}", lead="Not here yet: ")
        if each.only_by_order:
            name = now.name_of(each.what)
            only = count(len(each.only_by_order), "of them waits", "of them wait")
            say_detail(
                out,
                f"{only} only because nobody described what {name} is fixed to: describe that, "
                "and they need not",
                style="dim",
            )


def _say_finals(out: "Console", now: "State", waiting: "Sequence[OpenFinal]") -> None:
    """Print the list that stays open: what is nipped now, then what will be."""
    if not waiting:
        out.print("No joint waits for its final tightening.")
        return
    for made in (True, False):
        these = [each for each in waiting if (each.nipped is not None) == made]
        if not these:
            continue
        out.print(
            "Nipped, not final:" if made else "Apart still, to be final later:", style="bold"
        )
        when = None
        for each in these:
            if each.when is not when:
                out.print(f"  {each.when}: {each.why}", markup=False)
                when = each.when
            torque = f": {each.torque}" if each.torque else ": no torque on record"
            say(out, f"{now.name_of(f'joint:{each.joint}')}{torque}", lead="    ")
            if each.now:
                say_detail(out, "it stands so now: it can be done", style="bold")
            if each.by:
                say_detail(out, f"by “{now.name_of(f'job:{each.by}')}”", style="dim")
            for words in filter(None, (each.or_else, each.note)):
                say_detail(out, words, style="dim")
    out.print("Figures are what was described: the maker's data win.", style="dim")


def _say_to_have(
    out: "Console", now: "State", pieces: "Sequence[ToHave]", supplies: "Sequence[UsedUp]"
) -> None:
    """Print the order list."""
    from putback.workshop.plans.rebuild_told import named_joints

    if not pieces and not supplies:
        out.print("Nothing is to be had new, as far as anybody described.")
        return
    for each in pieces:
        here = f", {each.here} here" if each.here else ""
        why = "" if each.single_use else " (lost, scrap or kept as a pattern)"
        say(
            out,
            f"{each.spec}{here}{why}: {named_joints(now, each.joints)}",
            lead=f"  {each.to_buy:>3} × ",
        )
    if supplies:
        out.print("Used up:", style="bold")
        for used in supplies:
            out.print(f"  {used.what}: {named_joints(now, used.joints)}", markup=False)


def _say_hands(out: "Console", now: "State", not_seen: "Sequence[Unseen]") -> None:
    """Print the parts to look for, place by place."""
    if not not_seen:
        out.print(
            "Every part that is off, and here, has been in somebody's hand lately."
            if now.parts_off
            else "No part is off yet, so there is none to lay hands on."
        )
        return
    out.print("Lay hands on these before the rebuild begins:", style="bold")
    at: Sequence[str] | None = None
    for each in not_seen:
        if each.where != at:
            where = ", in ".join(map(now.name_of, each.where)) or "nobody said where"
            out.print(f"  {where}", markup=False)
            at = each.where
        look = f"; {each.look}" if each.look else ""
        name = now.name_of(f"part:{each.part}")
        say(out, f"{name} (last seen {each.last}){look}", lead="    ")
    out.print('Log each one found: putback log seen "radiator"', style="dim")
