"""The strip: the plan that is followed, other plans to choose from, and what not to do now."""

from typing import TYPE_CHECKING, Annotated

import typer

from putback.cli.complete import complete_goal, complete_step
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
from putback.cli.output import count, emit, sentence
from putback.cli.plan import (
    FIRST_STEPS,
    AllSteps,
    Reasons,
    say_changes,
    say_plan,
    say_standing,
    say_step,
    working,
)
from putback.errors import BadInput
from putback.planning.plan import STEPS_FOR
from putback.units.show import duration_text
from putback.vehicle.ids import Ref

if TYPE_CHECKING:
    from rich.console import Console

    from putback.logbook.entries.judging import Hindrance
    from putback.logbook.state import State
    from putback.planning.alternatives import Alternative
    from putback.planning.not_now import Cost
    from putback.workshop.logbooks.workshop import Workshop
    from putback.workshop.plans.plans import Continued


def register(app: typer.Typer) -> None:
    """Add the commands."""
    app.command(
        "strip",
        help="Plan the strip to a goal. The order stays as it was last time, as long as it is "
        "right; what changed is told, and why.",
        short_help="Plan the strip to a goal.",
    )(strip)
    app.command(
        "not-now",
        help="Put a job off, say what that costs, and go on with the next. It is planned behind "
        "all that does not need it, until somebody works on it or its day has come.",
        short_help="Put a job off, and go on with the next.",
    )(not_now)


def strip(
    context: typer.Context,
    goal: Annotated[
        str | None,
        typer.Argument(help="Which goal; else the next one.", autocompletion=complete_goal),
    ] = None,
    everything: AllSteps = False,
    reasons: Reasons = False,
    alternatives: Alternatives = False,
    choose: Choose = None,
    afresh: Afresh = False,
    as_json: AsJson = False,
) -> None:
    """Plan the strip."""
    from putback.planning.again.reached import reached
    from putback.workshop.plans.how_far import goal_in_hand
    from putback.workshop.plans.plans import alternatives as other_plans
    from putback.workshop.plans.plans import follow, goal_called, pin

    run = session(context)
    now = run.state
    wanted = goal_called(now, goal)
    is_in_hand = wanted == goal_in_hand(now)
    with working() as progress:
        found = follow(run.workshop, run.logbook, wanted, progress=progress, afresh=afresh)
        asked = alternatives or choose is not None
        others = other_plans(run.workshop, run.logbook, wanted, progress) if asked else ()
    chosen = numbered(others, choose, "strip") if choose is not None else None
    if chosen is not None:
        pin(run.workshop, run.logbook, chosen.plan)
        found = _following(chosen)

    def tell(out: "Console") -> None:
        out.print(f"Strip to {wanted.name}", style="bold", markup=False)
        if chosen is not None:
            say_chosen(out, chosen)
        elif alternatives:
            say_alternatives(out, others, "strip")
            return
        if not is_in_hand:
            out.print(
                f"Only looked at: to work towards it, putback log goal {wanted.id}",
                style="dim",
                markup=False,
            )
        _say_changes(out, found)
        _say_known(out, now, found)
        most = None if everything else FIRST_STEPS
        say_plan(out, now, found.plan.plan, most=most, reasons=reasons)

    document = {
        "goal": wanted.id,
        "plan": found.plan.plan,
        "changes": found.plan.changes,
        "pinned": found.pinned,
        "in_hand": found.plan.in_hand,
        "reached": reached(now.vehicle, found.plan.plan),
        "alternatives": others,
    }
    emit("strip", document, tell, as_json=as_json)


def _following(chosen: "Alternative") -> "Continued":
    from putback.planning.replan import Replanned
    from putback.workshop.plans.plans import Continued

    return Continued(Replanned(chosen.plan), pinned=True)


def _say_known(out: "Console", now: "State", found: "Continued") -> None:
    """Say what the order does not know, where little is described."""
    from putback.workshop.plans.unfastened import unfastened, unfastened_words

    if found.plan.plan.steps and not any(each.parts for each in now.vehicle.joints.values()):
        out.print(
            "Nobody described what is fixed to what or in the way of what: the order only saves "
            "walks. Look before each job, and log what comes off as it comes.",
        )
    elif loose := unfastened(now.vehicle, found.plan.plan.steps):
        out.print(unfastened_words(len(loose)))


def _say_changes(out: "Console", found: "Continued") -> None:
    """Tell what changed since the plan was last asked for."""
    if found.pinned:
        say_pinned(out)
    say_changes(out, found.plan.changes)


def not_now(
    context: typer.Context,
    what: Annotated[
        str, typer.Argument(help="A part, joint, job or assembly.", autocompletion=complete_step)
    ],
    why: Annotated[
        str, typer.Option(help="stuck, no-part, no-tool, no-helper or not-today.")
    ] = "not-today",
    until: Annotated[
        str, typer.Option(help="The day on which it may be done, as 2031-06-01.")
    ] = "",
    note: Annotated[str, typer.Option(help="What there is to say about it.")] = "",
    as_json: AsJson = False,
) -> None:
    """Put a job off."""
    from putback.logbook.entries.judging import PutOff
    from putback.workshop.plans.how_far import Way, goal_in_hand, how_far
    from putback.workshop.plans.plans import cost_of_putting_off
    from putback.workshop.saying.names import find_subject

    run = session(context)
    now = run.state
    subject = Ref(find_subject(now, what, STEPS_FOR))
    body = PutOff(what=subject, why=_hindrance(why), until=_day(until, run.workshop), note=note)
    rebuilding = how_far(now).way is Way.REBUILD
    goal = None if rebuilding else goal_in_hand(now)
    cost: Cost | None = None
    if goal is not None or now.parts_off or now.undone_joints:
        with working() as progress:
            cost = cost_of_putting_off(run.workshop, run.logbook, goal, subject, progress)
    if goal is None and not rebuilding and cost is not None and not cost.in_plan:
        cost = None  # without a goal nobody can say what waits for a thing that is still on
    act = run.workshop.log(run.logbook, [body], who=run.person, device=run.device)

    def tell(out: "Console") -> None:
        out.print(sentence(body.sentence(lambda each: now.name_of(each))), markup=False)
        if cost is not None:
            _say_cost(out, now, cost)

    document = {
        "act": act.id,
        "what": subject,
        "goal": goal.id if goal else None,
        "cost": None if cost is None else _without_plan(cost),
    }
    emit("not-now", document, tell, as_json=as_json)


def _without_plan(cost: "Cost") -> dict[str, object]:
    """What a program wants to know; the plan itself is `putback strip --json`."""
    return {
        "minutes_more": cost.minutes_more,
        "standings_more": cost.standings_more,
        "waiting": cost.waiting,
        "other_minutes": cost.other_minutes,
        "other_jobs": cost.other_jobs,
        "is_timed": cost.is_timed,
        "next": cost.next,
        "in_plan": cost.in_plan,
    }


def _say_cost(out: "Console", now: "State", cost: "Cost") -> None:
    """Tell what waits, what it costs, and what is next."""
    if not cost.in_plan:
        out.print("Nothing that is asked for needs it: no job waits for it.")
        return
    waits = count(len(cost.waiting), "job")
    verb = "waits" if len(cost.waiting) == 1 else "wait"
    told = [f"{waits} {verb} for it" if cost.waiting else "no other job waits for it"]
    told += [_more(cost.minutes_more)] if cost.is_timed else []
    if cost.standings_more > 0:
        told.append(f"{count(cost.standings_more, 'change')} of standing more")
    if cost.next is not None:
        other = f"{duration_text(cost.other_minutes)} of other work"
        if not cost.is_timed:
            other = f"{count(cost.other_jobs, 'other job')} (no minutes on record)"
        told.append(f"{other} can be done first")
    out.print(sentence("; ".join(told)), markup=False)
    if cost.next is None:
        out.print("Everything that is left waits for it: nothing else can be done first.")
        return
    out.print("Next:", style="bold")
    say_standing(out, now, cost.next, now.standing.standing)
    say_step(out, now, cost.next)


def _more(minutes: float) -> str:
    if round(minutes) == 0:
        return "it takes no longer"
    return f"{duration_text(abs(minutes))} {'more' if minutes > 0 else 'less'}"


def _hindrance(said: str) -> "Hindrance":
    from putback.logbook.entries.judging import Hindrance

    words = said.strip().casefold().replace("-", " ").replace("_", " ")
    for each in Hindrance:
        if each.value == words:
            return each
    names = ", ".join(each.value.replace(" ", "-") for each in Hindrance)
    raise BadInput(f"{said!r} is no reason to put something off", mend=f"say one of {names}")


def _day(said: str, workshop: "Workshop") -> str:
    from datetime import date

    if not said:
        return ""
    try:
        day = date.fromisoformat(said)
    except ValueError as error:
        raise BadInput(f"{said!r} is no day", mend="write it as 2031-06-01") from error
    if day <= workshop.clock.now().date():
        raise BadInput(
            f"{said} is here or past: it would not be put off",
            mend="give a day to come, or leave --until away",
        )
    return day.isoformat()
