"""Ties before a lift: the walk-round, its ticks, what goes along, and the cheapest cut."""

from collections.abc import Iterable
from typing import TYPE_CHECKING, Annotated

import typer

from putback.cli.complete import complete_joint, complete_lift, complete_part
from putback.cli.context import AsJson, Session, session
from putback.cli.output import count, emit, sentence
from putback.cli.output import say as say_line
from putback.errors import BadInput
from putback.units.show import duration_text
from putback.vehicle.ids import PartId, Ref, part_ref

if TYPE_CHECKING:
    from rich.console import Console

    from putback.logbook.state import State
    from putback.planning.ties import Ties
    from putback.planning.tying.walk import Tie
    from putback.workshop.logbooks.workshop import Act

BOXES = {"made": "[ ] ", "half undone": "[/] ", "undone": "[?] ", "seen free": "[x] "}
"""The box of each line, as it would be ticked on paper."""
KEY = "[ ] holds   [/] half undone   [?] undone, not looked at   [x] seen free"
CAUTION = (
    "Guide only: look at every tie yourself, and lift a little before you lift. Lifting points,"
    " slings, hoist and stands as their makers say; nobody under what hangs."
)


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(
        "ties",
        help="What still ties a part or assembly before it is lifted: a list to walk round with, "
        "what goes along, and the least to undo. --tick says that a joint is free: it is logged "
        "undone if it held, and seen free if it was undone already.",
        short_help="What ties a lift: the walk-round, and its ticks.",
    )(ties)


def ties(
    context: typer.Context,
    lift: Annotated[
        list[str],
        typer.Argument(
            help="The parts or assemblies lifted together.", autocompletion=complete_lift
        ),
    ],
    apart_from: Annotated[
        list[str] | None,
        typer.Option(
            "--from",
            metavar="PART",
            help="What they are lifted off; else the part that the goals are about.",
            autocompletion=complete_part,
        ),
    ] = None,
    tick: Annotated[
        list[str] | None,
        typer.Option(
            "--tick",
            metavar="JOINT",
            help="This joint is free. May be given several times.",
            autocompletion=complete_joint,
        ),
    ] = None,
    everything: Annotated[
        bool,
        typer.Option("--all", help="Ties further off too, by way of other parts, and every name."),
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Show what ties a lift; log what is ticked first."""
    run = session(context)
    if tick and run.supposed:
        raise BadInput("a tick is logged, and nothing can be logged that is only supposed",
                       mend="leave --suppose or --tick away")  # fmt: skip
    found = _found(run, lift, apart_from or ())
    act = _tick(run, found, tick) if tick else None
    if act is not None:
        found = _found(run, lift, apart_from or ())
    now = run.state
    logged = [
        {"id": each.id, "kind": each.kind, "sentence": each.body.sentence(now.name_of)}
        for each in (act.entries if act else ())
    ]

    def say(out: "Console") -> None:
        for each in logged:
            kind = "undone" if each["kind"] == "joint undone" else each["kind"]
            out.print(f"Logged {kind}: {each['sentence']}.", style="bold", markup=False)
        if act is not None:
            out.print(f"(`putback undo` strikes {'it' if len(logged) == 1 else 'them'} out)")
        _say(out, now, found, everything)

    document = {
        "act": act.id if act else None,
        "logged": logged,
        "ties": found,
        "left": [tie.joint for tie in found.left],
        "to_look_at": [tie.joint for tie in found.to_look_at],
    }
    emit("ties", document, say, as_json=as_json)


def _found(run: Session, lift: Iterable[str], apart_from: Iterable[str]) -> "Ties":
    from putback.planning.ties import ties as find_ties
    from putback.workshop.saying.names import find, find_subject

    now = run.state
    refs = [Ref(find_subject(now, each, ("part", "assembly"))) for each in lift]
    rest = [PartId(find(now, "part", each)) for each in apart_from]
    return find_ties(now.vehicle, now, *refs, apart_from=rest)


def _tick(run: Session, found: "Ties", named: Iterable[str]) -> "Act":
    from putback.vehicle.ids import JointId
    from putback.workshop.plans.walk_round import ticked
    from putback.workshop.saying.names import find

    joints = [JointId(find(run.state, "joint", each)) for each in named]
    bodies = ticked(run.state, found, joints)
    return run.workshop.log(run.logbook, bodies, who=run.person, device=run.device)


# -- for people ---------------------------------------------------------------------------------


def _say(out: "Console", now: "State", found: "Ties", everything: bool) -> None:
    from putback.workshop.plans.walk_round import apart_from, nothing_ties

    lift = ", ".join(now.name_of(ref) for ref in found.lift)
    rest = apart_from(now, found) or "all the rest"
    out.print(f"Ties of {lift}, lifted off {rest}", style="bold", markup=False)
    seen = len(found.ties) - len(found.left) - len(found.to_look_at)
    if found.ties:
        out.print(
            f"{len(found.left)} still hold, {len(found.to_look_at)} undone and not looked at,"
            f" {seen} seen free.",
            markup=False,
        )
        out.print(KEY, style="dim", markup=False)
    else:
        out.print(sentence(nothing_ties(now, found)))
    far = 0
    for stop in found.walk:
        shown = [tie for tie in stop.ties if everything or tie.is_listed]
        far += len(stop.ties) - len(shown)
        if shown:
            out.print(stop.name or "No zone", style="bold", markup=False)
        for tie in shown:
            _say_tie(out, now, tie)
    if far:
        further = f"{count(far, 'tie')} further off, by way of other parts: --all shows them."
        out.print(further, style="dim", markup=False)
    _say_along(out, now, found, everything)
    _say_cut(out, now, found)
    out.print(CAUTION, style="dim", markup=False)


def _say_tie(out: "Console", now: "State", tie: "Tie") -> None:
    from putback.workshop.plans.walk_round import details_of

    said = [tie.name, " to ".join(now.name_of(part_ref(part)) for part in tie.parts)]
    if tie.tick == "half undone":
        stuck = f", {tie.stuck} stuck" if tie.stuck else ""
        said.append(f"{tie.out} of {tie.of} out{stuck}")
    if tie.holds:
        said += [tie.tool, duration_text(tie.minutes) if tie.minutes else ""]
    if tie.advised:
        said.append("advised")
    say_line(out, " - ".join(filter(None, said)), lead=f"  {BOXES[tie.tick]}")
    for each in details_of(now, tie):
        say_line(out, each, style="dim", lead="      ")


def _say_along(out: "Console", now: "State", found: "Ties", everything: bool) -> None:
    from putback.workshop.plans.walk_round import going_along

    if found.mass_kg:
        out.print(f"In all {found.mass_kg:.0f} kg: a guide value.", markup=False)
    if found.unweighed:
        unweighed = count(len(found.unweighed), "part")
        out.print(
            f"Not weighed: {unweighed} of it. Find out the weight before you lift.",
            style="bold",
            markup=False,
        )
    for heading, named in going_along(now, found, everything=everything):
        say_line(out, named, lead=f"{heading}: ")


def _say_cut(out: "Console", now: "State", found: "Ties") -> None:
    from putback.workshop.plans.walk_round import part_names

    cut = found.cut
    if not cut.joints:
        return
    long = f", {duration_text(cut.minutes)}" if cut.minutes else ""
    before = " Before them:" if cut.first_off else ""
    out.print(
        f"Advice: {count(len(cut.joints), 'joint')}{long}, marked above, would free it.{before}",
        markup=False,
    )
    for each in cut.first_off:
        say_line(out, each.words, lead="  ")
    if cut.then_along:
        along = f"{part_names(now, cut.then_along)} (--from keeps a part where it is)"
        say_line(out, along, lead="Goes along as well then: ")
