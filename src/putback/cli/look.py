"""Looking: the state, what is open, where a thing is, its hardware, its history."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Annotated, Any

import typer

from putback.cli.complete import complete_anything
from putback.cli.context import AsJson, session
from putback.cli.output import count, emit, sentence
from putback.cli.output import say as say_line
from putback.units.show import duration_text

if TYPE_CHECKING:
    from rich.console import Console

    from putback.logbook.open_items import OpenItem
    from putback.logbook.state import State
    from putback.workshop.plans.how_far import HowFar

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
    app.command(
        "resume",
        help="Pick up again: where things stand, what is open, what is next.",
        short_help="Pick up again: where it stands, what is next.",
    )(resume)


THREE_AT_A_TIME = 3
SHOWN_OF_AN_ID = 8


def state(
    context: typer.Context,
    what: Annotated[
        str | None,
        typer.Argument(help="Of what; else of the vehicle.", autocompletion=complete_anything),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Show the state."""
    from putback.workshop.logbooks.ports import GARAGE
    from putback.workshop.plans.how_far import how_far
    from putback.workshop.saying.names import find_subject
    from putback.workshop.saying.whereabouts import cautions_of, whereabouts

    run = session(context)
    now = run.state
    if what is not None:
        subject = find_subject(now, what)
        lines, cautions = whereabouts(now, subject), cautions_of(now.vehicle, subject, now)

        def say_one(out: "Console") -> None:
            out.print(now.name_of(subject), style="bold", markup=False)
            for line in lines:
                out.print(f"  {line}", markup=False)
            for caution in cautions:
                out.print(f"  caution: {caution}", style="red", markup=False)
            if cautions:
                out.print("  The maker's data win over what is described here.", style="dim")

        document = {
            "subject": subject,
            "name": now.name_of(subject),
            "says": lines,
            "cautions": cautions,
            "record": record_of(now, subject),
        }
        emit("state", document, say_one, as_json=as_json)
        return
    far = how_far(now)
    facts = run.workshop.facts(run.logbook)

    def say(out: "Console") -> None:
        out.print(now.vehicle.about.name, style="bold", markup=False)
        if now.vehicle.about.notice:
            out.print(now.vehicle.about.notice, style="dim", markup=False)
        if run.logbook == GARAGE:
            say_garage(out, now)
        else:
            out.print(sentence(far_text(far)), markup=False)
        if now.standing.standing:
            name = now.name_of(f"standing:{now.standing.standing}")
            out.print(f"It stands: {name}.", markup=False)
        struck = f", {len(facts.struck)} struck out" if facts.struck else ""
        out.print(f"{count(facts.entries, 'entry', 'entries')}{struck}.", style="dim")

    document = {
        "logbook": run.logbook,
        "name": now.vehicle.about.name,
        "far": far,
        "standing": now.standing.standing,
        "entries": facts.entries,
        "struck": len(facts.struck),
        "digest": facts.digest,
        "parts": now.parts,
        "joints": now.joints,
        "places": now.places,
        "people": now.people,
    }
    emit("state", document, say, as_json=as_json)


def say_garage(out: "Console", now: "State") -> None:
    """Print what the garage's vehicles share."""
    for place in now.places.values():
        fits = f": {place.fits}" if place.fits else ""
        out.print(f"  {place.kind:<13} {place.name or place.place}{fits}", markup=False)
    for person, name in now.people.items():
        out.print(f"  {'person':<13} {name} ({person})", markup=False)


def far_text(far: "HowFar") -> str:
    """Say how far the work is, in one line."""
    from putback.workshop.plans.how_far import Way

    if far.way is Way.NOT_BEGUN:
        described = f"{count(far.parts, 'part')} and {count(far.joints, 'joint')} are described"
        return f"not begun; {described}" if far.parts or far.joints else "nothing is described yet"
    again = f", {far.joints_made_again} made again" if far.joints_made_again else ""
    return (
        f"{far.way}: {far.parts_off} of {count(far.parts, 'part')} off, "
        f"{far.joints_undone} of {count(far.joints, 'joint')} undone{again}"
    )


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


def open_(
    context: typer.Context,
    everything: Annotated[
        bool, typer.Option("--all", help="All of it, not the first few.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Show what is open."""
    from putback.logbook.open_items import open_items

    items = open_items(session(context).situation)
    shown = items if everything else items[:THREE_AT_A_TIME]

    def say(out: "Console") -> None:
        say_open(out, shown)
        if len(items) > len(shown):
            out.print(f"{len(items) - len(shown)} more: putback open --all", style="dim")
        if not items:
            out.print("Nothing is open.")

    emit("open", {"open": items}, say, as_json=as_json)


def say_open(out: "Console", items: "Sequence[OpenItem]") -> None:
    """Print open items, each with what clears it."""
    colours = {"danger": "bold red", "now": "bold", "later": ""}
    for each in items:
        lead = f"{each.danger:<7}"
        say_line(out, sentence(each.words), lead=lead, lead_style=colours[each.danger])
        say_line(out, each.clears, "dim", lead=" " * len(lead))


def where(context: typer.Context, what: Thing, as_json: AsJson = False) -> None:
    """Say where a thing is."""
    from putback.workshop.saying.names import find_subject
    from putback.workshop.saying.whereabouts import whereabouts

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
    """Check the hardware: of one joint or tag, or of all; never refuses, always answers."""
    from dataclasses import replace

    from putback.logbook.hardware_check import hardware_check, sentences
    from putback.workshop.saying.names import find_subject
    from putback.workshop.saying.whereabouts import whereabouts

    now = session(context).state
    check = hardware_check(now)
    if what is None:
        name = ""
        lines = sentences(check, now.name_of)
        document: dict[str, Any] = {"closes": check.closes, "says": lines, "check": check}
    else:
        subject = find_subject(now, what, ("joint", "tag"))
        name = now.name_of(subject)
        joints = tuple(each for each in check.joints if each.owner == subject)
        tags = tuple(each for each in check.tags if f"tag:{each.tag}" == subject)
        lines = whereabouts(now, subject)
        if joints:
            one = replace(check, joints=joints, tags=tags, specs=(), fits_in=())
            lines += tuple(each for each in sentences(one, now.name_of) if ": " in each)
        document = {
            "subject": subject,
            "name": name,
            "says": lines,
            "joints": joints,
            "tags": tags,
        }

    def say(out: "Console") -> None:
        if name:
            out.print(f"{name}:", style="bold", markup=False)
        for line in lines:
            out.print(f"  {line}" if name else sentence(line), markup=False)

    emit("hardware", document, say, as_json=as_json)


def history(context: typer.Context, what: Thing, as_json: AsJson = False) -> None:
    """Show what was logged of a thing, in order."""
    from putback.workshop.logbooks.sayers import sayers_of
    from putback.workshop.saying.names import find_subject

    run = session(context)
    now = run.state
    subject = find_subject(now, what)
    entries, sayers = (
        run.workshop.history(run.logbook, subject),
        sayers_of(run.workshop, run.logbook),
    )
    rows = [
        {
            "id": each.id,
            "act": each.act,
            "happened_at": each.happened_at,
            "who": each.who,
            "claimed": sayers.is_claimed(each.id),
            "kind": each.kind,
            "sentence": each.body.sentence(now.name_of),
        }
        for each in entries
    ]

    def say(out: "Console") -> None:
        for each in entries:
            moment = each.happened_at[:16].replace("T", " ") or "some time"
            who = sayers.words(each.id, each.who)
            lead = f"{each.id[-SHOWN_OF_AN_ID:]}  "
            told = f"{moment:<16}  {who}  {each.body.sentence(now.name_of)}"
            say_line(out, told, lead=lead, lead_style="dim")
        if not rows:
            out.print(f"Nothing was logged of {now.name_of(subject)} yet.", markup=False)

    document = {"subject": subject, "name": now.name_of(subject), "entries": rows}
    emit("history", document, say, as_json=as_json)


def resume(
    context: typer.Context,
    steps: Annotated[int, typer.Option(help="How many steps ahead.", min=1)] = 5,
    hours: Annotated[
        float | None,
        typer.Option(help="How many hours you have: what fits, ending closed and safe.", min=0.1),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Pick up again."""
    from putback.cli.ahead import say_hints
    from putback.cli.packup import say_best
    from putback.cli.plan import say_standing, say_step, working
    from putback.workshop.now.resume import resume as pick_up

    run = session(context)
    now, minutes = run.state, hours * 60 if hours is not None else None
    with working() as progress:
        found = pick_up(run.workshop, run.logbook, progress=progress, steps=steps, minutes=minutes)

    def say(out: "Console") -> None:
        out.print(now.vehicle.about.name, style="bold", markup=False)
        for hold in now.in_force:
            out.print(f"Hold: {hold.words}", style="bold red", markup=False)
        out.print(sentence(far_text(found.far)), markup=False)
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
            left = count(found.left_jobs, "step")
            if found.left_minutes is not None:
                left = duration_text(found.left_minutes)
            out.print(f"Next{towards} ({left} left):", style="bold", markup=False)
            if found.hour is not None:
                say_best(out, now, found.hour)
            standing = now.standing.standing
            for step in found.next if found.hour is None else ():
                standing = say_standing(out, now, step, standing)
                say_step(out, now, step)
            say_hints(out, found.ahead)
            if found.hour is not None:
                out.print("Before you go home: putback pack-up", style="dim")
        elif not found.stuck:
            out.print(what_now(now, found.far), markup=False)
        for reason in found.stuck:
            out.print(f"Cannot be planned: {reason}", markup=False)
        for change in found.could_be:
            out.print(f"It could be, if {change}", markup=False)

    document = {"resume": found, "holds": [each.words for each in now.in_force]}
    emit("resume", document, say, as_json=as_json)


def what_now(now: "State", far: "HowFar") -> str:
    """Say what a person can do where no plan has a next step."""
    from putback.workshop.plans.how_far import Way

    if far.way is Way.REBUILD:
        return "Nothing is left to put back."
    if not now.vehicle.goals:
        return (
            "No goal is described, so nothing is planned; go on logging what comes off: "
            'putback log off "radiator" --new'
        )
    return "Every goal is reached."
