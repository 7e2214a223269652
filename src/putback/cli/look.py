"""Looking: the state, what is open, where a thing is, its hardware, its history."""

from typing import TYPE_CHECKING, Annotated, Any

import typer

from putback.cli.complete import complete_anything
from putback.cli.context import AsJson, Session, session
from putback.cli.output import emit, minutes_text

if TYPE_CHECKING:
    from rich.console import Console

    from putback.logbook.open_items import OpenItem, Settings, Situation
    from putback.logbook.state import State

Thing = Annotated[
    str, typer.Argument(help="A part, joint, tag, job ...", autocompletion=complete_anything)
]


def register(app: typer.Typer) -> None:
    """Add the commands."""
    app.command("state", help="How far the work is, and the state of one thing if named.")(state)
    app.command("open", help="What is open: dangers first.")(open_)
    app.command("where", help="Where a thing is.")(where)
    app.command("hardware", help="The hardware check: what is short and what is left over.")(
        hardware
    )
    app.command("history", help="What was logged of a thing.")(history)
    app.command("resume", help="Pick up again: where things stand, what is open, what is next.")(
        resume
    )


def state(
    context: typer.Context,
    what: Annotated[
        str | None,
        typer.Argument(help="One thing of it.", autocompletion=complete_anything),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Show the state."""
    from putback.workshop.how_far import how_far
    from putback.workshop.names import find_subject

    run = session(context)
    now = run.state
    if what is not None:
        subject = find_subject(now, what)
        record = record_of(now, subject)

        def say_one(out: "Console") -> None:
            out.print(now.name_of(subject), style="bold", markup=False)
            for line in describe_record(now, subject):
                out.print(f"  {line}", markup=False)

        document = {"subject": subject, "name": now.name_of(subject), "record": record}
        emit("state", document, say_one, as_json=as_json)
        return
    far = how_far(now)
    facts = run.workshop.facts(run.logbook)

    def say(out: "Console") -> None:
        out.print(now.vehicle.about.name, style="bold", markup=False)
        if now.vehicle.about.notice:
            out.print(now.vehicle.about.notice, style="dim", markup=False)
        out.print(f"{far.way}: {far.parts_off} of {far.parts} parts off")
        out.print(
            f"{far.joints_undone} of {far.joints} joints undone, "
            f"{far.joints_made_again} made again"
        )
        if now.standing.standing:
            out.print(now.name_of(f"standing:{now.standing.standing}"), markup=False)
        out.print(f"{facts.entries} entries, {len(facts.struck)} struck out", style="dim")

    document = {
        "logbook": run.logbook,
        "name": now.vehicle.about.name,
        "far": far,
        "standing": now.standing.standing,
        "entries": facts.entries,
        "struck": len(facts.struck),
        "digest": facts.digest,
        "parts": dict(now.parts),
        "joints": dict(now.joints),
    }
    emit("state", document, say, as_json=as_json)


def record_of(now: "State", subject: str) -> Any:
    """Give the folded record of a subject, ``None`` where nothing was said of it yet."""
    kind, _, identity = subject.partition(":")
    tables: dict[str, Any] = {
        "part": now.parts,
        "joint": now.joints,
        "opening": now.openings,
        "tag": now.containers,
        "fluid": now.fluids,
        "fit": now.fits,
        "job": now.jobs,
        "place": now.places,
    }
    return tables.get(kind, {}).get(identity)


def describe_record(now: "State", subject: str) -> list[str]:
    """Say in a few lines how a thing is."""
    from putback.workshop.whereabouts import whereabouts

    return list(whereabouts(now, subject))


def situation_of(run: Session) -> "Situation":
    """Gather what the rules of open items look at."""
    from putback.logbook.open_items import Situation

    return Situation(
        run.state,
        run.workshop.facts(run.logbook),
        run.workshop.clock.now(),
        open_settings(run),
    )


def open_settings(run: Session) -> "Settings":
    """Say since when there was no backup elsewhere: the last one, or the begin of the logbook."""
    from datetime import datetime

    from putback.logbook.open_items import Settings

    note = run.workshop.last_backup()
    begun = next(each.created_at for each in run.workshop.logbooks() if each.id == run.logbook)
    return Settings(backed_up_at=datetime.fromisoformat(note.at if note else begun))


def open_(
    context: typer.Context,
    everything: Annotated[
        bool, typer.Option("--all", help="All of it, not the first few.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Show what is open."""
    from putback.logbook.open_items import open_items

    run = session(context)
    items = open_items(situation_of(run))
    shown = items if everything else items[:THREE_AT_A_TIME]

    def say(out: "Console") -> None:
        say_open(out, shown)
        if len(items) > len(shown):
            out.print(f"{len(items) - len(shown)} more: putback open --all", style="dim")
        if not items:
            out.print("Nothing is open.")

    emit("open", {"open": items}, say, as_json=as_json)


THREE_AT_A_TIME = 3


def say_open(out: "Console", items: "tuple[OpenItem, ...]") -> None:
    """Print open items, each with what clears it."""
    colours = {"danger": "bold red", "now": "bold", "later": ""}
    for each in items:
        out.print(f"[{colours[each.danger]}]{each.danger:<7}[/] ", end="")
        out.print(f"{each.words}.", markup=False)
        out.print(f"        {each.clears}", style="dim", markup=False)


def where(context: typer.Context, what: Thing, as_json: AsJson = False) -> None:
    """Say where a thing is."""
    from putback.workshop.names import find_subject
    from putback.workshop.whereabouts import whereabouts

    now = session(context).state
    subject = find_subject(now, what)
    lines = whereabouts(now, subject)
    chain = now.chain_of(subject)

    def say(out: "Console") -> None:
        out.print(f"{now.name_of(subject)}:", style="bold", markup=False)
        for line in lines:
            out.print(f"  {line}", markup=False)

    document = {
        "subject": subject,
        "name": now.name_of(subject),
        "where": lines,
        "chain": [{"subject": each, "name": now.name_of(each)} for each in chain],
    }
    emit("where", document, say, as_json=as_json)


def hardware(
    context: typer.Context,
    what: Annotated[
        str | None,
        typer.Argument(help="One joint or tag.", autocompletion=complete_anything),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Check the hardware: of one thing, or of all."""
    from putback.logbook.hardware_check import hardware_check, sentences
    from putback.workshop.names import find_subject
    from putback.workshop.whereabouts import whereabouts

    now = session(context).state
    check = hardware_check(now)
    if what is None:
        lines = sentences(check, now.name_of)
        document = {"closes": check.closes, "check": check, "says": lines}
    else:
        subject = find_subject(now, what)
        lines = whereabouts(now, subject)
        kept = [line for line in check.lines if line.owner == subject]
        tags = [each for each in check.tags if f"tag:{each.tag}" == subject]
        document = {"subject": subject, "lines": kept, "tags": tags, "says": lines}

    def say(out: "Console") -> None:
        for line in lines:
            out.print(line, markup=False)

    emit("hardware", document, say, as_json=as_json)


def history(context: typer.Context, what: Thing, as_json: AsJson = False) -> None:
    """Show what was logged of a thing, in order."""
    from putback.workshop.names import find_subject

    run = session(context)
    now = run.state
    subject = find_subject(now, what)
    entries = run.workshop.history(run.logbook, subject)
    rows = [
        {
            "id": each.id,
            "happened_at": each.happened_at,
            "who": each.who,
            "kind": each.kind,
            "sentence": each.body.sentence(now.name_of),
        }
        for each in entries
    ]

    def say(out: "Console") -> None:
        for row in rows:
            out.print(
                f"{row['happened_at'][:16] or 'some time':<16}  {row['who']}  {row['sentence']}",
                markup=False,
            )
        if not rows:
            out.print("Nothing was logged of it yet.")

    emit("history", {"subject": subject, "entries": rows}, say, as_json=as_json)


def resume(
    context: typer.Context,
    steps: Annotated[int, typer.Option(help="How many steps ahead.", min=1)] = 5,
    as_json: AsJson = False,
) -> None:
    """Pick up again."""
    from putback.cli.plan import say_step
    from putback.workshop.resume import resume as pick_up

    run = session(context)
    now = run.state
    found = pick_up(
        now,
        run.workshop.facts(run.logbook),
        run.workshop.clock.now(),
        steps=steps,
        open_settings=open_settings(run),
    )

    def say(out: "Console") -> None:
        out.print(now.vehicle.about.name, style="bold", markup=False)
        out.print(
            f"{found.far.way}: {found.far.parts_off} of {found.far.parts} parts off, "
            f"{found.far.joints_undone} of {found.far.joints} joints undone"
        )
        if found.far.half_done:
            out.print("Left half done:", style="bold")
            for each in found.far.half_done:
                name = now.name_of(f"joint:{each.joint}")
                stuck = f", {each.stuck} stuck" if each.stuck else ""
                out.print(f"  {name}: {each.out} of {each.of} out{stuck}", markup=False)
        if found.open:
            out.print(f"Open ({len(found.open)}):", style="bold")
            say_open(out, found.open[:THREE_AT_A_TIME])
        if found.next:
            towards = f" towards {found.goal.name}" if found.goal else ""
            left = minutes_text(found.left_minutes or 0)
            out.print(f"Next{towards} ({left} left):", style="bold", markup=False)
            for step in found.next:
                say_step(out, now, step)
        for reason in found.stuck:
            out.print(f"Cannot be planned: {reason}", markup=False)

    emit("resume", {"resume": found}, say, as_json=as_json)
