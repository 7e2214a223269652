"""The calendar: who does what when, when it will be done, and what to chase."""

from collections.abc import Callable
from dataclasses import dataclass, fields
from functools import wraps
from inspect import Parameter, Signature, signature
from shlex import quote
from typing import TYPE_CHECKING, Annotated, Any

import typer

from putback.cli.ahead import Towards
from putback.cli.context import AsJson, Session, session
from putback.cli.output import count, emit, sentence
from putback.cli.output import say as say_line
from putback.cli.plan import say_nothing_to_do, working

if TYPE_CHECKING:
    from rich.console import Console

    from putback.logbook.state import State
    from putback.workshop.plans.calendar import Calendar
    from putback.workshop.plans.wishes import Wishes

FIRST_DAYS = 6


def register(app: typer.Typer) -> None:
    """Add the commands."""
    app.command(
        "schedule",
        help="Put the plan on the calendar: who does what when, and when all is done at best. "
        "What no option says of who works when is as it is kept with the vehicle.",
        short_help="The plan on the calendar.",
    )(schedule)
    app.command(
        "risk",
        help="When it will be done, by many runs with drawn durations and late parts, and which "
        "part to chase first. What no option says of who works when is as it is kept with the "
        "vehicle.",
        short_help="When it will be done, and what to chase.",
    )(risk)


People = Annotated[int | None, typer.Option(help="How many work, all with these hours.", min=1)]
Hours = Annotated[
    str | None, typer.Option(help="When they work, as in: 'Sat 9-17, Wed 18-21, Mon-Fri 8-12'.")
]
Persons = Annotated[
    list[str] | None,
    typer.Option("--person", help="One who works, with hours of their own: 'Ann: Sat 9-17'."),
]
Skills = Annotated[
    list[str] | None,
    typer.Option("--skill", help="Kinds of work that only they do: 'Ann: bleed, set'."),
]
Rebuilding = Annotated[
    bool, typer.Option("--rebuild", help="The rebuild, whichever way the work goes.")
]
Begin = Annotated[
    str | None, typer.Option("--from", help="The first day, as in: 2031-05-02.", metavar="<day>")
]
Due = Annotated[
    str | None, typer.Option(help="The day it should be done by, written so.", metavar="<day>")
]
Lead = Annotated[
    float | None,
    typer.Option(help="How many days to allow for what comes on no promised day; else 28.", min=0),
]
Hoists = Annotated[int | None, typer.Option(help="How many hoists there are; else 1.", min=1)]
Benches = Annotated[
    int | None,
    typer.Option(help="How many benches there are; else as many as it takes.", min=1),
]
Away = Annotated[
    list[str] | None,
    typer.Option(
        help="When one of them does not work, by days or with times: 'Ann: 2031-12-24 to "
        "2032-01-02', 'Ann: 2031-05-02 13:00-17:00'; or 'none'."
    ),
]
Shut = Annotated[
    list[str] | None,
    typer.Option(
        help="When nobody works, by days or with times: '2031-12-24 to 2032-01-02'; or 'none'."
    ),
]
Lent = Annotated[
    list[str] | None,
    typer.Option("--hoist-lent", help="When there is one hoist less, written so; or 'none'."),
]
Keep = Annotated[
    bool, typer.Option("--keep", help="Keep it with the vehicle: for the page, and the next time.")
]
Seconds = Annotated[float, typer.Option(help="How long to look for an earlier end [s].", min=0.1)]


@dataclass(frozen=True, slots=True)
class Asked:
    """What both commands take as options: who works when, and what is put on the calendar."""

    people: People = None
    hours: Hours = None
    person: Persons = None
    skill: Skills = None
    goal: Towards = None
    rebuild: Rebuilding = False
    begin: Begin = None
    due: Due = None
    lead_days: Lead = None
    hoists: Hoists = None
    benches: Benches = None
    away: Away = None
    shut: Shut = None
    hoist_lent: Lent = None
    keep: Keep = False
    seconds: Seconds = 5.0


def taking_asked(command: Callable[..., None]) -> Callable[..., None]:
    """Let a command take each field of `Asked` as an option, besides those of its own."""
    context, _, *own = signature(command).parameters.values()
    names = {each.name for each in fields(Asked)}

    @wraps(command)
    def taken(context: typer.Context, **given: Any) -> None:
        asked = Asked(**{name: given.pop(name) for name in names})
        command(context, asked, **given)

    options = [
        Parameter(each.name, Parameter.KEYWORD_ONLY, default=each.default, annotation=each.type)
        for each in fields(Asked)
    ]
    options += [each.replace(kind=Parameter.KEYWORD_ONLY) for each in own]
    taken.__signature__ = Signature([context, *options])  # type: ignore[attr-defined]  # for typer
    return taken


@taking_asked
def schedule(
    context: typer.Context,
    asked: Asked,
    everything: Annotated[
        bool, typer.Option("--all", help="Every day, not the first few.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Show who does what when."""
    run = session(context)
    found = _ask(run, asked, None)

    def say(out: "Console") -> None:
        if not _say_end(out, found):
            return
        if found.due is not None:
            word = "after" if found.is_late else "in time for"
            out.print(f"That is {word} {_day(found.due)}.", style="bold" if found.is_late else "")
        _say_sessions(out, run.state, found, None if everything else FIRST_DAYS)
        _say_taken(out, run.state, found)

    emit("schedule", _document(found), say, as_json=as_json)


@taking_asked
def risk(
    context: typer.Context,
    asked: Asked,
    runs: Annotated[
        int, typer.Option(help="In how many runs the times are drawn.", min=100, max=200_000)
    ] = 10_000,
    as_json: AsJson = False,
) -> None:
    """Show when it will be done, and what to chase."""
    from putback.units.figures import in_groups
    from putback.workshop.plans.calendar_told import most_critical

    run = session(context)
    found = _ask(run, asked, runs)
    told = found.forecast

    def say(out: "Console") -> None:
        if not _say_end(out, found) or told is None:
            return
        out.print(
            f"Even chance by {_day(told.p50)}, four in five by {_day(told.p80)}, "
            f"nineteen in twenty by {_day(told.p95)} ({in_groups(told.runs)} runs).",
            style="bold",
        )
        if told.by_due is not None:
            out.print(f"Done by {_day(found.due)}: in {told.by_due:.0%} of the runs.")
        if told.chase:
            out.print("To chase, what wins most first:", style="bold")
        for each in told.chase:
            say_line(
                out,
                f"{each.arrival.words}, expected {_day(each.arrival.expected)}: "
                f"{each.days_won:.2f} days won for each day sooner; holds all up in "
                f"{each.holds_up:.0%} of the runs",
                lead="  ",
            )
        out.print("Most often what all waits for:", style="bold")
        for often in most_critical(run.state, found):
            say_line(out, str(often.work), lead=f"  {often.share:>4.0%} ")
        _say_taken(out, run.state, found)

    emit("risk", {**_document(found), "forecast": told}, say, as_json=as_json)


def _wishes(run: Session, asked: Asked) -> "Wishes":
    """What was said, over what is kept with the vehicle; it is kept then if that is wanted."""
    from putback.planning.timetable import read_day
    from putback.workshop.plans.wishes import Wishes, check_skills, keep_wishes, kept_wishes

    said = Wishes(
        people=asked.people,
        hours=asked.hours,
        persons=tuple(asked.person or ()),
        skills=tuple(asked.skill or ()),
        begin=read_day(asked.begin) if asked.begin else None,
        due=read_day(asked.due) if asked.due else None,
        lead_days=asked.lead_days,
        hoists=asked.hoists,
        benches=asked.benches,
        away=tuple(asked.away or ()),
        shut=tuple(asked.shut or ()),
        hoist_lent=tuple(asked.hoist_lent or ()),
    )
    check_skills(run.state.vehicle, said)
    wishes = said.over(kept_wishes(run.workshop, run.logbook))
    if asked.keep:
        keep_wishes(run.workshop, run.logbook, wishes)
    return wishes


def _ask(run: Session, asked: Asked, runs: int | None) -> "Calendar":
    from putback.workshop.plans.calendar import calendar
    from putback.workshop.plans.plans import goal_called

    wishes = _wishes(run, asked)
    goal = goal_called(run.state, asked.goal) if asked.goal is not None else None
    with working() as progress:
        return calendar(
            run.workshop,
            run.logbook,
            wishes,
            goal=goal,
            rebuild=asked.rebuild,
            runs=runs,
            seconds=asked.seconds,
            progress=progress,
        )


def _document(found: "Calendar") -> dict[str, Any]:
    table = found.timetable if found.is_timed else None
    return {
        "goal": found.goal.id if found.goal else None,
        "is_timed": found.is_timed,
        "timetable": table,
        "optimal": table.optimal if table else None,
        "gap": table.gap if table else None,
        "due": found.due,
        "is_late": found.is_late if table else None,
        "taken": [str(each) for each in found.taken],
        "steps": [(step.action, step.what) for step in found.plan.steps],
    }


def _day(moment: Any) -> str:
    return f"{moment:%a} {moment.day} {moment:%b %Y}"


def _say_end(out: "Console", found: "Calendar") -> bool:
    """Say when all is done, if it can be told; gives whether there is more to tell."""
    table = found.timetable
    head = f"Calendar towards {found.goal.name}" if found.goal else "Calendar of the rebuild"
    out.print(head, style="bold", markup=False)
    if not table.blocks:
        say_nothing_to_do(out, found.plan)
        return False
    if not found.is_timed:
        _say_untimed(out, found)
        return False
    proved = (
        "no timetable ends sooner"
        if table.optimal
        else f"none ends before {_day(table.bound)}, {table.gap:.1%} sooner"
    )
    out.print(f"If all goes as reckoned, done {_day(table.finish)} ({proved}).")
    return True


def _say_untimed(out: "Console", found: "Calendar") -> None:
    """Say that no day can be told, and how to give minutes."""
    out.print("No job has minutes yet, so no day can be told.", style="bold")
    if found.to_time is not None:
        table, identity = found.to_time
        minutes = "'minutes={best=10, likely=15, worst=40}'"
        line = f"putback describe {table} {quote(identity)} {minutes}"
        say_line(out, f"Say how long a job takes, as in: {line}")


def _say_sessions(out: "Console", now: "State", found: "Calendar", most: int | None) -> None:
    """Print what is done day by day, by whom."""
    from putback.workshop.plans.calendar_told import days_of

    days = days_of(now, found)
    for day in days[:most]:
        out.print(_day(day.day), style="bold")
        for each in day.sessions:
            who = ", ".join(each.who) or "it waits"
            who += ", at a bench" if each.is_at_bench else ""
            lead = f"  {each.begins:%H:%M}-{each.ends:%H:%M} {who}  "
            say_line(out, str(each.work), lead=lead)
    if most is not None and len(days) > most:
        out.print(f"... {count(len(days) - most, 'day')} more: --all", style="dim")


def _say_taken(out: "Console", now: "State", found: "Calendar") -> None:
    """Say on what it all rests: what nobody said, what was learned, what wants more hands."""
    from putback.workshop.plans.calendar_told import (
        away_meanwhile,
        left_hanging,
        left_on_jacks,
        short_of_hands,
        without_a_second,
    )

    table = found.timetable
    for words in away_meanwhile(found):
        out.print(sentence(words), style="dim", markup=False)
    for each in table.learned:
        out.print(sentence(str(each)), style="dim", markup=False)
    if short := short_of_hands(found):
        jobs = count(short, "job wants", "jobs want")
        out.print(f"{jobs} more people than are there at once: call helpers.", style="bold")
    if alone := without_a_second(found):
        checks = count(alone, "check wants", "checks want")
        out.print(
            f"{checks} a second person, and nobody is there but who did the work: "
            "ask somebody in.",
            style="bold",
        )
    if hanging := left_hanging(found):
        jobs = count(hanging, "job is", "jobs are")
        out.print(
            f"{jobs} left from one day to another with something up: give longer hours, or prop "
            "what hangs; never leave it on a hoist or a jack.",
            style="bold",
        )
    for words in left_on_jacks(now, found):
        out.print(sentence(words), style="bold", markup=False)
    if table.no_minutes:
        steps = count(
            table.no_minutes,
            "step has no minutes and counts",
            "steps have no minutes and count",
        )
        out.print(f"{steps} as nothing.")
    for taken in found.taken:
        out.print(sentence(f"taken for granted: {taken}"), style="dim", markup=False)
