"""The calendar: who does what when, when it will be done, and what to chase."""

from datetime import datetime
from typing import TYPE_CHECKING, Annotated, Any

import typer

from putback.cli.ahead import Towards
from putback.cli.context import AsJson, Session, session
from putback.cli.output import count, emit, sentence
from putback.cli.output import say as say_line
from putback.cli.plan import working

if TYPE_CHECKING:
    from rich.console import Console

    from putback.logbook.state import State
    from putback.workshop.plans.calendar import Calendar, Wishes

FIRST_SESSIONS, MOST_NAMED, MOST_CRITICAL = 6, 3, 8


def register(app: typer.Typer) -> None:
    """Add the commands."""
    app.command(
        "schedule",
        help="Put the plan on the calendar: who does what when, and when all is done at best.",
        short_help="The plan on the calendar.",
    )(schedule)
    app.command(
        "risk",
        help="When it will be done, by many runs with drawn durations and late parts, and which "
        "part to chase first.",
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
    datetime | None, typer.Option("--from", help="The first day.", formats=["%Y-%m-%d"])
]
Due = Annotated[
    datetime | None, typer.Option(help="The day it should be done by.", formats=["%Y-%m-%d"])
]
Lead = Annotated[
    float | None,
    typer.Option(help="Days that takes for which nobody promised a day; else 28.", min=0),
]
Hoists = Annotated[int, typer.Option(help="How many hoists there are.", min=1)]
Seconds = Annotated[float, typer.Option(help="How long to look for an earlier end [s].", min=0.1)]


def schedule(
    context: typer.Context,
    people: People = None,
    hours: Hours = None,
    person: Persons = None,
    skill: Skills = None,
    goal: Towards = None,
    rebuild: Rebuilding = False,
    begin: Begin = None,
    due: Due = None,
    lead_days: Lead = None,
    hoists: Hoists = 1,
    seconds: Seconds = 5.0,
    everything: Annotated[bool, typer.Option("--all", help="Every session.")] = False,
    as_json: AsJson = False,
) -> None:
    """Show who does what when."""
    run = session(context)
    wishes = _wishes(people, hours, person, skill, begin, due, lead_days, hoists)
    found = _ask(run, wishes, goal, rebuild, None, seconds)

    def say(out: "Console") -> None:
        _say_end(out, found)
        late = due is not None and found.timetable.finish.date() > due.date()
        if due is not None:
            word = "after" if late else "in time for"
            out.print(f"That is {word} {_day(due)}.", style="bold" if late else "")
        _say_sessions(out, run.state, found, None if everything else FIRST_SESSIONS)
        _say_taken(out, found)

    emit("schedule", _document(found), say, as_json=as_json)


def risk(
    context: typer.Context,
    people: People = None,
    hours: Hours = None,
    person: Persons = None,
    skill: Skills = None,
    goal: Towards = None,
    rebuild: Rebuilding = False,
    begin: Begin = None,
    due: Due = None,
    lead_days: Lead = None,
    hoists: Hoists = 1,
    seconds: Seconds = 5.0,
    runs: Annotated[int, typer.Option(help="How many runs.", min=100, max=200_000)] = 10_000,
    as_json: AsJson = False,
) -> None:
    """Show when it will be done, and what to chase."""
    run = session(context)
    wishes = _wishes(people, hours, person, skill, begin, due, lead_days, hoists)
    found = _ask(run, wishes, goal, rebuild, runs, seconds)
    told = found.forecast

    def say(out: "Console") -> None:
        _say_end(out, found)
        if told is None or not found.timetable.blocks:
            return
        out.print(
            f"Even chance by {_day(told.p50)}, four in five by {_day(told.p80)}, "
            f"nineteen in twenty by {_day(told.p95)} ({told.runs} runs).",
            style="bold",
        )
        if told.by_due is not None and due is not None:
            out.print(f"Done by {_day(due)}: in {told.by_due:.0%} of the runs.")
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
        often = sorted(enumerate(told.critical), key=lambda each: -each[1])
        for number, share in often[:MOST_CRITICAL]:
            say_line(out, _what(run.state, found, number), lead=f"  {share:>4.0%} ")
        _say_taken(out, found)

    emit("risk", {**_document(found), "forecast": told}, say, as_json=as_json)


def _wishes(
    people: int | None,
    hours: str | None,
    persons: list[str] | None,
    skills: list[str] | None,
    begin: datetime | None,
    due: datetime | None,
    lead_days: float | None,
    hoists: int,
) -> "Wishes":
    from putback.workshop.plans.calendar import Wishes

    return Wishes(
        people,
        hours,
        tuple(persons or ()),
        tuple(skills or ()),
        begin.date() if begin else None,
        due.date() if due else None,
        lead_days,
        hoists,
    )


def _ask(
    run: Session,
    wishes: "Wishes",
    named: str | None,
    rebuild: bool,
    runs: int | None,
    seconds: float,
) -> "Calendar":
    from putback.workshop.plans.calendar import calendar
    from putback.workshop.plans.plans import goal_called

    goal = goal_called(run.state, named) if named is not None else None
    with working() as progress:
        return calendar(
            run.workshop,
            run.logbook,
            wishes,
            goal=goal,
            rebuild=rebuild,
            runs=runs,
            seconds=seconds,
            progress=progress,
        )


def _document(found: "Calendar") -> dict[str, Any]:
    table = found.timetable
    return {
        "goal": found.goal.id if found.goal else None,
        "timetable": table,
        "optimal": table.optimal,
        "gap": table.gap,
        "taken": found.taken,
        "steps": [(step.action, step.what) for step in found.plan.steps],
    }


def _day(moment: Any) -> str:
    return f"{moment:%a} {moment.day} {moment:%b %Y}"


def _what(now: "State", found: "Calendar", number: int) -> str:
    """Say what a block is: its steps, the first few by name."""
    block = found.timetable.blocks[number]
    if not block.steps:
        return f"stand it: {now.name_of(f'standing:{block.stands}')}"
    steps = [found.plan.steps[each] for each in block.steps]
    words = [f"{step.action} {now.name_of(step.what)}" for step in steps[:MOST_NAMED]]
    more = len(steps) - MOST_NAMED
    return "; ".join(words) + (f"; {more} more" if more > 0 else "")


def _say_end(out: "Console", found: "Calendar") -> None:
    table = found.timetable
    head = f"Calendar towards {found.goal.name}" if found.goal else "Calendar of the rebuild"
    out.print(head, style="bold", markup=False)
    if not table.blocks:
        out.print("Nothing is left to do.")
        return
    proved = (
        "no timetable ends sooner"
        if table.optimal
        else f"none ends before {_day(table.bound)}, {table.gap:.1%} sooner"
    )
    out.print(f"If all goes as reckoned, done {_day(table.finish)} ({proved}).")


def _say_sessions(out: "Console", now: "State", found: "Calendar", most: int | None) -> None:
    """Print what is done day by day, by whom."""
    days: dict[Any, list[tuple[str, str]]] = {}
    for each in found.timetable.bookings:
        if each.ends > each.begins:
            who = ", ".join(each.who) or "it waits"
            line = f"{each.begins:%H:%M}-{each.ends:%H:%M} {who}"
            days.setdefault(each.begins.date(), []).append((line, _what(now, found, each.block)))
    for day, lines in list(days.items())[:most]:
        out.print(_day(day), style="bold")
        for line, what in lines:
            say_line(out, what, lead=f"  {line}  ")
    if most is not None and len(days) > most:
        out.print(f"... {count(len(days) - most, 'day')} more: --all", style="dim")


def _say_taken(out: "Console", found: "Calendar") -> None:
    """Say on what it all rests: what nobody said, what was learned, what wants more hands."""
    table = found.timetable
    for each in table.learned:
        out.print(sentence(str(each)), style="dim", markup=False)
    short = sum(each.crew < each.wants for each in table.blocks)
    if short:
        jobs = count(short, "job wants", "jobs want")
        out.print(f"{jobs} more people than are there at once: call helpers.", style="bold")
    if table.no_minutes:
        steps = count(table.no_minutes, "step has", "steps have")
        out.print(f"{steps} no minutes and count as nothing.")
    for words in found.taken:
        out.print(sentence(f"taken for granted: {words}"), style="dim", markup=False)
