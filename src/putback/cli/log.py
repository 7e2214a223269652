"""Logging: what happened, in one line."""

import shlex
from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Annotated

import typer

from putback.cli.context import AsJson, session
from putback.cli.output import emit
from putback.errors import BadInput

if TYPE_CHECKING:
    from rich.console import Console


def register(app: typer.Typer) -> None:
    """Add the commands."""
    app.command(
        "log",
        help='Log what happened: log undone "front bumper irons" 3/4 stuck=1 tag=3CAH. '
        "`putback kinds` lists every kind of entry and an example.",
    )(log)
    app.command("kinds", help="List every kind of entry, with its short word and an example.")(
        kinds
    )
    app.command("strike", help="Strike out an entry or an act; striking a strike brings it back.")(
        strike
    )
    app.command("undo", help="Strike out the last thing you logged here.")(undo)
    app.command("photo", help="Store a photo and say what it shows.")(photo)


def moment(said: str | None, now: datetime) -> str | None:
    """Read when something happened: ``today``, ``yesterday``, a day, a month, ``unknown``.

    Raises
    ------
    BadInput
        If it is none of these.
    """
    if said is None:
        return None
    match said.casefold():
        case "now":
            return None
        case "today":
            return now.date().isoformat()
        case "yesterday":
            return (now - timedelta(days=1)).date().isoformat()
        case "unknown":
            return ""
    for shape, length in (("%Y-%m-%d", 10), ("%Y-%m", 7)):
        try:
            return datetime.strptime(said, shape).replace(tzinfo=now.tzinfo).isoformat()[:length]
        except ValueError:
            continue
    try:
        stamp = datetime.fromisoformat(said)
    except ValueError as error:
        raise BadInput(
            f"{said!r} is no moment",
            mend="say now, today, yesterday, 2031-05-02, 2031-05, 2031-05-02T14:30 or unknown",
        ) from error
    return (stamp if stamp.tzinfo else stamp.replace(tzinfo=now.tzinfo)).isoformat()


def log(
    context: typer.Context,
    words: Annotated[list[str], typer.Argument(help="The kind, what it is about, details.")],
    when: Annotated[
        str | None,
        typer.Option(help="now, today, yesterday, a day, a month, an instant, unknown."),
    ] = None,
    after: Annotated[
        str | None, typer.Option(help="The entry that this late note comes after.")
    ] = None,
    new: Annotated[
        bool, typer.Option("--new", help="A part nobody described yet: take its name from here.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Log one act."""
    from putback.logbook.entries.base import EntryId
    from putback.workshop.short_forms import read_line

    run = session(context)
    state = run.state
    bodies = read_line(words, state, new=new)
    act = run.workshop.log(
        run.logbook,
        bodies,
        who=run.person,
        device=run.device,
        happened_at=moment(when, run.workshop.clock.now().astimezone()),
        after=EntryId(after) if after else None,
    )
    told = run.state
    sentences = [entry.body.sentence(told.name_of) for entry in act.entries]

    def say(out: "Console") -> None:
        for sentence in sentences:
            out.print(f"{sentence[:1].upper()}{sentence[1:]}.", markup=False)
        out.print(f"act {act.id}; `putback undo` strikes it out", style="dim", markup=False)

    entries = [
        {"id": entry.id, "kind": entry.kind, "sentence": sentence}
        for entry, sentence in zip(act.entries, sentences, strict=True)
    ]
    emit("log", {"act": act.id, "entries": entries}, say, as_json=as_json)


def kinds(as_json: AsJson = False) -> None:
    """List the kinds of entry."""
    from putback.logbook.entries.registry import KINDS
    from putback.workshop.short_forms import FORMS

    short: dict[str, list[str]] = {}
    for word, form in FORMS.items():
        short.setdefault(form.kind, []).append(word)
    rows = [
        {
            "kind": kind,
            "says": (body.__doc__ or "").strip().splitlines()[0],
            "words": short.get(kind, []),
            "examples": [FORMS[word].example for word in short.get(kind, [])],
            "fields": list(body.model_fields),
        }
        for kind, body in KINDS.items()
    ]

    def say(out: "Console") -> None:
        for row in rows:
            out.print(f"[bold]{row['kind']}[/bold]  {row['says']}")
            examples: Iterable[str] = row["examples"]
            for example in examples:
                out.print(f"    putback log {example}", markup=False)
            if not row["examples"]:
                kind = str(row["kind"]).replace(" ", "-")
                out.print(f"    putback log {kind} ({', '.join(row['fields'])})", markup=False)

    emit("kinds", {"kinds": rows}, say, as_json=as_json)


def strike(
    context: typer.Context,
    what: Annotated[str, typer.Argument(help="The entry or act.")],
    why: Annotated[str, typer.Option(help="The reason.")] = "",
    as_json: AsJson = False,
) -> None:
    """Strike out an entry or an act."""
    from putback.logbook.entries.base import EntryId

    run = session(context)
    act = run.workshop.strike(
        run.logbook, EntryId(what), who=run.person, device=run.device, why=why
    )
    _struck(run, act.id, what, as_json)


def undo(context: typer.Context, as_json: AsJson = False) -> None:
    """Strike out the last own act."""
    run = session(context)
    act = run.workshop.undo(run.logbook, who=run.person, device=run.device)
    _struck(run, act.id, getattr(act.entries[0].body, "act", "") or "", as_json)


def _struck(run: object, act: str, what: str, as_json: bool) -> None:
    facts = run.workshop.facts(run.logbook)  # type: ignore[attr-defined]
    resting = list(facts.rest_on_struck)

    def say(out: "Console") -> None:
        out.print(f"Struck out {what}.", markup=False)
        if resting:
            out.print(f"{len(resting)} entries rest on what is struck out and stay:", markup=False)
            out.print("  " + shlex.join(resting), markup=False)

    emit("strike", {"act": act, "struck": what, "rest_on_struck": resting}, say, as_json=as_json)


def photo(
    context: typer.Context,
    file: Annotated[str, typer.Argument(help="The picture.")],
    of: Annotated[list[str], typer.Argument(help="What it shows.")],
    caption: Annotated[str, typer.Option(help="A line of text.")] = "",
    as_json: AsJson = False,
) -> None:
    """Store a photo, then log it."""
    import mimetypes
    from pathlib import Path

    from putback.errors import UnreadableFile
    from putback.logbook.entries.working import PhotoTaken
    from putback.workshop.names import find_subject

    run = session(context)
    state = run.state
    subjects = tuple(find_subject(state, each) for each in of)
    path = Path(file)
    try:
        content = path.read_bytes()
    except OSError as error:
        raise UnreadableFile(path, None, error.strerror or "cannot be read") from error
    media_type = mimetypes.guess_type(path.name)[0] or "application/octet-stream"
    if not media_type.startswith("image/"):
        raise UnreadableFile(path, None, f"is {media_type}, no picture", "give a JPEG or PNG")
    # The picture is kept before the entry that names it, so that no entry points at nothing.
    photo_id = run.workshop.photos.put(content)
    body = PhotoTaken(photo=photo_id, of=subjects, media_type=media_type, caption=caption)
    act = run.workshop.log(run.logbook, [body], who=run.person, device=run.device)
    sentence = body.sentence(state.name_of)

    def say(out: "Console") -> None:
        out.print(f"{sentence[:1].upper()}{sentence[1:]}.", markup=False)

    emit("photo", {"act": act.id, "photo": photo_id, "sentence": sentence}, say, as_json=as_json)
