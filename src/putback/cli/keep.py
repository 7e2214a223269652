"""Keeping: tags, copies of a logbook, backups, and whether all is well."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from putback.cli.context import AsJson, Session, session
from putback.cli.output import check_target, emit
from putback.cli.output import count as number_of
from putback.cli.plan import working
from putback.errors import BadInput

if TYPE_CHECKING:
    from rich.console import Console

    from putback.workshop.exchange.backup import Backup
    from putback.workshop.exchange.exchange import TakenIn


def register(app: typer.Typer) -> None:
    """Add the commands."""
    tags = typer.Typer(help="Tags: the codes on bags and boxes.", no_args_is_help=True)
    tags.command("reserve", help="Reserve the next tags for this machine.")(reserve)
    tags.command("list", help="List the tags that this machine may still issue.")(list_tags)
    tags.command("check", help="Say whether a tag can have been issued, and what is in it.")(
        check_tag
    )
    app.add_typer(tags, name="tags")
    app.command("export", help="Write a logbook into a bundle.")(export)
    app.command(
        "import",
        help="Take over somebody's logbook from a bundle; you own it here.",
        short_help="Take over somebody's logbook from a bundle.",
    )(take_over)
    app.command("merge", help="Take in what a bundle has and the copy here has not.")(merge)
    app.command("check", help="Check a bundle without taking it in.")(check)
    app.command("backup", help="Copy everything, photos included, to another place.")(backup)
    app.command("restore", help="Fill an empty store from a backup.")(restore)
    app.command("verify", help="Read everything in the store again and compare.")(verify)
    app.command("doctor", help="Say how the store is, and whether all it needs is there.")(doctor)


MOST_TAGS = 1000
"""More than anybody writes on bags before the next look at the machine; there are few thousand."""


# -- tags ---------------------------------------------------------------------------------------


def reserve(
    context: typer.Context,
    count: Annotated[int, typer.Argument(help="How many.", min=1, max=MOST_TAGS)] = 20,
    as_json: AsJson = False,
) -> None:
    """Reserve tags."""
    run = session(context)
    reserved = run.workshop.reserve_tags(run.device, count)

    def say(out: "Console") -> None:
        out.print("  ".join(reserved), markup=False)

    emit("tags reserve", {"device": run.device, "tags": reserved}, say, as_json=as_json)


def list_tags(context: typer.Context, as_json: AsJson = False) -> None:
    """List the tags of this machine."""
    run = session(context)
    reserved = run.workshop.tags_of(run.device)
    in_use = run.workshop.tags_in_use()
    free = [tag for tag in reserved if tag not in in_use]

    def say(out: "Console") -> None:
        out.print("  ".join(free) or "None is free: putback tags reserve 20", markup=False)
        if len(reserved) > len(free):
            out.print(f"{len(reserved) - len(free)} more are in use.", style="dim")

    document = {"device": run.device, "tags": reserved, "free": free}
    emit("tags list", document, say, as_json=as_json)


def check_tag(
    context: typer.Context,
    text: Annotated[str, typer.Argument(help="The four characters.")],
    as_json: AsJson = False,
) -> None:
    """Check a tag."""
    from putback.logbook.entries.base import TagCode
    from putback.logbook.tags import Tag
    from putback.workshop.saying.whereabouts import whereabouts

    tag = Tag(text)
    run = session(context)
    known: tuple[str, ...] = ()
    if run.workshop.logbooks():
        state = run.state
        if TagCode(tag) in state.containers:
            known = whereabouts(state, f"tag:{tag}")

    def say(out: "Console") -> None:
        out.print(f"{tag} checks.", markup=False)
        for line in known or ("it is not in use on this vehicle",):
            out.print(f"  {line}", markup=False)

    emit("tags check", {"tag": tag, "holds": known}, say, as_json=as_json)


# -- copies -------------------------------------------------------------------------------------


def export(
    context: typer.Context,
    target: Annotated[Path, typer.Argument(help="The bundle to write.")],
    since: Annotated[
        Path | None, typer.Option(help="An earlier bundle that the receiver has.")
    ] = None,
    for_whom: Annotated[
        str,
        typer.Option(
            "--for",
            metavar="PARTNER",
            help="Only what this partner has not been given yet; it is remembered.",
        ),
    ] = "",
    again: Annotated[
        bool, typer.Option("--again", help="With --for: all of it, as a file was lost.")
    ] = False,
    without_private: Annotated[
        bool, typer.Option("--without-private", help="Leave out money and people's names.")
    ] = False,
    with_location: Annotated[
        bool, typer.Option("--with-location", help="Leave in photos where they were taken.")
    ] = False,
    force: Annotated[bool, typer.Option("--force", help="Write over a file.")] = False,
    as_json: AsJson = False,
) -> None:
    """Export a logbook."""
    from putback.workshop.exchange.by_file import export_for
    from putback.workshop.exchange.exchange import export_bundle
    from putback.workshop.exchange.partners import Partners

    run = session(context)
    check_target(target, force)
    if since is not None and for_whom:
        raise BadInput("--since and --for both say what to leave out", mend="give one of them")
    with working() as progress:
        if for_whom:
            manifest = export_for(
                run.workshop,
                Partners(run.store.home),
                for_whom,
                run.logbook,
                target,
                again=again,
                without_private=without_private,
                with_location=with_location,
                progress=progress,
            )
        else:
            manifest = export_bundle(
                run.workshop,
                run.logbook,
                target,
                since=since,
                without_private=without_private,
                with_location=with_location,
                progress=progress,
            )

    def say(out: "Console") -> None:
        entries = number_of(manifest.entries, "entry", "entries")
        out.print(f"Wrote {target}: {entries}.", markup=False)
        if missing := len(manifest.photos_missing):
            said = number_of(missing, "photo or sound does", "photos or sounds do")
            out.print(
                f"{said} not go along: not here, or nobody can say whether it tells its place. "
                "--with-location lets all go."
            )

    emit("export", {"bundle": target, "manifest": manifest}, say, as_json=as_json)


def take_over(
    context: typer.Context,
    path: Annotated[Path, typer.Argument(help="The bundle.")],
    as_json: AsJson = False,
) -> None:
    """Take a bundle in: a new vehicle is yours here, a known one is merged."""
    from putback.workshop.exchange.exchange import take_in

    run = session(context)
    with working() as progress:
        taken = take_in(run.workshop, path, who=run.person, progress=progress)
    _say_taken(run, "import", taken, as_json)


def merge(
    context: typer.Context,
    path: Annotated[Path, typer.Argument(help="The bundle.")],
    as_json: AsJson = False,
) -> None:
    """Merge a bundle into the copy here."""
    from putback.logbook.bundle import read_bundle
    from putback.workshop.exchange.exchange import take_in

    run = session(context)
    # A misnamed bundle must not silently begin a second vehicle: the copy has to be here.
    bundle = read_bundle(path)
    if bundle.logbook not in {each.id for each in run.workshop.logbooks()}:
        name = bundle.manifest.name or bundle.logbook
        raise BadInput(
            f"there is no copy of {name!r} here to merge it into",
            str(path),
            f"take it over as yours: putback import {path}",
        )
    with working() as progress:
        taken = take_in(run.workshop, path, who=run.person, progress=progress)
    _say_taken(run, "merge", taken, as_json)


def _say_taken(run: Session, command: str, taken: "TakenIn", as_json: bool) -> None:
    name = next(each.name for each in run.workshop.logbooks() if each.id == taken.logbook)

    def say(out: "Console") -> None:
        did = "Took over" if taken.is_new else "Merged into"
        entries = number_of(taken.entries, "new entry", "new entries")
        photos = number_of(taken.photos, "new photo")
        known = f", {taken.known} known already" if taken.known else ""
        out.print(f"{did} {name!r}: {entries}{known}, {photos}.", markup=False)
        _say_missing(out, len(taken.photos_missing))
        if taken.lacks:
            out.print(
                "It goes on from entries that are not here, so something is missing: "
                "ask for all of it (putback export --for ... --again)",
                style="red",
            )

    emit(command, {"name": name, "taken": taken}, say, as_json=as_json)


def _say_missing(out: "Console", photos: int) -> None:
    if photos:
        out.print(f"{number_of(photos, 'photo is', 'photos are')} named but not here.")


def check(
    path: Annotated[Path, typer.Argument(help="The bundle.")], as_json: AsJson = False
) -> None:
    """Check a bundle; exit with 1 if it is not sound."""
    from putback.logbook.bundle import check_bundle

    with working() as progress:
        report = check_bundle(path, progress)

    def say(out: "Console") -> None:
        for fault in report.faults:
            out.print(str(fault), markup=False)
        entries = number_of(len(report.bundle.entries), "entry", "entries")
        verdict = "sound" if report.is_sound else number_of(len(report.faults), "fault")
        out.print(f"{path}: {entries}, {verdict}.", markup=False)
        missing = len(report.bundle.photos_missing)
        if missing:
            out.print(f"{number_of(missing, 'photo is', 'photos are')} not in it.")

    document = {
        "bundle": path,
        "sound": report.is_sound,
        "faults": report.faults,
        "entries": len(report.bundle.entries),
        "duplicates": report.duplicates,
        "conflicts": report.conflicts,
        "unread": report.unread,
        "photos_missing": report.bundle.photos_missing,
    }
    emit("check", document, say, as_json=as_json)
    if not report.is_sound:
        raise typer.Exit(1)


# -- backups ------------------------------------------------------------------------------------


def backup(
    context: typer.Context,
    into: Annotated[Path, typer.Argument(help="A folder on another disk or machine.")],
    as_json: AsJson = False,
) -> None:
    """Back everything up."""
    from putback.workshop.exchange.backup import back_up

    run = session(context)
    with working() as progress:
        made = back_up(
            run.store.entries,
            run.store.photos,
            into,
            run.workshop.clock.now(),
            home=run.store.home,
            progress=progress,
        )

    def say(out: "Console") -> None:
        out.print(f"Backed up to {made.folder}: {_contents(made)}.", markup=False)
        if made.left_out:
            spoilt = number_of(len(made.left_out), "spoilt photo")
            out.print(f"{spoilt} left out: putback verify names them.")

    document = {
        "folder": made.folder,
        "entries": made.entries,
        "photos": len(made.photos),
        "left_out": made.left_out,
    }
    emit("backup", document, say, as_json=as_json)


def restore(
    context: typer.Context,
    folder: Annotated[Path, typer.Argument(help="The backup.")],
    as_json: AsJson = False,
) -> None:
    """Restore a backup."""
    from putback.workshop.exchange.backup import restore as fill

    run = session(context)
    with working() as progress:
        made = fill(folder, run.store.entries, run.store.photos, progress)

    def say(out: "Console") -> None:
        out.print(f"Restored to {run.store.home}: {_contents(made)}.", markup=False)

    document = {"home": run.store.home, "entries": made.entries, "photos": len(made.photos)}
    emit("restore", document, say, as_json=as_json)


def _contents(made: "Backup") -> str:
    entries = number_of(made.entries, "entry", "entries")
    return f"{entries}, {number_of(len(made.photos), 'photo')}"


def verify(context: typer.Context, as_json: AsJson = False) -> None:
    """Verify the store; exit with 1 if anything is not as it was written."""
    from putback.workshop.exchange.verify import verify as read_all

    run = session(context)
    with working() as progress:
        found = read_all(run.store.entries, run.store.photos, progress)

    def say(out: "Console") -> None:
        for fault in found.faults:
            out.print(str(fault), markup=False)
        out.print(
            f"{number_of(found.logbooks, 'logbook')}, "
            f"{number_of(found.entries, 'entry', 'entries')}, {number_of(found.photos, 'photo')}: "
            f"{'all sound' if found.is_sound else number_of(len(found.faults), 'fault')}."
        )
        _say_missing(out, len(found.photos_not_here))

    emit("verify", {"sound": found.is_sound, "found": found}, say, as_json=as_json)
    if not found.is_sound:
        raise typer.Exit(1)


def doctor(context: typer.Context, as_json: AsJson = False) -> None:
    """Look at the store from outside; exit with 1 if something wants mending."""
    import shutil

    from putback.version import __version__

    run = session(context)
    store = run.store
    note = run.workshop.last_backup()
    free = shutil.disk_usage(store.home).free
    logbooks = run.workshop.logbooks()
    complaints = []
    if free < LEAST_FREE_BYTES:
        complaints.append(f"only {free // 1_000_000} MB are free where the store is")
    if note is None and logbooks:
        complaints.append("there is no backup elsewhere yet: putback backup FOLDER")
    complaints += [str(each) for each in store.entries.faults()]

    def say(out: "Console") -> None:
        out.print(f"putback {__version__}, store {store.entries.name}", markup=False)
        vehicles = number_of(len(logbooks), "vehicle")
        out.print(f"{vehicles}, {free // 1_000_000} MB free", markup=False)
        last = f"{note.at[:10]} to {note.place}" if note else "never"
        out.print(f"last backup: {last}", markup=False)
        for each in complaints or ["nothing wants mending"]:
            out.print(f"- {each}", markup=False)

    document = {
        "version": __version__,
        "store": store.entries.name,
        "home": store.home,
        "vehicles": len(logbooks),
        "free_bytes": free,
        "last_backup": note,
        "complaints": complaints,
    }
    emit("doctor", document, say, as_json=as_json)
    if complaints:
        raise typer.Exit(1)


LEAST_FREE_BYTES = 200_000_000
